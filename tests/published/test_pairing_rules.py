"""The hard rules of pairing one by one: qualification, supervision, cover at the surface, what two have in common.

Sources, as quoted by secondary pages: AAUS Standards for Scientific Diving (4.40 depth authorisations, 4.50
recency; the steps from memory), EN 14153-1 / ISO 24801-1 (four supervised divers for a leader), US Navy Diving
Manual Rev 4 figure 6-23 (boat, standby diver). What has none is marked 'common practice, no source'.
"""

from __future__ import annotations

import copy
from typing import Any

import pytest

from teamdive.calculations.problem import Problem
from teamdive.calculations.teams import teams
from tests.pairing_cast import STRONG, TOGETHER, codes, lead, placed, rules, two
from tests.parity.team_bodies import diver, done, question

# --- scientific-diving rules ---------------------------------------------------------------------------


def test_one_step_deeper_beside_somebody_who_holds_it() -> None:
    """AAUS 4.40: one step past the own depth, closely supervised by a buddy who holds it; 18 m to 30 m here."""
    deeper = {"deeper_beside_certified": True}
    assert codes(two(certified_depth=18), "mate") == ["certified_depth"]
    found = two(certified_depth=18, policy=deeper)
    assert placed(found) == TOGETHER and found["teams"][0]["limit_min"] == 17
    # Two steps are too many, and so is one for somebody supervised or under age.
    assert codes(two(certified_depth=9, policy=deeper), "mate") == ["certified_depth"]
    assert codes(two(certified_depth=18, supervised=True, policy=deeper), "mate") == ["certified_depth"]
    young = two(certified_depth=18, born="2011-01-01", guardian_consent=True, policy=deeper)
    assert codes(young, "mate") == ["certified_depth"]
    # Two who both go a step deeper have nobody who holds it.
    pair = [diver("a", STRONG, certified_depth=18), diver("b", STRONG, certified_depth=18)]
    found = teams(question(pair, policy=deeper | {"leader_needed": "when_stretched"}, why_not=[["a", "b"]]))
    assert rules(found) == ["deeper_beside"]


@pytest.mark.parametrize(("until", "stands"), [("2027-06-12", True), ("2027-06-11", False)])
def test_a_certification_that_has_run_out(until: str, stands: bool) -> None:
    """AAUS 4.50: a certification lapses. The day itself still counts."""
    found = two(certified_until=until)
    assert (placed(found) == TOGETHER) is stands
    assert codes(found, "mate") == ([] if stands else ["certification_out_of_date"])


def test_twelve_dives_a_year() -> None:
    """AAUS 4.50: at least 12 dives a year; off until a club sets its number, and unknown bars then."""
    policy = {"least_dives_last_year": 12}
    mate = diver("mate", STRONG)
    for count, expected in ((12, []), (11, ["dives_last_year"]), (None, ["dives_last_year_not_known"])):
        mate["experience"]["dives_last_year"] = count
        assert codes(two(copy.deepcopy(mate), policy), "mate") == expected
        assert placed(two(copy.deepcopy(mate))) == TOGETHER


@pytest.mark.parametrize(("most", "stands"), [(23, True), (22, False)])
def test_days_since_the_last_dive(most: int, stands: bool) -> None:
    """The club's number of days; 20 May to 12 June are 23."""
    assert (codes(two(policy={"most_days_since_dive": most}), "mate") == []) is stands


@pytest.mark.parametrize(("depth", "stands"), [(29, True), (29.5, False), (32, False)])
def test_a_gas_is_within_its_limit_three_metres_deeper(depth: float, stands: bool) -> None:
    """NOAA: (1.4 / 0.33 - 1) x 10 msw is 32 m for 32 % and one for the analyser. The 3 m are common practice."""
    gas = {
        "o2_fraction": 0.32,
        "analysis": {
            "o2_fraction": 0.32,
            "by": "mate",
            "at": "2027-06-12T08:00:00Z",
            "cylinder": "c",
        },
    }
    body = question([lead(), diver("mate", STRONG, gas=gas)])
    body["dive"]["depth"] = depth
    body["dive"]["bottom_time_min"] = 10
    assert codes(teams(body), "mate") == ([] if stands else ["oxygen_margin"])
    assert placed(teams(body | {"policy": {"oxygen_depth_margin": 0}})) == TOGETHER
    lifted = [{"rule": "oxygen_margin", "diver": "mate", "by": "lead", "reason": "flat bottom at this depth"}]
    assert placed(teams(body | {"overrides": lifted})) == TOGETHER
    # Deeper than the limit itself is below the floor.
    body["dive"]["depth"] = 32.5
    assert codes(teams(body | {"overrides": lifted, "policy": {"oxygen_depth_margin": 0}}), "mate") == [
        "oxygen_limit"
    ]


# --- supervised divers and guided groups ---------------------------------------------------------------


def guided(count: int, **top: Any) -> dict[str, Any]:
    easy = [done(12, 0.2)]
    names = [f"s{i}" for i in range(count)]
    body = question(
        [lead("guide"), *(diver(n, easy, supervised=True, certified_depth=12) for n in names)],
        guided=[["guide", *names]],
        **top,
    )
    body["dive"] = {"depth": 12, "bottom_time_min": 30, "demands": {"current_kn": 0.2}}
    return body


def test_up_to_four_supervised_divers_for_a_leader() -> None:
    """EN 14153-1 / ISO 24801-1: supervised divers, up to four for a leader who can reach all of them."""
    found = teams(guided(4))
    assert found["status"] == "optimal" and found["total"]["placed"] == 5
    assert found["teams"][0]["kind"] == "guided" and found["teams"][0]["lead"] == "guide"
    five = teams(guided(5))
    assert five["status"] == "impossible"
    assert [fact["code"] for fact in five["facts"]] == ["guided", "supervision_ratio"]
    assert teams(guided(5, policy={"guided_ratio": 5}))["status"] == "optimal"
    assert teams(guided(3, policy={"guided_ratio": 2}))["status"] == "impossible"


def test_a_guided_group_has_the_least_limit_of_all() -> None:
    body = guided(3)
    body["divers"][2]["cylinders"][0]["start_pressure"] = 110
    found = teams(body)
    alone = copy.deepcopy(body)
    alone["divers"] = [alone["divers"][0], alone["divers"][2]]
    del alone["guided"]
    group, pair = found["teams"][0], teams(alone)["teams"][0]
    assert group["limit_min"] == pair["limit_min"] < 30
    assert (group["limited_by"], group["limiting_diver"]) == ("gas", "s1")


def test_supervised_divers_without_a_place_are_offered_a_guided_group() -> None:
    """One leader, five supervised: a pair stands, three more may join, the fifth is one too many."""
    body = guided(5)
    del body["guided"]
    found = teams(body | {"policy": {"threes": "never"}})
    assert placed(found) == [["guide", "s0"]]
    (offer,) = found["guided_offers"]
    assert (offer["lead"], offer["joins"]) == ("guide", ["s1", "s2", "s3"])
    asked = body | {"guided": [offer["divers"]], "policy": {"threes": "never"}}
    assert teams(asked)["teams"][0]["limit_min"] == offer["limit_min"]


def test_a_guided_group_needs_a_leader_and_counts_as_no_three() -> None:
    body = guided(2, policy={"threes": "never"})
    assert placed(teams(body)) == [["guide", "s0", "s1"]]
    body["divers"][0]["role"] = "diver"
    found = teams(body)
    assert found["status"] == "impossible" and found["facts"][-1]["code"] == "no_leader"


def test_nobody_is_in_a_guided_group_and_a_locked_team() -> None:
    with pytest.raises(Problem) as refused:
        teams(guided(3, locked=[["guide", "s0"]]))
    assert [(e.pointer, e.code) for e in refused.value.errors] == [("/guided/0", "duplicate")]


# --- cover at the surface ------------------------------------------------------------------------------

ROLES = ("boat_handler", "lookout", "oxygen", "standby")


def cover(*people: str) -> list[dict[str, str]]:
    return [{"role": role, "person": one} for role, one in zip(ROLES, people, strict=False)]


def warned(found: Any) -> list[str]:
    """What is warned of, but that handbooks count gas as ideal: these bodies name no gas_law."""
    return [one["code"] for one in found["warnings"] if one["code"] != "less_gas_than_counted"]


def test_whoever_covers_the_surface_is_not_in_the_water() -> None:
    """US Navy Rev 4 figure 6-23: boat and standby diver; lookout and oxygen: common practice."""
    divers = [lead("a"), lead("b"), diver("c", STRONG), diver("d", STRONG)]
    found = teams(question(divers, surface_cover=cover("skipper", "mate", "mate", "d")))
    assert [name for team in placed(found) for name in team] == ["a", "b", "c"]
    assert codes(found, "d") == ["surface_cover"]
    assert found["surface_cover"]["missing"] == [] and not warned(found)


def test_a_role_that_nobody_has_is_said_or_bars() -> None:
    found = two()
    assert found["surface_cover"]["missing"] == list(ROLES) and not warned(found)
    named = question([lead(), diver("mate", STRONG)], surface_cover=cover("skipper", "mate of the boat"))
    found = teams(named)
    assert placed(found) and found["warnings"][-1]["code"] == "surface_cover_missing"
    assert found["surface_cover"]["missing"] == ["oxygen", "standby"]
    found = teams(named | {"policy": {"surface_cover": "required"}})
    assert found["status"] == "impossible"
    missing = next(f for f in found["facts"] if f["code"] == "surface_cover_missing")["missing"]
    assert missing == ["someone able to give oxygen", "standby diver"]


def test_which_roles_one_person_may_have_is_the_clubs_setting() -> None:
    body = question(
        [lead(), diver("mate", STRONG)], surface_cover=cover("skipper", "skipper", "skipper", "s")
    )
    assert teams(body)["surface_cover"]["missing"] == ["boat_handler", "lookout"]
    policy = {"cover_roles_combined": [["boat_handler", "lookout", "oxygen"]]}
    assert teams(body | {"policy": policy})["surface_cover"]["missing"] == []


# --- what two have to have in common --------------------------------------------------------------------


@pytest.mark.parametrize("field", ["shares_gas_by", "signals"])
def test_a_common_way_to_share_gas_and_common_signals(field: str) -> None:
    """AAUS: two comparably equipped divers in constant communication. Held only where both are stated."""
    one, other = lead(**{field: ["long hose", "hand"]}), diver("mate", STRONG, **{field: ["octopus"]})
    body = question([one, other], why_not=TOGETHER)
    code = "gas_sharing" if field == "shares_gas_by" else "signals"
    assert rules(teams(body)) == [code]
    other[field] = ["octopus", "hand"]
    assert placed(teams(body)) == TOGETHER
    del other[field]
    assert placed(teams(body)) == TOGETHER


def test_never_two_back_from_a_lay_off_and_never_two_in_untested_equipment() -> None:
    """Common practice, no source."""
    away = {"last_dive": "2026-12-01"}
    pair = [diver("a", STRONG, **away), diver("b", STRONG, **away)]
    third = [lead("lead")]
    found = teams(question([*third, *pair], why_not=[["a", "b"]]))
    assert "two_back" in rules(found)
    pair = [diver("a", STRONG, new_equipment=["drysuit"]), diver("b", STRONG, new_equipment=["twin set"])]
    found = teams(question([*third, *pair], why_not=[["a", "b"]]))
    assert "two_untested" in rules(found)
    assert placed(teams(question([*third, pair[0]]))) == [["a", "lead"]]
    stands = next(one for one in found["divers"] if one["id"] == "a")
    assert (stands["stretches"], stands["dimensions"], stands["can_lead"]) == (1, ["equipment"], False)
