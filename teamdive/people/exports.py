"""The club's roster as a file that the same import reads back without a change."""

from __future__ import annotations

from datetime import date
from typing import Any

import tablib

from .imports_fields import FIELDS
from .models import Club
from .selectors import divers_of

DANGEROUS = ("=", "+", "-", "@", "\t", "\r")


def neutral(value: Any) -> Any:
    """A cell that no spreadsheet runs as a formula: text that begins like one is quoted.

    >>> neutral("=1+1"), neutral("+351 21"), neutral(18)
    ("'=1+1", "'+351 21", 18)
    """
    return f"'{value}" if isinstance(value, str) and value.startswith(DANGEROUS) else value


def roster(club: Club, kind: str) -> bytes:
    """The roster as `csv` (UTF-8 with its mark, so that spreadsheets know it) or `xlsx`."""
    sheet = tablib.Dataset(headers=[f.label for f in FIELDS.values() if f.field not in SPLIT], title="Roster")
    for diver in divers_of(club).prefetch_related("cylinders"):
        held = list(diver.certifications.all())
        deepest = max(held, key=lambda c: c.depth_hundredths or 0, default=None)
        cylinder = next((c for c in diver.cylinders.all() if c.label == "main"), None)
        fitness = getattr(diver, "fitness", None)
        row: dict[str, Any] = {
            "name": diver.name,
            "email": diver.email,
            "member_number": diver.member_number,
            "born": diver.born,
            "phone": diver.phone,
            "emergency_contact": diver.emergency_contact,
            "certification": deepest.name if deepest else None,
            "organisation": deepest.organisation if deepest else None,
            "certified_depth": _depth(deepest.depth_hundredths, deepest.depth_unit) if deepest else None,
            "certified_on": deepest.on if deepest else None,
            "certified_until": deepest.until if deepest else None,
            "dives": diver.stated_dives,
            "dives_last_year": diver.stated_dives_last_year,
            "last_dive": diver.stated_last_dive,
            "deepest": _depth(diver.stated_deepest_hundredths, diver.stated_deepest_unit),
            "rmv": f"{diver.rmv_l_min:f} l/min" if diver.rmv_l_min is not None else None,
            "cylinder": f"{cylinder.volume.normalize():f} {cylinder.volume_unit}"
            if cylinder and cylinder.volume is not None
            else None,
            "working_pressure": f"{cylinder.working_pressure} {cylinder.pressure_unit}"
            if cylinder and cylinder.working_pressure
            else None,
            "fitness_until": fitness.in_date_until if fitness else None,
            "leader": "yes" if diver.can_lead else "no",
            "supervised": "yes" if diver.supervised else "no",
            "notes": diver.notes,
        }
        sheet.append([_cell(row[f]) for f in FIELDS if f not in SPLIT])
    if kind == "xlsx":
        return bytes(sheet.export("xlsx"))
    return b"\xef\xbb\xbf" + str(sheet.export("csv")).encode()


SPLIT = frozenset({"first_name", "last_name", "emergency_phone"})


def _depth(hundredths: int | None, unit: str) -> str | None:
    return None if hundredths is None else f"{hundredths / 100:g} {unit}"


def _cell(value: Any) -> Any:
    if value is None:
        return ""
    return value.isoformat() if isinstance(value, date) else neutral(value)
