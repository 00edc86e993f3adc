"""The import of a sheet: a file becomes a preview, the user confirms, and then all of it is written or none.

What a sheet holds, and what is written of it, is a `Sheet`; the roster's is here, and a room above brings its own.

Each function is one verb and one transaction. Applying works the preview out again from the club's records of
that moment, so nothing that changed in between is overwritten unseen.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from teamdive.web.problems import Unable

from .imports_columns import DAY_FIRST, MONTH_FIRST, Column, complete, guess_columns
from .imports_fields import ROSTER_FIELDS, Fields
from .imports_match import LEAVE_OUT, NEW
from .imports_preview import (
    Choices,
    RowPreview,
    columns_asked,
    counts,
    fields_offered,
    preview_rows,
    rows_shown,
)
from .imports_read import NotReadable, Table, read_table
from .imports_write import write_rows
from .models import Club, ImportedSheet, User
from .selectors import known_divers


class UnableToReadRoster(Unable):
    code = "unable_to_read_roster"
    status = 400


class UnableToChangeImport(Unable):
    code = "unable_to_change_import"
    status = 400


class UnableToApplyImport(Unable):
    code = "unable_to_apply_import"


@dataclass(frozen=True)
class Sheet:
    """One kind of sheet: its fields, and what its rows come to beside the club's records.

    `preview_rows` is asked with the import, its table, its columns, the choices and today; `write_rows` with the
    import and its settled rows, inside the import's transaction, and may add to the result that is kept.
    """

    kind: str
    fields: Fields
    preview_rows: Callable[[ImportedSheet, Table, Sequence[Column], Choices, date], list[RowPreview]]
    write_rows: Callable[[ImportedSheet, Sequence[RowPreview]], dict[str, Any]]
    adds_people: bool = False
    # Of each group one column at least must be in the file.
    needs: tuple[tuple[str, ...], ...] = ()


def _roster_rows(
    roster: ImportedSheet, table: Table, columns: Sequence[Column], choices: Choices, on: date
) -> list[RowPreview]:
    return preview_rows(table, columns, choices, known_divers(roster.club), on)


def _write_roster(roster: ImportedSheet, rows: Sequence[RowPreview]) -> dict[str, Any]:
    write_rows(roster.club, rows)
    return {}


ROSTER = Sheet("roster", ROSTER_FIELDS, _roster_rows, _write_roster, adds_people=True)


@transaction.atomic
def start_import(
    *, club: Club, content: bytes, file_name: str, by: User | None, now: datetime, sheet: Sheet = ROSTER
) -> ImportedSheet:
    """Read the file and guess its columns; raises UnableToReadRoster saying what to do about it."""
    try:
        table = read_table(content, file_name, sheet.fields)
    except NotReadable as refused:
        raise UnableToReadRoster(refused.message, code=refused.code, pointer="/file") from refused
    return ImportedSheet.objects.create(
        club=club,
        sheet=sheet.kind,
        made_by=by,
        made_at=now,
        file_name=file_name[:200],
        file_sha256=hashlib.sha256(content).hexdigest(),
        table=table.as_json(),
        columns=[column.as_json() for column in guess_columns(table, sheet.fields)],
    )


@transaction.atomic
def change_import(
    *,
    roster: ImportedSheet,
    columns: Sequence[Mapping[str, Any]] = (),
    choices: Mapping[str, Any] | None = None,
    confirm_all: bool = False,
    sheet: Sheet = ROSTER,
) -> ImportedSheet:
    """Confirm or change columns, and answer questions; raises UnableToChangeImport naming what cannot be."""
    roster = ImportedSheet.objects.select_for_update().get(pk=roster.pk, sheet=sheet.kind)
    _still_open(roster)
    table = Table.from_json(roster.table)
    now_read = [Column(**column) for column in roster.columns]
    for place, wanted in enumerate(columns):
        column = _column(wanted, f"/columns/{place}", len(now_read), sheet.fields)
        now_read[column.index] = complete(column, table, sheet.fields)
    _one_column_a_field(now_read, table, sheet.fields)
    if confirm_all:
        now_read = [Column(c.index, c.field, c.unit, c.dates, confirmed=True) for c in now_read]
    _needed_columns(now_read, sheet)
    roster.columns = [column.as_json() for column in now_read]
    if choices is not None:
        roster.choices = _choices(
            choices, table, {str(pk) for pk in roster.club.divers.values_list("pk", flat=True)}, sheet
        )
    roster.save(update_fields=["columns", "choices"])
    return roster


def preview(*, roster: ImportedSheet, now: datetime, sheet: Sheet = ROSTER) -> dict[str, Any]:
    """The preview as the screens take it; of an applied import only what came of it."""
    table, columns, rows = _worked_out(roster, now, sheet)
    confirmed = all(column.confirmed for column in columns)
    tally = counts(rows)
    return {
        "id": str(roster.pk),
        "club": str(roster.club_id),
        "sheet": roster.sheet,
        "file_name": roster.file_name,
        "state": roster.state,
        "read": table.read_as,
        "fields": fields_offered(sheet.fields),
        "columns": columns_asked(table, columns, sheet.fields, rows),
        "choices": roster.choices,
        "rows": rows_shown(rows),
        "counts": tally,
        "confirmed": confirmed,
        "can_apply": roster.state == ImportedSheet.State.PREVIEW and confirmed and tally["blocked"] == 0,
        "result": roster.result,
    }


@transaction.atomic
def apply_import(*, roster: ImportedSheet, now: datetime, sheet: Sheet = ROSTER) -> dict[str, Any]:
    """Write every row that is not left out, or nothing; raises UnableToApplyImport naming what stands in the way."""
    held = ImportedSheet.objects.select_for_update().select_related("club")
    roster = held.get(pk=roster.pk, sheet=sheet.kind)
    _still_open(roster)
    # The club's row is the lock that keeps two imports of one club from adding one person twice.
    Club.objects.select_for_update().get(pk=roster.club_id)
    table, columns, rows = _worked_out(roster, now, sheet)
    _columns_confirmed(table, columns)
    _rows_settled(rows)
    more = sheet.write_rows(roster, rows)
    tally = counts(rows)
    roster.result = {
        "new": tally["new"],
        "changed": tally["change"],
        "same": tally["same"],
        "left_out": [{"row": r.record.row, "name": r.record.name} for r in rows if r.action == "leave_out"],
        **more,
    }
    roster.state = ImportedSheet.State.APPLIED
    roster.applied_at = now
    # The cells are in the records now; a second copy of people's data would serve nobody.
    roster.table = {**roster.table, "rows": []}
    roster.choices = {}
    roster.save()
    return roster.result


def _worked_out(
    roster: ImportedSheet, now: datetime, sheet: Sheet
) -> tuple[Table, list[Column], list[RowPreview]]:
    table = Table.from_json(roster.table)
    columns = [Column(**column) for column in roster.columns]
    today = now.astimezone(ZoneInfo(roster.club.time_zone)).date()
    if roster.state == ImportedSheet.State.APPLIED:
        return table, columns, []
    return (
        table,
        columns,
        sheet.preview_rows(roster, table, columns, Choices.from_json(roster.choices), today),
    )


def _still_open(roster: ImportedSheet) -> None:
    if roster.state == ImportedSheet.State.APPLIED:
        raise UnableToApplyImport(
            "This file has been imported. Choose the file again to import it once more.",
            code="already_applied",
        )


def _columns_confirmed(table: Table, columns: Sequence[Column]) -> None:
    errors = [
        {
            "pointer": f"/columns/{column.index}",
            "code": "column_not_confirmed",
            "message": f"Confirm what column “{table.header[column.index]}” holds.",
        }
        for column in columns
        if not column.confirmed
    ]
    if errors:
        raise UnableToApplyImport(
            f"{len(errors)} columns are not confirmed yet.", code="columns_not_confirmed", errors=errors
        )


def _rows_settled(rows: Sequence[RowPreview]) -> None:
    blocked = [row for row in rows if row.action == "blocked"]
    if not blocked:
        return
    errors = [
        {
            "pointer": f"/rows/{row.record.row}" + (f"/{about}" if about else ""),
            "code": trouble.code,
            "message": f"Row {row.record.row}: {trouble.message} {trouble.remedy}",
        }
        for row in blocked
        for about, trouble in row.record.problems
        if trouble.level != "note"
    ]
    code = (
        "errors_left"
        if any(t.level == "error" for r in blocked for _, t in r.record.problems)
        else "questions_open"
    )
    raise UnableToApplyImport(
        f"{len(blocked)} rows are not settled. Answer them, or leave them out one by one; nothing was imported.",
        code=code,
        errors=errors,
    )


def _column(wanted: Mapping[str, Any], pointer: str, many: int, fields: Fields) -> Column:
    index, name = wanted.get("index"), wanted.get("field")
    if not isinstance(index, int) or isinstance(index, bool) or not 0 <= index < many:
        raise UnableToChangeImport(
            "There is no such column.", code="column_not_known", pointer=f"{pointer}/index"
        )
    if name is None:
        return Column(index, confirmed=True)
    if name not in fields.by_name:
        raise UnableToChangeImport(
            f"There is no field {name}.", code="field_not_known", pointer=f"{pointer}/field"
        )
    field = fields.by_name[name]
    unit, dates = wanted.get("unit"), wanted.get("dates")
    if unit is not None and unit not in field.units:
        offered = " or ".join(field.units) or "no unit"
        raise UnableToChangeImport(
            f"{field.label} takes {offered}.", code="unit_not_known", pointer=f"{pointer}/unit"
        )
    if dates not in (None, DAY_FIRST, MONTH_FIRST):
        raise UnableToChangeImport(
            f"Dates are {DAY_FIRST} or {MONTH_FIRST}.", code="order_not_known", pointer=f"{pointer}/dates"
        )
    return Column(index, name, unit, dates, confirmed=True)


def _one_column_a_field(columns: Sequence[Column], table: Table, fields: Fields) -> None:
    seen: dict[str, int] = {}
    for column in columns:
        if column.field is None:
            continue
        if column.field in seen:
            one, two = table.header[seen[column.field]], table.header[column.index]
            raise UnableToChangeImport(
                f"Columns “{one}” and “{two}” both hold {fields.by_name[column.field].label}: choose one of them.",
                code="field_twice",
                pointer=f"/columns/{column.index}/field",
            )
        seen[column.field] = column.index


def _needed_columns(columns: Sequence[Column], sheet: Sheet) -> None:
    if not all(column.confirmed for column in columns):
        return
    held = {column.field for column in columns}
    for group in sheet.needs:
        if held.isdisjoint(group):
            asked = " or ".join(sheet.fields.by_name[name].label for name in group)
            raise UnableToChangeImport(
                f"No column is marked as {asked}. Say which column holds it.",
                code="column_missing",
                pointer="/columns",
            )


def _choices(choices: Mapping[str, Any], table: Table, divers: set[str], sheet: Sheet) -> dict[str, Any]:
    """The choices as kept; a row, a field or a diver that is not there is refused by name."""
    unknown = sorted(set(choices) - {"leave_out", "cells", "people"})
    if unknown:
        raise UnableToChangeImport(
            f"There is no choice {unknown[0]}.", code="unknown_field", pointer=f"/choices/{unknown[0]}"
        )
    numbers = {str(number) for number, _ in table.rows}
    leave_out, cells, people = (
        choices.get(k) or v for k, v in (("leave_out", []), ("cells", {}), ("people", {}))
    )
    if not isinstance(leave_out, list) or not isinstance(cells, dict) or not isinstance(people, dict):
        raise UnableToChangeImport(
            "leave_out is a list of rows; cells and people are objects by row.",
            code="wrong_type",
            pointer="/choices",
        )
    for where, rows in (("leave_out", leave_out), ("cells", cells), ("people", people)):
        for row in rows:
            if str(row) not in numbers:
                raise UnableToChangeImport(
                    f"The file has no row {row}.", code="row_not_known", pointer=f"/choices/{where}"
                )
    answers = {NEW, LEAVE_OUT} if sheet.adds_people else {LEAVE_OUT}
    for row, who in people.items():
        if who not in answers and who not in divers:
            raise UnableToChangeImport(
                "There is no such diver in the club.",
                code="diver_not_known",
                pointer=f"/choices/people/{row}",
            )
    for row, typed in cells.items():
        bad = not isinstance(typed, dict) or next((f for f in typed if f not in sheet.fields.by_name), None)
        if bad or any(not isinstance(text, str) or len(text) > 2000 for text in typed.values()):
            raise UnableToChangeImport(
                "A cell is retyped as field and text.", code="cell_not_known", pointer=f"/choices/cells/{row}"
            )
    return {"leave_out": [int(row) for row in leave_out], "cells": cells, "people": people}
