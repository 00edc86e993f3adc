"""A diver's day: groups, residual nitrogen, limits by both methods, oxygen, and no-fly time."""

from __future__ import annotations

from typing import Any

from teamdive.calculations.body import Errors, Fields, number_at
from teamdive.calculations.day_warnings import (
    dive_warnings,
    no_fly_warnings,
    settings_warnings,
)
from teamdive.calculations.no_fly_answer import no_fly_answer
from teamdive.calculations.no_fly_reading import read_no_fly
from teamdive.calculations.oxygen_answer import day_oxygen, dive_oxygen, oxygen_warnings, read_oxygen
from teamdive.calculations.problem import pointer
from teamdive.calculations.reading import (
    DEEPEST,
    LONGEST_BOTTOM_MIN,
    LONGEST_INTERVAL_MIN,
    read_bottom_time_s,
    read_caution,
    read_depth,
    read_interval_s,
    read_settings,
    read_trimix,
    read_unit,
)
from teamdive.calculations.state_body import read_state_before, state_json
from teamdive.calculations.stops_owed import stops_owed
from teamdive.physics import dive as physics
from teamdive.physics.carried import Carried, carried, resumed
from teamdive.physics.dive import Day, Dive, DiveAnswer
from teamdive.physics.exposure import Exposure, exposures, moved
from teamdive.physics.known import Missing
from teamdive.physics.no_fly import REACH_S, Breathed, least_published
from teamdive.physics.no_fly import breathed as gases
from teamdive.physics.oxygen import equivalent_air_depth, mod
from teamdive.physics.profile import DAY_S
from teamdive.physics.rounding import (
    minutes_down,
    seconds_down,
    seconds_up,
    tenths_of_minutes_down,
    tenths_up,
)
from teamdive.physics.tables import NOT_REPETITIVE_AFTER_MIN, load
from teamdive.physics.units import Depth, DepthUnit, deeper, depth

SOURCES: dict[str, str] = load("sources")["day"]
MOST_DIVES = 100
MOST_SAMPLES = 20_000
DEFAULT_PPO2_BAR = 1.4


def day(body: Any) -> dict[str, Any]:
    """Answer a diver's day.

    `body` is the parsed JSON of the question; the answer is ready for JSON. Depths in `depth_unit`, times in
    minutes. Raises `Problem` with every error of the body. What cannot be answered is
    `{"not_known": [what is missing]}`.
    """
    errors = Errors()
    fields = Fields(errors, body)
    unit = read_unit(fields)
    settings = read_settings(fields, unit)
    max_ppo2 = fields.number_or_none("max_ppo2_bar", 0.5, 1.6, "bar")
    caution = read_caution(fields) or 0
    since = fields.number_or_none("minutes_since_surfacing", 0, LONGEST_INTERVAL_MIN, "minutes")
    since_s = 0 if since is None else seconds_down(since)
    days = fields.integer_or_none("days_of_diving", 1, 365)
    asked = read_no_fly(fields.fields_or_none("no_fly"))
    kept = read_state_before(fields.fields_or_none("state_before"))
    oxygen = read_oxygen(fields)
    trimix = fields.flag("trimix_enabled")
    items = fields.list_of_fields("dives", 1, MOST_DIVES)
    dives = tuple(_read_dive(item, unit, caution, i, trimix) for i, item in enumerate(items))
    fields.close()
    errors.raise_if_any()

    made = physics.day(dives, settings, None if kept is None else resumed(*kept, settings))
    before_gas: Breathed = "air"
    counted = made.dives
    if kept is not None and kept[1] < REACH_S:
        counted, before_gas = made.dives + 1, kept[0].breathed
    gas = least_published(before_gas, gases(dive.mix for dive in dives))
    ppo2 = DEFAULT_PPO2_BAR if max_ppo2 is None else max_ppo2
    warnings = settings_warnings(fields, settings, days, counted)
    warnings.extend(no_fly_warnings(asked, dives, before_gas))
    own = exposures(dives, made.joined, settings)
    before = _oxygen_before(kept)
    hidden = isinstance(before, Missing)
    breathed = own if isinstance(before, Missing) else (*before, *own)
    last = {exposure.position: n for n, exposure in enumerate(breathed)}
    answers = []
    for i, dive in enumerate(dives):
        answers.append(_answer(made, i, dive, ppo2, unit))
        if i in last and isinstance(made.answers[i], DiveAnswer):
            answers[i] |= dive_oxygen(breathed, last[i], dives, made.joined[i], oxygen, hidden)
        warnings.extend(dive_warnings(made, i, dive, settings, ppo2, unit))
    warnings.extend(oxygen_warnings(breathed, oxygen, hidden))
    return {
        "dives": answers,
        "now": _now(made, since_s),
        "no_fly": no_fly_answer(asked, made, counted, gas, settings, days, since_s),
        "oxygen": day_oxygen(breathed, oxygen, hidden),
        "state": state_json(
            carried(made.state, settings, before if hidden else moved(breathed, -breathed[-1].end_s), gas)
        ),
        "method": settings.method,
        "gf": [settings.gf_low_pm / 1000, settings.gf_high_pm / 1000],
        "warnings": warnings,
        "sources": SOURCES,
    }


def _oxygen_before(kept: tuple[Carried, int] | None) -> tuple[Exposure, ...] | Missing:
    """The exposures that the state given holds; where it holds none, not known for 24 h."""
    if kept is None:
        return ()
    oxygen = kept[0].oxygen
    if isinstance(oxygen, Missing):
        return oxygen if kept[1] < DAY_S else ()
    return moved(oxygen, -kept[1])


def _read_dive(fields: Fields, unit: DepthUnit, caution: int, position: int, trimix: bool) -> Dive:
    interval_s = 0
    if position > 0:
        interval_s = read_interval_s(fields, "surface_interval_min")
    elif fields.has("surface_interval_min"):
        fields.get("surface_interval_min")
        fields.fail(
            "surface_interval_min", "not_allowed", "The first dive has no interval before it; leave it out."
        )
    samples = _read_samples(fields, unit)
    if samples is None:
        deepest, bottom_time_s = read_depth(fields, "depth", unit), read_bottom_time_s(fields)
    else:
        for name in ("depth", "bottom_time_min"):
            fields.get(name)
            if fields.has(name):
                fields.fail(name, "not_allowed", "Give samples or depth and bottom_time_min, not both.")
        deepest, bottom_time_s = samples[0][1], samples[-1][0]
        for _, at in samples:
            deepest = deeper(deepest, at)
    mix = read_trimix(fields, trimix)
    own = read_caution(fields)
    cold_or_hard = fields.flag("cold_or_hard")
    fields.close()
    return Dive(
        deepest, bottom_time_s, mix, interval_s, caution if own is None else own, cold_or_hard, samples
    )


def _read_samples(fields: Fields, unit: DepthUnit) -> tuple[tuple[int, Depth], ...] | None:
    """`samples`: [[minute, depth], ...] from minute 0, times rising; as (second, depth). None when absent.

    The dive ends where it last comes to the surface: what was recorded there afterwards is surface interval.
    """
    if not fields.has("samples"):
        fields.get("samples")
        return None
    at = fields.pointer("samples")
    items = fields.array("samples", 2, MOST_SAMPLES)
    read: list[tuple[int, Depth]] = []
    for i, item in enumerate(items):
        here = pointer(at, i)
        if not isinstance(item, list) or len(item) != 2:
            fields.errors.add(here, "wrong_type", "Each sample is [minute, depth].")
            continue
        minute = number_at(fields.errors, pointer(here, 0), item[0], 0, LONGEST_BOTTOM_MIN, "minutes")
        deep = number_at(fields.errors, pointer(here, 1), item[1], 0, DEEPEST[unit], unit)
        if minute is None or deep is None:
            continue
        second = seconds_up(minute)
        if i == 0 and second != 0:
            fields.errors.add(
                pointer(here, 0), "out_of_order", "The first sample is at minute 0, leaving the surface."
            )
        elif read and second <= read[-1][0]:
            fields.errors.add(
                pointer(here, 0), "out_of_order", "Each sample is at least a second after the last."
            )
        read.append((second, depth(deep, unit)))
    if len(read) == len(items) and read and all(d.hundredths == 0 for _, d in read):
        fields.fail("samples", "out_of_range", "At least one sample must be below the surface.")
    while len(read) > 2 and read[-2][1].hundredths == 0:
        read.pop()
    return tuple(read) if len(read) >= 2 else ((0, Depth(0, unit)), (1, Depth(1, unit)))


def _answer(made: Day, i: int, dive: Dive, ppo2: float, unit: DepthUnit) -> dict[str, Any]:
    answer = made.answers[i]
    joined = {"joined_with": list(made.joined[i])} if made.joined[i] else {}
    if answer is None:
        return joined
    if not isinstance(answer, DiveAnswer):
        return {"refused": {"code": answer.code, "message": answer.message}}
    limits = answer.no_stop
    deepest = mod(dive.mix, ppo2, unit)
    item: dict[str, Any] = {
        **joined,
        "table_depth_fsw": _json(limits.table_depth_fsw),
        "group_before": _json(limits.group_before),
        "residual_nitrogen_time_min": _json(limits.residual_nitrogen_time_min),
        "equivalent_single_dive_time_min": _json(answer.equivalent_single_dive_time_min),
        "no_stop_limit_min": _json(limits.no_stop_limit_min),
        "adjusted_no_stop_limit_min": _json(limits.adjusted_no_stop_limit_min),
        "table_entry_time_min": _json(answer.table_entry_time_min),
        "table_within_limit": _json(answer.table_within),
        "group_after": _json(answer.group_after),
        "tissue_no_stop_limit_min": _minutes(limits.tissue_limit_s),
        "unlimited": limits.tissue_limit_s is None,
        "tissue_within_limit": _json(answer.tissue_within),
        "within_limits": _json(answer.within),
        "limit_min": _minutes(answer.limit_s),
        "limited_by": _json(answer.limited_by),
        "oxygen_limit_used_percent": _json(answer.oxygen_share)
        if isinstance(answer.oxygen_share, Missing)
        else tenths_up(answer.oxygen_share * 100),
        "mod": deepest.as_json() if isinstance(deepest, Missing) else deepest.hundredths // 100,
    }
    if not dive.mix.counts_as_air and dive.mix.he_e4 == 0:
        item["equivalent_air_depth"] = equivalent_air_depth(dive.depth, dive.mix.n2_e4).number
    stops = made.stops[i]
    if stops is not None:
        item["stops_owed"] = stops_owed(stops)
    return item


def _now(made: Day, since_s: int) -> dict[str, Any]:
    state = physics.wait(made.state, since_s)
    group, surfaced = state.group(), state.surfaced_group
    if isinstance(group, Missing):
        return {"group": group.as_json(), "table_not_repetitive_after_min": group.as_json()}
    if group is None or surfaced is None or isinstance(surfaced, Missing):
        return {"group": None, "table_not_repetitive_after_min": 0}
    left = NOT_REPETITIVE_AFTER_MIN[surfaced] - minutes_down(state.since_s)
    return {"group": group, "table_not_repetitive_after_min": max(1, left)}


def _json(value: Any) -> Any:
    return value.as_json() if isinstance(value, Missing) else value


def _minutes(seconds: int | Missing | None) -> Any:
    return (
        _json(seconds) if seconds is None or isinstance(seconds, Missing) else tenths_of_minutes_down(seconds)
    )
