"""The dives of a trip's day solved together, and the whole day's teams announced at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from teamdive.pairing.model import listed
from teamdive.people.models import User
from teamdive.scale.teams import teams

from . import rules, selectors
from .bodies import common, demands, dive_part, diver_part, local_day, surfaced_at
from .models import Booking, Dive, Team, Trip
from .rules_boats import named_on, seated
from .selectors_wishes import private_wishes
from .services import open_trip
from .services_judging import UnableToAnnounceTeams
from .services_teams import UnableToSolveTeams, announce_teams, signature

MOST_DIVES = 3
ASKED = (
    *("wishes", "locked", "forbidden", "guided", "overrides"),
    *("out_of_water", "surface_cover", "waves"),
)


def solve_day(*, trip: Trip, asked: Mapping[str, Any], by: User | None) -> dict[str, Any]:
    """Who dives with whom on all dives of a trip, from the records: the answer of `calculations.several`.

    `asked`: `partners` (keep, change or either), `cost_s`, `expect_gas` as for one dive, and `dives`: {"dive": id,
    wishes, locked, forbidden, guided, overrides, out_of_water, surface_cover, waves}. Overrides are signed with who
    asks. `boats`: {"boat": id, aboard, surface_cover} where more than one goes: each takes as many as it may carry,
    has a leader, and the answer says who is on which. Whoever is booked and does not dive has a seat by name; a diver
    whom it leaves without a team and a seat is named in a warning. `announce_day` takes what is chosen of it. Raises
    UnableToSolveTeams with what has to be done first, or the calculation's Problem.
    """
    trip = open_trip(trip)
    dives = list(trip.dives.select_related("trip__club", "site").order_by("number"))
    _can_be_one_day(trip, dives)
    signed = signature(trip, by)
    stated = {item["dive"]: item for item in asked.get("dives", [])}
    expected = asked.get("expect_gas")
    diving = [selectors.booked_divers(dive) for dive in dives]
    everybody = list({booking.pk: booking for each in diving for booking in each}.values())
    if len(everybody) < 2:
        raise UnableToSolveTeams(
            "Fewer than two divers dive on these dives. Book more.", code="too_few_divers"
        )
    first = dives[0]
    wish = {"partners": asked.get("partners") or "either", "cost_s": asked.get("cost_s")}
    body = {
        **common(trip.club, first),
        "divers": [
            diver_part(facts, first, trip.club, for_teams=True)
            for facts in selectors.facts(first, everybody, expected)
        ],
        "dives": [
            _dive(dive, dives[at - 1] if at else None, everybody, diving[at], expected)
            | _stated(stated.get(dive.pk, {}), signed, everybody, diving[at])
            for at, dive in enumerate(dives)
        ],
        **({"boats": boats} if (boats := _boats(trip, asked.get("boats", []), everybody)) else {}),
        "between_dives": {name: value for name, value in wish.items() if value is not None},
        **({"policy": trip.club.policy} if trip.club.policy else {}),
    }
    answer = teams(body)
    answer["warnings"] += _without_a_seat(answer, everybody) if boats else []
    return answer


@dataclass(frozen=True)
class ChosenDive:
    """The teams of one dive as chosen (members, leader) with the boat of each, and what was decided for it."""

    dive: Dive
    teams: Sequence[tuple[Sequence[UUID], UUID | None]]
    boats: Sequence[UUID | None] = ()
    overrides: Sequence[Mapping[str, Any]] = ()
    cover: Sequence[Mapping[str, str]] = ()
    guided: Sequence[Sequence[UUID | str]] = ()


@transaction.atomic
def announce_day(
    *,
    trip: Trip,
    chosen: Sequence[ChosenDive],
    by: User | None,
    now: datetime,
    expect_gas: Mapping[str, Any] | None = None,
    boats: Sequence[Mapping[str, Any]] = (),
) -> list[Team]:
    """Announce the teams of several dives of a trip, all of them or none; the later dives rest on the earlier ones.

    `boats` as in `solve_day`, where more than one goes: each person keeps the boat of their teams, or the one they are
    named on. Without them all go on the trip's own. Raises as `announce_teams` does, the pointer naming the dive
    (`/dives/0/teams/1`).
    """
    _seat(trip, boats, chosen)
    covering = [one for boat in boats for one in boat.get("surface_cover", ())]
    announced: list[Team] = []
    for at, one in sorted(enumerate(chosen), key=lambda each: each[1].dive.number):
        try:
            announced += announce_teams(
                dive=one.dive,
                chosen=one.teams,
                by=by,
                now=now,
                overrides=one.overrides,
                cover=[*one.cover, *covering],
                expect_gas=expect_gas,
                guided=one.guided,
            )
        except UnableToAnnounceTeams as refused:
            errors = [{**error, "pointer": f"/dives/{at}{error['pointer']}"} for error in refused.errors]
            raise UnableToAnnounceTeams(
                f"Dive {one.dive.number}: {refused}", code=refused.code, errors=errors
            ) from refused
    return announced


def _seat(trip: Trip, boats: Sequence[Mapping[str, Any]], chosen: Sequence[ChosenDive]) -> None:
    """Keep which boat everyone booked goes on; raises UnableToAnnounceTeams where that is not one boat."""
    club_boats = {str(boat.pk): boat for boat in trip.club.boats.all()}
    teams = [
        ([str(person) for person in members], None if on is None else str(on))
        for one in chosen
        for (members, _), on in zip(one.teams, one.boats or [None] * len(one.teams), strict=True)
    ]
    going = {str(boat["boat"]) for boat in boats}
    stray = (going | {on for _, on in teams if on is not None}) - set(club_boats)
    if stray or any(on is not None and on not in going for _, on in teams):
        raise UnableToAnnounceTeams(
            "A team's boat is not among the boats of the day. Find the teams again.", code="boat_not_known"
        )
    booked = list(trip.bookings.select_related("diver").filter(cancelled_at=None))
    on_boats = seated(boats, teams) if len(going) > 1 else {}
    if len(going) == 1 and going != {str(trip.boat_id)}:
        # Another boat than the trip's own carries everybody.
        on_boats = {str(booking.pk): going for booking in booked}
    for booking in booked:
        found = on_boats.get(str(booking.pk), set())
        if len(found) > 1:
            names = listed(sorted(club_boats[boat].name for boat in found))
            raise UnableToAnnounceTeams(
                f"{booking.display_name} would be on {names}: one boat all day. Find the teams again.",
                code="person_on_two_boats",
                pointer="/boats",
            )
        boat = club_boats[next(iter(found))] if found else None
        if booking.boat_id != (boat and boat.pk):
            Booking.objects.filter(pk=booking.pk).update(boat=boat)


def _boats(trip: Trip, asked: Sequence[Mapping[str, Any]], diving: Sequence[Booking]) -> list[dict[str, Any]]:
    """The boats of the day as the calculation takes them; how many each carries comes from its record."""
    boats = {boat.pk: boat for boat in trip.club.boats.all()}
    known = {str(b.pk): b.display_name for b in trip.bookings.filter(cancelled_at=None)}
    found = []
    for at, one in enumerate(asked):
        boat = boats.get(one["boat"])
        if boat is None:
            raise UnableToSolveTeams(
                "The club has no such boat.", code="boat_not_known", pointer=f"/boats/{at}"
            )
        if boat.most_persons is None:
            text = f"Say how many persons {boat.name} may carry: it is not known."
            raise UnableToSolveTeams(text, code="boat_capacity_not_known", pointer=f"/boats/{at}")
        if not named_on([one]) <= set(known):
            text = f"Somebody named on {boat.name} is not on this trip. Name its people again."
            raise UnableToSolveTeams(text, code="person_not_known", pointer=f"/boats/{at}")
        item = {"id": str(boat.pk), "persons": boat.most_persons}
        found.append(item | {name: one[name] for name in ("aboard", "surface_cover") if one.get(name)})
    others = sorted(set(known) - named_on(asked) - {str(booking.pk) for booking in diving})
    if len(found) == 1:
        found[0]["aboard"] = [*found[0].get("aboard", ()), *others]
    elif found and others:
        text = f"Say which boat they go on: {listed([known[one] for one in others])}. Each takes a seat."
        raise UnableToSolveTeams(text, code="person_on_no_boat", pointer="/boats")
    return found


def _without_a_seat(answer: Mapping[str, Any], diving: Sequence[Booking]) -> list[dict[str, Any]]:
    """Divers whom the answer leaves without a team and without a seat: they come along, so they need one."""
    seated = {person for boat in answer["boats"] for person in boat["divers"]}
    left = sorted(str(booking.pk) for booking in diving if str(booking.pk) not in seated)
    if not left:
        return []
    message = (
        f"No team and no seat on a boat: {listed(left)}. Say which boat they go on and find the teams again, "
        "or take them off the trip."
    )
    return [{"code": "person_on_no_boat", "pointer": "/boats", "divers": left, "message": message}]


def _can_be_one_day(trip: Trip, dives: Sequence[Dive]) -> None:
    if not 1 <= len(dives) <= MOST_DIVES:
        text = f"One to {MOST_DIVES} dives are solved together; this trip has {len(dives)}."
        raise UnableToSolveTeams(text, code="dives_not_together")
    unset = next((dive for dive in dives if dive.planned_at is None), None)
    if unset is not None:
        raise UnableToSolveTeams(
            "Set when each dive is planned: the interval between them is needed.",
            code="dive_time_not_set",
            pointer=f"/dives/{unset.pk}/planned_at",
        )
    days = {local_day(trip.club, dive.planned_at) for dive in dives if dive.planned_at is not None}
    if len(days) > 1 or len({dive.depth_unit for dive in dives}) > 1:
        text = "Dives of one day with depths in one unit are solved together. Find the teams of each dive by itself."
        raise UnableToSolveTeams(text, code="dives_not_together")


def _interval_min(before: Dive, dive: Dive) -> int:
    """From the planned end of one dive to the start of the next."""
    over = surfaced_at(before, before.bottom_time_s)
    start: datetime | None = dive.planned_at
    minutes = 0 if over is None or start is None else rules.minutes_between(over, start)
    if minutes < 10:
        raise UnableToSolveTeams(
            f"Dive {dive.number} starts less than 10 minutes after dive {before.number} is over: "
            "the tables count the two as one dive. Plan it later.",
            code="dives_overlap",
            pointer=f"/dives/{dive.pk}/planned_at",
        )
    return minutes


def _dive(
    dive: Dive,
    before: Dive | None,
    everybody: Sequence[Booking],
    diving: Sequence[Booking],
    expected: Mapping[str, Any] | None,
) -> dict[str, Any]:
    """One dive as the records have it: what it asks, the gas taken on it, what was announced for it."""
    item: dict[str, Any] = {"dive": {**dive_part(dive), "demands": demands(dive)}}
    ids = {str(booking.pk) for booking in diving}
    announced = [[person for person in team if person in ids] for team in dive.last_announced]
    item["announced"] = [team for team in announced if len(team) > 1]
    if before is None:
        return item
    item["surface_interval_min"] = _interval_min(before, dive)
    facts = selectors.facts(dive, list(everybody), dict(expected) if expected else None)
    parts = [diver_part(one, dive, dive.trip.club, for_teams=True) for one in facts]
    item["divers"] = [
        {name: part[name] for name in ("id", "cylinders", "gas") if name in part} for part in parts
    ]
    return item


def _stated(
    stated: Mapping[str, Any], signed: str, everybody: Sequence[Booking], diving: Sequence[Booking]
) -> dict[str, Any]:
    """What the organiser asks of one dive, and who of the day does not dive on it."""
    item = {name: stated[name] for name in ASKED if stated.get(name)}
    if "overrides" in item:
        item["overrides"] = [{**override, "by": signed} for override in item["overrides"]]
    ids = {booking.pk for booking in diving}
    out = [str(booking.pk) for booking in everybody if booking.pk not in ids]
    if private := private_wishes(everybody):
        item["wishes"] = [*item.get("wishes", []), *private]
    return item | {"out_of_water": list(dict.fromkeys([*item.get("out_of_water", []), *out]))}
