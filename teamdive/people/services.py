"""Writes to clubs and people: accounts, memberships, settings and single records."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from decimal import Decimal
from typing import Any, cast
from uuid import UUID
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction

from teamdive.calculations.body import Errors, Fields
from teamdive.calculations.policy_reading import read_policy
from teamdive.physics.units import DepthUnit
from teamdive.web.problems import Unable

from .models import Certification, Club, Cylinder, Diver, Fitness, Membership, User
from .rules import steps_trouble


class UnableToChangeClub(Unable):
    code = "unable_to_change_club"
    status = 400


class UnableToChangeDiver(Unable):
    code = "unable_to_change_diver"
    status = 400


CLUB_SETTINGS = (
    "overdue_after_min",
    "counts_needed",
    "quiet_min",
    "due_soon_min",
    "lost_diver",
    "rescue_contact",
    "radio_channel",
    "call_sign",
    "oxygen_l",
    "shore_call_every_min",
    "shore_calls_before_next",
    "method",
    "gf_low_pm",
    "gf_high_pm",
    "least_surface_interval_min",
    "no_fly_wait_min",
    "club_wait_beyond_limit_min",
    "club_wait_other_gas_min",
    "rest_after_beyond_limit_min",
    "no_fly_to_altitude_ft",
    "beyond_40_m_enabled",
    "depth_unit",
    "pressure_unit",
    "volume_unit",
    "time_zone",
    "policy",
    "gas",
)
DIVER_FIELDS = (
    "name",
    "email",
    "member_number",
    "born",
    "phone",
    "emergency_contact",
    "notes",
    "can_lead",
    "supervised",
    "guardian_consent",
    "depth_unit",
    "pressure_unit",
    "volume_unit",
    "rmv_l_min",
    "rmv_sd_l_min",
    "stated_dives",
    "stated_dives_last_year",
    "stated_last_dive",
)


@transaction.atomic
def add_club(*, name: str, **settings: Any) -> Club:
    """A club; settings as in CLUB_SETTINGS. Two people count and it counts real gas unless they say otherwise."""
    return change_club(club=Club(name=name), **{"gas": {"gas_law": "real"}, "counts_needed": 2} | settings)


@transaction.atomic
def change_club(*, club: Club, **settings: Any) -> Club:
    """Change settings of a club; raises UnableToChangeClub naming each that cannot be."""
    unknown = sorted(set(settings) - set(CLUB_SETTINGS))
    if unknown:
        raise UnableToChangeClub(
            f"A club has no setting {unknown[0]}.", code="unknown_field", pointer=f"/{unknown[0]}"
        )
    for name, value in settings.items():
        setattr(club, name, value)
    if club.time_zone not in _zones(club.time_zone):
        raise UnableToChangeClub(
            f"{club.time_zone} is no time zone. Use a name such as Atlantic/Azores.",
            code="time_zone_not_known",
            pointer="/time_zone",
        )
    for name in ("policy", "gas"):
        if not isinstance(getattr(club, name), dict):
            raise UnableToChangeClub(
                f"{name} is an object of named settings.", code="not_an_object", pointer=f"/{name}"
            )
    if "policy" in settings:
        _policy_checked(club)
    if troubles := steps_trouble(club.lost_diver):
        raise UnableToChangeClub(troubles[0].message, errors=[asdict(trouble) for trouble in troubles])
    club.lost_diver = [{"say": s["say"].strip(), "after_min": s.get("after_min")} for s in club.lost_diver]
    _checked(club, UnableToChangeClub)
    club.save()
    return club


def _policy_checked(club: Club) -> None:
    """A policy that pairing would refuse is refused here, where it can be mended."""
    errors = Errors()
    read_policy(Fields(errors, club.policy, "/policy"), cast(DepthUnit, club.depth_unit))
    if errors.found:
        said = [{"pointer": one.pointer, "code": one.code, "message": one.message} for one in errors.found]
        raise UnableToChangeClub(said[0]["message"], errors=said)


def _zones(name: str) -> tuple[str, ...]:
    try:
        return (ZoneInfo(name).key,)
    except (KeyError, ValueError, OSError):
        return ()


def _checked(row: Any, error: type[Unable]) -> None:
    try:
        row.full_clean()
    except ValidationError as refused:
        errors = [
            _said(field, message) for field, messages in refused.message_dict.items() for message in messages
        ]
        raise error(errors[0]["message"], errors=errors) from refused


# What the database refuses by the name of a constraint, in words that say what mends it.
CONSTRAINTS = {
    "one_diver_an_email_in_a_club": (
        "/email",
        "Another diver of the club has this e-mail. Give each their own, or leave one empty.",
    ),
    "one_diver_a_member_number": ("/member_number", "Another diver of the club has this member number."),
    "one_diver_a_user_in_a_club": ("", "That account belongs to another diver of the club."),
    "club_gf_in_order": ("/gf_low_pm", "The low gradient factor is above the high one. Swap them."),
}


def _said(field: str, message: str) -> dict[str, str]:
    for name, (pointer, said) in CONSTRAINTS.items():
        if name in message:
            return {"pointer": pointer, "code": "invalid", "message": said}
    return {"pointer": "" if field == "__all__" else f"/{field}", "code": "invalid", "message": message}


@transaction.atomic
def add_member(
    *, club: Club, email: str, role: str, password: str | None = None, diver: Diver | None = None
) -> User:
    """An account of this e-mail with this role in the club (again: the role is set); `diver` becomes its record."""
    user = User.objects.filter(email__iexact=email.strip()).first()
    if user is None:
        user = User.objects.create_user(email, password)
    elif password is not None and not user.check_password(password):
        user.set_password(password)
        user.save(update_fields=["password"])
    Membership.objects.update_or_create(club=club, user=user, defaults={"role": role})
    if diver is not None and diver.user_id != user.pk:
        diver.user = user
        diver.save()
    return user


@transaction.atomic
def add_diver(*, club: Club, name: str, **fields: Any) -> Diver:
    """A diver's record in the club; fields as in DIVER_FIELDS."""
    units = {unit: getattr(club, unit) for unit in ("depth_unit", "pressure_unit", "volume_unit")}
    return change_diver(diver=Diver(club=club, **units), name=name, **fields)


@transaction.atomic
def change_diver(*, diver: Diver, **fields: Any) -> Diver:
    """Change single fields of a record; raises UnableToChangeDiver naming each that cannot be."""
    unknown = sorted(set(fields) - set(DIVER_FIELDS))
    if unknown:
        raise UnableToChangeDiver(
            f"A diver's record has no field {unknown[0]}.", code="unknown_field", pointer=f"/{unknown[0]}"
        )
    for name, value in fields.items():
        setattr(diver, name, value)
    _checked(diver, UnableToChangeDiver)
    diver.save()
    return diver


@transaction.atomic
def record_certification(
    *,
    diver: Diver,
    name: str,
    depth_hundredths: int | None = None,
    depth_unit: str = "",
    organisation: str = "",
    on: date | None = None,
    until: date | None = None,
    evidence: str = "said",
) -> Certification:
    """The certification of this name, added or brought up to date."""
    held, _ = Certification.objects.update_or_create(
        diver=diver,
        name=name,
        defaults={
            "depth_hundredths": depth_hundredths,
            "depth_unit": depth_unit if depth_hundredths is not None else "",
            "organisation": organisation,
            "on": on,
            "until": until,
            "evidence": evidence,
        },
    )
    return held


@transaction.atomic
def record_fitness(
    *, diver: Diver, in_date_until: date | None, restricted: bool = False, evidence: str = "said"
) -> Fitness:
    """Until when the declaration is in date; never what it says."""
    fitness, _ = Fitness.objects.update_or_create(
        diver=diver, defaults={"in_date_until": in_date_until, "restricted": restricted, "evidence": evidence}
    )
    return fitness


@transaction.atomic
def record_cylinder(
    *,
    diver: Diver,
    volume: Decimal,
    volume_unit: str,
    working_pressure: int | None,
    pressure_unit: str,
    label: str = "main",
    redundant: bool = False,
) -> Cylinder:
    """The cylinder of this label, added or brought up to date."""
    cylinder, _ = Cylinder.objects.update_or_create(
        diver=diver,
        label=label,
        defaults={
            "volume": volume,
            "volume_unit": volume_unit,
            "working_pressure": working_pressure,
            "pressure_unit": pressure_unit if working_pressure is not None else "",
            "redundant": redundant,
        },
    )
    return cylinder


@transaction.atomic
def record_guardians(*, diver: Diver, guardians: Sequence[UUID]) -> None:
    """Who of the club's divers is a guardian of this one; replaces who was."""
    found = list(Diver.objects.filter(club=diver.club, pk__in=guardians).exclude(pk=diver.pk))
    if len(found) != len(set(guardians)):
        raise UnableToChangeDiver(
            "A guardian is another diver of the club. Leave the list empty where none of them dives.",
            code="guardian_not_known",
            pointer="/guardians",
        )
    diver.guardians.set(found)


@transaction.atomic
def add_record(*, club: Club, fields: dict[str, Any], **parts: Any) -> Diver:
    """A new diver on the roster with what stands beside the record, all or nothing; `parts` as in change_record."""
    name = fields.pop("name")
    return change_record(diver=add_diver(club=club, name=name, **fields), fields={}, **parts)


@transaction.atomic
def change_record(
    *,
    diver: Diver,
    fields: dict[str, Any],
    guardians: Sequence[UUID] | None = None,
    certification: dict[str, Any] | None = None,
    fitness: dict[str, Any] | None = None,
    cylinder: dict[str, Any] | None = None,
) -> Diver:
    """Change a record and what stands beside it, all or nothing: the certification of a name, the fitness date,
    the usual cylinder, the guardians; each part as its own service takes it."""
    if fields:
        change_diver(diver=diver, **fields)
    if certification is not None:
        record_certification(diver=diver, **certification)
    if fitness is not None:
        record_fitness(diver=diver, **fitness)
    if cylinder is not None:
        record_cylinder(diver=diver, **cylinder)
    if guardians is not None:
        record_guardians(diver=diver, guardians=guardians)
    return diver
