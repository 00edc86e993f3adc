"""The bodies of the `plan` and `teams` calculations, made from the records.

What the records do not know is left out, so that the calculations answer `not known` and say what is missing.
Every conversion goes to the careful side: certified depths and gas down, depths breathed at up.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime, timedelta
from decimal import ROUND_DOWN, ROUND_UP, Decimal
from typing import Any, cast
from zoneinfo import ZoneInfo

from teamdive.calculations.team_reading import USUAL_DEEPEST
from teamdive.logbook.selectors import deeper
from teamdive.people.models import Club, Cylinder
from teamdive.people.selectors import certified as certified_on
from teamdive.people.selectors import fitness_of
from teamdive.physics.units import DepthUnit

from . import rules
from .cylinders import pressure, volume
from .models import Booking, Dive, GasCheck
from .person_facts import PersonFacts

SAFETY_STOP = {"m": {"depth": 5, "min": 3}, "ft": {"depth": 15, "min": 3}}
FURTHEST_FLIGHT_MIN = 7 * 1440
GAS = ("gas_law", "fill_temp_c", "gas_margin_percent", "air_needs_analysis")
SHARING = ("stressed_rmv_l_min", "delay_at_depth_min", "surface_reserve", "regulator_minimum")


def local_day(club: Club, at: datetime) -> date:
    return at.astimezone(ZoneInfo(club.time_zone)).date()


def common(club: Club, dive: Dive) -> dict[str, Any]:
    """The part of a body that is the club's and the dive's."""
    day = local_day(club, dive.planned_at or dive.trip.starts_at)
    gas = club.gas
    site = dive.site
    return {
        "depth_unit": dive.depth_unit,
        "pressure_unit": club.pressure_unit,
        "volume_unit": club.volume_unit,
        "on": day.isoformat(),
        "method": club.method,
        "gf": [club.gf_low_pm / 1000, club.gf_high_pm / 1000],
        "beyond_40_m_enabled": club.beyond_40_m_enabled,
        "gas_rule": "minimum_gas",
        **({"site_altitude_m": site.altitude_m, "water": site.water} if site else {}),
        **{k: gas[k] for k in GAS if k in gas},
        **({"sharing": sharing} if (sharing := {k: gas[k] for k in SHARING if k in gas}) else {}),
        **{
            name: own
            for name in ("least_surface_interval_min", "rest_after_beyond_limit_min")
            if (own := getattr(club, name)) is not None
        },
    }


def dive_part(dive: Dive) -> dict[str, Any]:
    """`dive` of a body, without what it asks of experience."""
    return {
        "depth": dive.depth_hundredths / 100,
        "bottom_time_min": dive.bottom_time_s / 60,
        "work": dive.work,
        "return": dive.return_to,
        "safety_stop": SAFETY_STOP[dive.depth_unit],
        **{
            name: float(value)
            for name, value in (("current_kn", dive.current_kn), ("water_temp_c", dive.water_temp_c))
            if value is not None
        },
        **({} if (along := along_current(dive)) is None else {"along_current": along}),
        **({} if dive.task_unit_min is None else {"task_unit_min": dive.task_unit_min}),
    }


def along_current(dive: Dive) -> dict[str, Any] | None:
    """Out and back along the dive's current: which way first, and how fast the team swims."""
    if dive.along_current == "" or dive.swim_kn is None:
        return None
    return {"first": dive.along_current, "swim_kn": float(dive.swim_kn)}


def demands(dive: Dive) -> dict[str, Any]:
    """What the dive asks of a diver; what is not said is not asked."""
    asked: dict[str, Any] = {
        "current_kn": dive.current_kn,
        "visibility_m": dive.visibility_m,
        "water_temp_c": dive.water_temp_c,
    }
    known = {name: float(value) for name, value in asked.items() if value is not None}
    task = {"kind": dive.task_kind, "level": dive.task_level} if dive.task_kind else None
    kinds = {"site_kind": dive.site_kind} if dive.site_kind else {}
    return {**known, **kinds, "night": dive.night, "task": task}


def diver_part(facts: PersonFacts, dive: Dive, club: Club, *, for_teams: bool) -> dict[str, Any]:
    """One item of `divers`: of `plan`, or of `teams` with what pairing asks besides."""
    booking, diver = facts.booking, facts.booking.diver
    if diver is None:
        raise ValueError("only a diver with a record dives")
    day = local_day(club, dive.planned_at or dive.trip.starts_at)
    certified, until = certified_on(diver, dive.depth_unit, day)
    part: dict[str, Any] = {
        "id": str(booking.pk),
        "certified_depth": None if certified is None else certified / 100,
        "rmv_l_min": _float(diver.rmv_l_min),
        "rmv_sd_l_min": _float(diver.rmv_sd_l_min),
        "born": diver.born.isoformat() if diver.born else None,
        "cylinders": _cylinders(facts, club),
        "gas": _gas(facts),
        "earlier_dives": _earlier(facts, dive),
        # Said only where it is so: whoever is supervised never counts as the one who shares.
        "supervised": True if diver.supervised else None,
    }
    if for_teams:
        part |= {
            "role": "leader" if booking.can_lead else "diver",
            "experience": dict(facts.experience) or None,
            "guardian_consent": diver.guardian_consent,
            "guardians": list(facts.guardians) or None,
            "certified_until": until.isoformat() if until else None,
            "fitness": fitness_of(diver, day),
        }
    else:
        part["flight"] = _flight(booking, dive)
    return {name: value for name, value in part.items() if value is not None}


def certified_hundredths(facts: PersonFacts, dive: Dive) -> int | None:
    """To what depth the diver is certified on the day of the dive; None where it is not known."""
    diver = facts.booking.diver
    day = local_day(dive.trip.club, dive.planned_at or dive.trip.starts_at)
    return None if diver is None else certified_on(diver, dive.depth_unit, day)[0]


def _flight(booking: Booking, dive: Dive) -> dict[str, int] | None:
    """Minutes from the dive to the flight home; a flight before it or weeks away says nothing about the dive."""
    if booking.flies_at is None or dive.planned_at is None:
        return None
    minutes = rules.minutes_between(dive.planned_at, booking.flies_at)
    return {"in_min": minutes} if 0 <= minutes <= FURTHEST_FLIGHT_MIN else None


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def _gas(facts: PersonFacts) -> dict[str, Any]:
    check = facts.gas
    if check is None:
        return {"o2_fraction": 0.21}
    gas: dict[str, Any] = {"o2_fraction": check.o2_pm / 1000}
    if check.analysed_o2_pm is not None and check.analysed_by_id and check.analysed_at:
        gas["analysis"] = {
            "o2_fraction": check.analysed_o2_pm / 1000,
            "by": str(check.analysed_by_id),
            "at": check.analysed_at.isoformat(),
            "cylinder": check.cylinder,
        }
    return gas


def _cylinders(facts: PersonFacts, club: Club) -> list[dict[str, Any]] | None:
    """The cylinder recorded for the dive; else the diver's usual one, its start pressure not known."""
    held: GasCheck | Cylinder | None = facts.gas
    name = facts.gas.cylinder if facts.gas else ""
    if held is None and facts.booking.diver:
        held = next((c for c in facts.booking.diver.cylinders.all() if not c.redundant), None)
        name = held.label if held else ""
    if held is None or held.volume is None or held.working_pressure is None:
        return None
    working = Decimal(held.working_pressure)
    cylinder: dict[str, Any] = {
        "id": name,
        "volume": volume(held.volume, held.volume_unit, working, held.pressure_unit, club.volume_unit),
        "working_pressure": pressure(working, held.pressure_unit, club.pressure_unit, ROUND_UP),
        "use": "main",
    }
    if facts.gas and facts.gas.start_pressure is not None:
        start = Decimal(facts.gas.start_pressure)
        cylinder["start_pressure"] = pressure(start, facts.gas.pressure_unit, club.pressure_unit, ROUND_DOWN)
    return [cylinder]


def _earlier(facts: PersonFacts, dive: Dive) -> list[dict[str, Any]] | None:
    if facts.before is None or dive.planned_at is None:
        return None
    return [
        {
            "depth": deeper(before.depth_hundredths, before.depth_unit, dive.depth_unit),
            "bottom_time_min": -(-before.bottom_time_s // 60),
            **({} if before.o2_pm is None else {"o2_fraction": max(before.o2_pm, rules.AIR_O2_PM) / 1000}),
            # Air that was read as a little under 21 % stays air.
            **({"analysed": True} if before.analysed and (before.o2_pm or 0) > rules.AIR_O2_PM else {}),
            "surfaced_min_before_descent": rules.minutes_between(before.surfaced_at, dive.planned_at),
        }
        for before in facts.before
    ]


def plan_body(
    dive: Dive,
    people: Sequence[PersonFacts],
    stretched: Collection[str] = (),
    set_aside: Sequence[Mapping[str, Any]] = (),
) -> dict[str, Any]:
    """The body of `plan` for one team of a dive; `stretched`: who takes a step on it; `set_aside`: the decisions past
    certified depths (see `rules.depth_set_aside`), after which the limits that remain end the dive."""
    club = dive.trip.club
    divers = [diver_part(facts, dive, club, for_teams=False) for facts in people]
    planned = dive_part(dive)
    lifted = {one["diver"] for one in set_aside}
    divers = [
        part | {"certified_depth": planned["depth"]} if part["id"] in lifted else part for part in divers
    ]
    if club.policy.get("deeper_beside_certified"):
        # Pairing has judged the step past a certified depth; in the plan it is then not what ends the dive.
        divers = [
            {**part, "certified_depth": max(part["certified_depth"], planned["depth"])}
            if "certified_depth" in part
            else part
            for part in divers
        ]
    first = club.policy.get("first_exposure_min")
    if first is not None and any(part["id"] in stretched for part in divers):
        # The club's longest first time is what is planned for a team in which somebody takes a step.
        planned["bottom_time_min"] = min(planned["bottom_time_min"], first)
    return {
        **common(club, dive),
        "dive": planned,
        **({"turn_rule": dive.turn_rule} if dive.turn_rule else {}),
        "divers": [{**part, "stretched": part["id"] in stretched} for part in divers],
        "no_fly": _no_fly(club),
        "what_if": True,
        "overstay": True,
        **({"find": "surface_interval", "interval_steps": True} if any(f.before for f in people) else {}),
        **({"next_dive": dive_part(coming)} if (coming := _next_dive(dive)) else {}),
    }


def _no_fly(club: Club) -> dict[str, int]:
    """Where the flights go, and the club's own waits; what it has not decided is left out."""
    own = {
        "club_wait_beyond_limit_min": club.club_wait_beyond_limit_min,
        "club_wait_other_gas_min": club.club_wait_other_gas_min,
    }
    return {
        "to_altitude_ft": club.no_fly_to_altitude_ft,
        "club_wait_min": club.no_fly_wait_min or 0,
        **{name: wait for name, wait in own.items() if wait is not None},
    }


def _next_dive(dive: Dive) -> Dive | None:
    """The trip's dive after this one, where its depth is in the same unit and shallow enough to plan."""
    coming = dive.trip.dives.filter(number__gt=dive.number).order_by("number").first()
    usual = USUAL_DEEPEST[cast(DepthUnit, dive.depth_unit)]
    if coming is None or coming.depth_unit != dive.depth_unit:
        return None
    return coming if coming.depth_hundredths <= usual or dive.trip.club.beyond_40_m_enabled else None


def teams_body(dive: Dive, people: Sequence[PersonFacts], asked: Mapping[str, Any]) -> dict[str, Any]:
    """The body of `teams` for a dive; `asked` holds wishes, locked, forbidden, overrides, why_not, out_of_water."""
    club = dive.trip.club
    return {
        **common(club, dive),
        "dive": {**dive_part(dive), "demands": demands(dive)},
        "divers": [diver_part(facts, dive, club, for_teams=True) for facts in people],
        **({"policy": club.policy} if club.policy else {}),
        **{name: value for name, value in asked.items() if value},
    }


def surfaced_at(dive: Dive, bottom_time_s: int) -> datetime | None:
    """When a planned dive is over; None where it has no time."""
    if dive.planned_at is None:
        return None
    run_s = rules.run_time_s(dive.depth_hundredths, dive.depth_unit, bottom_time_s)
    return dive.planned_at + timedelta(seconds=run_s)
