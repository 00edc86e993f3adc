"""Which of the two methods governs: the table, the tissue model, or the shorter of both."""

from __future__ import annotations

from teamdive.physics.known import Missing, lacking, merge
from teamdive.physics.nitrogen import NoStop
from teamdive.physics.profile import Method


def governing_within(method: Method, table: bool | Missing, tissue: bool | Missing) -> bool | Missing:
    """Whether a dive is within by the governing method; `shorter` needs both, and one beyond is enough."""
    if method == "table":
        return table
    if method == "tissue":
        return tissue
    if table is False or tissue is False:
        return False
    unknown = merge((table, tissue))
    return True if unknown is None else unknown


def governing_limit(method: Method, limits: NoStop) -> tuple[int | Missing | None, str | Missing | None]:
    """The governing limit in seconds and its method; of equal limits the table is named."""
    adjusted = limits.adjusted_no_stop_limit_min
    table = adjusted if adjusted is None or isinstance(adjusted, Missing) else adjusted * 60
    tissue = limits.tissue_limit_s
    if method == "table":
        return table, _name(table, "table")
    if method == "tissue":
        return tissue, _name(tissue, "tissue")
    if isinstance(table, Missing) or isinstance(tissue, Missing):
        unknown = lacking(table, tissue)
        return unknown, unknown
    if table is None or (tissue is not None and tissue < table):
        return tissue, _name(tissue, "tissue")
    return table, "table"


def _name(limit: int | Missing | None, method: str) -> str | Missing | None:
    return limit if limit is None or isinstance(limit, Missing) else method
