"""Which of the club's divers each row is about: by e-mail, else member number, else name and birth date. Pure.

Two people of one name are never merged silently: what these three do not settle is asked, unless the row
would change nothing about the diver it may mean.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from .imports_records import CertificationAsked, Record
from .imports_values import ERROR, NOTE, QUESTION
from .rules import name_key

NEW, LEAVE_OUT = "new", "leave_out"


@dataclass(frozen=True)
class Known:
    """A diver as the club's records have them, in the terms of a roster."""

    id: str
    name: str
    email: str
    member_number: str
    born: date | None
    values: Mapping[str, Any]
    certifications: Mapping[str, tuple[CertificationAsked, str]]  # by name key: what it is, its evidence


@dataclass
class Match:
    diver: Known | None = None
    settled: bool = True
    left_out: bool = False
    changes: list[tuple[str, Any, Any]] = field(default_factory=list)


def changes_to(record: Record, known: Known) -> list[tuple[str, Any, Any]]:
    """(field, from, to) of everything the row would change; an empty cell changes nothing."""
    changes = [
        (name, known.values.get(name), value)
        for name, value in record.values.items()
        if value != known.values.get(name)
    ]
    asked = record.certification
    if asked is None:
        return changes
    old, evidence = known.certifications.get(name_key(asked.name), (None, "said"))
    if old is None:
        return [*changes, ("certification", None, asked)]
    parts = [
        (label, getattr(old, part), getattr(asked, part))
        for label, part in (
            ("certified_depth", "depth"),
            ("certified_on", "on"),
            ("certified_until", "until"),
            ("organisation", "organisation"),
        )
        if getattr(asked, part) not in (None, getattr(old, part))
    ]
    return changes if evidence != "said" else [*changes, *parts]


def note_paper_that_stands(record: Record, known: Known) -> None:
    """What the club was shown or saw is not overwritten by what a file says."""
    asked = record.certification
    old, evidence = (
        known.certifications.get(name_key(asked.name), (None, "said")) if asked else (None, "said")
    )
    if asked is None or old is None or evidence == "said" or asked.depth in (None, old.depth):
        return
    record.say(
        "certified_depth",
        NOTE,
        "seen_paper_stands",
        f"The club was shown “{old.name}” to {old.depth or 'no stated depth'}; {asked.depth} is not taken.",
        "Change the record itself if the paper says so.",
    )


class KnownDivers:
    """The club's divers by what a row may say of them, and what people chose for a row."""

    def __init__(self, known: Sequence[Known], choices: Mapping[int, str]) -> None:
        self.choices = choices
        self.by_id = {diver.id: diver for diver in known}
        self.by_email = {diver.email.lower(): diver for diver in known if diver.email}
        self.by_member = {diver.member_number.casefold(): diver for diver in known if diver.member_number}
        self.by_name: dict[str, list[Known]] = defaultdict(list)
        for diver in known:
            self.by_name[name_key(diver.name)].append(diver)


class Matcher(KnownDivers):
    """Matches the rows of one file, in order of certainty, each diver to one row only."""

    def __init__(self, known: Sequence[Known], choices: Mapping[int, str]) -> None:
        super().__init__(known, choices)
        self.claimed: dict[str, int] = {}

    def match(self, records: Sequence[Record]) -> dict[int, Match]:
        """Row number -> match; what is open is said in the record's problems."""
        matches: dict[int, Match] = {}
        waiting: list[Record] = []
        for record in records:
            match = self._chosen(record) or self._certain(record)
            if match is None:
                waiting.append(record)
            else:
                matches[record.row] = match
        for record in waiting:
            matches[record.row] = self._by_name(record)
        self._twice(records, matches)
        return matches

    def _claim(self, record: Record, diver: Known) -> Match:
        earlier = self.claimed.get(diver.id)
        if earlier is not None:
            self._same_again(record, earlier, f"is {diver.name}, as row {earlier} is")
            return Match(diver, settled=False)
        self.claimed[diver.id] = record.row
        return Match(diver, changes=changes_to(record, diver))

    def _chosen(self, record: Record) -> Match | None:
        choice = self.choices.get(record.row)
        if choice == LEAVE_OUT:
            return Match(left_out=True)
        return self._claim(record, self.by_id[choice]) if choice in self.by_id else None

    def _certain(self, record: Record) -> Match | None:
        diver = self.by_email.get(record.values.get("email", ""))
        by = "e-mail"
        if diver is None and "member_number" in record.values:
            diver, by = self.by_member.get(record.values["member_number"].casefold()), "member number"
        if diver is not None:
            if record.name and not _alike(record.name, diver.name):
                if self.choices.get(record.row) == NEW:
                    record.say(
                        by.replace("-", "").replace(" ", "_"),
                        ERROR,
                        "belongs_to_another",
                        f"{diver.name} has this {by} already.",
                        "Correct it in one of the two, or say that they are one person.",
                    )
                    return Match(settled=False)
                record.say(
                    "person",
                    QUESTION,
                    "name_differs",
                    f"This {by} belongs to {diver.name}; the row says {record.name}.",
                    f"Say that they are one person, or correct the {by}.",
                    (diver.id, f"the same person as {diver.name}"),
                    (LEAVE_OUT, "leave the row out"),
                )
                return Match(diver, settled=False)
            return self._claim(record, diver)
        born = record.values.get("born")
        if born is None:
            return None
        same = [diver for diver in self.by_name[name_key(record.name)] if diver.born == born]
        return self._claim(record, same[0]) if len(same) == 1 else None

    def _by_name(self, record: Record) -> Match:
        """By the name alone. "Another person" answers a question: where none is open it adds nobody."""
        born = record.values.get("born")
        namesakes = [diver for diver in self.by_name[name_key(record.name)] if diver.id not in self.claimed]
        for diver in namesakes:
            if not changes_to(record, diver):
                return self._claim(record, diver)
        open_ones = [diver for diver in namesakes if born is None or diver.born is None or diver.born == born]
        if open_ones and self.choices.get(record.row) != NEW:
            record.say(
                "person",
                QUESTION,
                "two_people_or_one",
                f"The club has {len(open_ones)} diver{'s' if len(open_ones) > 1 else ''} of the name {record.name}; "
                "nothing in the row says whether this is the same person.",
                "Say which; an e-mail address, a member number or a birth date in the file settles it for good.",
                *((diver.id, _described(diver)) for diver in open_ones),
                (NEW, "another person of that name"),
                (LEAVE_OUT, "leave the row out"),
            )
            return Match(settled=False)
        if self.by_name[name_key(record.name)] and born is not None:
            _note_namesake(record, "the club's records")
        return Match()

    def _twice(self, records: Sequence[Record], matches: Mapping[int, Match]) -> None:
        """Rows for new divers that may be one person: same e-mail or member number, or the same name."""
        first: dict[tuple[str, str], Record] = {}
        for record in records:
            match = matches[record.row]
            if match.left_out or not record.name:
                continue
            for about in ("email", "member_number"):
                value = str(record.values.get(about, "")).casefold()
                earlier = first.setdefault((about, value), record) if value else record
                if earlier is not record and match.diver is None and match.settled:
                    self._same_again(
                        record, earlier.row, f"has the {FIELD_WORDS[about]} of row {earlier.row}", about
                    )
                    match.settled = False
            earlier = first.setdefault(("name", name_key(record.name)), record)
            if earlier is record or match.diver is not None or not match.settled:
                continue
            mine, theirs = record.values.get("born"), earlier.values.get("born")
            if mine and theirs and mine != theirs:
                _note_namesake(record, f"row {earlier.row}")
            elif self.choices.get(record.row) != NEW:
                record.say(
                    "person",
                    QUESTION,
                    "two_people_or_one",
                    f"Row {earlier.row} has the name {record.name} too.",
                    "Say whether they are two people; a birth date in both rows settles it for good.",
                    (NEW, "two people of one name"),
                    (LEAVE_OUT, "one person: leave this row out"),
                )
                match.settled = False

    def _same_again(self, record: Record, earlier: int, because: str, about: str = "person") -> None:
        record.say(
            about,
            QUESTION if about == "person" else ERROR,
            "twice_in_the_file",
            f"This row {because}.",
            "Leave one of the two rows out, or correct what they share.",
            (LEAVE_OUT, "leave this row out"),
        )


FIELD_WORDS = {"email": "e-mail", "member_number": "member number"}


def _alike(one: str, other: str) -> bool:
    return bool(set(name_key(one).split()) & set(name_key(other).split()))


def _described(diver: Known) -> str:
    known = [
        f"born {diver.born.isoformat()}" if diver.born else "",
        diver.email,
        f"member {diver.member_number}" if diver.member_number else "",
    ]
    return f"the {diver.name} the club has ({', '.join(part for part in known if part) or 'nothing more is known'})"


def _note_namesake(record: Record, where: str) -> None:
    record.say(
        "name",
        NOTE,
        "two_people_of_one_name",
        f"Another {record.name} is in {where}; the birth dates differ, so they stay two people.",
        "Nothing to do if that is so.",
    )
