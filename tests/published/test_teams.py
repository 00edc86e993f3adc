"""Who dives with whom, held against published rules for pairing and against worked days.

Sources, as quoted by secondary pages: AAUS Standards for Scientific Diving (4.40 depth
authorisations, 4.50 recency; the steps from memory), ISO 24801-2/-3 and 24803, RSTC junior limits,
NOAA Diving Manual for MOD. What has none is marked 'common practice, no source'.
"""

from __future__ import annotations

import datetime
from typing import Any

import pytest

from teamdive.calculations.problem import Problem
from teamdive.calculations.teams import teams
from teamdive.pairing import days
from teamdive.pairing.experience import band_edge, quarters, standing, visibility_class
from teamdive.pairing.model import Demands, Done, Experience, Policy, Task
from tests.parity.team_bodies import ON, diver, done, eight, question

STRONG = [done(40, 1.0, 5, count=6, visibility_m=3, water_temp_c=5, night=True)]


def lead(name: str = "lead", **changes: Any) -> dict[str, Any]:
    return diver(name, STRONG, role="leader", **changes)


def placed(found: dict[str, Any]) -> list[list[str]]:
    return [team["divers"] for team in found["teams"]]


def reasons(found: dict[str, Any], name: str) -> list[dict[str, Any]]:
    return [reason for one in found["not_placed"] if one["id"] == name for reason in one["reasons"]]


def codes(found: dict[str, Any], name: str) -> list[str]:
    return [reason["code"] for reason in reasons(found, name)]


def rules(found: dict[str, Any]) -> list[str]:
    return [reason["code"] for reason in found["why_not"][0]["rules"]]


# --- the worked day: three leaders, three who stretch in one dimension --------------------------------


def test_never_both_at_once() -> None:
    """Worked by hand: minimum gas 105 bar in 10 L, so D's gas is 11 min and A loses 6; all else 17."""
    found = teams(eight(why_not=[["C", "D"]]))
    assert found["status"] == "optimal"
    assert placed(found) == [["A", "D"], ["B", "C"], ["E", "G"]]
    assert [team["lead"] for team in found["teams"]] == ["A", "B", "G"]
    assert found["total"] == {"placed": 6, "overrides": 0, "safety_penalty": 435, "cost_s": 360}
    assert [int(team["limit_min"]) for team in found["teams"]] == [11, 17, 17]
    said = " ".join(reason["message"] for reason in found["teams"][0]["reasons"])
    assert "Limited to 11 min by D's gas: costs A 6 min." in said
    assert "A cylinder of 15 l would make D's gas last 21.6 min, the team 17 min." in said
    stands = {one["id"]: (one["stretches"], one["kind"]) for one in found["divers"]}
    assert stands["C"] == (1, "combination")
    assert stands["D"] == (1, "new") and stands["E"] == (1, "new")
    assert stands["F"] == (3, "new")
    assert [stands[name][0] for name in "ABG"] == [0, 0, 0]
    assert codes(found, "F") == ["stretches"] and codes(found, "H") == ["stretches"]
    assert "lay_off" in next(one for one in found["divers"] if one["id"] == "H")["dimensions"]
    assert "two_stretched" in rules(found)


def test_all_six_permitted_pairings_cost_the_same_minutes() -> None:
    days_with = [
        teams(eight(locked=[["A", a], ["B", b], ["G", c]]))["total"]
        for a, b, c in (
            ("C", "D", "E"),
            ("C", "E", "D"),
            ("D", "C", "E"),
            ("D", "E", "C"),
            ("E", "C", "D"),
            ("E", "D", "C"),
        )
    ]
    assert [total["cost_s"] for total in days_with] == [360] * 6
    penalties = [total["safety_penalty"] for total in days_with]
    assert min(penalties) == penalties[2] and penalties.count(min(penalties)) == 2


# --- joint experience ---------------------------------------------------------------------------------


def test_both_but_never_together() -> None:
    """Deep without the task, the task in current but shallow; one stretch, depth."""
    asked = Demands("m", 3000, current=1000, visibility=500, water_temp=100, task=Task("survey", 3))
    deep = Done(3800, 20260901, 500, 1000, 80, False, None, 3)
    hard = Done(1800, 20270523, 1500, 300, 60, False, Task("survey", 4), 5)
    now = standing(Experience(20270523, (deep, hard)), asked, 20270612, Policy())
    assert (now.stretches, now.dimensions, now.kind) == (1, ("depth",), "combination")
    alone = standing(Experience(20270523, (deep,)), asked, 20270612, Policy())
    assert (alone.stretches, alone.dimensions) == (3, ("current", "visibility", "task"))


def test_weight_is_counted_over_the_same_dives() -> None:
    """Two dives of half weight make one; one of them lacking something else does not help."""
    asked = Demands("m", 2700, current=500)
    old = Done(3000, 20260901, 500, count=1)
    other = Done(3000, 20260901, 0, count=1)
    policy = Policy()
    assert standing(Experience(20270601, (old, old)), asked, 20270612, policy).stretches == 0
    assert standing(Experience(20270601, (old, other)), asked, 20270612, policy).dimensions == ("current",)
    assert standing(Experience(20270601, (old,)), asked, 20270612, policy).stretches == 2


@pytest.mark.parametrize(
    ("on", "weight"),
    [(20261213, 4), (20261212, 2), (20260613, 2), (20260612, 1), (20250613, 1), (20250612, 0), (20270612, 4)],
)
def test_freshness_by_the_calendar(on: int, weight: int) -> None:
    """Under 6 months 1, to 12 a half, to 24 a quarter, then nothing: common practice, no source."""
    assert quarters(on, 20270612, (6, 12, 24)) == weight


def test_depth_bands_of_scientific_diving() -> None:
    """AAUS 4.40: 30, 60, 100, 130, 150, 190 ft, or 9, 18, 30, 40, 46, 58 m (from memory)."""
    for unit, edges in (("m", (9, 18, 30, 40, 46, 58)), ("ft", (30, 60, 100, 130, 150, 190))):
        below = 0
        for edge in edges:
            assert band_edge(edge * 100, unit) == band_edge(below * 100 + 1, unit) == edge * 100
            below = edge
    assert band_edge(6100, "m") == 6100


def test_a_visibility_on_an_edge_is_of_the_clearer_class() -> None:
    assert [visibility_class(v * 100, (300, 600, 1000, 2000)) for v in (2, 3, 5, 6, 10, 20)] == [
        0,
        1,
        1,
        2,
        3,
        4,
    ]


def test_days_against_the_standard_library() -> None:
    """datetime's proleptic Gregorian calendar (ISO 8601)."""
    start = datetime.date(1999, 12, 1)
    for step in range(0, 12_000, 37):
        day = start + datetime.timedelta(days=step)
        number = day.year * 10000 + day.month * 100 + day.day
        assert days.days_between(19991201, number) == step
        assert days.text(number) == day.isoformat()
    assert days.months_later(20261231, 2) == 20270228
    assert days.months_later(20230831, 6) == 20240229
    assert days.age(20080229, 20260228) == 17 and days.age(20080229, 20260301) == 18


def test_an_unknown_log_covers_nothing_and_bars() -> None:
    found = teams(question([lead(), diver("mate", None)]))
    assert "experience_not_known" in codes(found, "mate")
    reason = next(r for r in reasons(found, "mate") if r["code"] == "experience_not_known")
    assert reason["missing"] == ["experience.done"]


# --- published rules, one by one -----------------------------------------------------------------------


def two(**changes: Any) -> dict[str, Any]:
    return teams(question([lead(), diver("mate", STRONG, **changes)]))


def junior(born: str, depth: float, beside: dict[str, Any] | None = None, **changes: Any) -> dict[str, Any]:
    body = question([beside or lead(), diver("kid", STRONG, born=born, guardian_consent=True, **changes)])
    body["dive"]["depth"] = depth
    return teams(body)


@pytest.mark.parametrize(
    ("born", "certified", "limit"),
    [("2016-01-01", 40, 12), ("2014-01-01", 20, 18), ("2014-01-01", 21, 21)],
)
def test_junior_limits(born: str, certified: float, limit: float) -> None:
    """RSTC: 12 m at 10-11, 18 m at 12-14; 21 m after further training from memory."""
    assert placed(junior(born, limit, certified_depth=certified)) == [["kid", "lead"]]
    assert "junior_depth" in codes(junior(born, limit + 0.5, certified_depth=certified), "kid")


def test_a_junior_needs_a_certified_adult() -> None:
    """RSTC: with a certified adult. Two of 14 are no team, whatever else they may do."""
    body = question(
        [lead(born="2013-02-01"), diver("kid", STRONG, born="2013-01-01")], why_not=[["kid", "lead"]]
    )
    body["dive"]["depth"] = 12
    found = teams(body)
    assert found["status"] == "impossible" and "junior_adult" in rules(found)


def test_a_minor_without_consent_stays_ashore() -> None:
    """ISO 24803:2017 4.1: written consent of a parent or guardian."""
    assert codes(two(born="2011-01-01", guardian_consent=False), "mate") == ["guardian_consent"]
    # What is not stated bars too, says what is missing, and nobody sets it aside.
    override = {"rule": "guardian_consent_not_known", "diver": "mate", "by": "lead", "reason": "they said so"}
    body = question([lead(), diver("mate", STRONG, born="2011-01-01")], overrides=[override])
    found = teams(body)
    assert codes(found, "mate") == ["guardian_consent_not_known"]
    assert reasons(found, "mate")[0]["missing"] == ["guardian_consent"]
    assert found["warnings"][-1]["code"] == "override_refused"
    assert placed(two(born="2011-01-01", guardian_consent=True)) == [["lead", "mate"]]


def test_age_is_reckoned_on_the_day() -> None:
    assert codes(two(born="2012-06-13", guardian_consent=True), "mate") == ["junior_depth"]
    assert placed(two(born="2012-06-12", guardian_consent=True))


def test_nobody_deeper_than_certified() -> None:
    """AAUS 4.40, ISO 24801-2: no deeper than trained for. 27 m on a 20 m card."""
    assert codes(two(certified_depth=20), "mate") == ["certified_depth"]
    assert placed(two(certified_depth=27)) == [["lead", "mate"]]


def test_a_gas_deeper_than_its_oxygen_limit() -> None:
    """NOAA: MOD = (1.4 / fraction - 1) x 10 msw; 40 % is 25 m, so not at 27."""
    analysis = {"o2_fraction": 0.4, "by": "mate", "at": ON, "cylinder": "c"}
    assert codes(two(gas={"o2_fraction": 0.4, "analysis": analysis}), "mate") == ["oxygen_limit"]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"certified_depth": None}, "certified_depth_not_known"),
        ({"born": None}, "age_not_known"),
        ({"fitness": None}, "fitness_not_known"),
        ({"gas": None}, "gas_not_analysed"),
        ({"start_pressure": None}, "gas_not_known"),
        ({"rmv_l_min": None}, "gas_not_known"),
        ({"earlier_dives": None}, "earlier_dives_not_known"),
        ({"experience": None}, "experience_not_known"),
        ({"fitness": "out_of_date"}, "fitness_out_of_date"),
        ({"fitness": "unfit"}, "unfit"),
        ({"start_pressure": 80}, "minimum_gas"),
    ],
)
def test_what_is_unknown_or_unfit_bars_and_says_so(change: dict[str, Any], code: str) -> None:
    found = two(**change)
    assert code in codes(found, "mate")
    for reason in reasons(found, "mate"):
        assert reason["code"].endswith("not_known") <= bool(reason.get("missing"))
        assert reason["source"]
    # Nobody is lost: whom the other one leaves without a team-mate is named too.
    assert codes(found, "lead") == ["no_team_mate"]


def test_a_lay_off_is_a_stretch_of_its_own() -> None:
    """AAUS 4.50: at least one dive in six months. Fresh weights all the same: they are the club's log."""
    old = [done(30, 0.6, 4, count=20, on="2026-12-01")]
    found = teams(question([lead(), diver("mate", old, last_dive="2026-12-01")]))
    mate = next(one for one in found["divers"] if one["id"] == "mate")
    assert (mate["stretches"], mate["dimensions"]) == (1, ["lay_off"])
    assert placed(found) == [["lead", "mate"]]


# --- verdicts on usual pairs, 27 m, 0.5 kn, a task at level 3 (common practice, no source) ---------------

DEEP = [done(33, 0.8)]
TASK = [done(12, 0.5, 4)]


def test_a_leader_beside_one_stretch_is_good() -> None:
    assert placed(teams(question([lead(), diver("mate", [*DEEP, *TASK])]))) == [["lead", "mate"]]


def test_together_they_have_it_all_and_neither_has_it() -> None:
    found = teams(question([diver("deep", DEEP), diver("task", TASK)], why_not=[["deep", "task"]]))
    assert found["status"] == "impossible" and "two_stretched" in rules(found)


def test_two_steps_at_once_are_refused_also_beside_a_leader() -> None:
    found = teams(question([lead(), diver("mate", [done(18, 0.1, 4)])]))
    assert codes(found, "mate") == ["stretches"]
    assert found["not_placed"][-1]["reasons"][0]["dimensions"] == ["depth", "current"]


def test_a_leader_with_a_task_of_their_own_is_half_a_lead() -> None:
    body = question([lead("a", own_task=True), lead("b"), diver("new", DEEP), diver("old", STRONG)])
    assert placed(teams(body)) == [["a", "old"], ["b", "new"]]


def test_a_leader_back_from_a_lay_off_is_led_by_the_one_in_practice() -> None:
    away = diver("away", [done(40, 1.0, 5, count=20, on="2026-07-20")], role="leader", last_dive="2026-07-20")
    found = teams(question([away, diver("routine", STRONG)]))
    assert [team["lead"] for team in found["teams"]] == ["routine"]


def test_two_who_have_done_it_all_cost_two_others_their_dive() -> None:
    found = teams(eight(why_not=[["A", "B"]]))
    assert found["why_not"][0]["more"]["placed"] == -2


def test_minutes_show_the_remedy() -> None:
    body = question([lead(), diver("heavy", STRONG, rmv_l_min=26, start_pressure=200)])
    team = teams(body)["teams"][0]
    assert team["limited_by"] == "gas" and team["limiting_diver"] == "heavy"
    assert "remedy" in [reason["code"] for reason in team["reasons"]]


# --- overrides and their floor ---------------------------------------------------------------------------


def overridden(rule: str, by: str = "A", name: str = "F", **top: Any) -> dict[str, Any]:
    return teams(
        eight(overrides=[{"rule": rule, "diver": name, "by": by, "reason": "seen last week"}], **top)
    )


def test_an_override_unblocks_stays_visible_and_counts_first() -> None:
    found = overridden("stretches", locked=[["A", "F"]])
    assert ["A", "F"] in placed(found)
    assert found["total"]["overrides"] == 1 and found["overrides"][0]["used"]
    said = [r["message"] for team in found["teams"] for r in team["reasons"] if r["code"] == "override"]
    assert said and "seen last week" in said[0]
    # Counted before safety: with nobody more to place, the day without the override is preferred.
    assert overridden("stretches")["total"]["overrides"] == 0


@pytest.mark.parametrize("by", ["F", "C"])
def test_never_for_oneself_and_only_by_a_leader(by: str) -> None:
    found = overridden("stretches", by=by)
    assert codes(found, "F") == ["stretches"]
    assert found["warnings"][-1]["code"] == "override_refused"


FLOOR = {
    "oxygen_limit": {
        "gas": {"o2_fraction": 0.4, "analysis": {"o2_fraction": 0.4, "by": "m", "at": ON, "cylinder": "c"}}
    },
    "gas_not_analysed": {"gas": {"o2_fraction": 0.32}},
    "minimum_gas": {"start_pressure": 80},
    "gas_not_known": {"start_pressure": None},
    "junior_depth": {"born": "2014-01-01"},
    "guardian_consent": {"born": "2011-01-01", "guardian_consent": False},
    "unfit": {"fitness": "unfit"},
}


@pytest.mark.parametrize("rule", FLOOR)
def test_the_floor_that_no_override_lifts(rule: str) -> None:
    override = {"rule": rule, "diver": "m", "by": "lead", "reason": "it is fine"}
    found = teams(question([lead(), diver("m", STRONG, **FLOOR[rule])], overrides=[override]))
    assert rule in codes(found, "m")
    assert "override_refused" in [warning["code"] for warning in found["warnings"]]


# --- threes, musts, changes --------------------------------------------------------------------------------


def trio() -> list[dict[str, Any]]:
    return [lead("a"), diver("b", STRONG), diver("c", STRONG)]


def test_a_leader_in_every_team_or_beside_every_stretch() -> None:
    """ISO 24801-2: autonomous divers of one level; further than that only with training or a leader."""
    freer = {"leader_needed": "when_stretched"}
    equals = [diver("a", STRONG), diver("b", STRONG)]
    found = teams(question(equals))
    assert found["status"] == "impossible" and [fact["code"] for fact in found["facts"]] == ["no_leader"]
    assert placed(teams(question(equals, policy=freer))) == [["a", "b"]]
    found = teams(question([diver("a", STRONG), diver("b", DEEP)], policy=freer, why_not=[["a", "b"]]))
    assert found["status"] == "impossible" and rules(found) == ["no_leader"]
    found = teams(question([diver("a", STRONG, role=None), diver("b", DEEP)]))
    assert [team["lead"] for team in found["teams"]] == ["a"]


def test_a_three_only_when_the_number_is_odd() -> None:
    """ISO 24803: a buddy team is two or three divers; which of them is the club's setting."""
    assert placed(teams(question(trio()))) == [["a", "b", "c"]]
    assert placed(teams(question(trio(), policy={"threes": "never"}))) == [["a", "b"]]
    four = [*trio(), lead("d")]
    assert [len(team) for team in placed(teams(question(four)))] == [2, 2]


def test_a_must_that_cannot_hold_names_no_fact_too_many() -> None:
    """Dropping any one of the facts leaves an answer; that is what irreducible means."""
    wish = {"kind": "together", "divers": ["C", "D"], "strength": "must"}
    found = teams(eight(wishes=[wish]))
    assert found["status"] == "impossible"
    assert [fact["code"] for fact in found["facts"]] == ["wish_together", "two_stretched"]
    assert teams(eight())["status"] == "optimal"
    lifted = [{"rule": "two_stretched", "diver": "C", "by": "A", "reason": "both known well"}]
    assert teams(eight(wishes=[wish], overrides=lifted, policy={"threes": "free"}))["status"] == "optimal"


def test_a_late_change_among_equals_keeps_what_was_said() -> None:
    said = [["A", "D"], ["B", "E"], ["C", "G"]]
    found = teams(eight(announced=said))
    assert placed(found) == said and found["changed"] == []
    gone = teams(eight(announced=said, out_of_water=["E"]))
    assert [one["diver"] for one in gone["changed"]] and ["A", "D"] in placed(gone)


def test_reasons_add_up_to_what_the_team_costs() -> None:
    for team in teams(eight(wishes=[{"kind": "together", "divers": ["A", "E"], "strength": "prefer"}]))[
        "teams"
    ]:
        assert sum(reason["safety"] for reason in team["reasons"]) == team["safety_penalty"]
        assert sum(reason["seconds"] for reason in team["reasons"]) == team["cost_s"]
        assert team["cost_s"] % 60 == 0


def test_more_than_thirty_go_to_the_server() -> None:
    body = question([lead(f"d{i:02}") for i in range(31)])
    with pytest.raises(Problem):
        teams(body)
    from teamdive.scale.teams import teams as any_size

    found = any_size(body)
    assert found["status"] == "optimal" and found["total"]["placed"] == 31
