"""Units, place, gas and reckoning as the bodies of the calculations write them."""

from __future__ import annotations

from typing import Literal, cast

from teamdive.calculations.body import Fields
from teamdive.physics.oxygen import Mix
from teamdive.physics.profile import ASCENT, DAY_S, DESCENT, Method, Settings
from teamdive.physics.rounding import scaled_down, scaled_nearest, scaled_up, seconds_down, seconds_up
from teamdive.physics.units import Depth, DepthUnit, altitude_ft_down, altitude_ft_up, depth

DEEPEST: dict[DepthUnit, float] = {"m": 58.22, "ft": 190}
"""The deepest row of the tables, 190 fsw, in either unit."""

RATES: dict[str, dict[DepthUnit, tuple[float, float]]] = {
    "descent_rate": {"m": (3, 60), "ft": (10, 200)},
    "ascent_rate": {"m": (3, 18), "ft": (10, 60)},
}
"""Least and highest rate a minute. Faster than 18 m / 60 ft a minute no ascent is planned."""

LONGEST_BOTTOM_MIN = 1440
LONGEST_INTERVAL_MIN = 43_200
LEAST_O2 = 0.21
LEAST_TRIMIX_O2 = 0.16
"""Less oxygen is not breathed at the surface (common practice, no source), and a dive here is on one gas."""
MOST_HE = 0.84
HIGHEST_ALTITUDE: dict[Literal["m", "ft"], float] = {"m": 3048, "ft": 10_000}
MOST_CAUTION = 2


def read_unit(body: Fields) -> DepthUnit:
    return cast(DepthUnit, body.choice("depth_unit", ("ft", "m")))


def read_depth(fields: Fields, name: str, unit: DepthUnit) -> Depth:
    """A depth that the tables can answer; finer than a hundredth counts as deeper."""
    return depth(fields.number(name, 0, DEEPEST[unit], unit, above=True), unit)


def read_bottom_time_s(fields: Fields) -> int:
    return max(1, seconds_up(fields.number("bottom_time_min", 0, LONGEST_BOTTOM_MIN, "minutes", above=True)))


def read_interval_s(fields: Fields, name: str) -> int:
    return seconds_down(fields.number(name, 0, LONGEST_INTERVAL_MIN, "minutes"))


def read_mix(fields: Fields) -> Mix:
    """`o2_fraction` and `analysed`; a fraction that is not given is not known."""
    o2 = fields.number_or_none("o2_fraction", LEAST_O2, 1)
    return Mix(None if o2 is None else scaled_nearest(o2, 10_000), fields.flag("analysed"))


def read_trimix(fields: Fields, enabled: bool) -> Mix:
    """As `read_mix`, with `he_fraction` where the body has `trimix_enabled`."""
    he = fields.number_or_none("he_fraction", 0, MOST_HE)
    if he is None or he == 0:
        return read_mix(fields)
    if not enabled:
        message = (
            "A gas with helium needs trimix_enabled: true beside dives; "
            "it is for trained divers, as a calculation only."
        )
        fields.fail("he_fraction", "not_allowed", message)
    o2 = fields.number_or_none("o2_fraction", LEAST_TRIMIX_O2, 1)
    o2_e4 = None if o2 is None else scaled_nearest(o2, 10_000)
    he_e4 = scaled_nearest(he, 10_000)
    if o2_e4 is not None and o2_e4 + he_e4 > 10_000:
        fields.fail("he_fraction", "out_of_range", "Oxygen and helium together are more than the whole gas.")
    return Mix(o2_e4, fields.flag("analysed"), he_e4)


def read_caution(fields: Fields) -> int | None:
    return fields.integer_or_none("caution", 0, MOST_CAUTION)


def read_altitude_ft(fields: Fields, stem: str) -> int | None:
    """An altitude as `<stem>_m` or `<stem>_ft`, never both, in whole feet rounded up; None when absent."""
    fields.one_of_two(f"{stem}_m", f"{stem}_ft")
    metres = fields.number_or_none(f"{stem}_m", 0, HIGHEST_ALTITUDE["m"], "m")
    feet = fields.number_or_none(f"{stem}_ft", 0, HIGHEST_ALTITUDE["ft"], "ft")
    if metres is not None:
        return altitude_ft_up(metres)
    return None if feet is None else scaled_up(feet, 1)


def _read_home_altitude_ft(fields: Fields) -> int | None:
    """The altitude one was used to before going to the site, rounded down: a longer way up is the safe side."""
    fields.one_of_two("home_altitude_m", "home_altitude_ft")
    metres = fields.number_or_none("home_altitude_m", 0, HIGHEST_ALTITUDE["m"], "m")
    feet = fields.number_or_none("home_altitude_ft", 0, HIGHEST_ALTITUDE["ft"], "ft")
    if metres is not None:
        return altitude_ft_down(metres)
    return None if feet is None else scaled_down(feet, 1)


def read_settings(body: Fields, unit: DepthUnit) -> Settings:
    """Method, gradient factors, rates and place. `water` changes no number: depths are gauge depths."""
    gf_low_pm, gf_high_pm = read_gf(body)
    method = cast(Method, body.choice_or_none("method", ("shorter", "table", "tissue")) or "shorter")
    body.choice_or_none("water", ("salt", "fresh"))
    altitude_ft = read_altitude_ft(body, "site_altitude")
    hours = body.number_or_none("hours_at_altitude", 0, LONGEST_INTERVAL_MIN / 60, "hours")
    if hours is not None and not body.has("site_altitude_m") and not body.has("site_altitude_ft"):
        body.fail("hours_at_altitude", "not_allowed", "Give site_altitude_m or site_altitude_ft with it.")
    home_ft = _read_home_altitude_ft(body)
    if home_ft is not None and altitude_ft is None:
        name = "home_altitude_m" if body.has("home_altitude_m") else "home_altitude_ft"
        body.fail(name, "not_allowed", "Give site_altitude_m or site_altitude_ft with it.")
    rest = body.number_or_none("rest_after_beyond_limit_min", DAY_S // 60, LONGEST_INTERVAL_MIN, "minutes")
    return Settings(
        method,
        gf_low_pm,
        gf_high_pm,
        read_rate(body, "descent_rate", unit, DESCENT),
        read_rate(body, "ascent_rate", unit, ASCENT),
        altitude_ft or 0,
        None if hours is None else seconds_down(hours * 60),
        DAY_S if rest is None else seconds_up(rest),
        0 if home_ft is None else home_ft,
    )


def read_gf(body: Fields) -> tuple[int, int]:
    """`gf`: [low, high] as fractions; 0.40 and 0.80 when absent. In thousandths."""
    given = body.array_or_none("gf", 2, 2)
    if given is None:
        return Settings.gf_low_pm, Settings.gf_high_pm
    before = len(body.errors.found)
    items = body.numbers("gf", given, 0.1, 1)
    low, high = scaled_nearest(items[0], 1000), scaled_nearest(items[1], 1000)
    if low > high and len(body.errors.found) == before:
        body.fail("gf", "out_of_order", "Give the low gradient factor first: [low, high].")
    return low, high


def read_rate(body: Fields, name: str, unit: DepthUnit, default: Depth) -> Depth:
    """A rate in `depth_unit` per minute."""
    least, most = RATES[name][unit]
    rate = body.number_or_none(name, least, most, f"{unit} per minute")
    return default if rate is None else Depth(scaled_nearest(rate, 100), unit)
