"""One diver's day: a dive made, dive after dive, and the state that earlier dives leave.

Two methods side by side, the air table and the tissue model, neither offered alone. What one of them
cannot answer is `Missing`.

Joining: two surfacings under ten minutes apart are one dive. Bottom times are added (the interval's own
minutes are not: the published example adds 20 and 20 to 40 over an interval of 8), and the whole counts at
the deepest depth, from the state before the first. For the tissue model the more loaded of two readings is
kept for each compartment: that one deep dive, and the dives as they were made.
"""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.physics import oxygen, tables
from teamdive.physics.ascent import Ascent, owed
from teamdive.physics.governing import governing_limit, governing_within
from teamdive.physics.known import Missing, lacking, missing
from teamdive.physics.nitrogen import (
    BEYOND,
    Group,
    NitrogenState,
    NoStop,
    OpenDive,
    clear_state,
    no_stop,
    open_before,
    unknown_state,
    wait,
)
from teamdive.physics.oxygen import Segment
from teamdive.physics.profile import (
    DAY_S,
    Dive,
    Method,
    Settings,
    breathe,
    gf_high,
    meets_no_ceiling,
    profile,
)
from teamdive.physics.rounding import ceil_div, minutes_up
from teamdive.physics.tissues import Tissues

__all__ = [
    "Day",
    "Dive",
    "DiveAnswer",
    "Group",
    "Method",
    "NitrogenState",
    "NoStop",
    "Refused",
    "Settings",
    "after",
    "clear_state",
    "day",
    "no_stop",
    "unknown_state",
    "wait",
]


@dataclass(frozen=True)
class DiveAnswer:
    """A dive made, against both methods. `bottom_time_s` includes the dives it joined."""

    no_stop: NoStop
    joined: bool
    bottom_time_s: int
    equivalent_single_dive_time_min: int | Missing
    table_entry_time_min: int | Missing | None
    table_within: bool | Missing
    tissue_within: bool | Missing
    within: bool | Missing
    limit_s: int | Missing | None
    limited_by: str | Missing | None
    group_after: Group
    oxygen_share: float | Missing


@dataclass(frozen=True)
class Refused:
    """A dive that is not answered."""

    code: str
    message: str


@dataclass(frozen=True)
class Day:
    """Answers in the order asked; of dives that are one dive the last holds the numbers.

    `joined` holds, for each dive, the positions of the others that are one dive with it, `stops` the ascent
    that a dive past the tissue model's limit obliged (None: not past it, or not answered).
    """

    answers: tuple[DiveAnswer | Refused | None, ...]
    joined: tuple[tuple[int, ...], ...]
    state: NitrogenState
    dives: int
    stops: tuple[Ascent | Missing | None, ...]


def after(state: NitrogenState, dive: Dive, settings: Settings) -> tuple[DiveAnswer, NitrogenState]:
    """A dive made from a state at the surface (`wait` first), and the state on surfacing from it."""
    limits = no_stop(state, dive.depth, dive.mix, settings, dive.caution, dive.cold_or_hard)
    before = open_before(state, dive.mix)
    caution = dive.caution if before is None else max(before.caution, dive.caution)
    cold = dive.cold_or_hard or (before is not None and before.cold_or_hard)
    bottom_s = limits.spent_s + dive.bottom_time_s
    segments = profile(dive, settings)
    start = state.tissues(settings) if before is None else before.tissues

    time_min: int | Missing | None
    table_within: bool | Missing
    group_after: Group
    esdt: int | Missing
    row, rnt = limits.table_depth_fsw, limits.residual_nitrogen_time_min
    if isinstance(row, Missing) or isinstance(rnt, Missing):
        esdt = time_min = table_within = group_after = lacking(rnt, row)
    else:
        total_min = rnt + minutes_up(bottom_s)
        entry = tables.enter(row, total_min, limits.steps)
        esdt = total_min
        time_min, table_within, group_after = entry.time_min, entry.within, entry.group

    tissue_within: bool | Missing
    loaded = _loaded(state, dive, before, limits, segments, settings)
    if isinstance(limits.tissue_limit_s, Missing):
        tissue_within = limits.tissue_limit_s
    elif dive.samples is not None and before is None and not isinstance(start, Missing):
        tissue_within = meets_no_ceiling(
            start, segments, dive.mix.n2, gf_high(settings, caution), dive.mix.he
        )
    else:
        tissue_within = limits.tissue_limit_s is None or bottom_s <= limits.tissue_limit_s

    within = governing_within(settings.method, table_within, tissue_within)
    limit_s, limited_by = governing_limit(settings.method, limits)
    oxygen_e4 = dive.mix.oxygen_e4
    share = oxygen_e4 if isinstance(oxygen_e4, Missing) else oxygen.exposure_share(segments, oxygen_e4)
    if before is not None:
        earlier_share = before.oxygen_share
        if isinstance(earlier_share, Missing) or isinstance(share, Missing):
            share = lacking(earlier_share, share)
        else:
            share = earlier_share + share

    beyond = state.barred or within is False
    group: Group = BEYOND if beyond else group_after
    if not beyond and group_after is None:
        group = missing("repetitive group after a dive past the table's limit")
    run_s = sum(segment[2] for segment in segments)
    ages = tuple((g, age + state.since_s + run_s) for g, age in state.groups)
    if before is not None:
        ages = ages[:-1]
    groups = (*(item for item in ages if item[1] <= DAY_S), (group, 0))
    opened = OpenDive(limits.depth, bottom_s, limits.mix, caution, cold, limits.group_before, start, share)
    answer = DiveAnswer(
        limits,
        before is not None,
        bottom_s,
        esdt,
        time_min,
        table_within,
        tissue_within,
        within,
        limit_s,
        limited_by,
        group_after,
        share,
    )
    ago_s = None if state.beyond_ago_s is None else state.beyond_ago_s + state.since_s + run_s
    rest_s, ago_s = (settings.rest_s, 0) if beyond else (DAY_S, ago_s)
    return answer, NitrogenState(group, loaded, 0, opened, groups, beyond, rest_s, ago_s)


def _loaded(
    state: NitrogenState,
    dive: Dive,
    before: OpenDive | None,
    limits: NoStop,
    segments: tuple[Segment, ...],
    settings: Settings,
) -> Tissues | Missing:
    """Compartments on surfacing; of a joined dive the more loaded of its two readings."""
    now = state.tissues(settings)
    if isinstance(now, Missing):
        return now
    if dive.mix.inert is not None:
        return dive.mix.inert
    made = breathe(now, segments, dive.mix.n2, dive.mix.he)
    if before is None:
        return made
    if isinstance(before.tissues, Missing):
        return before.tissues
    whole = Dive(limits.depth, limits.spent_s + dive.bottom_time_s, limits.mix)
    one = breathe(before.tissues, profile(whole, settings), limits.mix.n2, limits.mix.he)
    return tuple(a if a > b else b for a, b in zip(made, one, strict=True))


def _after_beyond(settings: Settings) -> Refused:
    least = "at least 24 h" if settings.rest_s == DAY_S else f"{ceil_div(settings.rest_s, 60)} min"
    message = (
        "A dive before it was beyond its limit: no further dive until the club's stated time, "
        f"{least} after surfacing."
    )
    return Refused("after_beyond_limit", message)


def day(dives: tuple[Dive, ...], settings: Settings, before: NitrogenState | None = None) -> Day:
    """A diver's day, dive after dive. After a dive beyond its limit later dives are refused for the club's time.

    `before` is the diver at the first descent; None: no dive in the table's reach.
    """
    state = clear_state(settings) if before is None else before
    answers: list[DiveAnswer | Refused | None] = []
    chains: list[list[int]] = []
    stops: list[Ascent | Missing | None] = []
    for i, dive in enumerate(dives):
        if i > 0:
            state = wait(state, dive.interval_s)
        if state.barred:
            answers.append(_after_beyond(settings))
            chains.append([i])
            stops.append(None)
            # It may be made all the same: the wait begins anew.
            _, state = after(state, dive, settings)
            continue
        answer, surfaced = after(state, dive, settings)
        stops.append(owed(state, dive, settings) if answer.tissue_within is False else None)
        state = surfaced
        if answer.joined:
            answers[-1] = None
            chains[-1].append(i)
        else:
            chains.append([i])
        answers.append(answer)
    joined = tuple(
        tuple(j for j in chain if j != i) for i in range(len(dives)) for chain in chains if i in chain
    )
    return Day(tuple(answers), joined, state, len(chains), tuple(stops))
