"""What a diver should know of a day although it is answered."""

from __future__ import annotations

from teamdive.calculations.body import Fields
from teamdive.calculations.no_fly_reading import NoFlyAsked
from teamdive.physics.dive import Day, Dive, DiveAnswer, Settings
from teamdive.physics.known import Missing
from teamdive.physics.no_fly import Breathed
from teamdive.physics.oxygen import AIR_O2_E4, mod
from teamdive.physics.units import DepthUnit

USUAL_DEEPEST: dict[DepthUnit, int] = {"m": 4000, "ft": 13_000}
"""40 m and 130 ft in hundredths: the usual deepest for a qualification."""


def settings_warnings(
    fields: Fields, settings: Settings, days: int | None, dives: int
) -> list[dict[str, str]]:
    """Of the question as a whole: place, gradient factors, days of diving."""
    warnings = []
    if not fields.has("site_altitude_m") and not fields.has("site_altitude_ft"):
        warnings.append(
            warning("sea_level_assumed", "/site_altitude_m", "No site altitude given: sea level assumed.")
        )
    if settings.gf_high_pm > Settings.gf_high_pm or settings.gf_low_pm > Settings.gf_low_pm:
        warnings.append(
            warning("gf_above_default", "/gf", "Gradient factors above 0.40 and 0.80: less margin.")
        )
    if days is None and dives == 1:
        message = "Days of diving not given: counted as several, so the longer wait stands."
        warnings.append(warning("days_of_diving_not_given", "/days_of_diving", message))
    return warnings


def no_fly_warnings(asked: NoFlyAsked, dives: tuple[Dive, ...], before: Breathed) -> list[dict[str, str]]:
    """Of what no figure is published for, before flying or going to altitude; `before`: gas of a state given."""
    warnings = []
    if asked.symptoms:
        message = (
            "Symptoms after diving: no dive, no flight, no road over a pass. Call a diving doctor or the emergency "
            "services now; a figure here never stands for theirs."
        )
        warnings.append(warning("symptoms", "/no_fly/symptoms", message))
    if before == "helium" or any(dive.mix.he_e4 > 0 for dive in dives):
        message = "No published figure for flying after a gas with helium."
        warnings.append(warning("no_fly_after_helium", "/no_fly", message))
    nitrox = any(dive.mix.o2_e4 not in (None, AIR_O2_E4) and dive.mix.he_e4 == 0 for dive in dives)
    if nitrox or before == "nitrox":
        message = "No published figure for flying after nitrox: the consensus shown is the one for air."
        warnings.append(warning("no_fly_after_nitrox", "/no_fly", message))
    return warnings


def dive_warnings(
    made: Day, i: int, dive: Dive, settings: Settings, ppo2: float, unit: DepthUnit
) -> list[dict[str, str]]:
    """Of one dive: depth, gas, oxygen, and either limit passed."""
    at = f"/dives/{i}"
    warnings = []
    if dive.depth.hundredths > USUAL_DEEPEST[unit]:
        warnings.append(warning("deeper_than_40_m", at, "Deeper than 40 m / 130 ft, the usual deepest."))
    helium = dive.mix.he_e4 > 0
    if (helium or dive.mix.o2_e4 not in (None, AIR_O2_E4)) and not dive.mix.analysed:
        message = "Gas not analysed by its diver: nitrogen counts as in air, oxygen and MOD are not known."
        if helium:
            message = "Gas with helium not analysed by its diver: nothing about it is known."
        warnings.append(warning("not_analysed", f"{at}/analysed", message))
    if helium:
        message = (
            "Gas with helium: for divers trained for it, as a calculation only. No table has it; training, makers' "
            "manuals and the plan of who teaches it come first."
        )
        warnings.append(warning("gas_with_helium", f"{at}/he_fraction", message))
    deepest = mod(dive.mix, ppo2, unit)
    if not isinstance(deepest, Missing) and dive.depth.hundredths > deepest.hundredths:
        message = f"Deeper than the MOD of this gas, {deepest.hundredths // 100} {unit}."
        warnings.append(warning("deeper_than_mod", at, message))
    answer = made.answers[i]
    if not isinstance(answer, DiveAnswer):
        return warnings
    if not isinstance(answer.oxygen_share, Missing) and answer.oxygen_share > 1.0:
        warnings.append(warning("oxygen_limit_passed", at, "Past the oxygen limit for a single exposure."))
    if answer.within is False:
        message = (
            "Beyond the limit: no further dive until the club's stated time, at least 24 h; do not fly; rest, "
            "watch each other for symptoms, and call a diving doctor or the emergency services at the first one."
        )
        warnings.append(warning("beyond_limit", at, message))
    for name, within in (("table", answer.table_within), ("tissue", answer.tissue_within)):
        if within is False and settings.method not in (name, "shorter"):
            message = f"Past the {name} limit, which does not govern here; this stays in the record."
            warnings.append(warning(f"beyond_{name}_limit", at, message))
    return warnings


def warning(code: str, at: str, message: str) -> dict[str, str]:
    """One warning: a stable code, a JSON Pointer into the body, a sentence."""
    return {"code": code, "pointer": at, "message": message}
