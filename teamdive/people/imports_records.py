"""One row of a roster as the record it asks for: values by field, and what to say about each. Pure."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from .imports_columns import Column
from .imports_dates import read_date
from .imports_fields import ROSTER_FIELDS, Field, Fields, unit_named
from .imports_values import (
    ERROR,
    NOTE,
    Read,
    Trouble,
    hundredths,
    litres_a_minute,
    number,
    read_count,
    read_cylinder,
    read_email,
    read_quantity,
    read_text,
    read_yes_no,
)

NOT_NAMED = "not named"
Reader = Callable[[Any, Field], Read]
READERS: dict[str, Reader] = {"email": read_email, "number": read_count, "yes_no": read_yes_no}
_DEPTH_IN_TEXT = re.compile(r"(?<![\d.,])(\d{1,3}(?:[.,]\d)?)\s*(m|met(?:er|re)s?|ft|feet)\b", re.IGNORECASE)


@dataclass(frozen=True)
class Depth:
    """A depth as typed: whole hundredths of its unit."""

    hundredths: int
    unit: str

    def __str__(self) -> str:
        return f"{self.hundredths / 100:g} {self.unit}"


@dataclass(frozen=True)
class CylinderAsked:
    volume: Decimal
    volume_unit: str
    working_pressure: int | None
    pressure_unit: str

    def __str__(self) -> str:
        pressure = f", {self.working_pressure} {self.pressure_unit}" if self.working_pressure else ""
        return f"{self.volume.normalize():f} {self.volume_unit}{pressure}"


@dataclass(frozen=True)
class CertificationAsked:
    name: str
    organisation: str | None = None
    depth: Depth | None = None
    on: date | None = None
    until: date | None = None


@dataclass
class Record:
    """What a row asks for. `values` holds only what the row says; `problems` are (field, Trouble);
    `remarks` are (field, code) of what is only worth a word about the whole column."""

    row: int
    values: dict[str, Any] = field(default_factory=dict)
    certification: CertificationAsked | None = None
    problems: list[tuple[str | None, Trouble]] = field(default_factory=list)
    remarks: list[tuple[str, str]] = field(default_factory=list)

    @property
    def name(self) -> str:
        return str(self.values.get("name", ""))

    def say(self, about: str | None, level: str, code: str, message: str, remedy: str, *options: Any) -> None:
        self.problems.append((about, Trouble(level, code, message, remedy, tuple(options))))


def record_of(
    row: int,
    cells: Sequence[Any],
    columns: Sequence[Column],
    width: int,
    typed: Mapping[str, str],
    on: date,
) -> Record:
    """The record of one row; `typed` replaces cells (field -> text) as the user answered; `on` is today."""
    record = Record(row)
    read = read_cells(record, cells, columns, ROSTER_FIELDS, width, typed, on)
    _name(record, read)
    _contacts(record, read)
    _certification(record, read)
    _cylinder(record, read)
    if "deepest" in read:
        value, unit = read["deepest"]
        record.values["deepest"] = Depth(hundredths(value), unit)
    if "rmv" in read:
        record.values["rmv"] = litres_a_minute(*read["rmv"])
    for plain in ("email", "member_number", "born", "phone", "dives", "dives_last_year", "last_dive"):
        if plain in read:
            record.values[plain] = read[plain]
    for plain in ("fitness_until", "leader", "supervised", "notes"):
        if plain in read:
            record.values[plain] = read[plain]
    return record


def read_cells(
    record: Record,
    cells: Sequence[Any],
    columns: Sequence[Column],
    fields: Fields,
    width: int,
    typed: Mapping[str, str],
    on: date,
    own: Mapping[str, Reader] | None = None,
) -> dict[str, Any]:
    """Field -> value of every cell that has one; what is wrong goes into the record's problems and remarks.

    `own` are readers of single fields that only this kind of sheet has.
    """
    read: dict[str, Any] = {}
    for column in columns:
        if column.field is None:
            continue
        spec = fields.by_name[column.field]
        cell = (
            typed[spec.field]
            if spec.field in typed
            else cells[column.index]
            if column.index < len(cells)
            else None
        )
        reader = (own or {}).get(spec.field)
        result = reader(cell, spec) if reader else _read(cell, spec, column, on)
        for trouble in result.troubles:
            if trouble.level == NOTE and not spec.decides:
                record.remarks.append((spec.field, trouble.code))
            else:
                record.problems.append((spec.field, trouble))
        if result.value is not None:
            read[spec.field] = result.value
    _ragged(record, cells, width)
    return read


def _read(cell: Any, spec: Field, column: Column, on: date) -> Read:
    if spec.takes == "date":
        return read_date(cell, spec, column.dates, on)
    if spec.field == "cylinder":
        return read_cylinder(cell, spec, column.unit)
    if spec.units:
        return read_quantity(cell, spec, column.unit)
    return READERS.get(spec.takes, read_text)(cell, spec)


def _ragged(record: Record, cells: Sequence[Any], width: int) -> None:
    if len(cells) > width:
        record.say(
            None,
            ERROR,
            "too_many_cells",
            f"The row has {len(cells)} cells under {width} headers; a delimiter inside a cell has moved the rest.",
            "Put that cell in quotation marks in the file, or leave the row out.",
            ("leave_out", "leave the row out"),
        )
    elif len(cells) < width:
        record.say(
            None,
            NOTE,
            "row_ends_early",
            f"The row has {len(cells)} cells under {width} headers; the rest are taken as empty.",
            "Check that nothing is missing.",
        )


def _name(record: Record, read: dict[str, Any]) -> None:
    name = read.get("name") or ""
    if not name:
        name = " ".join(part for part in (read.get("first_name"), read.get("last_name")) if part)
    elif name.count(",") == 1 and all(part.strip() for part in name.split(",")):
        last, first = (part.strip() for part in name.split(","))
        name = f"{first} {last}"
    if name and len(name) <= 120:
        record.values["name"] = name
    elif not any(about in {"name", "first_name", "last_name"} for about, _ in record.problems):
        record.say(
            "name", ERROR, "name_missing", "The row has no name.", "Write the name, or leave the row out."
        )


def _contacts(record: Record, read: dict[str, Any]) -> None:
    parts = [part for part in (read.get("emergency_contact"), read.get("emergency_phone")) if part]
    if parts:
        record.values["emergency_contact"] = ", ".join(parts)


def _certification(record: Record, read: dict[str, Any]) -> None:
    name = read.get("certification")
    depth = None
    if "certified_depth" in read:
        value, unit = read["certified_depth"]
        depth = Depth(hundredths(value), unit)
    elif name and not any(about == "certified_depth" for about, _ in record.problems):
        found = _DEPTH_IN_TEXT.findall(name)
        value = number(found[0][0]) if len(found) == 1 else None
        unit = unit_named("depth", found[0][1]) if len(found) == 1 else None
        if value is not None and unit is not None:
            depth = Depth(hundredths(value), unit)
            record.say(
                "certified_depth",
                NOTE,
                "depth_from_certification",
                f"Certified depth {depth} is taken from “{name}”.",
                "Check it, or write it in its own column.",
            )
    if name is None and depth is None and "organisation" not in read:
        return
    record.certification = CertificationAsked(
        name or NOT_NAMED,
        read.get("organisation"),
        depth,
        read.get("certified_on"),
        read.get("certified_until"),
    )


def _cylinder(record: Record, read: dict[str, Any]) -> None:
    pressure = read.get("working_pressure")
    cylinder = read.get("cylinder")
    if cylinder is None:
        if pressure is not None and not any(about == "cylinder" for about, _ in record.problems):
            record.say(
                "cylinder",
                NOTE,
                "pressure_without_cylinder",
                "A working pressure without a cylinder is not kept.",
                "Write the cylinder's volume.",
            )
        return
    working, unit = (cylinder["pressure"], cylinder["pressure_unit"]) if cylinder["pressure"] else (None, "")
    if working is None and pressure is not None:
        working, unit = int(pressure[0]), pressure[1]
    if working is None:
        record.say(
            "working_pressure",
            NOTE,
            "working_pressure_not_known",
            "Without a working pressure this cylinder's gas cannot be worked out.",
            "Write the working pressure stamped on it.",
        )
    record.values["cylinder"] = CylinderAsked(cylinder["volume"], cylinder["unit"], working, unit)


def note_what_is_missing(
    record: Record, columns: Sequence[Column], known: Mapping[str, Any] | None, on: date
) -> None:
    """Say what a dive will ask for and neither the row nor the club's record has, if the file has its column."""
    asked = {column.field for column in columns}
    known = known or {}
    has_depth = (record.certification and record.certification.depth) or known.get("certified_depth")
    troubled = {about for about, _ in record.problems}
    if "certified_depth" in asked and not has_depth and "certified_depth" not in troubled:
        said = record.certification.name if record.certification else None
        because = f"“{said}” names no depth" if said and said != NOT_NAMED else "no certified depth is given"
        record.say(
            "certified_depth",
            NOTE,
            "certified_depth_not_known",
            f"Not to be placed on a dive yet: {because}.",
            "Ask what depth it certifies to.",
        )
    until = record.values.get("fitness_until", known.get("fitness_until"))
    if until is not None and until < on:
        message = f"Fitness was in date until {until.isoformat()}: shown as “ask the diver”."
        record.say("fitness_until", NOTE, "fitness_out_of_date", message, "Ask the diver.")
    for name, because in MISSING.items():
        if name in asked and name not in record.values and not known.get(name) and name not in troubled:
            record.say(name, NOTE, f"{name}_not_known", because, "Ask the diver.")


MISSING = {
    "born": "No date of birth: the rules for juniors cannot be checked.",
    "last_dive": "No last dive: it counts as a lay-off until it is known.",
    "fitness_until": "No date for fitness: shown as “ask the diver”.",
    "rmv": "No RMV: this diver's gas limit is not known.",
    "cylinder": "No cylinder: this diver's gas limit is not known until one is recorded at the dock.",
    "emergency_contact": "No emergency contact.",
}
