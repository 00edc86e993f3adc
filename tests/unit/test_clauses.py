"""Every rule that the calculations promise, with the test that holds it. A rule whose test goes away fails here.

The rules are those of the published exchange (README, "The three calculations") and of the house's safety rules.
"""

import ast
from functools import cache
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
P, U, Q, S = "published/", "unit/", "property/", "services/"

CLAUSES: dict[str, str] = {
    # --- questions and answers, whatever the calculation
    "bad input: status 2, nothing on standard output, a problem on standard error": U
    + "test_command.py::test_bad_input_ends_with_status_2_and_a_problem_on_standard_error",
    "the command and the address refuse alike": U
    + "test_border.py::test_the_command_and_the_api_refuse_alike",
    "a file or standard input, the same answer": U
    + "test_command.py::test_a_calculation_reads_a_file_or_standard_input_alike",
    "no sign-in, throttled": U + "test_border.py::test_the_calculations_are_throttled_without_a_sign_in",
    "unknown fields are refused by name": U
    + "test_border.py::test_an_unknown_field_is_refused_by_name_at_every_level",
    "duplicates are refused": U + "test_border.py::test_a_name_that_stands_twice_is_refused_at_every_level",
    "no NaN, infinity, negative or absurd number": U
    + "test_border.py::test_no_number_field_takes_what_is_no_sensible_number",
    "all errors at once, each with its pointer": U + "test_plan.py::test_every_error_is_named_at_once",
    "what the question needs is bad input where it is missing": U
    + "test_plan.py::test_what_the_question_needs",
    "a fact about a person that is missing is not known, with what is missing": U
    + "test_plan.py::test_it_says_what_and_whose",
    "sources and warnings that point into the body": U
    + "test_border.py::test_every_answer_carries_sources_and_warnings_that_point_into_the_body",
    "two spellings of one altitude never together": U + "test_body.py::test_two_spellings_of_one_fact",
    "no body crashes": Q + "test_hostile_bodies.py::test_no_body_crashes",
    # --- units, time and place
    "metres and feet by the definition, each in its own row": P
    + "test_rules_of_a_day.py::test_every_foot_and_every_metre_by_the_definition",
    "the depth as typed finds its row": P + "test_rules_of_a_day.py::test_the_row_of_a_depth_as_typed",
    "a plan enters by its own unit too": P
    + "test_rules_of_a_day.py::test_a_plan_enters_the_table_by_its_own_unit_too",
    "units round-trip": P + "test_rules_of_a_day.py::test_units_round_trip",
    "psi and cubic feet": P + "test_minimum_gas.py::test_in_feet_psi_and_cubic_feet",
    "cubic feet are free gas at the working pressure": P
    + "test_gas.py::test_cuft_counts_free_gas_at_the_working_pressure",
    "18 and 9 m a minute where no rate is given": P
    + "test_rules_of_a_day.py::test_rates_that_are_not_given_are_18_and_9_metres_a_minute_in_either_unit",
    "no altitude: sea level, with a warning": P + "test_day.py::test_altitude",
    "hours at altitude that are not given are not assumed": P
    + "test_tissues_at_altitude.py::test_time_at_altitude_that_is_not_given_is_not_assumed",
    "an interval counts back from the start of this dive": P
    + "test_rules_of_a_day.py::test_an_interval_ends_at_the_start_of_this_dive",
    "earlier dives absent: not known, never none": P
    + "test_intervals.py::test_an_unknown_first_dive_is_not_group_a",
    "under ten minutes apart is one dive at the deepest": P
    + "test_day.py::test_under_ten_minutes_is_one_dive_at_the_deepest_depth",
    "rounding goes to the safe side, in one place": U + "test_border.py::test_rounding_has_one_home",
    "limits rounded down, oxygen up": P
    + "test_rules_of_a_day.py::test_shown_limits_are_rounded_down_and_shown_oxygen_up",
    # --- a day
    "every field of an ordinary day": P
    + "test_rules_of_a_day.py::test_the_answer_has_every_field_of_an_ordinary_day",
    "both methods given, the shorter governs": P
    + "test_rules_of_a_day.py::test_the_shorter_of_the_two_methods_governs_and_both_are_given",
    "a club may let one method govern": P + "test_day.py::test_the_governing_method_decides",
    "the tissue limit: whole seconds, no ceiling met, within GF high": P
    + "test_tissue_model.py::test_a_straight_ascent_at_the_limit_meets_no_ceiling",
    "the tissue limit against a bracketed root": P
    + "test_tissue_model.py::test_no_stop_limit_against_brentq",
    "GF low acts only once a stop is owed": P + "test_stops_owed.py::test_stops_are_owed_past_the_limit_only",
    "surface pressure, nitrogen, water vapour, set C with 1b": P
    + "test_tissue_model.py::test_limits_of_the_stated_conventions",
    "no limit: null and unlimited": P + "test_day.py::test_unlimited_rows",
    "beyond the limit: warned, later dives refused with a reason, no waiting time given": P
    + "test_day.py::test_beyond_the_limit",
    "not analysed: nitrogen as air, oxygen not known": P
    + "test_oxygen_sums.py::test_what_is_not_known_of_the_gas_or_of_dives_before",
    "nitrox enters the table with a margin": P + "test_oxygen.py::test_gas_enters_the_table_with_a_margin",
    "air has no margin": P + "test_oxygen.py::test_mod_keeps_a_margin_except_for_air",
    "cold, hard and caution enter at the next longer time and lower GF high": P
    + "test_day.py::test_caution_shortens_both_methods",
    "samples drive both methods": P + "test_day.py::test_multilevel_samples_are_judged_as_swum",
    "flying: the longest of consensus, table and the club's": P
    + "test_no_fly.py::test_the_longest_counts_and_the_rest_runs_down",
    "flying: the highest group of the last 24 hours": P
    + "test_no_fly.py::test_the_highest_group_of_the_last_24_hours_counts",
    "flying: no published figure after a dive beyond its limit": P
    + "test_no_fly.py::test_no_figure_after_a_dive_beyond_its_limit",
    "flying: the words are no clearance": P
    + "test_no_fly_circumstances.py::test_the_words_stand_when_the_time_has_passed_and_not_a_minute_before",
    "flying: a mountain road counts": P + "test_no_fly.py::test_road_over_a_pass",
    "now: group null and 0 once not repetitive": P + "test_day.py::test_now",
    "a day answers to 190 fsw, warned past 130": P
    + "test_day.py::test_deep_dives_are_answered_with_a_warning",
    "a plan is refused past 40 m or 130 ft unless enabled": U
    + "test_plan.py::test_deeper_than_40_m_and_130_ft_unless_enabled",
    "the steps of qualification are equal across units": U
    + "test_plan.py::test_qualification_steps_are_equal_across_units",
    # --- a plan
    "each limit with its minutes, whose and why; the least binds, the next stands behind": Q
    + "test_plan.py::test_the_least_binds_and_the_next_is_behind_it",
    "who turns first, and how likely": P + "test_plan.py::test_first_to_turn_against_a_simulation",
    "last start leaves one unit of work": U
    + "test_plan.py::test_last_start_leaves_one_unit_of_work_and_a_minute",
    "run time is bottom, ascent and stop": U + "test_plan.py::test_run_time_is_bottom_ascent_and_stop",
    "what would buy time does what it says": Q + "test_plan.py::test_every_change_offered_does_what_it_says",
    "what people would try in vain": P + "test_plan.py::test_in_vain_where_gas_is_not_the_limit",
    "work and current applied once and shown": U
    + "test_plan.py::test_the_multipliers_are_applied_once_and_shown",
    "gas by the upper 95 % value of the spread": P
    + "test_gas.py::test_upper_rate_is_the_95_percent_value_of_a_log_normal",
    "no spread and no margin: gas not known": U + "test_plan.py::test_it_says_what_and_whose",
    "a margin of 0 is allowed and shown": U + "test_plan.py::test_no_margin_is_allowed_and_shown",
    "minimum gas: two heaviest, delay, ascent, stop": P
    + "test_minimum_gas.py::test_the_two_heaviest_of_three",
    "minimum gas: own ascent and the surface reserve where more": P
    + "test_minimum_gas.py::test_the_own_ascent_and_the_surface_reserve_where_they_are_more",
    "a sharer at the greater of stressed and own rate": P
    + "test_minimum_gas.py::test_a_sharer_who_breathes_more_is_counted_with_their_own_rate",
    "the regulator minimum is added": P
    + "test_minimum_gas.py::test_the_delay_and_the_regulator_minimum_are_the_stated_ones",
    "pressures on steps of 5 bar or 50 psi, in order": Q
    + "test_plan.py::test_pressures_are_in_order_and_on_their_steps",
    "redundant cylinders never count": U + "test_plan.py::test_a_redundant_cylinder_never_counts",
    "juniors and supervised divers never share": U
    + "test_plan.py::test_juniors_and_supervised_divers_never_count_as_sharing",
    "turn pressure needs the way back": U + "test_plan.py::test_turn_pressure_needs_the_way_back",
    "turn pressure never below minimum gas": P + "test_gas.py::test_never_below_minimum_nor_above_the_start",
    "turn pressure matched in litres": P + "test_gas.py::test_matched_in_litres",
    "an analysis belongs to one cylinder": P
    + "test_minimum_gas.py::test_an_analysis_belongs_to_one_cylinder_and_to_its_diver",
    "an analysis is void after a refill": U + "test_plan.py::test_refilled",
    "0.21 to 0.40, at most 1.6 bar": U + "test_plan.py::test_oxygen_of_plans",
    "deeper than its oxygen limit is no dive": P
    + "test_plan.py::test_deeper_than_its_oxygen_limit_is_no_dive",
    "the least interval for the whole team, or none with why": P
    + "test_plan.py::test_a_first_dive_too_long_for_any_interval",
    "deeper, longer, sooner: each with its limit": Q
    + "test_backwards.py::test_deeper_longer_sooner_never_get_a_longer_limit",
    # --- the safety rules of the house
    "unknown is never taken for safe": Q + "test_plan.py::test_what_is_missing_never_becomes_a_longer_dive",
    "never the word": U + "test_border.py::test_no_answer_calls_anything_safe",
    "the plan yields to any team-mate's computer": P
    + "test_minimum_gas.py::test_every_plan_says_what_it_yields_to",
    "an early descent and a late surfacing for the bottom time": U
    + "test_boatlog_safe_ends.py::test_an_early_descent_and_a_late_surfacing_for_the_bottom_time",
    "an early descent for due and overdue": U
    + "test_boatlog_safe_ends.py::test_an_early_descent_for_due_and_overdue",
    "a late surfacing for the interval": U
    + "test_boatlog_safe_ends.py::test_a_late_surfacing_for_the_interval",
    "the deeper depth": U + "test_boatlog_safe_ends.py::test_the_deeper_depth_for_the_whole_team",
    "claims stay until two people settle them": U
    + "test_boatlog_safe_ends.py::test_where_it_touches_the_record_two_people_settle_it",
    "an uncertain clock shortens and lengthens nothing it must not": U
    + "test_boatlog_safe_ends.py::test_shortens_no_bottom_time_and_lengthens_no_interval",
    "an uncertain clock brings no flying time forward": U
    + "test_boatlog_safe_ends.py::test_brings_no_flying_time_forward",
    "an uncertain clock delays nothing that is due": U
    + "test_boatlog_safe_ends.py::test_delays_nothing_that_is_due",
    "a conflict about presence is not accounted for": U
    + "test_boatlog_safe_ends.py::test_a_conflict_about_presence_is_not_accounted_for",
    "an override never for oneself, with a reason, visible": P
    + "test_teams.py::test_never_for_oneself_and_only_by_a_leader",
    "the floor that no override lifts": P + "test_teams.py::test_the_floor_that_no_override_lifts",
    "every reason has its source": U + "test_rule_sources.py::test_every_reason_code_has_its_source",
}


@cache
def _tests_in(file: str) -> frozenset[str]:
    tree = ast.parse((TESTS / file).read_text(encoding="utf-8"))
    return frozenset(node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))


@pytest.mark.parametrize("clause", CLAUSES)
def test_a_rule_has_its_test(clause: str) -> None:
    file, _, name = CLAUSES[clause].partition("::")
    assert name in _tests_in(file), f"{CLAUSES[clause]} is gone: name the test that holds this rule now"
