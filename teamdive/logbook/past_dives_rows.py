"""One row of a sheet of past dives as the dives it tells of, and what to say about each cell. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, ROUND_DOWN, Decimal
from typing import Any

from teamdive.people.imports_columns import Column
from teamdive.people.imports_fields import EMPTY, NO, YES, Field
from teamdive.people.imports_records import Record, read_cells
from teamdive.people.imports_values import (
    ERROR,
    NOTE,
    QUESTION,
    Read,
    Trouble,
    hundredths,
    read_count,
    refused,
    tidy,
)

from .past_dives_fields import LEVELS, NO_TASK, PAST_DIVES_FIELDS
from .rules import words

FOOT_IN_METRES = Decimal("0.3048")
# A nautical mile is 1,852 m: 1 kn = 1852 / 3600 m/s (SI brochure, 8th edition, table 8).
KNOT_IN_METRES_A_SECOND = Decimal(1852) / Decimal(3600)
MOST_DIVES = 10_000
LONGEST_TASK = 40
LEVEL_WORDS = ("it was no task", "watched it", "helped", "did it supervised", "did it alone", "led others")


@dataclass(frozen=True)
class PastDive:
    """A dive, or `count` dives alike, with everything that each of them asked at the same time; `on` is the day of
    the latest. Two rows that are equal in all of it are one and the same entry of a log."""

    on: date
    depth_hundredths: int
    depth_unit: str
    current_kn: Decimal | None = None
    visibility_m: Decimal | None = None
    water_temp_c: Decimal | None = None
    night: bool | None = None
    task_kind: str = ""
    task_level: int | None = None
    site_kind: tuple[str, ...] = ()
    count: int = 1

    @property
    def asked(self) -> tuple[Any, ...]:
        """What the dive asked, without when and how often: equal for dives alike."""
        return (
            *(self.depth_hundredths, self.depth_unit, self.current_kn, self.visibility_m, self.water_temp_c),
            *(self.night, self.task_kind.casefold(), self.task_level, self.site_kind),
        )

    def __str__(self) -> str:
        parts = [
            self.on.isoformat(),
            f"{self.depth_hundredths / 100:g} {self.depth_unit}",
            "" if self.current_kn is None else f"current {self.current_kn.normalize():f} kn",
            "" if self.visibility_m is None else f"visibility {self.visibility_m.normalize():f} m",
            "" if self.water_temp_c is None else f"{self.water_temp_c.normalize():f} °C",
            "after dark" if self.night else "",
            f"{self.task_kind} level {self.task_level}" if self.task_kind else "",
            ", ".join(self.site_kind),
            f"{self.count} dives" if self.count > 1 else "",
        ]
        return " · ".join(part for part in parts if part)


def dive_of(
    row: int, cells: Sequence[Any], columns: Sequence[Column], width: int, typed: Mapping[str, str], on: date
) -> tuple[Record, PastDive | None]:
    """The row's record (who, and what is wrong) and its dives, None where they cannot be told; `on` is today."""
    record = Record(row)
    read = read_cells(record, cells, columns, PAST_DIVES_FIELDS, width, typed, on, READERS)
    _who(record, read)
    troubled = {about for about, trouble in record.problems if trouble.level != NOTE}
    for name, remedy in (
        ("on", "Write the day; a month or a year alone is enough."),
        ("depth", "Write how deep it was."),
    ):
        if name not in read and name not in troubled:
            label = PAST_DIVES_FIELDS.by_name[name].label
            record.say(name, ERROR, f"{name}_missing", f"{label}: the row has none.", remedy)
    kind, level = _task(record, read, troubled)
    if "on" not in read or "depth" not in read:
        return record, None
    depth, unit = read["depth"]
    return record, PastDive(
        on=read["on"],
        depth_hundredths=hundredths(depth),
        depth_unit=unit,
        current_kn=_knots(read.get("current")),
        visibility_m=_metres_seen(read.get("visibility")),
        water_temp_c=_celsius(read.get("water_temp")),
        night=read.get("night"),
        task_kind=kind,
        task_level=level,
        site_kind=tuple(words(re.split(r"[,;/+]", read.get("site_kind") or ""))),
        count=read.get("count", 1),
    )


def _knots(read: tuple[Decimal, str] | None) -> Decimal | None:
    """Rounded down to a hundredth: no current is made stronger."""
    if read is None:
        return None
    value, unit = read
    knots = value / KNOT_IN_METRES_A_SECOND if unit == "m/s" else value
    return knots.quantize(Decimal("0.01"), ROUND_DOWN)


def _metres_seen(read: tuple[Decimal, str] | None) -> Decimal | None:
    """Rounded up to a tenth: no water is made murkier."""
    if read is None:
        return None
    value, unit = read
    metres = value * FOOT_IN_METRES if unit == "ft" else value
    return metres.quantize(Decimal("0.1"), ROUND_CEILING)


def _celsius(read: tuple[Decimal, str] | None) -> Decimal | None:
    """Rounded up to a tenth: no water is made colder."""
    if read is None:
        return None
    value, unit = read
    celsius = (value - 32) * 5 / 9 if unit == "F" else value
    return celsius.quantize(Decimal("0.1"), ROUND_CEILING)


def _who(record: Record, read: dict[str, Any]) -> None:
    """E-mail, member number and name, whichever the row has; one cell may hold any of the three."""
    for name in ("email", "member_number"):
        if name in read:
            record.values[name] = read[name]
    said = read.get("diver") or ""
    if "@" in said:
        record.values.setdefault("email", said.removeprefix("mailto:").strip("<>; ").lower())
        said = ""
    elif re.fullmatch(r"#?\s*\d+", said):
        record.values.setdefault("member_number", said.lstrip("# "))
        said = ""
    elif said.count(",") == 1 and all(part.strip() for part in said.split(",")):
        last, first = (part.strip() for part in said.split(","))
        said = f"{first} {last}"
    said = said or " ".join(part for part in (read.get("first_name"), read.get("last_name")) if part)
    if said:
        record.values["name"] = said
    if not {"name", "email", "member_number"} & set(record.values):
        record.say(
            "diver",
            ERROR,
            "diver_missing",
            "The row does not say who dived.",
            "Write the name, the member number or the e-mail address.",
        )


_KIND_AND_LEVEL = re.compile(r"^(.*?\D)[\s(]*(?:level|lvl|l)?[\s.]*([0-5])\)?$", re.IGNORECASE)
_LEVEL = re.compile(r"^(?:level|lvl|l)?[\s.]*(\d+)(?:\s*(?:/|of)\s*5)?(?:\s+\D.*)?$", re.IGNORECASE)


def _task(record: Record, read: dict[str, Any], troubled: set[str | None]) -> tuple[str, int | None]:
    """(kind, level) of the task; ("", None) where there was none. A kind alone says nothing: its level is asked."""
    kind, level = read.get("task_kind") or "", read.get("task_level")
    found = _KIND_AND_LEVEL.match(kind)
    if found:
        kind, within = found[1].strip(" -,(").strip(), int(found[2])
        if level is not None and level != within:
            record.say(
                "task_level",
                NOTE,
                "two_levels",
                f"Task: “{read['task_kind']}” and level {level} differ; the lower is taken.",
                "Check it.",
            )
        level = within if level is None else min(level, within)
    kind = kind.casefold()
    if level == 0 or kind in NO_TASK:
        return "", None
    if len(kind) > LONGEST_TASK:
        record.say(
            "task_kind",
            ERROR,
            "too_long",
            f"Task: “{kind[:60]}…” is longer than {LONGEST_TASK} letters.",
            "Name the task in a word or two.",
        )
        return "", None
    if kind and level is None and "task_level" not in troubled:
        record.say(
            "task_level",
            QUESTION,
            "level_missing",
            f"Task: how far did the diver take the “{kind}”?",
            "Say the level, or that it was no task.",
            *((str(n), f"{n} {LEVEL_WORDS[n]}") for n in (1, 2, 3, 4, 5, 0)),
        )
    if level is not None and not kind and "task_kind" not in troubled:
        record.say(
            "task_kind",
            ERROR,
            "task_missing",
            f"Task: a level ({level}) but no task.",
            "Name the task, or write 0 for none.",
        )
    return (kind, level) if kind and level is not None else ("", None)


def _read_level(cell: Any, field: Field) -> Read:
    text = tidy(cell).casefold()
    if text in EMPTY:
        return Read()
    if text in LEVELS:
        return Read(LEVELS[text])
    found = _LEVEL.match(text)
    if found is None or int(found[1]) > 5:
        return refused(
            "not_a_level",
            f"{field.label}: “{tidy(cell)}” is not a level from 0 to 5.",
            "Write 0 for no task, " + ", ".join(f"{n} {LEVEL_WORDS[n]}" for n in range(1, 6)) + ".",
        )
    return Read(int(found[1]))


def _read_many(cell: Any, field: Field) -> Read:
    read = read_count(re.sub(r"^[x\u00d7]\s*|\s*[x\u00d7]$", "", tidy(cell), flags=re.IGNORECASE), field)
    if read.value is not None and not 1 <= read.value <= MOST_DIVES:
        return refused(
            "not_a_count",
            f"{field.label}: {read.value} is not between 1 and {MOST_DIVES}.",
            "Correct it, or leave the row out.",
        )
    return read


def _read_night(cell: Any, field: Field) -> Read:
    """Yes or no in the usual words, or the time of day in a word."""
    text = tidy(cell).casefold()
    if text in EMPTY:
        return Read()
    if text in YES or text in {"night", "dark", "at night", "after dark"}:
        return Read(True)
    if text in NO or text in {"day", "daylight", "light"}:
        return Read(False)
    trouble = Trouble(
        QUESTION,
        "yes_or_no",
        f"{field.label}: “{tidy(cell)}” is neither yes nor no.",
        "Say which it is.",
        (("yes", "after dark"), ("no", "in daylight")),
    )
    return Read(None, (trouble,))


READERS = {"task_level": _read_level, "count": _read_many, "night": _read_night}
