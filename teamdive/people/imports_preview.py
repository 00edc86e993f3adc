"""A whole file against the club's records: what each row would do, and what stands in its way. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from .imports_columns import Column, examples, guess_columns, question
from .imports_fields import WORDS, Fields
from .imports_match import LEAVE_OUT, Known, Match, Matcher, note_paper_that_stands
from .imports_read import Table
from .imports_records import CertificationAsked, Record, note_what_is_missing, record_of
from .imports_values import ERROR, NOTE, QUESTION, is_empty

# Said once for the column: it changes nothing that anyone decides.
REMARKS = {"part_of_a_date": "a year or a month alone is taken as its last day."}


@dataclass(frozen=True)
class Choices:
    """What the user answered: rows left out, cells retyped (row -> field -> text), people settled (row -> who)."""

    leave_out: frozenset[int]
    cells: Mapping[int, Mapping[str, str]]
    people: Mapping[int, str]

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Choices:
        return cls(
            frozenset(int(row) for row in kept.get("leave_out", [])),
            {int(row): cells for row, cells in kept.get("cells", {}).items()},
            {int(row): str(who) for row, who in kept.get("people", {}).items()},
        )


@dataclass(frozen=True)
class RowPreview:
    record: Record
    match: Match
    action: str  # new | change | same | leave_out | blocked
    says: str = ""  # what the row says in one line, where its changes do not


def preview_rows(
    table: Table, columns: Sequence[Column], choices: Choices, known: Sequence[Known], on: date
) -> list[RowPreview]:
    """Every row with its action; `on` is today, for dates still to come. Leaves nothing out silently."""
    people = {**choices.people, **dict.fromkeys(choices.leave_out, LEAVE_OUT)}
    records = [
        record_of(number, cells, columns, len(table.header), choices.cells.get(number, {}), on)
        for number, cells in table.rows
    ]
    matches = Matcher(known, people).match(records)
    rows = []
    for record in records:
        match = matches[record.row]
        if match.diver is not None:
            note_paper_that_stands(record, match.diver)
        note_what_is_missing(record, columns, match.diver.values if match.diver else None, on)
        rows.append(RowPreview(record, match, action_of(record, match)))
    return rows


def action_of(record: Record, match: Match) -> str:
    """What is to become of a row, from its match and its problems."""
    if match.left_out:
        return "leave_out"
    if not match.settled or any(trouble.level in {ERROR, QUESTION} for _, trouble in record.problems):
        return "blocked"
    if match.diver is None:
        return "new"
    return "change" if match.changes else "same"


def columns_asked(
    table: Table, columns: Sequence[Column], fields: Fields, rows: Sequence[RowPreview] = ()
) -> list[dict[str, Any]]:
    """The columns for the screen: what each is read as, examples, and what is still to be said."""
    guesses = guess_columns(table, fields)
    remarks = Counter((about, remark) for row in rows for about, remark in row.record.remarks)
    return [
        {
            **column.as_json(),
            "header": table.header[column.index],
            "guessed": column.field == guesses[column.index].field,
            "examples": examples(table, column.index),
            "question": question(column, table, fields),
            "remarks": [
                {"code": code, "rows": many, "message": f"{many} cells: {REMARKS[code]}"}
                for (about, code), many in remarks.items()
                if about == column.field
            ],
        }
        for column in columns
    ]


def fields_offered(fields: Fields) -> list[dict[str, Any]]:
    """Every field a column can be read as."""
    return [
        {"field": f.field, "label": f.label, "takes": f.takes, "units": list(WORDS["units"].get(f.takes, {}))}
        for f in fields.by_name.values()
    ]


def rows_shown(rows: Sequence[RowPreview]) -> list[dict[str, Any]]:
    return [
        {
            "row": row.record.row,
            "name": row.record.name,
            "action": row.action,
            "says": row.says,
            "diver": row.match.diver.id if row.match.diver else None,
            "changes": [
                {"field": name, "from": _shown(old), "to": _shown(new)}
                for name, old, new in row.match.changes
            ],
            "problems": [
                {
                    "field": about,
                    "level": trouble.level,
                    "code": trouble.code,
                    "message": trouble.message,
                    "remedy": trouble.remedy,
                    "options": [{"value": value, "label": label} for value, label in trouble.options],
                }
                for about, trouble in row.record.problems
            ],
        }
        for row in rows
    ]


def counts(rows: Sequence[RowPreview]) -> dict[str, int]:
    """How many rows of each action, and how many problems of each level in rows that are not left out."""
    actions = Counter(row.action for row in rows)
    levels = Counter(
        trouble.level for row in rows if row.action != "leave_out" for _, trouble in row.record.problems
    )
    return {
        "rows": len(rows),
        **{action: actions[action] for action in ("new", "change", "same", "leave_out", "blocked")},
        "errors": levels[ERROR],
        "questions": levels[QUESTION],
        "notes": levels[NOTE],
    }


def _shown(value: Any) -> Any:
    if value is None or value == "" or (isinstance(value, str) and is_empty(value)):
        return None
    if isinstance(value, CertificationAsked):
        return f"{value.name} ({value.depth})" if value.depth else value.name
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value.isoformat() if isinstance(value, date) else str(value)
