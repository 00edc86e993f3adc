"""The fields of a sheet of past dives, and the words by which clubs' sheets name them. Pure; the words are data.

Each end taken of an inexact value is the one that claims less: shallower, less current, clearer, warmer water,
longer ago. A unit is guessed from bare numbers only where they leave no doubt; a wrong guess would make of 40 ft 40 m.
"""

from __future__ import annotations

import json
from pathlib import Path

from teamdive.people.imports_fields import Field, fields_of

WORDS = json.loads((Path(__file__).parent / "data" / "past_dives_words.json").read_text(encoding="utf-8"))
NO_TASK = frozenset(WORDS["no_task"])
LEVELS: dict[str, int] = WORDS["levels"]

PEOPLE = ("diver", "first_name", "last_name", "email", "member_number")
PAST_DIVES_FIELDS = fields_of(
    (
        # One cell that says who: a name, an e-mail address or a member number.
        Field("diver", "Diver", "text"),
        Field("first_name", "First name", "text"),
        Field("last_name", "Last name", "text"),
        Field("email", "E-mail", "email"),
        Field("member_number", "Member number", "text"),
        # A month alone makes the dive as long ago as that month allows.
        Field("on", "Date", "date", "earliest", past=True),
        Field("depth", "Depth", "depth", "least", at_least=("ft", 56), usual={"m": (None, 50)}),
        Field("current", "Current", "speed", "least", usual={"kn": (None, 6), "m/s": (None, 3)}),
        Field("visibility", "Visibility", "distance", "most", usual={"m": (None, 50)}),
        Field(
            "water_temp",
            "Water temperature",
            "temperature",
            "most",
            at_least=("F", 40),
            at_most=("C", 31),
            usual={"C": (None, 35), "F": (33, None)},
        ),
        Field("night", "After dark", "yes_no"),
        Field("task_kind", "Task", "text"),
        Field("task_level", "Task level", "level"),
        Field("site_kind", "Kind of site", "text"),
        Field("count", "How many dives", "number"),
    ),
    WORDS["headers"],
)
