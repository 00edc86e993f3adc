"""Reads of trips: what a person may see, and what the calculations ask about each diver."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_DOWN, Decimal
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.db.models import Prefetch, Q, QuerySet

from teamdive.logbook.selectors import experiences
from teamdive.people.models import Club, Membership
from teamdive.people.rules import MAY

from . import rules, rules_shore
from .before import dives_before_trip
from .bodies import local_day, surfaced_at, teams_body
from .cylinders import pressure
from .models import Booking, Dive, GasCheck, Proposal, Snapshot, Team, TeamMember, Trip
from .person_facts import DiveBefore, PersonFacts
from .rules_boats import DiveTeams
from .selectors_boats import seat_troubles
from .selectors_shore import ashore, labels
from .selectors_wishes import private_wishes

# Up to this many divers everything that helps to decide is worked out unasked.
FEW = 16
PLANNERS = [role for role, may in MAY.items() if "plan_trips" in may]


def trips_for(user: Any) -> QuerySet[Trip]:
    """The trips the user may read: of the clubs they plan for, and those they are booked on."""
    if not user.is_authenticated:
        return Trip.objects.none()
    planned = Membership.objects.filter(user=user, role__in=PLANNERS).values("club")
    booked = Booking.objects.filter(diver__user=user, cancelled_at=None).values("trip")
    return Trip.objects.filter(Q(club__in=planned) | Q(pk__in=booked)).select_related(
        "club", "boat", "snapshot"
    )


def trip(trip_id: UUID) -> Trip | None:
    """A trip with everything its page shows."""
    return with_everything().filter(pk=trip_id).first()


def with_everything() -> QuerySet[Trip]:
    members = TeamMember.objects.select_related("booking__diver")
    teams = Team.objects.prefetch_related(Prefetch("members", members)).select_related("lead")
    dives = Dive.objects.select_related("site").prefetch_related(
        Prefetch("teams", teams), "left_out", "gas_checks"
    )
    return Trip.objects.select_related("club", "boat", "snapshot").prefetch_related(
        Prefetch("bookings", Booking.objects.select_related("diver", "boat").filter(cancelled_at=None)),
        Prefetch("dives", dives),
    )


def people_of(user: Any, trip_id: UUID) -> set[UUID]:
    """The bookings of a trip that are this user."""
    if not user.is_authenticated:
        return set()
    return set(Booking.objects.filter(trip=trip_id, diver__user=user).values_list("pk", flat=True))


def clubs_planned_by(user: Any) -> set[UUID]:
    """The clubs whose trips the user plans, and so reads in full."""
    return set(Membership.objects.filter(user=user, role__in=PLANNERS).values_list("club_id", flat=True))


def people_by_trip(user: Any) -> dict[UUID, set[UUID]]:
    """The bookings that are this user, by trip."""
    found: dict[UUID, set[UUID]] = {}
    for trip_id, person in Booking.objects.filter(diver__user=user).values_list("trip_id", "pk"):
        found.setdefault(trip_id, set()).add(person)
    return found


def snapshot_of(trip_id: UUID) -> dict[str, Any] | None:
    """{"snapshot", "hash", "names", "labels"} of a trip that is ready, else None."""
    kept = Snapshot.objects.filter(trip=trip_id).first()
    if kept is None:
        return None
    return {
        "snapshot": json.loads(kept.canonical),
        "hash": kept.hash,
        "names": kept.names,
        "labels": kept.labels,
    }


def for_phones(trip_id: UUID) -> dict[str, Any] | None:
    """The same for a phone, with who ashore expects the boat and whom the club calls for help, as both stand now."""
    kept = snapshot_of(trip_id)
    if kept is None:
        return None
    club = Club.objects.get(trips=trip_id)
    return {**kept, "labels": {**kept["labels"], **help_labels(club), **labels(trip_id)}}


def help_labels(club: Club) -> dict[str, Any]:
    """What the club wrote down for a call for help, and its oxygen in litres; what it left empty is left out."""
    said = {
        name: getattr(club, name) for name in ("rescue_contact", "radio_channel", "call_sign", "oxygen_l")
    }
    return {name: words for name, words in said.items() if words}


def booked_divers(dive: Dive) -> list[Booking]:
    """Who dives on this dive: booked, diving, and not left out of it."""
    return list(
        Booking.objects.filter(trip=dive.trip_id, dives=True, cancelled_at=None)
        .exclude(pk__in=dive.left_out.values("pk"))
        .select_related("diver__fitness", "diver__club")
        .prefetch_related("diver__certifications", "diver__cylinders", "diver__guardians")
        .order_by("pk")
    )


def facts(
    dive: Dive, bookings: Sequence[Booking], expected: dict[str, Any] | None = None
) -> list[PersonFacts]:
    """What the records know of each of these people for the dive, in the same order.

    `expected` ({"unit", "value"}) is for drafts made before anyone stands at the dock: whoever has no gas recorded
    is taken to bring the usual cylinder with that pressure of air. A plan never rests on it.
    """
    day = local_day(dive.trip.club, dive.planned_at or dive.trip.starts_at)
    known = experiences((b.diver for b in bookings if b.diver), on=day, depth_unit=dive.depth_unit)
    checks = {c.booking_id: c for c in GasCheck.objects.filter(dive=dive, booking__in=bookings)}
    before = dives_before(dive)
    start = dive.planned_at or dive.trip.starts_at
    outside = dives_before_trip(dive.trip, bookings, start)
    by_diver = {b.diver_id: str(b.pk) for b in bookings}
    return [
        PersonFacts(
            booking=booking,
            experience=known.get(booking.diver_id, {}),
            before=_before(booking, outside[booking.pk], before),
            gas=checks.get(booking.pk) or (expected_gas(booking, dive, expected) if expected else None),
            guardians=tuple(
                by_diver[one.pk]
                for one in (booking.diver.guardians.all() if booking.diver else ())
                if one.pk in by_diver
            ),
        )
        for booking in bookings
    ]


def expected_gas(booking: Booking, dive: Dive, expected: dict[str, Any]) -> GasCheck | None:
    """The usual cylinder with the pressure expected, never above its working pressure; kept nowhere."""
    held = booking.diver.cylinders.all() if booking.diver else ()
    usual = next((c for c in held if not c.redundant and c.volume and c.working_pressure), None)
    if usual is None or usual.volume is None or usual.working_pressure is None:
        return None
    value = int(pressure(Decimal(expected["value"]), expected["unit"], usual.pressure_unit, ROUND_DOWN))
    return GasCheck(
        booking=booking,
        dive=dive,
        cylinder=usual.label,
        volume=usual.volume,
        volume_unit=usual.volume_unit,
        working_pressure=usual.working_pressure,
        pressure_unit=usual.pressure_unit,
        start_pressure=min(value, usual.working_pressure),
        analysed_o2_pm=210,
        analysed_by=booking,
        analysed_at=dive.planned_at or dive.trip.starts_at,
    )


def dives_before(dive: Dive) -> list[tuple[Dive, dict[UUID, tuple[int, GasCheck | None]]]]:
    """The trip's earlier dives with, per person in an announced team, the bottom time planned and the gas."""
    earlier = []
    for one in dive.trip.dives.filter(number__lt=dive.number).order_by("number"):
        checks = {c.booking_id: c for c in one.gas_checks.all()}
        people = {
            member.booking_id: (bottom_time_s(member.team, one), checks.get(member.booking_id))
            for member in TeamMember.objects.filter(dive=one).select_related("team")
        }
        earlier.append((one, people))
    return earlier


def bottom_time_s(team: Team, dive: Dive) -> int:
    """The bottom time a team was announced with: its limit, where one is known, else the dive's."""
    limit = limit_s(team.plan)
    return dive.bottom_time_s if limit is None else min(limit, dive.bottom_time_s)


def limit_s(plan: dict[str, Any] | None) -> int | None:
    """The team's limit in whole seconds out of an answer of `plan`, None where it is not known."""
    return _seconds((plan or {}).get("team", {}).get("limit_min"))


def _seconds(minutes: Any) -> int | None:
    return None if not isinstance(minutes, int | float) else round(minutes * 600) // 10


def next_limit(plan: dict[str, Any] | None) -> tuple[int | None, str | None]:
    """What binds behind the team's limit: seconds and name."""
    behind = (plan or {}).get("team", {}).get("next_limit") or {}
    return _seconds(behind.get("min")), behind.get("limited_by")


def _before(
    booking: Booking,
    outside: tuple[DiveBefore, ...] | None,
    dives: Iterable[tuple[Dive, dict[UUID, tuple[int, GasCheck | None]]]],
) -> tuple[DiveBefore, ...] | None:
    """Dives before the trip, then the trip's own as announced."""
    if outside is None:
        return None
    found = list(outside)
    for dive, people in dives:
        if booking.pk not in people:
            continue
        bottom_s, check = people[booking.pk]
        up = surfaced_at(dive, bottom_s)
        if up is None:
            return None
        analysed = check is not None and check.analysed_o2_pm is not None
        o2_pm = check.analysed_o2_pm if check and check.analysed_o2_pm else 210
        found.append(DiveBefore(dive.depth_hundredths, dive.depth_unit, bottom_s, o2_pm, analysed, up))
    return tuple(found)


def latest_proposal(dive: Dive) -> Proposal | None:
    return dive.proposals.first()


def question(dive: Dive, asked: Mapping[str, Any]) -> tuple[dict[str, Any], list[PersonFacts]]:
    """The body of `teams` for a dive as the records stand now, and the people in it."""
    divers = booked_divers(dive)
    people = facts(dive, divers, asked.get("expect_gas"))
    ids = {str(booking.pk) for booking in divers}
    announced = [[person for person in team if person in ids] for team in dive.last_announced]
    told = {name: value for name, value in asked.items() if name != "expect_gas"}
    # What somebody would rather not goes into the question alone: never into what is kept of who asked for what.
    wishes = [*told.get("wishes", ()), *private_wishes(divers)]
    body = teams_body(
        dive, people, {**told, "wishes": wishes, "announced": [team for team in announced if len(team) > 1]}
    )
    return body, people


def digest(body: Mapping[str, Any]) -> str:
    """Names a question by its facts: what was announced meanwhile is none of them, and neither is a private wish.

    With private wishes in it, a proposal that grew stale though nothing visible had changed would tell every planner
    that somebody of the dive had just written one. Left out, they count when teams are next found, for whatever
    reason, which is what their writer is told; whatever may be seen to change still makes a proposal stale.
    """
    facts_only = {name: value for name, value in body.items() if name not in ("announced", "wishes")}
    told = [wish for wish in body.get("wishes", ()) if not wish.get("private")]
    return sha256(json.dumps({**facts_only, "wishes": told}, sort_keys=True).encode()).hexdigest()


def is_stale(proposal: Proposal) -> bool:
    """Whether the same question asked now would be another one."""
    return digest(question(proposal.dive, proposal.asked)[0]) != proposal.rests_on


def not_ready(trip: Trip) -> list[rules.Reason]:
    """Every reason why the trip cannot leave as it is."""
    bookings = {str(b.pk) for b in trip.bookings.all() if b.cancelled_at is None}
    dives = tuple(
        rules.PlannedDive(
            str(dive.pk),
            dive.number,
            dive.planned_at,
            tuple(
                rules.PlannedTeam(
                    team.number,
                    tuple(str(m.booking_id) for m in team.members.all()),
                    team.lead_id is not None,
                    limit_s(team.plan),
                    (team.plan or {}).get("team", {}).get("limited_by"),
                )
                for team in dive.teams.all()
            ),
        )
        for dive in trip.dives.all()
    )
    plan = rules.TripPlan(
        trip.club.overdue_after_min,
        frozenset(bookings),
        dives,
    )
    teams = [DiveTeams(dive.id, dive.number, [team.members for team in dive.teams]) for dive in dives]
    return [
        *rules.not_ready(plan),
        *seat_troubles(trip, teams),
        *rules_shore.not_ready(ashore(trip)),
    ]
