"""One step at a time: what is never placed, what is proposed instead, and the prices that a club sets.

AAUS Standards for Scientific Diving 4.40 for depth, band by band (from memory); the rest is common practice, no
source.
"""

from __future__ import annotations

import copy
from typing import Any

import pytest

from teamdive.calculations.teams import teams
from tests.pairing_cast import DEEP, STRONG, TOGETHER, codes, lead, placed, proposal, reason, two
from tests.parity.team_bodies import diver, done, question

# --- one step at a time ---------------------------------------------------------------------------------


def test_new_to_deep_and_new_to_the_task_is_never_placed_without_an_override() -> None:
    """Also where a club allows two stretches."""
    both = diver("mate", [done(18, 0.5)])
    found = two(copy.deepcopy(both), {"stretches_allowed": 2})
    assert codes(found, "mate") == ["deep_and_task"]
    body = question([lead(), both], policy={"stretches_allowed": 2})
    lifted = [{"rule": "deep_and_task", "diver": "mate", "by": "lead", "reason": "watched ashore"}]
    found = teams(body | {"overrides": lifted})
    assert placed(found) == TOGETHER and found["total"]["overrides"] == 1


def test_the_answer_proposes_the_dive_of_the_day_that_stretches_one() -> None:
    """Deeper, or this task at the present depth, not both; each proposed dive takes exactly that one step."""
    body = question([lead(), diver("mate", [done(18, 0.5)])])
    steps = proposal(teams(body), "mate")["steps"]
    assert [(step["stretch"], step["relax"]) for step in steps] == [("depth", ["task"]), ("task", ["depth"])]
    assert [step["demands"]["depth"] for step in steps] == [27, 18]
    for step in steps:
        asked = step["demands"]
        easier = copy.deepcopy(body)
        easier["dive"] = {"depth": asked.pop("depth"), "bottom_time_min": 15, "demands": asked}
        mate = next(one for one in teams(easier)["divers"] if one["id"] == "mate")
        assert (mate["stretches"], mate["dimensions"]) == (1, [step["stretch"]])


def test_the_step_in_depth_ends_with_the_next_band() -> None:
    """AAUS 4.40: 9, 18, 30 m, band by band."""
    steps = proposal(teams(question([lead(), diver("mate", [done(9, 0.5)])])), "mate")["steps"]
    assert (steps[0]["stretch"], steps[0]["demands"]["depth"]) == ("depth", 18)


@pytest.mark.parametrize(("depth", "stands"), [(9.5, True), (9, False)])
def test_one_depth_band_at_a_time(depth: float, stands: bool) -> None:
    """AAUS 4.40 (from memory): 18 m to 30 m, not 9 m to 30 m. The club's setting."""
    mate = diver("mate", [done(depth, 0.5, 4)])
    assert placed(two(copy.deepcopy(mate))) == TOGETHER
    found = two(mate, {"one_band_at_a_time": True})
    assert codes(found, "mate") == ([] if stands else ["depth_step"])


@pytest.mark.parametrize(("count", "stands"), [(4, True), (3, False)])
def test_repeats_before_the_next_step(count: int, stands: bool) -> None:
    """AAUS 4.40 (from memory): four dives in a band. The club's number."""
    found = two(diver("mate", [done(18, 0.5, 4, count=count)]), {"repeats_before_next": 4})
    assert codes(found, "mate") == ([] if stands else ["repeats"])


def test_a_first_exposure_is_capped() -> None:
    """The club's number, for a team in which somebody takes a step; the rest dive their time."""
    divers = [lead("a"), lead("b"), diver("new", DEEP), diver("old", STRONG)]
    found = teams(question(divers, policy={"first_exposure_min": 10}))
    limits = {tuple(team["divers"]): (team["limit_min"], team["limited_by"]) for team in found["teams"]}
    assert sorted(limits.values()) == [(10, "first_exposure"), (17, "planned")]
    # It costs the leader, not the one who could not have had more.
    assert found["total"]["cost_s"] == 7 * 60


def test_a_new_kind_of_site_is_a_step_of_its_own() -> None:
    body = question([lead(), diver("mate", STRONG)])
    body["dive"]["demands"]["site_kind"] = ["wreck"]
    body["divers"][0]["experience"]["done"] = [STRONG[0] | {"site_kind": ["wall", "wreck"]}]
    found = teams(body)
    mate = next(one for one in found["divers"] if one["id"] == "mate")
    assert (mate["stretches"], mate["dimensions"], mate["nearest"]["lacks"]) == (1, ["site"], ["site"])
    assert placed(found) == TOGETHER and found["teams"][0]["lead"] == "lead"
    assert "The nearest past dive lacks kind of site." in reason(found, "stretch")["message"]


# --- stated prices --------------------------------------------------------------------------------------


def test_each_price_of_the_club_is_shown_and_can_be_set() -> None:
    def cost(code: str, policy: dict[str, Any], **changes: Any) -> int:
        body = question([lead(own_task=code == "both_tasks"), diver("mate", STRONG, **changes)])
        found = teams(body | {"policy": policy})
        assert found["total"]["cost_s"] == sum(r["seconds"] for r in found["teams"][0]["reasons"])
        return next((r["seconds"] for r in found["teams"][0]["reasons"] if r["code"] == code), 0)

    assert cost("both_tasks", {}, own_task=True) == 240
    assert cost("both_tasks", {"both_tasks_s": 30}, own_task=True) == 60
    assert cost("first_together", {}, dived_with=["somebody"]) == 120
    assert cost("first_together", {}, dived_with=["lead"]) == 0
    assert cost("first_together", {"first_together_s": 0}, dived_with=[]) == 0


def test_nobody_takes_a_step_beside_a_stranger_where_a_known_leader_is_free() -> None:
    """Common practice, no source. It counts as safety: no price of minutes buys it back."""
    people = [lead("a"), lead("b"), diver("new", DEEP, dived_with=["b"]), diver("old", STRONG)]
    found = teams(question(people, policy={"first_together_s": 0}))
    assert placed(found) == [["a", "old"], ["b", "new"]]
    people[2]["dived_with"] = []
    found = teams(question(people))
    assert "stranger_leads" in [r["code"] for team in found["teams"] for r in team["reasons"]]


def test_the_leader_who_has_looked_after_others_least_is_taken() -> None:
    """Common practice, no source: leaders who always look after others stop coming."""
    body = question(
        [lead("a", mentor_debt=3), lead("b"), diver("c", STRONG), diver("new", DEEP)],
    )
    assert placed(teams(body)) == [["a", "c"], ["b", "new"]]
    body["divers"][0]["mentor_debt"], body["divers"][1]["mentor_debt"] = 0, 3
    assert placed(teams(body)) == [["a", "new"], ["b", "c"]]
