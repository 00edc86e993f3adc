"""A team's dive as the bodies of `plan` and `teams` write it: what holds for everyone, and the dive.

No reader here closes the `Fields` it is given: whoever calls may read more fields from the same object.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from teamdive.calculations.body import Fields
from teamdive.calculations.breathing_reading import BreathingReading, read_breathing, read_rmv_group
from teamdive.calculations.reading import read_bottom_time_s, read_depth, read_settings, read_unit
from teamdive.pairing.days import ordinal
from teamdive.physics.breathing import BREATHING, WORK
from teamdive.physics.cylinder import TURN_RULES, Along
from teamdive.physics.diver import Sharing, TeamDive, TeamSettings, said
from teamdive.physics.profile import Settings
from teamdive.physics.real_gas import LAWS
from teamdive.physics.units import PSI_PER_BAR, Depth, DepthUnit, depth

USUAL_DEEPEST: dict[DepthUnit, int] = {"m": 4000, "ft": 13_000}
"""40 m and 130 ft in hundredths."""
HIGHEST_PRESSURE = {"bar": 350.0, "psi": 5100.0}
STRESSED_RMV_L_MIN = 40.0
DELAY_MIN = 1.0
SURFACE_RESERVE_BAR = 50.0
REGULATOR_MINIMUM_BAR = 10.0
STOP: dict[DepthUnit, tuple[int, int]] = {"m": (500, 1200), "ft": (1500, 4000)}
"""Depth of the usual safety stop, and the deepest that one is read, in hundredths."""
STOP_MIN = 3.0
MAX_PPO2_BAR = 1.4
HIGHEST_PPO2_BAR = 1.6
COLD_C = 10.0
WATER_C = (-3.0, 45.0)
FILL_C = (-5.0, 60.0)
MOST_KN = 10.0
SLOWEST_SWIM_KN = 0.1


@dataclass(frozen=True)
class Reading:
    """The top level of a body, where the water's temperature stands in it, and the warnings met while reading."""

    unit: DepthUnit
    settings: TeamSettings
    on: str | None
    breathing: BreathingReading
    gas_law: str
    fill_temp_c: float | None
    air_needs_analysis: bool
    beyond_40_m_enabled: bool
    least_interval_min: int
    water_at: str = "/dive/water_temp_c"
    warnings: list[dict[str, str]] = field(default_factory=list)

    def warn(self, code: str, at: str, message: str) -> None:
        self.warnings.append({"code": code, "pointer": at, "message": message})


def read_team_settings(body: Fields) -> Reading:
    """Everything at the top level that `plan` and `teams` share, but the dive and the divers."""
    unit = read_unit(body)
    pressure_unit = body.choice("pressure_unit", ("bar", "psi"))
    volume_unit = body.choice("volume_unit", ("l", "cuft"))
    body.choice_or_none("gas_rule", ("minimum_gas",))
    ppo2 = body.number_or_none("max_ppo2_bar", 1.0, HIGHEST_PPO2_BAR, "bar")
    breathing = BreathingReading(
        read_breathing(body.fields_or_none("breathing")),
        read_rmv_group(body.fields_or_none("rmv_group")),
        body.number_or_none("gas_margin_percent", 0, 200, "percent"),
    )
    settings = TeamSettings(
        read_settings(body, unit),
        _sharing(body.fields_or_none("sharing"), pressure_unit),
        pressure_unit,
        volume_unit,
        MAX_PPO2_BAR if ppo2 is None else ppo2,
        breathing.model,
        body.choice_or_none("turn_rule", tuple(TURN_RULES)),
    )
    air = body.flag_or_none("air_needs_analysis")
    reading = Reading(
        unit,
        settings,
        read_date(body, "on"),
        breathing,
        body.choice_or_none("gas_law", LAWS) or "published",
        body.number_or_none("fill_temp_c", *FILL_C, "°C"),
        air is not False,
        body.flag("beyond_40_m_enabled"),
        body.integer_or_none("least_surface_interval_min", 0, 1440, "minutes") or 0,
    )
    _settings_warnings(body, reading)
    return reading


def _sharing(fields: Fields | None, unit: str) -> Sharing:
    per_bar = 1.0 if unit == "bar" else PSI_PER_BAR
    if fields is None:
        return Sharing(
            STRESSED_RMV_L_MIN, DELAY_MIN, SURFACE_RESERVE_BAR * per_bar, REGULATOR_MINIMUM_BAR * per_bar
        )
    most = HIGHEST_PRESSURE[unit]
    stressed = fields.number_or_none("stressed_rmv_l_min", 5, 150, "L/min")
    delay = fields.number_or_none("delay_at_depth_min", 0, 10, "minutes")
    reserve = fields.number_or_none("surface_reserve", 0, most, unit)
    regulator = fields.number_or_none("regulator_minimum", 0, most / 5, unit)
    fields.close()
    return Sharing(
        STRESSED_RMV_L_MIN if stressed is None else stressed,
        DELAY_MIN if delay is None else delay,
        SURFACE_RESERVE_BAR * per_bar if reserve is None else reserve,
        REGULATOR_MINIMUM_BAR * per_bar if regulator is None else regulator,
    )


def _settings_warnings(body: Fields, reading: Reading) -> None:
    if not body.has("site_altitude_m") and not body.has("site_altitude_ft"):
        reading.warn("sea_level_assumed", "/site_altitude_m", "No site altitude given: sea level assumed.")
    used = reading.settings.dive
    if used.gf_high_pm > Settings.gf_high_pm or used.gf_low_pm > Settings.gf_low_pm:
        reading.warn("gf_above_default", "/gf", "Gradient factors above 0.40 and 0.80: less margin.")
    given: Any = body.value.get("sharing")
    given = given if isinstance(given, dict) else {}
    names = ("stressed_rmv_l_min", "delay_at_depth_min", "surface_reserve")
    lacking = [name for name in names if given.get(name) is None]
    if lacking:
        reading.warn("default_used", "/sharing", f"Not given, our default used: {', '.join(lacking)}.")


def read_date(fields: Fields, name: str) -> str | None:
    """A calendar date as YYYY-MM-DD, None when absent or wrong."""
    value = fields.text_or_none(name, 10)
    if value is None:
        return None
    digits = value.replace("-", "")
    shape = len(value) == 10 and value[4] == "-" and value[7] == "-" and len(digits) == 8
    if not shape or not (digits.isascii() and digits.isdigit()) or not _is_day(value):
        fields.fail(name, "wrong_type", "Must be a date as YYYY-MM-DD.")
        return None
    return value


def _is_day(value: str) -> bool:
    year, month, day = int(value[:4]), int(value[5:7]), int(value[8:])
    leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    lengths = (31, 29 if leap else 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    return year > 0 and 1 <= month <= 12 and 1 <= day <= lengths[month - 1]


def later(a: str, b: str) -> bool | None:
    """Whether instant `a` is after `b`, both ISO 8601 date and time; None where that cannot be told."""
    first, second = _INSTANT.fullmatch(a), _INSTANT.fullmatch(b)
    if first is None or second is None or (first[6] is None) != (second[6] is None):
        return None
    if not (_is_day(first[1]) and _is_day(second[1])):
        return None
    return _second(first) > _second(second)


_INSTANT = re.compile(
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})[T ]([01][0-9]|2[0-3]):([0-5][0-9])(?::([0-5][0-9])(\.[0-9]{1,9})?)?"
    r"(Z|[+-](?:[01][0-9]|2[0-3]):?[0-5][0-9])?"
)


def _second(found: re.Match[str]) -> int:
    """Seconds since a fixed day, by its own offset; parts of a second do not count."""
    day, hour, minute, second, _, offset = found.groups()
    east_min = 0
    if offset is not None and offset != "Z":
        east_min = int(offset[1:3]) * 60 + int(offset[-2:])
        east_min = -east_min if offset[0] == "-" else east_min
    days = ordinal(int(day.replace("-", "")))
    return days * 86_400 + int(hour) * 3600 + (int(minute) - east_min) * 60 + int(second or 0)


def read_team_dive(fields: Fields, reading: Reading, current_kn: float | None = None) -> TeamDive:
    """The dive asked. `current_kn` stands in where the dive gives none of its own."""
    unit = reading.unit
    wrong = len(fields.errors.found)
    deepest = read_depth(fields, "depth", unit)
    too_deep = deepest.hundredths > USUAL_DEEPEST[unit] and not reading.beyond_40_m_enabled
    if too_deep and fields.ok and len(fields.errors.found) == wrong:
        fields.fail(
            "depth",
            "beyond_40_m",
            "Deeper than 40 m / 130 ft is not planned here unless the club's keeper has set beyond_40_m_enabled.",
        )
    bottom_time_s = read_bottom_time_s(fields)
    own = fields.number_or_none("current_kn", 0, MOST_KN, "knots")
    current = own if own is not None else current_kn if current_kn is not None else 0.0
    if current > BREATHING["sustained_kn"]:
        message = (
            f"No diver swims against {said(current)} kn for minutes: drift with it, or dive at slack water."
        )
        reading.warn("hard_swim", fields.pointer("current_kn"), message)
    cold_or_hard = fields.flag("cold_or_hard")
    temperature = fields.number_or_none("water_temp_c", *WATER_C, "°C")
    if temperature is not None and temperature < COLD_C and not cold_or_hard:
        message = "Water under 10 °C: with cold_or_hard the table is entered at the next longer time."
        reading.warn("cold_water", fields.pointer("water_temp_c"), message)
    stop_depth, stop_min = _stop(fields.fields_or_none("safety_stop"), unit)
    along = fields.fields_or_none("along_current")
    return TeamDive(
        depth=deepest,
        bottom_time_s=bottom_time_s,
        work=fields.choice_or_none("work", WORK) or "moderate",
        current_kn=current,
        way=fields.choice_or_none("return", ("same_point", "free_ascent")),
        stop_depth=stop_depth,
        stop_min=stop_min,
        task_unit_min=fields.number_or_none("task_unit_min", 0, 240, "minutes", above=True),
        cold_or_hard=cold_or_hard,
        along=None if along is None else _along(along, current),
        water_c=temperature,
    )


def _along(fields: Fields, current_kn: float) -> Along:
    """Out and back along a current; its speed is that of the dive unless it is given here."""
    first = fields.choice("first", ("with", "against"))
    swim = fields.number("swim_kn", SLOWEST_SWIM_KN, MOST_KN, "knots")
    own = fields.number_or_none("current_kn", 0, MOST_KN, "knots")
    fields.close()
    return Along(first, swim, current_kn if own is None else own)


def _stop(fields: Fields | None, unit: DepthUnit) -> tuple[Depth, float]:
    usual, deepest = STOP[unit]
    if fields is None:
        return Depth(usual, unit), STOP_MIN
    at = fields.number("depth", 0, deepest / 100, unit, above=True)
    minutes = fields.number("min", 0, 60, "minutes")
    fields.close()
    return depth(at, unit), minutes
