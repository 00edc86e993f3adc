"""How long before flying or going to altitude: the consensus, the table and the club's own rules.

All waits count from the last surfacing, in minutes. After a dive beyond its limit, with symptoms and after a gas with
helium no figure is published: the club's own counts, and without one the wait is not known. After nitrox the figures
for air stand, with a warning, unless the club's own is longer.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from teamdive.physics import tables
from teamdive.physics.known import Missing, lacking, merge, missing
from teamdive.physics.nitrogen import NitrogenState
from teamdive.physics.oxygen import AIR_O2_E4, Mix
from teamdive.physics.profile import DAY_S, Settings
from teamdive.physics.rounding import minutes_down
from teamdive.physics.units import altitude_ft_up

Way = Literal["flight", "road"]
Breathed = Literal["air", "not_known", "nitrox", "helium"]
LEAST_LAST: tuple[Breathed, ...] = ("air", "not_known", "nitrox", "helium")
"""By how much is published of flying after them."""

_RULE = tables.load("no_fly")
SINGLE_MIN: int = _RULE["single_no_stop_dive_min"]
MORE_MIN: int = _RULE["more_dives_or_days_min"]
FROM_FT: int = _RULE["from_ft"]
TO_FT: int = _RULE["to_ft"]
USUAL_CABIN_FT: int = _RULE["usual_cabin_ft"]
USUAL_ROAD_M: int = _RULE["usual_road_m"]
USUAL_ROAD_FT: int = altitude_ft_up(USUAL_ROAD_M)
REACH_S = 4 * DAY_S
"""How long a dive bears on a flight: with one of the last four days there are several days of diving."""
PASSED: str = _RULE["passed"]
ASSUMPTIONS: dict[str, str] = _RULE["assumptions"]

NO_FIGURE = missing("a wait after a dive beyond its limit (no published figure): club_wait_beyond_limit_min")
NO_FIGURE_SYMPTOMS = missing("a wait with symptoms (no published figure): club_wait_symptoms_min")
NO_FIGURE_HELIUM = missing("a wait after a gas with helium (no published figure): club_wait_other_gas_min")


@dataclass(frozen=True)
class Circumstances:
    """What else bears on a wait."""

    by: Way = "flight"
    breathed: Breathed = "air"
    symptoms: bool = False


@dataclass(frozen=True)
class ClubWaits:
    """The club's own waits in minutes from surfacing: always, and where no figure is published (None: none)."""

    always_min: int = 0
    beyond_limit_min: int | None = None
    other_gas_min: int | None = None
    symptoms_min: int | None = None


USUAL = Circumstances()


@dataclass(frozen=True)
class NoFly:
    """Waits in minutes from the last surfacing; `wait_min` is the longest, `rule` says which that is."""

    consensus_wait_min: int | Missing
    table_wait_min: int | Missing
    club_wait_min: int
    wait_min: int | Missing
    rule: str
    assumptions: tuple[str, ...] = ()


def breathed(mixes: Iterable[Mix]) -> Breathed:
    """Of the gases of a diver's dives the one of which least is published."""
    found: Breathed = "air"
    for mix in mixes:
        found = least_published(found, _of(mix))
    return found


def least_published(a: Breathed, b: Breathed) -> Breathed:
    return a if LEAST_LAST.index(a) >= LEAST_LAST.index(b) else b


def _of(mix: Mix) -> Breathed:
    if mix.he_e4 > 0:
        return "helium"
    if mix.o2_e4 is None:
        return "not_known"
    return "air" if mix.o2_e4 == AIR_O2_E4 else "nitrox"


def consensus_wait_min(to_altitude_ft: int, dives: int, days: int | None) -> int | Missing:
    """Workshop of 2002: 12 h after a single no-stop dive, 18 h after more dives or several days.

    Days of diving that are not known count as several. Nothing is asked below 2,000 ft, and nothing is
    said above 8,000 ft.
    """
    if to_altitude_ft > TO_FT:
        return missing(f"a consensus for more than {TO_FT} ft")
    if to_altitude_ft < FROM_FT:
        return 0
    return SINGLE_MIN if dives <= 1 and days == 1 else MORE_MIN


def table_wait_min(state: NitrogenState, increase_ft: int) -> int | Missing:
    """Table 9-6 with the highest group of the 24 h before the last surfacing."""
    highest: str | None = None
    for group, _ in state.groups:
        if isinstance(group, Missing):
            return group
        highest = tables.higher_group(highest, group)
    return 0 if highest is None else tables.wait_before_altitude_min(highest, increase_ft)


def no_fly(
    state: NitrogenState,
    settings: Settings,
    to_altitude_ft: int,
    dives: int,
    days: int | None,
    club: ClubWaits,
    more: Circumstances = USUAL,
) -> NoFly:
    """The longest of all waits before reaching `to_altitude_ft`, after `dives` dives on `days` days."""
    consensus: int | Missing
    table: int | Missing
    unpublished = _unpublished(state, club, more)
    if unpublished:
        consensus = table = lacking(*(figure for figure, _, _ in unpublished))
        owned = [(own, label) for _, own, label in unpublished if own is not None]
        unknown = merge(figure for figure, own, _ in unpublished if own is None)
    else:
        consensus = consensus_wait_min(to_altitude_ft, dives, days)
        table = table_wait_min(state, to_altitude_ft - settings.altitude_ft)
        owned, unknown = [], merge((consensus, table))
    assumed = _assumptions(state, settings, to_altitude_ft, dives, days, club, more)
    if unknown is not None:
        rule = "no published figure" if unpublished else "not known"
        if unpublished:
            rule = f"no published figure {unpublished[0][2]}"
        return NoFly(consensus, table, club.always_min, unknown, rule, assumed)

    found: list[tuple[int, str]] = []
    if isinstance(consensus, int):
        several = (
            "more than one dive or several days of diving"
            if consensus == MORE_MIN
            else "a single no-stop dive"
        )
        found.append((consensus, f"consensus: {consensus // 60} h after {several}"))
    if isinstance(table, int):
        found.append((table, "table: highest repetitive group of the last 24 h"))
    found.append((club.always_min, "the club's own wait"))
    found.extend((own, f"the club's own wait {label}") for own, label in owned)
    if more.breathed == "nitrox" and club.other_gas_min is not None:
        found.append((club.other_gas_min, "the club's own wait after another gas than air"))
    if not state.beyond and state.beyond_ago_s is not None and club.beyond_limit_min is not None:
        left = club.beyond_limit_min - minutes_down(state.beyond_ago_s)
        found.append((left, "the club's own wait after a dive beyond its limit"))
    longest, rule = found[0]
    for wait, label in found:
        if wait > longest:
            longest, rule = wait, label
    if longest == 0:
        rule = f"no wait asked for {to_altitude_ft} ft"
    return NoFly(consensus, table, club.always_min, longest, rule, assumed)


def _unpublished(
    state: NitrogenState, club: ClubWaits, more: Circumstances
) -> list[tuple[Missing, int | None, str]]:
    """What no figure is published for: what would have to be known, the club's own wait, and the words for it."""
    found: list[tuple[Missing, int | None, str]] = []
    if more.symptoms:
        found.append((NO_FIGURE_SYMPTOMS, club.symptoms_min, "with symptoms"))
    if state.beyond:
        found.append((NO_FIGURE, club.beyond_limit_min, "after a dive beyond its limit"))
    if more.breathed == "helium":
        found.append((NO_FIGURE_HELIUM, club.other_gas_min, "after a gas with helium"))
    return found


def _assumptions(
    state: NitrogenState,
    settings: Settings,
    to_altitude_ft: int,
    dives: int,
    days: int | None,
    club: ClubWaits,
    more: Circumstances,
) -> tuple[str, ...]:
    """What the waits take for granted, as sentences."""
    names: list[str] = []
    if to_altitude_ft < FROM_FT:
        names.append("below")
    elif to_altitude_ft > TO_FT:
        names.append("above")
    else:
        names.append("consensus")
        if more.by == "road":
            names.append("road")
        if days is None and dives <= 1:
            names.append("days")
    names.append("table" if to_altitude_ft > settings.altitude_ft else "at_site")
    if state.beyond_ago_s is not None:
        names.append("rest")
    if more.breathed == "helium" or (more.breathed == "nitrox" and club.other_gas_min is not None):
        names.append("other_gas")
    if more.breathed == "nitrox":
        names.append("nitrox")
    if more.breathed == "not_known":
        names.append("gas")
    if more.symptoms:
        names.append("symptoms")
    return tuple(ASSUMPTIONS[name] for name in names)
