"""One diver's inert gas at the surface, and the limits of a coming dive by both methods.

What one of the two cannot answer is `Missing`. Times are whole seconds, depths are gauge depths.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from teamdive.physics import oxygen, tables, tissues, trimix
from teamdive.physics.known import Missing, lacking, missing
from teamdive.physics.oxygen import Mix
from teamdive.physics.profile import DAY_S, Settings, gf_high, sea_level_depth
from teamdive.physics.rounding import minutes_down
from teamdive.physics.tissues import Tissues
from teamdive.physics.units import Depth, deeper, exact_travel_s, travel_s

Group = str | Missing | None
"""A repetitive group; None is none (not repetitive)."""

JOIN_S = 600
BEYOND = missing("24 h, or the club's longer time, since a dive beyond its limit")
HELIUM = missing("a table for a gas with helium")
TWO_GASES = missing("one dive on two gases, one of them with helium")


@dataclass(frozen=True)
class OpenDive:
    """The last dive with all it joined: what a descent within ten minutes goes on with."""

    depth: Depth
    bottom_time_s: int
    mix: Mix
    caution: int
    cold_or_hard: bool
    group: Group
    tissues: Tissues | Missing
    oxygen_share: float | Missing


@dataclass(frozen=True)
class NitrogenState:
    """A diver at the surface, `since_s` after the last surfacing (or after arrival, or after nothing).

    `groups` are the groups of the 24 h before the last surfacing, each with its seconds before it. `beyond`: the last
    dive was beyond its limit, or made within `rest_s` of one that was; `beyond_ago_s` is from the surfacing of the last
    such dive to the last surfacing (None: there was none).
    """

    surfaced_group: Group
    surfaced_tissues: Tissues | Missing
    since_s: int = 0
    open_dive: OpenDive | None = None
    groups: tuple[tuple[Group, int], ...] = ()
    beyond: bool = False
    rest_s: int = DAY_S
    beyond_ago_s: int | None = None

    def group(self) -> Group:
        """The repetitive group now. Whatever it was, 24 h clear it (the club's time after a dive beyond its limit)."""
        if isinstance(self.surfaced_group, Missing):
            return self.surfaced_group if self.since_s < self.rest_s else None
        if self.surfaced_group is None:
            return None
        return tables.group_after_interval(self.surfaced_group, minutes_down(self.since_s))

    def tissues(self, settings: Settings) -> Tissues | Missing:
        """The compartments now, air breathed at the site's altitude since."""
        if isinstance(self.surfaced_tissues, Missing):
            return self.surfaced_tissues
        return tissues.constant(self.surfaced_tissues, settings.surface_bar, tissues.AIR_N2, self.since_s)

    @property
    def barred(self) -> bool:
        """True within the club's time, at least 24 h, after a dive beyond its limit: no further dive is answered."""
        return self.beyond and self.since_s < self.rest_s


@dataclass(frozen=True)
class NoStop:
    """Limits of a coming dive for one diver; each None where there is none, Missing where not known.

    Where the coming dive joins the last one the limits are those of the joined dive and `spent_s` of
    bottom time is used already.
    """

    depth: Depth
    mix: Mix
    table_depth_fsw: int | Missing
    group_before: Group
    residual_nitrogen_time_min: int | Missing
    no_stop_limit_min: int | Missing | None
    adjusted_no_stop_limit_min: int | Missing | None
    tissue_limit_s: int | Missing | None
    steps: int
    spent_s: int

    @property
    def table_left_s(self) -> int | Missing | None:
        """Bottom time the table leaves to the coming dive, in seconds."""
        limit = self.adjusted_no_stop_limit_min
        if limit is None or isinstance(limit, Missing):
            return limit
        return max(0, limit * 60 - self.spent_s)

    @property
    def tissue_left_s(self) -> int | Missing | None:
        """Bottom time the tissue model leaves to the coming dive, in seconds."""
        limit = self.tissue_limit_s
        if limit is None or isinstance(limit, Missing):
            return limit
        return max(0, limit - self.spent_s)


def clear_state(settings: Settings) -> NitrogenState:
    """A diver with no dive in the table's reach: at rest, or arrived at altitude some time ago."""
    rest = tissues.surface_state(settings.home_bar)
    if settings.rise_ft == 0:
        return NitrogenState(None, rest)
    if settings.at_altitude_s is None:
        return unknown_state("hours_at_altitude")
    group = tables.group_on_arrival(settings.rise_ft)
    return NitrogenState(group, rest, settings.at_altitude_s, None, ((group, 0),))


def unknown_state(*what: str) -> NitrogenState:
    """A diver about whose earlier dives something is not known."""
    unknown = Missing(what)
    return NitrogenState(unknown, unknown, 0, None, ((unknown, 0),))


def wait(state: NitrogenState, seconds: int) -> NitrogenState:
    """The same diver later."""
    return replace(state, since_s=state.since_s + seconds)


def open_before(state: NitrogenState, mix: Mix) -> OpenDive | None:
    """The dive that a descent from this state goes on with, or None.

    Where one gas has helium and the other is not the same, neither stands for the whole dive.
    """
    before = state.open_dive if state.since_s < JOIN_S else None
    if before is None or before.mix == mix or (before.mix.he_e4 == 0 and mix.he_e4 == 0):
        return before
    return replace(before, group=HELIUM, tissues=TWO_GASES)


def no_stop(
    state: NitrogenState,
    depth: Depth,
    mix: Mix,
    settings: Settings,
    caution: int = 0,
    cold_or_hard: bool = False,
) -> NoStop:
    """Table, residual nitrogen and tissue limits of a coming dive for one diver."""
    before = open_before(state, mix)
    spent_s = 0
    group: Group
    loaded: Tissues | Missing
    if before is not None:
        depth = deeper(before.depth, depth)
        mix = oxygen.more_nitrogen(before.mix, mix)
        caution = max(before.caution, caution)
        cold_or_hard = before.cold_or_hard or cold_or_hard
        group, loaded, spent_s = before.group, before.tissues, before.bottom_time_s
    else:
        group, loaded = state.group(), state.tissues(settings)
    if state.barred:
        group, loaded = BEYOND, BEYOND
    steps = caution + (1 if cold_or_hard else 0)

    row: int | Missing
    rnt: int | Missing
    limit: int | Missing | None
    adjusted: int | Missing | None
    found = tables.row_for(oxygen.table_depth(sea_level_depth(depth, settings), mix))
    row = missing(f"a table row past {tables.DEEPEST_FSW} fsw") if found is None else found
    row = HELIUM if mix.he_e4 > 0 else row
    if isinstance(row, Missing) or isinstance(group, Missing):
        rnt = lacking(group, row)
    elif group is None:
        rnt = 0
    else:
        residual = tables.residual_nitrogen_time(group, row)
        rnt, row = residual.minutes, residual.row_fsw
    limit = row if isinstance(row, Missing) else tables.no_stop_limit_min(row)
    if isinstance(row, Missing) or isinstance(rnt, Missing):
        adjusted = lacking(rnt, row)
    else:
        longest = tables.limit_with_steps_min(row, steps)
        adjusted = None if longest is None else max(0, longest - rnt)
    tissue = loaded if isinstance(loaded, Missing) else tissue_limit_s(loaded, depth, mix, settings, caution)
    return NoStop(depth, mix, row, group, rnt, limit, adjusted, tissue, steps, spent_s)


def tissue_limit_s(
    loaded: Tissues, depth: Depth, mix: Mix, settings: Settings, caution: int
) -> int | Missing | None:
    """The tissue model's no-stop limit in whole seconds, never more than that of an exact ascent."""
    if mix.inert is not None:
        return mix.inert
    surface_bar = settings.surface_bar
    bottom_bar = surface_bar + depth.bar
    down_s = travel_s(depth, settings.descent, up=False)
    up_s, exact_up_s = travel_s(depth, settings.ascent, up=True), exact_travel_s(depth, settings.ascent)
    exact = exact_up_s if 0.0 < exact_up_s < up_s else None
    gf = gf_high(settings, caution)
    if mix.he_e4 == 0 and len(loaded) == tissues.COUNT:
        return tissues.no_stop_limit_s(loaded, surface_bar, bottom_bar, mix.n2, down_s, up_s, gf, exact)
    return trimix.no_stop_limit_s(loaded, surface_bar, bottom_bar, mix.n2, mix.he, down_s, up_s, gf, exact)
