"""Reads of clubs and people."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet

from .imports_match import Known
from .imports_records import CertificationAsked, CylinderAsked, Depth
from .models import Certification, Club, Cylinder, Diver, Fitness, Membership, User
from .rules import deepest_certified, fitness_state, name_key, role_may


def role_of(user: Any, club: Club) -> str | None:
    """The user's role in the club, or None."""
    if not user.is_authenticated:
        return None
    return Membership.objects.filter(user=user, club=club).values_list("role", flat=True).first()


def role_of_diver(diver: Diver) -> str | None:
    """The role in the diver's club of the account that the record belongs to, or None."""
    return role_of(diver.user, diver.club) if diver.user is not None else None


def clubs_of(user: User) -> QuerySet[Membership]:
    return Membership.objects.filter(user=user).select_related("club").order_by("club__name")


def own_diver_ids(user: User) -> dict[UUID, UUID]:
    """Club id -> the id of the user's own record there."""
    return dict(Diver.objects.filter(user=user).values_list("club_id", "id"))


def divers_of(club: Club, *, q: str = "") -> QuerySet[Diver]:
    """The club's divers with what a list shows of each; `q` searches names, e-mails and member numbers."""
    found = club.divers.select_related("fitness").prefetch_related("certifications")
    if q:
        found = found.filter(
            Q(name_key__contains=name_key(q)) | Q(email__icontains=q) | Q(member_number__iexact=q)
        )
    return found


def diver(diver_id: UUID) -> Diver | None:
    return (
        Diver.objects.select_related("club", "fitness", "user")
        .prefetch_related("certifications", "cylinders", "guardians")
        .filter(pk=diver_id)
        .first()
    )


def fitness_of(diver: Diver, on: date) -> str | None:
    """in_date, restricted or out_of_date on a day; None where it is not known."""
    fitness: Fitness | None = getattr(diver, "fitness", None)
    if fitness is None:
        return None
    return fitness_state(in_date_until=fitness.in_date_until, restricted=fitness.restricted, on=on)


def certified(diver: Diver, unit: str, on: date) -> tuple[int | None, date | None]:
    """(depth in hundredths of `unit`, its last day) of the certification that counts on a day.

    The deepest of those good on that day; where every one has run out the deepest of them, with the day it ran out.
    """
    held = [c for c in diver.certifications.all() if c.depth_hundredths]
    good = [c for c in held if c.until is None or c.until >= on] or held
    depth = deepest_certified([(c.depth_hundredths or 0, c.depth_unit) for c in good], unit)
    at_depth = [
        c for c in good if deepest_certified([(c.depth_hundredths or 0, c.depth_unit)], unit) == depth
    ]
    # Of two equally deep the one that lasts longer.
    if not at_depth or any(c.until is None for c in at_depth):
        return depth, None
    return depth, max(c.until for c in at_depth if c.until is not None)


def deepest_certification(diver: Diver) -> Any:
    """The certification that goes deepest, or the first named, or None."""
    held = list(diver.certifications.all())
    return max(
        held,
        key=lambda c: deepest_certified([(c.depth_hundredths or 0, c.depth_unit or "m")], "m") or 0,
        default=None,
    )


def may_of(role: str) -> dict[str, bool]:
    """What the screens of this role offer."""
    return {
        "read_divers": role_may(role, "read_divers"),
        "change_divers": role_may(role, "change_divers"),
        "import_roster": role_may(role, "import_roster"),
        "manage_club": role_may(role, "manage_club"),
        "manage_accounts": role_may(role, "manage_accounts"),
        "keep_wishes": role_may(role, "keep_wishes"),
        "add_trip": role_may(role, "plan_trips"),
    }


def known_divers(club: Club) -> list[Known]:
    """The club's divers in the terms of a roster, for matching a file against them."""
    held: dict[UUID, list[Certification]] = defaultdict(list)
    for certification in Certification.objects.filter(diver__club=club):
        held[certification.diver_id].append(certification)
    cylinders = {c.diver_id: c for c in Cylinder.objects.filter(diver__club=club, label="main")}
    return [
        _known(diver, held[diver.pk], cylinders.get(diver.pk))
        for diver in club.divers.select_related("fitness")
    ]


def _known(diver: Diver, held: list[Certification], cylinder: Cylinder | None) -> Known:
    certifications = {
        name_key(c.name): (
            CertificationAsked(
                c.name,
                c.organisation or None,
                Depth(c.depth_hundredths, c.depth_unit) if c.depth_hundredths is not None else None,
                c.on,
                c.until,
            ),
            c.evidence,
        )
        for c in held
    }
    deepest = diver.stated_deepest_hundredths
    fitness = getattr(diver, "fitness", None)
    values: dict[str, Any] = {
        "name": diver.name,
        "email": diver.email,
        "member_number": diver.member_number,
        "born": diver.born,
        "phone": diver.phone,
        "emergency_contact": diver.emergency_contact,
        "dives": diver.stated_dives,
        "dives_last_year": diver.stated_dives_last_year,
        "last_dive": diver.stated_last_dive,
        "deepest": Depth(deepest, diver.stated_deepest_unit) if deepest is not None else None,
        "rmv": diver.rmv_l_min,
        "cylinder": CylinderAsked(
            cylinder.volume, cylinder.volume_unit, cylinder.working_pressure, cylinder.pressure_unit
        )
        if cylinder and cylinder.volume is not None
        else None,
        "fitness_until": fitness.in_date_until if fitness else None,
        "leader": diver.can_lead,
        "supervised": diver.supervised,
        "notes": diver.notes,
        "certified_depth": next((c.depth for c, _ in certifications.values() if c.depth), None),
    }
    return Known(
        str(diver.pk), diver.name, diver.email, diver.member_number, diver.born, values, certifications
    )
