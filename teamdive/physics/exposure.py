"""What dives take of the oxygen limits, one by one, over 24 hours and over days.

Two limits of the NOAA Diving Manual: for a single exposure and for 24 hours. Nothing is taken back for time at the
surface unless a half-time is stated: 90 minutes is a convention and stands in no table. The 24-hour limit never
recovers within its 24 hours. A dive counts whether it is answered or refused: it may be made all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from teamdive.physics import oxygen, pulmonary
from teamdive.physics.chance import LN_2, exponential
from teamdive.physics.known import Missing, lacking
from teamdive.physics.profile import DAY_S, Dive, Settings, profile
from teamdive.physics.rounding import floor_div

Known = float | Missing


@dataclass(frozen=True)
class Exposure:
    """One dive with all it joined; `position` is that of its last, times are seconds after the first descent.

    `ppo2_bar` is the highest, `single` and `day` are shares (1.0 = all) of the two limits, `otu` pulmonary units.
    """

    position: int
    start_s: int
    end_s: int
    ppo2_bar: Known
    single: Known
    day: Known
    otu: Known


def exposures(
    dives: Sequence[Dive], joined: Sequence[Sequence[int]], settings: Settings
) -> tuple[Exposure, ...]:
    """The dives of a day in order; `joined` holds, for each dive, the positions of the others that are one with it."""
    found: list[Exposure] = []
    now_s = 0
    for i, dive in enumerate(dives):
        start_s = now_s + dive.interval_s
        segments = profile(dive, settings)
        now_s = start_s + sum(segment[2] for segment in segments)
        made = _exposure(i, start_s, now_s, dive, segments)
        if found and found[-1].position in joined[i]:
            made = _together(found.pop(), made)
        found.append(made)
    return tuple(found)


def moved(found: Sequence[Exposure], by_s: int) -> tuple[Exposure, ...]:
    """The same exposures counted from another moment, as those before the dives asked: their position is -1."""
    return tuple(
        replace(made, position=-1, start_s=made.start_s + by_s, end_s=made.end_s + by_s) for made in found
    )


def with_earlier(found: Sequence[Exposure], i: int, half_time_s: int | None) -> tuple[Known, Known]:
    """Shares of the single and of the 24-hour limit by one exposure with those before it.

    Counted are those that ended within the 24 hours before it began; with a half-time the single one halves with
    every such time at the surface instead.
    """
    single, day = found[i].single, found[i].day
    for earlier in found[:i]:
        if found[i].start_s - earlier.end_s < DAY_S:
            day = _sum(earlier.day, day)
            single = _sum(earlier.single, single) if half_time_s is None else single
    if half_time_s is not None:
        single = found[0].single
        for before, after in pairwise(found[: i + 1]):
            if not isinstance(single, Missing):
                single = single * exponential(-LN_2 * (after.start_s - before.end_s) / half_time_s)
            single = _sum(single, after.single)
    return single, day


def otu_by_day(found: Sequence[Exposure]) -> tuple[Known, ...]:
    """Pulmonary units of each day, a day being 24 hours from the first descent on."""
    first_s = found[0].start_s if found else 0
    days: list[Known] = []
    for made in found:
        day = floor_div(made.start_s - first_s, DAY_S)
        while len(days) <= day:
            days.append(0.0)
        days[day] = _sum(days[day], made.otu)
    return tuple(days)


def _exposure(
    position: int, start_s: int, end_s: int, dive: Dive, segments: tuple[oxygen.Segment, ...]
) -> Exposure:
    oxygen_e4 = dive.mix.oxygen_e4
    if isinstance(oxygen_e4, Missing):
        return Exposure(position, start_s, end_s, oxygen_e4, oxygen_e4, oxygen_e4, oxygen_e4)
    deepest_bar = 0.0
    for from_bar, to_bar, _ in segments:
        deepest_bar = max(deepest_bar, from_bar, to_bar)
    return Exposure(
        position,
        start_s,
        end_s,
        deepest_bar * oxygen_e4 / 10_000,
        oxygen.exposure_share(segments, oxygen_e4),
        oxygen.exposure_share(segments, oxygen_e4, oxygen.DAY_ROWS),
        pulmonary.units(segments, oxygen_e4),
    )


def _together(a: Exposure, b: Exposure) -> Exposure:
    """Two exposures of one dive."""
    highest = (
        lacking(a.ppo2_bar, b.ppo2_bar)
        if isinstance(a.ppo2_bar, Missing) or isinstance(b.ppo2_bar, Missing)
        else max(a.ppo2_bar, b.ppo2_bar)
    )
    return Exposure(
        b.position,
        a.start_s,
        b.end_s,
        highest,
        _sum(a.single, b.single),
        _sum(a.day, b.day),
        _sum(a.otu, b.otu),
    )


def _sum(a: Known, b: Known) -> Known:
    return lacking(a, b) if isinstance(a, Missing) or isinstance(b, Missing) else a + b
