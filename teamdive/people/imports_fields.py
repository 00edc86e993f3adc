"""The fields a roster may hold, and the words by which clubs' sheets name them. Pure; the words are data."""

from __future__ import annotations

import json
import unicodedata
from dataclasses import dataclass
from pathlib import Path

WORDS = json.loads((Path(__file__).parent / "data" / "roster_words.json").read_text(encoding="utf-8"))
EMPTY = frozenset(WORDS["empty"])
YES, NO = frozenset(WORDS["yes"]), frozenset(WORDS["no"])
MONTHS: dict[str, int] = WORDS["months"]
ABOUT: tuple[str, ...] = tuple(sorted(WORDS["about"], key=len, reverse=True))


@dataclass(frozen=True)
class Field:
    """One field: what kind of cell it takes, and which end of an inexact date is the careful one."""

    field: str
    label: str
    takes: str  # text | email | date | depth | pressure | volume | rate | number | yes_no
    careful_end: str = ""  # earliest | latest, for dates
    decides: bool = True  # whether anything is decided by it: else its notes are said once a column

    @property
    def units(self) -> tuple[str, ...]:
        """The units a column of this field may be in; empty where it has none."""
        return tuple(WORDS["units"].get(self.takes, ()))


FIELDS: dict[str, Field] = {
    field.field: field
    for field in (
        Field("name", "Name", "text"),
        Field("first_name", "First name", "text"),
        Field("last_name", "Last name", "text"),
        Field("email", "E-mail", "email"),
        Field("member_number", "Member number", "text"),
        # A year alone makes the diver as young as that year allows.
        Field("born", "Born", "date", "latest"),
        Field("phone", "Phone", "text"),
        Field("emergency_contact", "Emergency contact", "text"),
        Field("emergency_phone", "Emergency contact's phone", "text"),
        Field("certification", "Certification", "text"),
        Field("organisation", "Training organisation", "text"),
        Field("certified_depth", "Certified depth", "depth"),
        Field("certified_on", "Certified on", "date", "latest", decides=False),
        Field("dives", "Dives", "number"),
        Field("dives_last_year", "Dives in the last 12 months", "number"),
        # A month alone makes the lay-off as long as that month allows.
        Field("last_dive", "Last dive", "date", "earliest"),
        Field("deepest", "Deepest dive", "depth"),
        Field("rmv", "RMV", "rate"),
        Field("cylinder", "Cylinder", "volume"),
        Field("working_pressure", "Working pressure", "pressure"),
        Field("fitness_until", "Fitness in date until", "date", "earliest"),
        Field("leader", "Leader", "yes_no"),
        Field("notes", "Notes", "text"),
    )
}

_PUNCTUATION = str.maketrans({c: " " for c in ".,;:_-/\\()[]{}'\"\u2019#*?!&+|"})


def words_of(text: str) -> str:
    """A header as compared: no case, accents or punctuation, single spaces."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return " ".join(plain.casefold().translate(_PUNCTUATION).split())


_BY_HEADER = {words_of(word): field for field, words in WORDS["headers"].items() for word in words}
_BY_HEADER |= {words_of(f.label): f.field for f in FIELDS.values()}
_UNIT_OF = {
    takes: {words_of(word) or word: unit for unit, words in units.items() for word in words}
    for takes, units in WORDS["units"].items()
}


def unit_named(takes: str, text: str) -> str | None:
    """The unit that a word names for this kind of cell, or None."""
    return _UNIT_OF[takes].get(words_of(text) or text.strip())


def guess_field(header: str) -> tuple[str | None, str | None]:
    """(field, unit) that a header names, by its words alone; a unit may stand in it: `Max depth (ft)`.

    >>> guess_field("Cert. depth [ft]")
    ('certified_depth', 'ft')
    """
    words = words_of(header)
    if words in _BY_HEADER:
        return _BY_HEADER[words], None
    parts = words.split()
    for cut in range(len(parts) - 1, 0, -1):
        field = _BY_HEADER.get(" ".join(parts[:cut]))
        if field is None:
            continue
        takes = FIELDS[field].takes
        rest = " ".join(parts[cut:])
        if takes in _UNIT_OF:
            return field, _UNIT_OF[takes].get(rest)
        return field, None
    return None, None
