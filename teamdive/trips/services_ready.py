"""Making a trip ready: its plan becomes a snapshot that nothing changes, named by the hash of its bytes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from teamdive.boatlog.snapshot import NotASnapshot, make
from teamdive.people.models import Diver, User

from . import rules, selectors
from .before import as_told, dives_before_trip
from .models import Booking, Dive, GasCheck, Snapshot, Team, Trip
from .person_facts import DiveBefore
from .selectors_boats import boats_of
from .services import UnableToChangeTrip, open_trip
from .services_judging import rules_against_announced


class UnableToMakeReady(UnableToChangeTrip):
    code = "not_ready"


@transaction.atomic
def make_ready(*, trip: Trip, by: User | None, now: datetime) -> Snapshot:
    """Freeze the trip's plan for the boat; raises UnableToMakeReady with every reason why it cannot leave."""
    open_trip(trip)
    loaded = selectors.trip(trip.pk)
    if loaded is None:
        raise UnableToMakeReady("There is no such trip.")
    reasons = [*selectors.not_ready(loaded), *rules_against_announced(loaded)]
    if reasons:
        raise UnableToMakeReady(
            f"{len(reasons)} thing{'s' if len(reasons) > 1 else ''} to settle before the trip can leave: "
            + " ".join(f"{r.message} {r.remedy}" for r in reasons[:3]),
            errors=[reason.as_json() for reason in reasons],
        )
    body = snapshot_body(loaded, now)
    try:
        canonical, digest = make(body)
    except NotASnapshot as refused:
        raise UnableToMakeReady(
            "The plan cannot be put on the phones as it is.",
            errors=[{"pointer": t.pointer, "code": t.code, "message": t.message} for t in refused.problems],
        ) from refused
    kept = Snapshot.objects.create(
        trip=loaded,
        hash=digest,
        canonical=canonical,
        names={str(b.pk): b.display_name for b in loaded.bookings.all()},
        labels={
            "club": loaded.club.name,
            "trip": loaded.name,
            "boat": loaded.boat.name if loaded.boat else None,
            **({"boats": boats} if (boats := boats_of(loaded)) else {}),
            "sites": {str(d.pk): d.site.name for d in loaded.dives.all() if d.site},
            **selectors.help_labels(loaded.club),
        },
        made_at=now,
        made_by=by,
    )
    loaded.state = Trip.State.READY
    loaded.save(update_fields=["state"])
    return kept


def keep_end(*, trip: UUID, ended_at: datetime | None) -> None:
    """Keep when the boat log says that the trip was over; None: it goes on."""
    Trip.objects.filter(pk=trip).exclude(ended_at=ended_at).update(ended_at=ended_at)


def snapshot_body(trip: Trip, now: datetime) -> dict[str, Any]:
    """The snapshot as the boat log takes it: whole numbers only, and no name."""
    club = trip.club
    return {
        "v": 1,
        "trip": str(trip.pk),
        "made_at": _ms(now),
        "starts_at": _ms(trip.starts_at),
        "time_zone": club.time_zone,
        "units": {"depth": club.depth_unit, "pressure": club.pressure_unit},
        "settings": {
            "overdue_after_min": club.overdue_after_min,
            "counts_needed": club.counts_needed,
            **_chosen(quiet_min=club.quiet_min, due_soon_min=club.due_soon_min),
            "method": club.method,
            "gf_low_pm": club.gf_low_pm,
            "gf_high_pm": club.gf_high_pm,
            "descent_cm_min": rules.DESCENT_CM_MIN,
            "ascent_cm_min": rules.ASCENT_CM_MIN,
            "least_surface_interval_min": club.least_surface_interval_min,
            "search_min": rules.SEARCH_MIN,
            "safety_stop_cm": rules.SAFETY_STOP_CM,
            "safety_stop_s": rules.SAFETY_STOP_S,
            "ascent_to_altitude_ft": club.no_fly_to_altitude_ft,
            "no_fly_wait_min": club.no_fly_wait_min,
            "club_wait_beyond_limit_min": club.club_wait_beyond_limit_min,
            "club_wait_other_gas_min": club.club_wait_other_gas_min,
            "rest_after_beyond_limit_min": club.rest_after_beyond_limit_min,
            "beyond_40_m_enabled": club.beyond_40_m_enabled,
        },
        "boat": str(trip.boat_id) if trip.boat_id else None,
        "people": _people(trip, now),
        "dives": [_dive(dive) for dive in sorted(trip.dives.all(), key=lambda d: d.number)],
        **_chosen(lost_diver=_steps(club.lost_diver)),
    }


def _chosen(**settings: Any) -> dict[str, Any]:
    """What the club decided; what it left open is left out, and the boat log then takes its own."""
    return {name: value for name, value in settings.items() if value is not None}


def _steps(own: list[dict[str, Any]]) -> list[dict[str, Any]] | None:
    """The club's own procedure as the boat log takes it; None: it has none."""
    return [
        {
            "step": f"own_{number}",
            "say": step["say"],
            "within_s": None if step["after_min"] is None else step["after_min"] * 60,
        }
        for number, step in enumerate(own, 1)
    ] or None


def _ms(at: datetime) -> int:
    return round(at.timestamp() * 1000)


def _people(trip: Trip, now: datetime) -> list[dict[str, Any]]:
    bookings = sorted(trip.bookings.all(), key=lambda b: str(b.pk))
    before = dives_before_trip(trip, bookings, max(now, trip.starts_at))
    return [_person(booking, before[booking.pk]) for booking in bookings]


def _person(booking: Booking, before: Sequence[DiveBefore] | None) -> dict[str, Any]:
    return {
        "id": str(booking.pk),
        "role": booking.role,
        "dives": booking.dives,
        "can_lead": booking.can_lead,
        "earlier_dives": None if before is None else [as_told(dive) for dive in before],
        **({"boat": str(booking.boat_id)} if booking.boat_id else {}),
    }


def _dive(dive: Dive) -> dict[str, Any]:
    checks = {str(check.booking_id): check for check in dive.gas_checks.all()}
    divers = {str(b.pk): b.diver for b in dive.trip.bookings.select_related("diver") if b.diver}
    return {
        "id": str(dive.pk),
        "number": dive.number,
        "planned_at": _ms(dive.planned_at) if dive.planned_at else None,
        "depth": {"unit": dive.depth_unit, "hundredths": dive.depth_hundredths},
        "bottom_time_s": dive.bottom_time_s,
        "run_time_s": rules.run_time_s(dive.depth_hundredths, dive.depth_unit, dive.bottom_time_s),
        "teams": [_team(team, checks, divers) for team in sorted(dive.teams.all(), key=lambda t: t.number)],
    }


def _team(team: Team, checks: dict[str, GasCheck], records: dict[str, Diver]) -> dict[str, Any]:
    plan = team.plan or {}
    limit = selectors.limit_s(plan)
    known = plan.get("team", {})
    next_s, next_by = selectors.next_limit(plan)
    divers = {d["id"]: d for d in plan.get("divers", [])}
    unit = plan.get("pressure_unit", "bar")
    members = [str(member.booking_id) for member in team.members.all()]
    return {
        "id": str(team.pk),
        "members": members,
        "lead": str(team.lead_id) if team.lead_id else None,
        "limit_s": limit,
        "limited_by": known.get("limited_by") if limit is not None else None,
        "limiting_diver": known.get("limiting_diver") if limit is not None else None,
        "next_limit_s": next_s,
        "next_limited_by": next_by,
        "divers": [
            {
                "id": member,
                "minimum_gas": _pressure(divers.get(member, {}).get("minimum_gas"), unit),
                "turn_pressure": _pressure(divers.get(member, {}).get("turn_pressure"), unit),
                "o2_pm": _o2_pm(checks.get(member)),
                "cylinder_dl": _cylinder_dl(checks.get(member)),
                "rmv_low_dl_min": _rmv_low(records.get(member)),
            }
            for member in members
        ],
    }


def _cylinder_dl(check: GasCheck | None) -> int | None:
    if check is None:
        return None
    return rules.cylinder_dl(check.volume, check.volume_unit, check.working_pressure, check.pressure_unit)


def _rmv_low(diver: Diver | None) -> int | None:
    return None if diver is None else rules.rmv_low_dl_min(diver.rmv_l_min, diver.rmv_sd_l_min)


def _pressure(value: Any, unit: str) -> dict[str, Any] | None:
    """A gauge pressure at which to act, rounded up to a whole unit; None where it is not known."""
    return {"unit": unit, "value": -int(-value // 1)} if isinstance(value, int | float) else None


def _o2_pm(check: GasCheck | None) -> int | None:
    """Oxygen as analysed; a label alone is not known."""
    return check.analysed_o2_pm if check else None
