"""A diver's day: groups, residual nitrogen, limits by both methods, oxygen, and no-fly time."""

from __future__ import annotations

from typing import Any

from teamdive.calculations.body import Errors, Fields, number_at
from teamdive.calculations.problem import pointer
from teamdive.calculations.reading import (
    DEEPEST,
    LONGEST_BOTTOM_MIN,
    LONGEST_INTERVAL_MIN,
    read_altitude_ft,
    read_bottom_time_s,
    read_caution,
    read_depth,
    read_interval_s,
    read_mix,
    read_settings,
    read_unit,
)
from teamdive.physics import dive as physics
from teamdive.physics.dive import Day, Dive, DiveAnswer, Settings
from teamdive.physics.diver import said
from teamdive.physics.known import Missing
from teamdive.physics.nitrogen import DAY_S
from teamdive.physics.no_fly import USUAL_CABIN_FT, no_fly
from teamdive.physics.oxygen import AIR_O2_E4, equivalent_air_depth, mod
from teamdive.physics.rounding import (
    minutes_down,
    scaled_up,
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
USUAL_DEEPEST: dict[DepthUnit, int] = {"m": 4000, "ft": 13_000}
"""40 m and 130 ft in hundredths: the usual deepest for a qualification."""


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
    to_altitude_ft, club_wait_min = _read_no_fly(fields.fields_or_none("no_fly"))
    items = fields.list_of_fields("dives", 1, MOST_DIVES)
    dives = tuple(_read_dive(item, unit, caution, i) for i, item in enumerate(items))
    fields.close()
    errors.raise_if_any()

    made = physics.day(dives, settings)
    ppo2 = DEFAULT_PPO2_BAR if max_ppo2 is None else max_ppo2
    warnings = _settings_warnings(fields, settings, days, made.dives)
    if any(dive.mix.o2_e4 not in (None, AIR_O2_E4) for dive in dives):
        message = "No published figure for flying after nitrox: the consensus shown is the one for air."
        warnings.append(_warning("no_fly_after_nitrox", "/no_fly", message))
    answers = []
    for i, dive in enumerate(dives):
        answers.append(_answer(made, i, dive, ppo2, unit))
        warnings.extend(_dive_warnings(made, i, dive, settings, ppo2, unit))
    warnings.extend(_oxygen_together(made, dives))
    wait = no_fly(made.state, settings, to_altitude_ft, made.dives, days, club_wait_min)
    return {
        "dives": answers,
        "now": _now(made, since_s),
        "no_fly": {
            "wait_min": _json(wait.wait_min),
            "rule": wait.rule,
            "consensus_wait_min": _json(wait.consensus_wait_min),
            "table_wait_min": _json(wait.table_wait_min),
            "club_wait_min": wait.club_wait_min,
            "remaining_min": _json(wait.wait_min)
            if isinstance(wait.wait_min, Missing)
            else max(0, wait.wait_min - minutes_down(since_s)),
            "to_altitude_ft": to_altitude_ft,
        },
        "method": settings.method,
        "gf": [settings.gf_low_pm / 1000, settings.gf_high_pm / 1000],
        "warnings": warnings,
        "sources": SOURCES,
    }


def _read_no_fly(fields: Fields | None) -> tuple[int, int]:
    """Altitude to reach in feet (a usual cabin when absent) and the club's own wait in minutes."""
    if fields is None:
        return USUAL_CABIN_FT, 0
    to_altitude_ft = read_altitude_ft(fields, "to_altitude")
    club = fields.number_or_none("club_wait_min", 0, LONGEST_INTERVAL_MIN, "minutes")
    fields.close()
    return USUAL_CABIN_FT if to_altitude_ft is None else to_altitude_ft, 0 if club is None else scaled_up(
        club, 1
    )


def _read_dive(fields: Fields, unit: DepthUnit, caution: int, position: int) -> Dive:
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
    mix = read_mix(fields)
    own = read_caution(fields)
    cold_or_hard = fields.flag("cold_or_hard")
    fields.close()
    return Dive(
        deepest, bottom_time_s, mix, interval_s, caution if own is None else own, cold_or_hard, samples
    )


def _read_samples(fields: Fields, unit: DepthUnit) -> tuple[tuple[int, Depth], ...] | None:
    """`samples`: [[minute, depth], ...] from minute 0, times rising; as (second, depth). None when absent."""
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
    if not dive.mix.counts_as_air:
        item["equivalent_air_depth"] = equivalent_air_depth(dive.depth, dive.mix.n2_e4).number
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


def _settings_warnings(
    fields: Fields, settings: Settings, days: int | None, dives: int
) -> list[dict[str, str]]:
    warnings = []
    if not fields.has("site_altitude_m") and not fields.has("site_altitude_ft"):
        warnings.append(
            _warning("sea_level_assumed", "/site_altitude_m", "No site altitude given: sea level assumed.")
        )
    if settings.gf_high_pm > Settings.gf_high_pm or settings.gf_low_pm > Settings.gf_low_pm:
        warnings.append(
            _warning("gf_above_default", "/gf", "Gradient factors above 0.40 and 0.80: less margin.")
        )
    if days is None and dives == 1:
        message = "Days of diving not given: counted as several, so the longer wait stands."
        warnings.append(_warning("days_of_diving_not_given", "/days_of_diving", message))
    return warnings


def _dive_warnings(
    made: Day, i: int, dive: Dive, settings: Settings, ppo2: float, unit: DepthUnit
) -> list[dict[str, str]]:
    at = f"/dives/{i}"
    warnings = []
    if dive.depth.hundredths > USUAL_DEEPEST[unit]:
        warnings.append(_warning("deeper_than_40_m", at, "Deeper than 40 m / 130 ft, the usual deepest."))
    if dive.mix.o2_e4 is not None and dive.mix.o2_e4 != AIR_O2_E4 and not dive.mix.analysed:
        message = "Gas not analysed by its diver: nitrogen counts as in air, oxygen and MOD are not known."
        warnings.append(_warning("not_analysed", f"{at}/analysed", message))
    deepest = mod(dive.mix, ppo2, unit)
    if not isinstance(deepest, Missing) and dive.depth.hundredths > deepest.hundredths:
        message = f"Deeper than the MOD of this gas, {deepest.hundredths // 100} {unit}."
        warnings.append(_warning("deeper_than_mod", at, message))
    answer = made.answers[i]
    if not isinstance(answer, DiveAnswer):
        return warnings
    if not isinstance(answer.oxygen_share, Missing) and answer.oxygen_share > 1.0:
        warnings.append(_warning("oxygen_limit_passed", at, "Past the oxygen limit for a single exposure."))
    if answer.within is False:
        message = (
            "Beyond the limit: no further dive until the club's stated time, at least 24 h; do not fly; rest, "
            "watch each other for symptoms, and call a diving doctor or the emergency services at the first one."
        )
        warnings.append(_warning("beyond_limit", at, message))
    for name, within in (("table", answer.table_within), ("tissue", answer.tissue_within)):
        if within is False and settings.method not in (name, "shorter"):
            message = f"Past the {name} limit, which does not govern here; this stays in the record."
            warnings.append(_warning(f"beyond_{name}_limit", at, message))
    return warnings


def _oxygen_together(made: Day, dives: tuple[Dive, ...]) -> list[dict[str, str]]:
    """Dives that together pass the oxygen limit none of them passes, counted over 24 h as for a coming dive."""
    warnings = []
    shares: list[tuple[int, float]] = []
    now_s = 0
    for i, dive in enumerate(dives):
        now_s += dive.interval_s
        before = [share for surfaced_s, share in shares if now_s - surfaced_s < DAY_S]
        now_s += dive.bottom_time_s
        answer = made.answers[i]
        if not isinstance(answer, DiveAnswer) or isinstance(answer.oxygen_share, Missing):
            continue
        used = answer.oxygen_share
        shares.append((now_s, used))
        for share in before:
            used = used + share
        if answer.oxygen_share <= 1.0 and used > 1.0:
            message = (
                "With the dives of the 24 h before it past the oxygen limit for a single exposure: "
                f"{said(tenths_up(used * 100))} %."
            )
            warnings.append(_warning("oxygen_limit_passed", f"/dives/{i}", message))
    return warnings


def _warning(code: str, at: str, message: str) -> dict[str, str]:
    return {"code": code, "pointer": at, "message": message}


def _json(value: Any) -> Any:
    return value.as_json() if isinstance(value, Missing) else value


def _minutes(seconds: int | Missing | None) -> Any:
    return (
        _json(seconds) if seconds is None or isinstance(seconds, Missing) else tenths_of_minutes_down(seconds)
    )
