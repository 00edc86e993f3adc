"""Past dives from a sheet: one row a dive, or a band of equal dives with their number and the day of the latest.

The reading, the columns, the questions and the all-or-nothing are those of every import; here is what a row of
past dives means and what is written of it. What a sheet says is taken as said, never as seen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import fields
from datetime import date
from typing import Any

from teamdive.people.imports import Sheet
from teamdive.people.imports_columns import Column
from teamdive.people.imports_match import Known
from teamdive.people.imports_preview import Choices, RowPreview
from teamdive.people.imports_read import Table
from teamdive.people.models import Club, ImportedSheet, Membership

from .models import LoggedDive
from .past_dives_fields import PAST_DIVES_FIELDS, PEOPLE
from .past_dives_preview import DiveRow, preview_past_dives
from .past_dives_rows import PastDive

WRITTEN = tuple(field.name for field in fields(PastDive))


def _rows(
    brought: ImportedSheet, table: Table, columns: Sequence[Column], choices: Choices, on: date
) -> list[RowPreview]:
    club = brought.club
    known = [
        Known(str(diver.pk), diver.name, diver.email, diver.member_number, diver.born, {}, {})
        for diver in club.divers.all()
    ]
    logs: dict[str, list[PastDive]] = defaultdict(list)
    for row in LoggedDive.objects.filter(diver__club=club):
        logs[str(row.diver_id)].append(_kept(row))
    return list(preview_past_dives(table, columns, choices, known, logs, _own(brought, club), on))


def _kept(row: LoggedDive) -> PastDive:
    known = {name: getattr(row, name) for name in WRITTEN}
    return PastDive(**{**known, "site_kind": tuple(row.site_kind)})


def _own(brought: ImportedSheet, club: Club) -> str | None:
    """The record of whoever brings the sheet, unless they keep the club's records anyway."""
    organiser = Membership.objects.filter(user=brought.made_by_id, club=club, role=Membership.Role.ORGANISER)
    if brought.made_by_id is None or organiser.exists():
        return None
    own = club.divers.filter(user=brought.made_by_id).values_list("pk", flat=True).first()
    return None if own is None else str(own)


def _write(brought: ImportedSheet, rows: Sequence[RowPreview]) -> dict[str, Any]:
    new = [
        (row.match.diver.id, row.dive)
        for row in rows
        if isinstance(row, DiveRow) and row.action == "new" and row.match.diver and row.dive
    ]
    LoggedDive.objects.bulk_create(
        [
            LoggedDive(
                diver_id=diver,
                evidence=LoggedDive.Evidence.SAID,
                **{name: getattr(dive, name) for name in WRITTEN if name != "site_kind"},
                site_kind=list(dive.site_kind),
            )
            for diver, dive in new
        ],
        batch_size=500,
    )
    return {"dives": sum(dive.count for _, dive in new), "divers": len({diver for diver, _ in new})}


PAST_DIVES = Sheet("past_dives", PAST_DIVES_FIELDS, _rows, _write, needs=(PEOPLE, ("on",), ("depth",)))
