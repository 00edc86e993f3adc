"""Gas, teams and their plans: recorded, solved, announced."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from teamdive.people.models import User
from teamdive.scale.teams import teams

from . import rules, selectors, services
from .bodies import surfaced_at
from .models import Booking, Dive, GasCheck, Proposal, Team, TeamMember, Trip
from .rules_boats import DiveTeams, several
from .selectors_boats import seat_troubles, seats
from .services import UnableToChangeTrip, UnableToKeepTrip, keep, open_trip, withdraw
from .services_judging import UnableToAnnounceTeams, judge
from .services_plans import plan_of_team, replan

ASKED = (
    *("wishes", "locked", "forbidden", "guided", "overrides", "why_not", "out_of_water", "surface_cover"),
    *("alternatives", "drop_outs", "robust", "least_change"),
)


class UnableToSolveTeams(UnableToChangeTrip):
    code = "unable_to_solve_teams"


@transaction.atomic
def check_gas(
    *,
    booking: Booking,
    dive: Dive,
    cylinder: str,
    volume: Decimal,
    volume_unit: str,
    working_pressure: int,
    pressure_unit: str,
    now: datetime,
    start_pressure: int | None = None,
    o2_pm: int = 210,
    analysed_o2_pm: int | None = None,
    analysed_by: Booking | None = None,
) -> GasCheck:
    """What one diver takes on one dive. Another cylinder, or a pressure that rose, voids the analysis there was:
    sent again unchanged with such a change it is not taken for a new one. Plans that rest on it are redone."""
    dive.trip = trip = open_trip(dive.trip)
    for person in (booking, analysed_by):
        if person is not None and person.trip_id != dive.trip_id:
            raise UnableToKeepTrip("That person is not on this trip.", code="person_not_known")
    check = GasCheck.objects.filter(booking=booking, dive=dive).first() or GasCheck(
        booking=booking, dive=dive
    )
    other = check.cylinder != cylinder or (start_pressure or 0) > (
        check.start_pressure or start_pressure or 0
    )
    analysed_before = (check.analysed_o2_pm, check.analysed_by_id, check.analysed_at)
    check.cylinder, check.volume, check.volume_unit = cylinder, volume, volume_unit
    check.working_pressure, check.pressure_unit = working_pressure, pressure_unit
    check.start_pressure, check.o2_pm = start_pressure, o2_pm
    unchanged = analysed_before[:2] == (analysed_o2_pm, analysed_by and analysed_by.pk)
    if analysed_o2_pm is None or (other and unchanged):
        check.analysed_o2_pm = check.analysed_by = check.analysed_at = None
    else:
        check.analysed_o2_pm, check.analysed_by = analysed_o2_pm, analysed_by
        check.analysed_at = analysed_before[2] if unchanged and analysed_before[2] else now
    keep(check)
    replan(trip, dive.number)
    return check


@transaction.atomic
def solve_teams(*, dive: Dive, asked: Mapping[str, Any], by: User | None, now: datetime) -> Proposal:
    """Work out who dives with whom from the records; nothing is announced by it.

    `asked` may hold, by booking id, wishes, locked, forbidden, guided, overrides (rule, diver, reason), why_not,
    out_of_water and surface_cover (role, person); besides `alternatives` (how many other days), `drop_outs`,
    `robust`, `least_change`, and `expect_gas` ({"unit", "value"}: the pressure of air to draft with where nothing is
    recorded yet). Overrides are signed with who asks. Raises UnableToSolveTeams with what has to be done first, or the
    calculation's Problem.
    """
    dive.trip = open_trip(dive.trip)
    earlier_settled(dive)
    wanted = {name: asked[name] for name in (*ASKED, "expect_gas") if asked.get(name)}
    if "overrides" in wanted:
        signed = signature(dive.trip, by)
        wanted["overrides"] = [{**override, "by": signed} for override in wanted["overrides"]]
    body, people = selectors.question(dive, wanted)
    if len(people) < 2:
        raise UnableToSolveTeams("Fewer than two divers dive on this dive. Book more.", code="too_few_divers")
    # What would give somebody a place is worked out unasked, within the size where it takes no time to speak of.
    answer = teams({**body, "remedies": len(people) <= selectors.FEW})
    drafted = [str(f.booking.pk) for f in people if f.gas is not None and f.gas._state.adding]
    if drafted:
        expected = wanted["expect_gas"]
        answer["warnings"].append(
            {
                "code": "gas_expected",
                "pointer": "/expect_gas",
                "message": f"Gas is not recorded yet for {len(drafted)} of {len(people)} divers: drafted with "
                f"{expected['value']} {expected['unit']} of air each. Their limits are known once it is recorded.",
                "divers": drafted,
            }
        )
    return Proposal.objects.create(
        dive=dive, made_at=now, made_by=by, asked=wanted, answer=answer, rests_on=selectors.digest(body)
    )


def signature(trip: Trip, by: User | None) -> str:
    """The id under which a user decides on a trip: their booking, else their account."""
    if by is None:
        return "keeper"
    booked = sorted(str(person) for person in selectors.people_of(by, trip.pk))
    return booked[0] if booked else str(by.pk)


def earlier_settled(dive: Dive) -> None:
    """The dives before this one are announced and over before it starts; raises UnableToSolveTeams if not."""
    for earlier in dive.trip.dives.filter(number__lt=dive.number).order_by("number"):
        if not earlier.teams.exists():
            raise UnableToSolveTeams(
                f"Announce the teams of dive {earlier.number} first: this dive rests on what each diver does there.",
                code="earlier_teams_missing",
                pointer=f"/dives/{earlier.pk}/teams",
            )
        over = surfaced_at(earlier, earlier.bottom_time_s)
        if over is None or dive.planned_at is None:
            raise UnableToSolveTeams(
                "Set when both dives are planned: the interval between them is needed.",
                code="dive_time_not_set",
                pointer=f"/dives/{earlier.pk if over is None else dive.pk}/planned_at",
            )
        if rules.minutes_between(over, dive.planned_at) < 10:
            raise UnableToSolveTeams(
                f"Dive {dive.number} starts less than 10 minutes after dive {earlier.number} is over: "
                "the tables count the two as one dive. Plan it later.",
                code="dives_overlap",
                pointer=f"/dives/{dive.pk}/planned_at",
            )


@transaction.atomic
def announce_teams(
    *,
    dive: Dive,
    chosen: Sequence[tuple[Sequence[UUID], UUID | None]],
    by: User | None,
    now: datetime,
    proposal: Proposal | None = None,
    overrides: Sequence[Mapping[str, Any]] = (),
    cover: Sequence[Mapping[str, str]] = (),
    expect_gas: Mapping[str, Any] | None = None,
    guided: Iterable[Iterable[UUID | str]] = (),
) -> list[Team]:
    """Announce these teams (members, leader) for a dive, each with its plan; replaces what was announced.

    `guided`: which of them are guided groups, beside those the proposal was asked with. Without a proposal, `cover`
    names who stays out of the water (role, person) and `expect_gas` the gas that the teams were drafted with.

    A team that a hard rule forbids is refused with the rules, unless an override with a reason stands for each;
    what no override lifts stays refused, and so is a trip of more people than its boat may carry. Later dives rest on
    this one, so their teams are withdrawn.
    """
    dive.trip = trip = open_trip(dive.trip)
    earlier_settled(dive)
    divers = {str(b.pk): b for b in selectors.booked_divers(dive)}
    named = [([str(m) for m in members], None if lead is None else str(lead)) for members, lead in chosen]
    everyone = frozenset(str(pk) for pk in trip.bookings.values_list("pk", flat=True))
    asked_groups = proposal.asked.get("guided", []) if proposal is not None else []
    groups = {frozenset(str(one) for one in group) for group in (*asked_groups, *guided)}
    troubles = rules.teams_that_cannot_be(named, frozenset(divers), everyone, groups)
    if troubles:
        raise UnableToAnnounceTeams(
            troubles[0][2],
            code=troubles[0][1],
            errors=[{"pointer": p, "code": c, "message": m} for p, c, m in troubles],
        )
    _fits_its_boats(dive, [members for members, _ in named])
    _cover_named(dive, proposal, cover, frozenset(member for members, _ in named for member in members))
    facts = {str(f.booking.pk): f for f in selectors.facts(dive, list(divers.values()))}
    # The rules may be judged on a draft's gas; the plan of a team rests on what is recorded alone.
    expected = proposal.asked.get("expect_gas") if proposal is not None else expect_gas
    drafted = {
        str(f.booking.pk): f
        for f in selectors.facts(dive, list(divers.values()), dict(expected) if expected else None)
    }
    signed = signature(trip, by)
    stated = [{**override, "by": signed} for override in overrides]
    if not stated and proposal is not None:
        stated = proposal.asked.get("overrides", [])
    judged = judge(dive, [members for members, _ in named], drafted, stated, signed, groups)
    withdraw(trip, dive.number)
    dive.overrides = [override for override in stated if any(override["diver"] in m for m, _ in named)]
    stretched = {d["id"] for one in judged for d in one["divers"] if d["stretches"] != 0}
    announced = []
    for number, (members, lead) in enumerate(named, start=1):
        team = keep(
            Team(
                dive=dive,
                number=number,
                lead=divers[lead] if lead else None,
                plan=plan_of_team(dive, [facts[m] for m in members], stretched),
                reasons=rules.said_of_team(judged[number - 1]["teams"][0]),
                guided=frozenset(members) in groups,
                announced_at=now,
                announced_by=by,
            )
        )
        for position, member in enumerate(members, start=1):
            TeamMember.objects.create(team=team, dive=dive, booking=divers[member], position=position)
        announced.append(team)
    dive.last_announced = [members for members, _ in named]
    dive.save(update_fields=["last_announced", "overrides"])
    if dive.number > 1:
        # The plans of the dive before say what this one makes their divers wait.
        replan(trip, dive.number - 1)
    return announced


def _fits_its_boats(dive: Dive, teams: Sequence[Sequence[str]]) -> None:
    """Everyone booked goes to sea, so each takes a seat, in a team or not; partners go on one boat."""
    found = seat_troubles(dive.trip, [DiveTeams(str(dive.pk), dive.number, teams)])
    if found:
        raise UnableToAnnounceTeams(
            f"{found[0].message} {found[0].remedy}",
            code=found[0].code,
            errors=[
                {"pointer": one.pointer, "code": one.code, "message": f"{one.message} {one.remedy}"}
                for one in found
            ],
        )


def _cover_named(
    dive: Dive, proposal: Proposal | None, cover: Sequence[Mapping[str, str]], diving: frozenset[str]
) -> None:
    """Where the club requires it, whoever stays out of the water is named before teams are announced."""
    if proposal is not None:
        cover = proposal.asked.get("surface_cover", [])
    wet = sorted(one["person"] for one in cover if one["person"] in diving)
    if wet:
        raise UnableToAnnounceTeams(
            "Somebody named to stay out of the water is in a team of this dive. Find the teams again.",
            code="surface_cover_dives",
        )
    policy = dive.trip.club.policy
    if policy.get("surface_cover") == "required" and any(
        rules.cover_missing(policy, one) for one in _by_boat(dive.trip, cover, diving)
    ):
        raise UnableToAnnounceTeams(
            "Name who stays out of the water on this dive, on each boat that has divers, then find the teams: "
            "your club requires it.",
            code="surface_cover_missing",
        )


def _by_boat(
    trip: Trip, cover: Sequence[Mapping[str, str]], diving: frozenset[str]
) -> list[Sequence[Mapping[str, str]]]:
    """Who covers the divers of each boat that has any; with one boat, everyone named."""
    seated = seats(trip)
    if not several(seated):
        return [cover]
    on = {seat.person: seat.boat for seat in seated}
    boats = sorted({boat for person in diving if (boat := on.get(person)) is not None})
    return [[one for one in cover if on.get(one["person"]) == boat] for boat in boats]


@transaction.atomic
def change_booking(*, booking: Booking, **fields: Any) -> Booking:
    """As `services.change_booking`; a flight is part of every plan of its diver."""
    changed = services.change_booking(booking=booking, **fields)
    if "flies_at" in fields:
        replan(booking.trip, 1)
    return changed
