"""The fields a sheet may hold, and the words by which clubs' sheets name them. Pure; the words are data.

What a roster holds is here; a room above describes its own kind of sheet with the same two classes.
"""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

WORDS = json.loads((Path(__file__).parent / "data" / "roster_words.json").read_text(encoding="utf-8"))
EMPTY = frozenset(WORDS["empty"])
YES, NO = frozenset(WORDS["yes"]), frozenset(WORDS["no"])
MONTHS: dict[str, int] = WORDS["months"]
ABOUT: tuple[str, ...] = tuple(sorted(WORDS["about"], key=len, reverse=True))


@dataclass(frozen=True)
class Field:
    """One field: what kind of cell it takes, and which end of an inexact value is the careful one."""

    field: str
    label: str
    takes: str  # text | email | date | number | yes_no | a kind of quantity with units
    careful_end: str = ""  # earliest | latest for dates; least | most for a range such as 18-20 m
    decides: bool = True  # whether anything is decided by it: else its notes are said once a column
    past: bool = False  # a day that must have come
    # Bare numbers that speak for a unit by their size, at the middle of the column.
    at_least: tuple[str, int] | None = None
    at_most: tuple[str, int] | None = None
    # By unit, the least and the most that a bare number usually is: beyond it the unit is asked.
    usual: Mapping[str, tuple[int | None, int | None]] | None = None

    @property
    def units(self) -> tuple[str, ...]:
        """The units a column of this field may be in; empty where it has none."""
        return tuple(WORDS["units"].get(self.takes, ()))


@dataclass(frozen=True)
class Fields:
    """The fields of one kind of sheet, and the header words that name them."""

    by_name: Mapping[str, Field]
    by_header: Mapping[str, str]

    def guess(self, header: str) -> tuple[str | None, str | None]:
        """(field, unit) that a header names, by its words alone; a unit may stand in it: `Max depth (ft)`.

        >>> ROSTER_FIELDS.guess("Cert. depth [ft]")
        ('certified_depth', 'ft')
        """
        words = words_of(header)
        if words in self.by_header:
            return self.by_header[words], None
        parts = words.split()
        for cut in range(len(parts) - 1, 0, -1):
            field = self.by_header.get(" ".join(parts[:cut]))
            if field is None:
                continue
            units = _UNIT_OF.get(self.by_name[field].takes, {})
            return field, units.get(" ".join(parts[cut:]))
        return None, None


def fields_of(fields: Iterable[Field], headers: Mapping[str, Sequence[str]]) -> Fields:
    """The fields with their header words; a label names its field too."""
    by_name = {field.field: field for field in fields}
    by_header = {words_of(word): name for name, words in headers.items() for word in words}
    return Fields(by_name, {words_of(f.label): f.field for f in by_name.values()} | by_header)


_PUNCTUATION = str.maketrans({c: " " for c in ".,;:_-/\\()[]{}'\"\u2019#*?!&+|"})


def words_of(text: str) -> str:
    """A header as compared: no case, accents or punctuation, single spaces."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return " ".join(plain.casefold().translate(_PUNCTUATION).split())


# Bare numbers speak by their size: no certification goes to 60 m, no cylinder to 2,000 bar (our own reading of sheets).
ROSTER_FIELDS = fields_of(
    (
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
        # A certification to more than 50 m is rare enough to ask: 60 is far more often 60 ft.
        Field(
            "certified_depth",
            "Certified depth",
            "depth",
            at_least=("ft", 56),
            at_most=("m", 55),
            usual={"m": (None, 50), "ft": (35, None)},
        ),
        Field("certified_on", "Certified on", "date", "latest", decides=False, past=True),
        Field("certified_until", "Certified until", "date", "earliest"),
        Field("dives", "Dives", "number"),
        Field("dives_last_year", "Dives in the last 12 months", "number"),
        # A month alone makes the lay-off as long as that month allows.
        Field("last_dive", "Last dive", "date", "earliest", past=True),
        Field(
            "deepest",
            "Deepest dive",
            "depth",
            at_least=("ft", 75),
            at_most=("m", 55),
            usual={"m": (None, 75), "ft": (35, None)},
        ),
        Field("rmv", "RMV", "rate"),
        Field(
            "cylinder",
            "Cylinder",
            "volume",
            at_least=("cuft", 35),
            at_most=("l", 24),
            usual={"l": (None, 30), "cuft": (18, None)},
        ),
        Field(
            "working_pressure",
            "Working pressure",
            "pressure",
            at_least=("psi", 1000),
            at_most=("bar", 400),
            usual={"bar": (None, 500), "psi": (500, None)},
        ),
        Field("fitness_until", "Fitness in date until", "date", "earliest"),
        Field("leader", "Leader", "yes_no"),
        Field("supervised", "Dives under supervision only", "yes_no"),
        Field("notes", "Notes", "text"),
    ),
    WORDS["headers"],
)
FIELDS = ROSTER_FIELDS.by_name

_UNIT_OF = {
    takes: {words_of(word) or word: unit for unit, words in units.items() for word in words}
    for takes, units in WORDS["units"].items()
}


def unit_named(takes: str, text: str) -> str | None:
    """The unit that a word names for this kind of cell, or None."""
    return _UNIT_OF[takes].get(words_of(text) or text.strip())
