"""Decisions about a trip, from plain values: times of a dive, and what keeps a trip from being ready. Pure."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, cast

from teamdive.pairing.case import Case
from teamdive.pairing.cover import cover_lacking
from teamdive.pairing.model import Demands, Policy
from teamdive.people.conversions import CUFT_IN_LITRES, PSI_IN_BAR
from teamdive.physics.units import Depth, DepthUnit

DESCENT_CM_MIN = 1800
ASCENT_CM_MIN = 900
SAFETY_STOP_CM = 500
SAFETY_STOP_S = 180
SEARCH_MIN = 1
AIR_O2_PM = 210


@dataclass(frozen=True)
class Reason:
    """One thing that keeps a trip from being ready, and how to mend it."""

    code: str
    message: str
    remedy: str
    pointer: str = ""

    def as_json(self) -> dict[str, str]:
        return {"pointer": self.pointer, "code": self.code, "message": self.message, "remedy": self.remedy}


def depth_cm(hundredths: int, unit: str) -> int:
    """A depth in whole centimetres of sea water, rounded up."""
    return Depth(hundredths, cast(DepthUnit, unit)).cm


def run_time_s(hundredths: int, unit: str, bottom_time_s: int) -> int:
    """From leaving the surface to being back: bottom time, ascent at 9 m a minute and the safety stop.

    No time is added for a swim on the surface: due means that a head should be seen by then.
    """
    ascent_s = -(-depth_cm(hundredths, unit) * 60 // ASCENT_CM_MIN)
    return bottom_time_s + ascent_s + SAFETY_STOP_S


def cylinder_dl(volume: Decimal, volume_unit: str, working_pressure: int, pressure_unit: str) -> int:
    """The water volume of a cylinder in tenths of a litre, rounded up; cubic feet are of gas at the working pressure.

    Free gas is counted at 1 atm = 1.01325 bar (NIST SP 811, appendix B).
    """
    litres = volume
    if volume_unit == "cuft":
        bar = working_pressure / (PSI_IN_BAR if pressure_unit == "psi" else Decimal(1))
        litres = volume * CUFT_IN_LITRES * Decimal("1.01325") / bar
    return int(-(-litres * 10 // 1))


def rmv_low_dl_min(mean: Decimal | None, spread: Decimal | None) -> int | None:
    """How little a diver may breathe, tenths of a litre a minute: two spreads below the mean, at least a third of it.

    Our own choice; a spread that is not known is taken as a fifth of the mean. None: the mean is not known.
    """
    if mean is None:
        return None
    low = mean - 2 * (mean / 5 if spread is None else spread)
    return max(10, int(max(low, mean / 3) * 10))


def minutes_between(surfaced_at: datetime, down_at: datetime) -> int:
    """Whole minutes on the surface, rounded down; negative where the dives overlap."""
    return int((down_at - surfaced_at) // timedelta(minutes=1))


@dataclass(frozen=True)
class PlannedTeam:
    number: int
    members: tuple[str, ...]
    has_lead: bool
    limit_s: int | None
    limited_by: str | None


@dataclass(frozen=True)
class PlannedDive:
    id: str
    number: int
    planned_at: datetime | None
    teams: tuple[PlannedTeam, ...]


@dataclass(frozen=True)
class TripPlan:
    """What `not_ready` judges. `aboard` holds every person on the trip, by booking."""

    overdue_after_min: int | None
    aboard: frozenset[str]
    dives: tuple[PlannedDive, ...]


def not_ready(trip: TripPlan) -> list[Reason]:
    """Every reason why the trip cannot leave as it is; an empty list: it is ready."""
    return [
        *_of_the_club(trip),
        *_of_the_people(trip),
        *(r for dive in trip.dives for r in _of_a_dive(dive, trip)),
    ]


def _of_the_club(trip: TripPlan) -> Iterable[Reason]:
    if trip.overdue_after_min is None:
        yield Reason(
            "overdue_minutes_not_set",
            "The club has not said after how many minutes a late team counts as overdue.",
            "Set the minutes in the club's settings. No figure is published; your club decides it.",
            "/club/overdue_after_min",
        )
    if not trip.dives:
        yield Reason("no_dives", "The trip has no dive.", "Add a dive.", "/dives")


def _of_the_people(trip: TripPlan) -> Iterable[Reason]:
    if not trip.aboard:
        yield Reason("nobody_booked", "Nobody is booked.", "Add the people who come.", "/bookings")


def _of_a_dive(dive: PlannedDive, trip: TripPlan) -> Iterable[Reason]:
    at = f"/dives/{dive.id}"
    if dive.planned_at is None:
        yield Reason(
            "dive_time_not_set",
            f"Dive {dive.number} has no planned time.",
            "Set when it is planned; it can change on the day.",
            f"{at}/planned_at",
        )
    if not dive.teams:
        yield Reason(
            "teams_missing",
            f"Dive {dive.number} has no teams.",
            "Have the teams worked out and announce them.",
            f"{at}/teams",
        )
        return
    in_water = {person for team in dive.teams for person in team.members}
    if in_water - trip.aboard:
        yield Reason(
            "team_of_someone_not_aboard",
            f"A team of dive {dive.number} has someone who is no longer booked.",
            "Announce its teams again.",
            f"{at}/teams",
        )
    if not trip.aboard - in_water:
        yield Reason(
            "nobody_holds_the_deck",
            f"On dive {dive.number} everybody is in the water: nobody is left to hold the deck.",
            "Let someone stay out of this dive, or add who stays aboard.",
            f"{at}/teams",
        )
    for team in dive.teams:
        if team.limit_s == 0:
            yield Reason(
                "team_has_no_time",
                f"Team {team.number} of dive {dive.number} has no bottom time: {words(team.limited_by)}.",
                "Change the team, its gas or the dive.",
                f"{at}/teams",
            )


LIMIT_WORDS = {
    "tissue_no_stop": "the tissue model's no-stop limit",
    "table_no_stop": "the table's no-stop limit",
    "gas": "gas",
    "oxygen": "oxygen",
    "certified_depth": "certified depth",
    "planned": "the planned time",
}


def words(limited_by: str | None) -> str:
    """How a limit is called on screen."""
    return LIMIT_WORDS.get(limited_by or "", "its limit is not known")


def said_of_team(team: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Why a team is as it is, and of three divers who watches whom and what happens if one ends the dive."""
    ring, split = team.get("ring", []), team.get("split", [])
    said = "; ".join(f"{one['diver']} watches {one['watches']}" for one in ring)
    watch = (
        [{"code": "ring", "divers": [one["diver"] for one in ring], "message": f"{said}."}] if ring else []
    )
    ends = [{"code": "split", "divers": [one["ends"]], "message": one["message"]} for one in split]
    return [*team["reasons"], *watch, *ends]


DEPTH_RULES = frozenset({"certified_depth", "certified_depth_not_known"})


def depth_set_aside(
    overrides: Iterable[Mapping[str, Any]], certified: Mapping[str, int | None], planned: int
) -> list[dict[str, Any]]:
    """The overrides that set aside how deep one of these divers is certified: the dive goes deeper, or it is not known
    how deep they may go. Depths in hundredths of one unit. One a diver signs for themselves lifts nothing."""
    return [
        dict(one)
        for one in overrides
        if one["rule"] in DEPTH_RULES
        and one["diver"] in certified
        and one["by"] != one["diver"]
        and (certified[one["diver"]] or 0) < planned
    ]


def may_set_aside(
    rule: Mapping[str, Any], signed: str, members: Collection[str], leads: Collection[str]
) -> dict[str, Any]:
    """Whether whoever signs may set aside a rule against these members, and what else mends it.

    Never for oneself, and whoever dives in the team only as a dive leader.
    """
    if not rule.get("overridable", False):
        return {"overridable": False, "remedy": "Change the team: this rule is never set aside."}
    if signed in rule["divers"]:
        remedy = "Change the team, or let someone else decide: nobody sets a rule aside for themselves."
        return {"overridable": False, "remedy": remedy}
    if signed in members and signed not in leads:
        return {"overridable": False, "remedy": "Change the team, or let a dive leader decide."}
    return {"overridable": True, "remedy": "Change the team, or set the rule aside with a reason."}


def cover_missing(policy: Mapping[str, Any], cover: Iterable[Mapping[str, str]]) -> list[str]:
    """The roles at the surface that nobody named has, by the club's setting of which go together."""
    combined = policy.get("cover_roles_combined")
    settings = Policy() if combined is None else Policy(cover_combined=tuple(map(tuple, combined)))
    named = tuple((one["role"], one["person"]) for one in cover)
    return cover_lacking(Case(Demands("m", 0), 0, settings, {}, {}, cover=named))


def teams_that_cannot_be(
    teams: Sequence[tuple[Sequence[str], str | None]],
    may_dive: frozenset[str],
    known: frozenset[str],
    guided: Collection[frozenset[str]] = (),
) -> list[tuple[str, str, str]]:
    """(pointer, code, message) of every team that names someone wrongly. Sizes are two or three; of a guided group
    the club's ratio judges the size, and it names its leader."""
    troubles: list[tuple[str, str, str]] = []
    seen: dict[str, int] = {}
    for place, (members, lead) in enumerate(teams):
        at = f"/teams/{place}"
        group = frozenset(members) in guided
        if len(members) < 2 or (len(members) > 3 and not group):
            troubles.append((f"{at}/members", "team_size", "A team is two divers, or three."))
        if group and lead is None:
            troubles.append((f"{at}/lead", "lead_missing", "Name who leads this guided group."))
        for index, person in enumerate(members):
            pointer = f"{at}/members/{index}"
            if person not in known:
                troubles.append((pointer, "person_not_known", "There is no such person on this trip."))
            elif person not in may_dive:
                troubles.append((pointer, "does_not_dive", "This person does not dive on this dive."))
            if person in seen:
                troubles.append(
                    (pointer, "in_two_teams", f"This person is in team {seen[person] + 1} already.")
                )
            seen.setdefault(person, place)
        if lead is not None and lead not in members:
            troubles.append((f"{at}/lead", "lead_not_in_team", "The leader of a team is one of its members."))
    return troubles
