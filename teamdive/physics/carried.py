"""A diver's state carried from one question to the next: what is left of a day when its dives are not given again."""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.physics import tables, tissues
from teamdive.physics.exposure import Exposure
from teamdive.physics.known import Missing, missing
from teamdive.physics.nitrogen import Group, NitrogenState, unknown_state
from teamdive.physics.no_fly import Breathed
from teamdive.physics.profile import DAY_S, Settings
from teamdive.physics.rounding import scaled_up
from teamdive.physics.tissues import Tissues

E9 = 1_000_000_000
"""Tensions are carried in whole units of 1e-9 bar."""


OXYGEN_NOT_GIVEN = missing("oxygen of the dives before the state given: give those dives")


@dataclass(frozen=True)
class Carried:
    """A diver on surfacing. `tensions_e9`: 16 of nitrogen, and 16 of helium where it was breathed, rounded up.

    `groups` are those of the 24 h before this surfacing, each with its seconds before it; the last is this one's.
    `altitude_ft` is that of the site; `beyond_ago_s` as in the state; `oxygen` holds the exposures of the dives, their
    times in seconds before this surfacing (below 0); `breathed` is the gas of which least is published for flying.
    """

    tensions_e9: tuple[int, ...] | Missing
    groups: tuple[tuple[Group, int], ...]
    beyond: bool
    altitude_ft: int
    beyond_ago_s: int | None = None
    oxygen: tuple[Exposure, ...] | Missing = OXYGEN_NOT_GIVEN
    breathed: Breathed = "not_known"


def carried(
    state: NitrogenState,
    settings: Settings,
    oxygen: tuple[Exposure, ...] | Missing = OXYGEN_NOT_GIVEN,
    breathed: Breathed = "not_known",
) -> Carried:
    """What to keep of a state on surfacing from its last dive."""
    held = state.surfaced_tissues
    tensions = held if isinstance(held, Missing) else tuple(scaled_up(x, E9) for x in held)
    return Carried(
        tensions, state.groups, state.beyond, settings.altitude_ft, state.beyond_ago_s, oxygen, breathed
    )


def resumed(kept: Carried, waited_s: int, settings: Settings) -> NitrogenState:
    """The diver `waited_s` (ten minutes or more) after that surfacing, at the site of the settings.

    Time away from the site counts at sea level, which is the more nitrogen. A repetitive group is not known within
    24 h of a dive at another altitude.
    """
    tensions = kept.tensions_e9
    held: Tissues | Missing = tensions if isinstance(tensions, Missing) else tuple(x / E9 for x in tensions)
    here = tables.altitude_row_ft(settings.altitude_ft)
    same = here == tables.altitude_row_ft(kept.altitude_ft)
    at_s = settings.at_altitude_s

    def state(group: Group, since_s: int, groups: tuple[tuple[Group, int], ...]) -> NitrogenState:
        """Barred as long as the club's time asks, counted from surfacing."""
        beyond = kept.beyond and (waited_s < settings.rest_s or since_s == waited_s)
        ago_s = None if kept.beyond_ago_s is None else kept.beyond_ago_s + waited_s - since_s
        return NitrogenState(
            group, held, since_s, None, groups, beyond, settings.rest_s if beyond else DAY_S, ago_s
        )

    if here > 0 and at_s is None:
        return unknown_state("hours_at_altitude")
    if here == 0 or at_s is None or (at_s >= waited_s and same):
        if same or waited_s >= DAY_S:
            group = kept.groups[-1][0] if same else None
            return state(group, waited_s, kept.groups if same else ())
        return state(ELSEWHERE, waited_s, ((ELSEWHERE, 0),))
    if at_s >= waited_s:
        return unknown_state("dives at another altitude after arriving at this one")
    if not isinstance(held, Missing):
        held = tissues.constant(held, tissues.SEA_LEVEL_BAR, tissues.AIR_N2, waited_s - at_s)
    if waited_s < DAY_S:
        return state(ELSEWHERE, at_s, ((ELSEWHERE, 0),))
    group = tables.group_on_arrival(settings.altitude_ft)
    return state(group, at_s, ((group, 0),))


ELSEWHERE = missing("repetitive group after dives at another altitude")
