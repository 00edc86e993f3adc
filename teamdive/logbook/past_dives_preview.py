"""A whole sheet of past dives against the club's logs: which dives are new, which are there already. Pure.

A row is the same as one in the log when the diver, the day and everything the dive asked are equal; so the same
file twice adds nothing, and two equal rows in one file are two dives.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from teamdive.people.imports_columns import Column
from teamdive.people.imports_match import LEAVE_OUT, Known, Match
from teamdive.people.imports_preview import Choices, RowPreview, action_of
from teamdive.people.imports_read import Table
from teamdive.people.imports_records import Record
from teamdive.people.imports_values import ERROR, NOTE, QUESTION

from .past_dives_rows import PastDive, dive_of
from .past_dives_who import Who, ask_which


@dataclass(frozen=True)
class DiveRow(RowPreview):
    """A row with the dives it tells of; None where they cannot be told."""

    dive: PastDive | None = None


Rows = list[tuple[Record, PastDive | None]]


def preview_past_dives(
    table: Table,
    columns: Sequence[Column],
    choices: Choices,
    known: Sequence[Known],
    logs: Mapping[str, Sequence[PastDive]],
    own: str | None,
    on: date,
) -> list[DiveRow]:
    """Every row with its action and its dives; `logs` by diver id, `own` the diver whose dives the person
    who brings the sheet may not vouch for, `on` today."""
    people = {**choices.people, **dict.fromkeys(choices.leave_out, LEAVE_OUT)}
    typed = choices.cells
    read: Rows = [
        dive_of(number, cells, columns, len(table.header), typed.get(number, {}), on)
        for number, cells in table.rows
    ]
    left = {diver: Counter(dives) for diver, dives in logs.items()}
    matches = _people(read, Who(known, people), people, left)
    same: set[int] = set()
    for record, dive in read:
        match = matches[record.row]
        if match.diver is None or dive is None or match.left_out:
            continue
        record.values.setdefault("name", match.diver.name)
        if match.diver.id == own:
            record.say(
                "person",
                ERROR,
                "own_dives",
                "These are your own dives: an organiser brings them in, for nobody vouches for themselves.",
                "Leave the row out.",
                (LEAVE_OUT, "leave the row out"),
            )
        elif _takes(left, match.diver, dive):
            same.add(record.row)
    _note_what_repeats(read, matches, same, left, typed)
    return [
        DiveRow(
            record,
            matches[record.row],
            _action(record, matches[record.row], record.row in same),
            "" if dive is None else str(dive),
            dive,
        )
        for record, dive in read
    ]


def _action(record: Record, match: Match, in_the_log: bool) -> str:
    action = action_of(record, match)
    return "new" if action == "same" and not in_the_log else action


def _takes(left: Mapping[str, Counter[PastDive]], diver: Known, dive: PastDive) -> bool:
    """Whether the diver's log holds this dive and no earlier row is that one; then it is taken."""
    held = left.get(diver.id)
    if not held or held[dive] == 0:
        return False
    held[dive] -= 1
    return True


def _people(
    read: Rows, who: Who, people: Mapping[int, str], left: Mapping[str, Counter[PastDive]]
) -> dict[int, Match]:
    """Row -> whose dives. A row of a name that several bear is asked, unless one of them has just this dive."""
    matches: dict[int, Match] = {}
    waiting: list[tuple[Record, PastDive | None, list[Known]]] = []
    for record, dive in read:
        if people.get(record.row) == LEAVE_OUT:
            matches[record.row] = Match(left_out=True)
            continue
        found = who.candidates(record)
        if len(found) > 1:
            waiting.append((record, dive, found))
        else:
            matches[record.row] = Match(found[0]) if found else Match(settled=False)
    sure = Counter(
        (match.diver.id, dive)
        for record, dive in read
        if (match := matches.get(record.row)) and match.diver is not None and dive is not None
    )
    for record, dive, found in waiting:
        holders = [
            diver
            for diver in found
            if dive is not None and left.get(diver.id, Counter())[dive] > sure[diver.id, dive]
        ]
        if dive is not None and len(holders) == 1:
            sure[holders[0].id, dive] += 1
            matches[record.row] = Match(holders[0])
        else:
            matches[record.row] = ask_which(record, found)
    return matches


def _note_what_repeats(
    read: Rows,
    matches: Mapping[int, Match],
    same: set[int],
    left: Mapping[str, Counter[PastDive]],
    typed: Mapping[int, Mapping[str, str]],
) -> None:
    """Rows that may tell of dives a second time: equal rows of the file, and bands that may hold what is logged."""
    alike: dict[str, dict[object, list[PastDive]]] = {}
    for diver, held in left.items():
        by_demand = alike.setdefault(diver, defaultdict(list))
        for dive in held.elements():
            by_demand[dive.asked].append(dive)
    first: dict[tuple[str, PastDive], int] = {}
    for record, dive in read:
        match = matches[record.row]
        if match.diver is None or dive is None or match.left_out:
            continue
        earlier = first.setdefault((match.diver.id, dive), record.row)
        if record.row in same:
            continue
        if earlier != record.row:
            _say_repeated(record, dive, earlier, "count" in typed.get(record.row, {}))
        if "count" in typed.get(record.row, {}):
            continue
        held = alike.get(match.diver.id, {}).get(dive.asked, ())
        _ask_of_overlap(record, dive, sum(old.count for old in held if _may_overlap(dive, old)))


def _say_repeated(record: Record, dive: PastDive, earlier: int, answered: bool) -> None:
    """Two dives alike on one day are common; two bands alike to the day are hardly ever two."""
    if dive.count > 1 and not answered:
        record.say(
            "count",
            QUESTION,
            "twice_in_the_file",
            f"Row {earlier} says just the same {dive.count} dives.",
            "Say whether they are others, or leave this row out.",
            (str(dive.count), f"add these {dive.count} too: they are others"),
            (LEAVE_OUT, "leave the row out"),
        )
    else:
        record.say(
            None,
            NOTE,
            "twice_in_the_file",
            f"Row {earlier} says the same: both are taken, as two entries.",
            "Leave this row out if it is one entry written twice.",
        )


def _may_overlap(dive: PastDive, old: PastDive) -> bool:
    """Whether one of the two, known by the day of its latest only, may hold the other."""
    return (dive.count > 1 and old.on <= dive.on) or (old.count > 1 and dive.on <= old.on)


def _ask_of_overlap(record: Record, dive: PastDive, logged: int) -> None:
    if logged == 0:
        return
    options = [(str(dive.count), f"add all {dive.count}: they are others" if dive.count > 1 else "add it")]
    if dive.count > logged:
        more = dive.count - logged
        options.insert(0, (str(more), f"add {more}: the {logged} are among these {dive.count}"))
    record.say(
        "count",
        QUESTION,
        "logged_already",
        f"The log has {logged} {'dive' if logged == 1 else 'dives'} just like "
        f"{'this one' if dive.count == 1 else f'these {dive.count}'}; they may be the same.",
        "Say how many are to be added, or leave the row out.",
        *options,
        (LEAVE_OUT, "leave the row out"),
    )
