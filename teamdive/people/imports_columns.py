"""What each column of a sheet holds: guessed from its header and its cells, confirmed by a person. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from decimal import Decimal
from typing import Any

from .imports_dates import day_or_month
from .imports_fields import Field, Fields
from .imports_read import Table
from .imports_values import is_empty, number, tidy

DAY_FIRST, MONTH_FIRST = "day_first", "month_first"

RATE_TURNS_AT = Decimal("3.5")


@dataclass(frozen=True)
class Column:
    """One column: the field it is read as (None: not read), its unit and the order of its dates."""

    index: int
    field: str | None = None
    unit: str | None = None
    dates: str | None = None
    confirmed: bool = False

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


def guess_columns(table: Table, fields: Fields) -> list[Column]:
    """The first guess for every column; the second of two columns that name one field is left unread."""
    taken: set[str] = set()
    columns: list[Column] = []
    for index, header in enumerate(table.header):
        field, unit = fields.guess(header)
        if field is None and any(isinstance(c, str) and "@" in c for c in _cells(table, index)):
            field = "email" if _share(table, index, lambda text: "@" in text) > 0.6 else None
        if field is None or field in taken:
            columns.append(Column(index))
            continue
        taken.add(field)
        columns.append(complete(Column(index, field, unit), table, fields))
    return columns


def complete(column: Column, table: Table, fields: Fields) -> Column:
    """The column with its unit and the order of its dates guessed where they are not given."""
    if column.field is None:
        return replace(column, unit=None, dates=None)
    field = fields.by_name[column.field]
    cells = list(_cells(table, column.index))
    if field.units and column.unit is None:
        column = replace(column, unit=_guess_unit(field, cells))
    if field.takes == "date" and column.dates is None:
        column = replace(column, dates=_guess_order(cells))
    return replace(
        column,
        unit=column.unit if field.units else None,
        dates=column.dates if field.takes == "date" else None,
    )


def examples(table: Table, index: int, most: int = 4) -> list[str]:
    """The first few different cells of a column, as text."""
    seen = dict.fromkeys(tidy(cell)[:60] for cell in _cells(table, index) if not is_empty(cell))
    return list(seen)[:most]


def question(column: Column, table: Table, fields: Fields) -> dict[str, Any] | None:
    """What is still to be said about the column before its rows can be read, or None."""
    if column.field is None:
        return None
    field = fields.by_name[column.field]
    cells = list(_cells(table, column.index))
    if field.units and column.unit is None and any(_bare(cell) is not None for cell in cells):
        return {
            "code": "unit_not_chosen",
            "message": f"{field.label}: the numbers in this column have no unit.",
            "remedy": "Choose the unit.",
            "options": list(field.units),
        }
    if field.takes == "date" and column.dates is None and any(_either_way(cell) for cell in cells):
        return {
            "code": "date_order_not_chosen",
            "message": f"{field.label}: dates like {_first(cells)} can be read in two ways.",
            "remedy": "Choose whether the day or the month comes first.",
            "options": [DAY_FIRST, MONTH_FIRST],
        }
    return None


def _cells(table: Table, index: int) -> Iterable[Any]:
    return (row[index] for _, row in table.rows if index < len(row))


def _share(table: Table, index: int, test: Any) -> float:
    texts = [tidy(cell) for cell in _cells(table, index) if not is_empty(cell)]
    return sum(1 for text in texts if test(text)) / len(texts) if texts else 0.0


def _bare(cell: Any) -> Decimal | None:
    return None if is_empty(cell) else number(tidy(cell))


def _guess_unit(field: Field, cells: Sequence[Any]) -> str | None:
    bare = sorted(value for cell in cells if (value := _bare(cell)) is not None)
    if not bare:
        return None
    middle = bare[len(bare) // 2]
    if field.takes == "rate":
        return "l/min" if middle > RATE_TURNS_AT else "cuft/min"
    # By the middle, so that one cell in the other unit does not decide for its column.
    if field.at_least is not None:
        unit, bound = field.at_least
        if middle >= bound or (unit == "ft" and sum(1 for v in bare if v >= bound) * 3 >= len(bare)):
            return unit
    if field.at_most is None:
        return None
    unit, bound = field.at_most
    # 40 alone could be either; a depth below 40 says metres, for no certification ends at 18 ft.
    speaks = any(value < 39 for value in bare) if unit == "m" else True
    return unit if middle <= bound and speaks else None


def _either_way(cell: Any) -> bool:
    pair = day_or_month(tidy(cell)) if isinstance(cell, str) else None
    return pair is not None and pair[0] != pair[1] and pair[0] <= 12 and pair[1] <= 12


def _first(cells: Sequence[Any]) -> str:
    return next((tidy(cell) for cell in cells if _either_way(cell)), "")


def _guess_order(cells: Sequence[Any]) -> str | None:
    pairs = [pair for cell in cells if isinstance(cell, str) and (pair := day_or_month(tidy(cell)))]
    day = any(first > 12 for first, second in pairs if second <= 12)
    month = any(second > 12 for first, second in pairs if first <= 12)
    if day == month:
        return None
    return DAY_FIRST if day else MONTH_FIRST
