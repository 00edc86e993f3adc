"""Writes the settled rows of a roster in few statements, whatever their number."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from .imports_preview import RowPreview
from .imports_records import CertificationAsked, Record
from .models import Certification, Club, Cylinder, Diver, Fitness
from .rules import name_key

PLAIN = ("name", "email", "member_number", "born", "phone", "emergency_contact", "supervised", "notes")
RENAMED = {
    "dives": "stated_dives",
    "dives_last_year": "stated_dives_last_year",
    "last_dive": "stated_last_dive",
    "rmv": "rmv_l_min",
    "leader": "can_lead",
}
WRITTEN = (*PLAIN, "name_key", *RENAMED.values(), "stated_deepest_hundredths", "stated_deepest_unit")


def write_rows(club: Club, rows: Sequence[RowPreview]) -> None:
    """Add and change divers as the rows say; must run inside the import's transaction."""
    units = {unit: getattr(club, unit) for unit in ("depth_unit", "pressure_unit", "volume_unit")}
    new = [(Diver(club=club, **units), row) for row in rows if row.action == "new"]
    changing = {row.match.diver.id: row for row in rows if row.action == "change" and row.match.diver}
    held = club.divers.select_related("fitness").prefetch_related("certifications", "cylinders")
    old = [(diver, changing[str(diver.pk)]) for diver in held if str(diver.pk) in changing]
    for diver, row in (*new, *old):
        _take(diver, row.record)
    Diver.objects.bulk_create([diver for diver, _ in new], batch_size=500)
    Diver.objects.bulk_update([diver for diver, _ in old], WRITTEN, batch_size=200)
    _beside(new, old)


def _take(diver: Diver, record: Record) -> None:
    for name in PLAIN:
        if name in record.values:
            setattr(diver, name, record.values[name])
    for name, column in RENAMED.items():
        if name in record.values:
            setattr(diver, column, record.values[name])
    if deepest := record.values.get("deepest"):
        diver.stated_deepest_hundredths, diver.stated_deepest_unit = deepest.hundredths, deepest.unit
    diver.name_key = name_key(diver.name)


def _beside(new: list[tuple[Diver, RowPreview]], old: list[tuple[Diver, RowPreview]]) -> None:
    """Certifications, fitness and cylinders of all rows."""
    rows: dict[type[Any], tuple[list[Any], list[Any]]] = {
        Certification: ([], []),
        Fitness: ([], []),
        Cylinder: ([], []),
    }
    for diver, row in (*new, *old):
        exists = row.action == "change"
        values = row.record.values
        if (asked := row.record.certification) is not None:
            held = (c for c in diver.certifications.all()) if exists else iter(())
            known = next((c for c in held if name_key(c.name) == name_key(asked.name)), None)
            if known is None or known.evidence == "said":
                rows[Certification][known is not None].append(_certification(known, diver, asked))
        if "fitness_until" in values:
            fitness = getattr(diver, "fitness", None) if exists else None
            known_fitness = fitness or Fitness(diver=diver)
            known_fitness.in_date_until = values["fitness_until"]
            rows[Fitness][fitness is not None].append(known_fitness)
        if (asked_cylinder := values.get("cylinder")) is not None:
            cylinders = diver.cylinders.all() if exists else ()
            cylinder = next((c for c in cylinders if c.label == "main"), None)
            target = cylinder or Cylinder(diver=diver, label="main")
            for name in CYLINDER:
                setattr(target, name, getattr(asked_cylinder, name))
            rows[Cylinder][cylinder is not None].append(target)
    for model, columns in (
        (Certification, CERTIFICATION),
        (Fitness, ("in_date_until",)),
        (Cylinder, CYLINDER),
    ):
        added, changed = rows[model]
        model.objects.bulk_create(added, batch_size=500)
        model.objects.bulk_update(changed, columns, batch_size=200)


CERTIFICATION = ("organisation", "depth_hundredths", "depth_unit", "on", "until")
CYLINDER = ("volume", "volume_unit", "working_pressure", "pressure_unit")


def _certification(known: Certification | None, diver: Diver, asked: CertificationAsked) -> Certification:
    certification = known or Certification(diver=diver, name=asked.name)
    if asked.organisation:
        certification.organisation = asked.organisation
    if asked.depth is not None:
        certification.depth_hundredths, certification.depth_unit = asked.depth.hundredths, asked.depth.unit
    if asked.on is not None:
        certification.on = asked.on
    if asked.until is not None:
        certification.until = asked.until
    return certification
