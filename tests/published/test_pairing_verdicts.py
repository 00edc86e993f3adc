"""Verdicts on usual pairs and two worked days, through `teams` and held against `plan`.

Common practice, no source, but for the size of a team (ISO 24803: two or three). The day of eight and the three
that splits are worked by hand.
"""

from __future__ import annotations

import copy
from typing import Any

import pytest

from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem
from teamdive.calculations.teams import teams
from tests.pairing_cast import DEEP, STRONG, codes, lead, placed, proposal, reason, rules, said, two
from tests.parity.team_bodies import diver, done, eight, question

# --- verdicts on usual pairs (common practice, no source) ------------------------------------------------


def test_two_steps_are_refused_and_a_calmer_or_a_shallower_dive_is_offered() -> None:
    found = two(diver("mate", [done(18, 0.1, 4)]))
    assert codes(found, "mate") == ["stretches"]
    assert [step["relax"] for step in proposal(found, "mate")["steps"]] == [["current"], ["depth"]]


def test_a_couple_in_practice_is_permitted_and_preferred() -> None:
    people = [lead("a"), diver("b", STRONG), lead("c"), diver("d", STRONG)]
    wish = [{"kind": "together", "divers": ["a", "d"], "strength": "prefer"}]
    assert placed(teams(question(people))) == [["a", "b"], ["c", "d"]]
    assert placed(teams(question(people, wishes=wish))) == [["a", "d"], ["b", "c"]]


def family(*others: dict[str, Any], **top: Any) -> dict[str, Any]:
    child = diver(
        "child", [done(9)], born="2012-01-01", guardians=["parent"], guardian_consent=True, certified_depth=18
    )
    parent = lead("parent")
    body = question([child, parent, *others], why_not=[["child", "parent"]], **top)
    body["dive"] = {"depth": 18, "bottom_time_min": 20, "demands": {}}
    return body


def test_a_parent_leads_their_childs_first_18_m_only_where_the_club_allows_it() -> None:
    """A child of 15; another leader is preferred, with the parent as the third."""
    assert rules(teams(family())) == ["guardian_leads"]
    found = teams(family(policy={"guardian_may_lead": True}))
    assert placed(found) == [["child", "parent"]] and "guardian_leads" in said(found)
    found = teams(family(lead("other")))
    assert placed(found) == [["child", "other", "parent"]] and found["teams"][0]["lead"] == "other"
    four = [lead("other"), diver("third", [done(20)])]
    found = teams(family(*four, policy={"guardian_may_lead": True}))
    assert placed(found) == [["child", "other"], ["parent", "third"]]


def test_two_strong_divers_of_unequal_breathing_show_the_larger_cylinder() -> None:
    """RMV 15 and 26, both 12 L: permitted; the price is in minutes of the other."""
    body = question(
        [lead("a", rmv_l_min=15), diver("b", STRONG, rmv_l_min=26)],
    )
    body["dive"]["bottom_time_min"] = 40
    body["method"] = "table"
    team = teams(body)["teams"][0]
    assert (team["limited_by"], team["limiting_diver"]) == ("gas", "b")
    lost = reason({"teams": [team]}, "limit")["seconds"] // 60
    assert 9 <= lost <= 14
    assert "A cylinder of 17 l" in reason({"teams": [team]}, "remedy")["message"]


def test_a_private_wish_is_kept_and_nobody_learns_of_it() -> None:
    people = [lead("a"), diver("b", STRONG), lead("c"), diver("d", STRONG)]
    quiet = [{"kind": "apart", "divers": ["a", "b"], "private": True}]
    asked = {"why_not": [["a", "b"]], "alternatives": 3}
    found = teams(question(people, wishes=quiet, **asked))
    assert placed(found) == [["a", "d"], ["b", "c"]]
    assert "rivate" not in str(found) and "rather" not in str(found)
    why = found["why_not"][0]
    assert why["more"] == {"placed": 0, "overrides": 0, "safety_penalty": 0, "cost_s": 0}
    assert not any(["a", "b"] in placed(other) for other in found["alternatives"])
    # Safety does not buy it back; only somebody's place on the dive does.
    day = teams(eight(wishes=[{"kind": "apart", "divers": ["A", "D"], "private": True}]))
    assert ["A", "D"] not in placed(day) and day["total"]["placed"] == 6
    alone = teams(question(people[:2], wishes=quiet))
    assert placed(alone) == [["a", "b"]]


def test_a_private_wish_is_no_must() -> None:
    wish = {"kind": "apart", "divers": ["A", "B"], "private": True, "strength": "must"}
    with pytest.raises(Problem) as refused:
        teams(eight(wishes=[wish, {"kind": "together", "divers": ["A", "B"], "private": True}]))
    assert [e.pointer for e in refused.value.errors] == ["/wishes/0/private", "/wishes/1/private"]


# --- the worked day of eight ----------------------------------------------------------------------------


def test_never_both_at_once_in_numbers() -> None:
    """Worked by hand: (30 + 30) L/min from 27 m is 915 L, so 105 bar in 10 L, 90 in 12 L, 75 in 15 L; D's gas
    11 min, with 15 L 21.6; every other limit 17."""
    body = eight()
    for name, litres, least in (("D", 10, 105), ("D", 15, 75), ("C", 12, 90)):
        pair = {
            **{k: v for k, v in body.items() if k not in ("divers", "wishes")},
            "dive": {"depth": 27, "bottom_time_min": 17, "current_kn": 0.5},
            "divers": [_for_plan(body, "A"), _for_plan(body, name, litres)],
        }
        own = plan(pair)["divers"][1]
        assert own["minimum_gas"] == least
        if name == "D":
            assert int(own["limits"]["gas"]["min"]) == (11 if litres == 10 else 21)
    found = teams(body)
    # Marginal forms clear A, B, C, G and H; the joint test clears only A, B and G.
    clear = [one["id"] for one in found["divers"] if one["stretches"] == 0]
    assert clear == ["A", "B", "G"]
    for team in found["teams"]:
        stretched = [n for n in team["divers"] if n in ("C", "D", "E")]
        assert len(stretched) == 1 and team["lead"] in clear
    # D's step is depth: it goes to A, who has most to spare there.
    assert next(team["lead"] for team in found["teams"] if "D" in team["divers"]) == "A"


def test_who_is_not_on_this_dive_is_told_the_next_single_step() -> None:
    found = teams(eight())
    steps = {step["stretch"]: step["demands"] for step in proposal(found, "F")["steps"]}
    assert set(steps) == {"depth", "current", "task"}
    assert steps["depth"]["task"] is None and steps["depth"]["current_kn"] == 0.35
    assert steps["task"]["depth"] == steps["current"]["depth"] == 18
    (refresher,) = proposal(found, "H")["steps"]
    assert refresher["stretch"] == "lay_off" and refresher["demands"]["depth"] == 9
    assert refresher["demands"]["task"] is None


def _for_plan(body: dict[str, Any], name: str, litres: float | None = None) -> dict[str, Any]:
    one = copy.deepcopy(next(one for one in body["divers"] if one["id"] == name))
    if litres is not None:
        one["cylinders"][0]["volume"] = litres
    return {k: one[k] for k in ("id", "certified_depth", "rmv_l_min", "cylinders", "gas", "earlier_dives")}


# --- a three that splits --------------------------------------------------------------------------------


def three() -> dict[str, Any]:
    body = question(
        [
            diver("L", DEEP, role="leader", start_pressure=215, rmv_l_min=15),
            diver("M", DEEP, start_pressure=210, rmv_l_min=18),
            diver("N", [done(15, 0.8)], volume=10, start_pressure=205, rmv_l_min=23),
        ]
    )
    body["dive"] = {"depth": 26, "bottom_time_min": 40, "demands": {"current_kn": 0.2}}
    return body


def test_the_numbers_of_a_three() -> None:
    """Worked by hand: 885 L for two from 26 m: 85 bar in 12 L, 100 in 10 L; gas 29, 23 and 13 min; team 13, N's."""
    body = three()
    asked = {k: v for k, v in body.items() if k != "divers"} | {
        "dive": {"depth": 26, "bottom_time_min": 40, "current_kn": 0.2},
        "divers": [_for_plan(body, name) for name in "LMN"],
    }
    own = plan(asked)["divers"]
    assert [one["minimum_gas"] for one in own] == [85, 85, 100]
    assert [int(one["limits"]["gas"]["min"]) for one in own] == [29, 23, 13]
    team = teams(body)["teams"][0]
    assert (team["divers"], team["kind"], team["lead"]) == (["L", "M", "N"], "three", "L")
    assert (int(team["limit_min"]), team["limited_by"], team["limiting_diver"]) == (13, "gas", "N")


def test_the_split_is_decided_before_the_dive() -> None:
    """Whoever is stretched does not go up alone, nobody is left alone (common practice, no source)."""
    split = {one["ends"]: one for one in teams(three())["teams"][0]["split"]}
    assert (split["M"]["go_on"], split["M"]["until_min"]) == (["L", "N"], 13)
    assert split["N"]["go_on"] is None and split["N"]["up_with"] == ["L", "M"]
    # The tissue limit of L and M alone is 18 to 19 min, by the constants taken.
    assert split["N"]["pair_limit_min"] in (18, 19)
    assert split["L"]["go_on"] is None and "Neither of them leads" in split["L"]["message"]
    ring = [(one["diver"], one["watches"]) for one in teams(three())["teams"][0]["ring"]]
    assert ring == [("L", "N"), ("N", "M"), ("M", "L")]


def test_the_odd_diver_on_deck_or_two_waves_are_offered_first() -> None:
    (offered,) = teams(three())["instead_of_three"]
    assert offered["team"] == ["L", "M", "N"]
    first, second = offered["offers"][:2]
    assert (first["kind"], first["deck"], first["first"]) == ("deck", "M", ["L", "N"])
    assert (second["kind"], second["second"], second["twice"]) == ("two_waves", ["L", "M"], "L")
    assert second["second_limit_min"] > 0
    # Held against the plan of that second dive: L comes from 13 min at 26 m, an hour before.
    body = three()
    asked = {k: v for k, v in body.items() if k != "divers"} | {
        "dive": {"depth": 26, "bottom_time_min": 40, "current_kn": 0.2},
        "divers": [_for_plan(body, name) for name in "LM"],
    }
    asked["divers"][0]["earlier_dives"] = [
        {
            "depth": 26,
            "bottom_time_min": first["first_limit_min"],
            "o2_fraction": 0.21,
            "analysed": True,
            "surfaced_min_before_descent": 60,
        }
    ]
    assert plan(asked)["team"]["limit_min"] == pytest.approx(second["second_limit_min"], abs=0.1)


def test_a_three_asks_for_visibility_where_the_club_says_so() -> None:
    body = three()
    assert "three_visibility" in [
        r["code"]
        for r in teams(body | {"policy": {"three_visibility_m": 5}, "why_not": [["L", "M", "N"]]})["why_not"][
            0
        ]["rules"]
    ]
    body["dive"]["demands"]["visibility_m"] = 20
    found = teams(body | {"policy": {"three_visibility_m": 5}})
    assert placed(found) == [["L", "M", "N"]]
