"""The club's policy for pairing, as the body of `teams` writes it and as the answer repeats it."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from teamdive.calculations.body import Fields
from teamdive.calculations.pairing_reading import MOST_KN, MOST_VISIBILITY_M, WARMEST_C
from teamdive.calculations.problem import pointer
from teamdive.pairing.model import COVER_ROLES, Policy
from teamdive.pairing.rules_diver import OXYGEN_MARGIN
from teamdive.physics.rounding import floor_div, scaled_down, scaled_up, seconds_down
from teamdive.physics.units import DepthUnit

MOST_MARGIN = {"m": 30.0, "ft": 100.0}
MOST_GUIDED = 8


def read_policy(fields: Fields | None, unit: DepthUnit) -> Policy:
    """The club's numbers; what is absent keeps the default."""
    usual = Policy()
    if fields is None:
        return usual
    edges = fields.array_or_none("visibility_class_edges_m", 1, 12)
    metres = (
        () if edges is None else fields.numbers("visibility_class_edges_m", edges, 0, MOST_VISIBILITY_M, "m")
    )
    _ascending(fields, "visibility_class_edges_m", list(metres))
    months = fields.array_or_none("freshness_months", 3, 3)
    fresh = [] if months is None else fields.numbers("freshness_months", months, 1, 600, "months")
    _ascending(fields, "freshness_months", fresh)
    if any(month != int(month) for month in fresh):
        fields.fail("freshness_months", "wrong_type", "Must be whole months.")
    current = fields.number_or_none("current_tolerance_kn", 0, MOST_KN, "knots")
    temperature = fields.number_or_none("water_temp_tolerance_c", 0, WARMEST_C, "°C")
    margin = fields.number_or_none("oxygen_depth_margin", 0, MOST_MARGIN[unit], unit)
    clear = fields.number_or_none("three_visibility_m", 0, MOST_VISIBILITY_M, "m")
    exposure = fields.number_or_none("first_exposure_min", 0, 1440, "minutes", above=True)
    policy = Policy(
        threes=fields.choice_or_none("threes", ("only_when_odd", "free", "never")) or usual.threes,
        leader_needed=fields.choice_or_none("leader_needed", ("every_team", "when_stretched"))
        or usual.leader_needed,
        stretches_allowed=_or(fields.integer_or_none("stretches_allowed", 0, 7), usual.stretches_allowed),
        lay_off_days=_or(fields.integer_or_none("lay_off_days", 1, 3650, "days"), usual.lay_off_days),
        visibility_edges=usual.visibility_edges
        if edges is None
        else tuple(scaled_up(x, 100) for x in metres),
        visibility_tolerance=_or(
            fields.integer_or_none("visibility_tolerance_classes", 0, 12), usual.visibility_tolerance
        ),
        current_tolerance=usual.current_tolerance if current is None else scaled_down(current, 1000),
        water_temp_tolerance=usual.water_temp_tolerance
        if temperature is None
        else scaled_down(temperature, 10),
        fresh_months=usual.fresh_months if len(fresh) != 3 else (int(fresh[0]), int(fresh[1]), int(fresh[2])),
        covered_weight=_or(fields.integer_or_none("covered_weight", 1, 100), usual.covered_weight),
        lead_weight=_or(fields.integer_or_none("lead_weight", 1, 100), usual.lead_weight),
        wish_s=_or(_price(fields, "wish_s"), usual.wish_s),
        both_tasks_s=_or(_price(fields, "both_tasks_s"), usual.both_tasks_s),
        first_together_s=_or(_price(fields, "first_together_s"), usual.first_together_s),
        mentor_debt_s=_or(_price(fields, "mentor_debt_s"), usual.mentor_debt_s),
        other_mix_s=_or(_price(fields, "other_mix_s"), usual.other_mix_s),
        deeper_beside_certified=fields.flag("deeper_beside_certified"),
        oxygen_margin=None if margin is None else scaled_up(margin, 100),
        most_days_since_dive=fields.integer_or_none("most_days_since_dive", 1, 3650, "days"),
        least_dives_last_year=fields.integer_or_none("least_dives_last_year", 1, 1000),
        guided_ratio=_or(fields.integer_or_none("guided_ratio", 1, MOST_GUIDED), usual.guided_ratio),
        guardian_may_lead=fields.flag("guardian_may_lead"),
        one_band_at_a_time=fields.flag("one_band_at_a_time"),
        repeats_before_next=fields.integer_or_none("repeats_before_next", 1, 100),
        first_exposure_s=None if exposure is None else max(1, seconds_down(exposure)),
        three_visibility=None if clear is None else scaled_up(clear, 100),
        wave_interval_s=60 * _or(fields.integer_or_none("wave_interval_min", 10, 1440, "minutes"), 60),
        surface_cover=fields.choice_or_none("surface_cover", ("shown", "warn", "required"))
        or usual.surface_cover,
        cover_combined=_combined(fields, usual),
    )
    if policy.lead_weight < policy.covered_weight:
        fields.fail("lead_weight", "out_of_order", "Leading cannot ask for less than covering does.")
    fields.close()
    return policy


def _price(fields: Fields, name: str) -> int | None:
    return fields.integer_or_none(name, 0, 86_400, "seconds")


def _combined(fields: Fields, usual: Policy) -> tuple[tuple[str, ...], ...]:
    """Groups of roles that one person may hold together."""
    groups = fields.array_or_none("cover_roles_combined", 0, 10)
    if groups is None:
        return usual.cover_combined
    found = []
    for i, group in enumerate(groups):
        at = pointer(fields.pointer("cover_roles_combined"), i)
        if not isinstance(group, list) or not all(role in COVER_ROLES for role in group):
            fields.errors.add(at, "not_one_of", f"Must be a JSON array of {', '.join(COVER_ROLES)}.")
        else:
            found.append(tuple(group))
    return tuple(found)


def _or(value: int | None, usual: int) -> int:
    return usual if value is None else value


def _ascending(fields: Fields, name: str, values: list[float]) -> None:
    if any(a >= b for a, b in pairwise(values)):
        fields.fail(name, "out_of_order", "Each value must be greater than the one before.")


def policy_json(policy: Policy, unit: str) -> dict[str, Any]:
    """The policy that was used, as a body may state it; null: the rule is off."""
    margin = OXYGEN_MARGIN[unit] if policy.oxygen_margin is None else policy.oxygen_margin
    exposure, clear = policy.first_exposure_s, policy.three_visibility
    return {
        "threes": policy.threes,
        "leader_needed": policy.leader_needed,
        "stretches_allowed": policy.stretches_allowed,
        "lay_off_days": policy.lay_off_days,
        "visibility_class_edges_m": [edge / 100 for edge in policy.visibility_edges],
        "visibility_tolerance_classes": policy.visibility_tolerance,
        "current_tolerance_kn": policy.current_tolerance / 1000,
        "water_temp_tolerance_c": policy.water_temp_tolerance / 10,
        "freshness_months": list(policy.fresh_months),
        "covered_weight": policy.covered_weight,
        "lead_weight": policy.lead_weight,
        "wish_s": policy.wish_s,
        "both_tasks_s": policy.both_tasks_s,
        "first_together_s": policy.first_together_s,
        "mentor_debt_s": policy.mentor_debt_s,
        "other_mix_s": policy.other_mix_s,
        "deeper_beside_certified": policy.deeper_beside_certified,
        "oxygen_depth_margin": margin / 100,
        "most_days_since_dive": policy.most_days_since_dive,
        "least_dives_last_year": policy.least_dives_last_year,
        "guided_ratio": policy.guided_ratio,
        "guardian_may_lead": policy.guardian_may_lead,
        "one_band_at_a_time": policy.one_band_at_a_time,
        "repeats_before_next": policy.repeats_before_next,
        "first_exposure_min": None if exposure is None else exposure / 60,
        "three_visibility_m": None if clear is None else clear / 100,
        "wave_interval_min": floor_div(policy.wave_interval_s, 60),
        "surface_cover": policy.surface_cover,
        "cover_roles_combined": [list(group) for group in policy.cover_combined],
    }
