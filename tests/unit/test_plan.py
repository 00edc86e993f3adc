"""What a plan refuses, what it says is not known and whose, and what it warns of."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from teamdive.calculations.plan import plan
from teamdive.calculations.problem import Problem
from teamdive.physics.diver import qualified
from teamdive.physics.units import Depth
from tests.parity.plan_bodies import Body, diver, earlier, feet, gas, imperial, metric, no_spread


def pair(**of_b: Any) -> list[Body]:
    return [diver("a"), diver("b", **of_b)]


def errors(body: Any) -> list[tuple[str, str]]:
    with pytest.raises(Problem) as caught:
        plan(body)
    assert caught.value.as_json()["status"] == 400
    return [(e.pointer, e.code) for e in caught.value.errors]


class TestRefused:
    def test_every_error_is_named_at_once(self) -> None:
        body = metric([diver("a", rmv_l_min=-1), diver("b", hat=1)], {"colour": "red"}, depth=50)
        assert errors(body) == [
            ("/dive/depth", "beyond_40_m"),
            ("/divers/0/rmv_l_min", "out_of_range"),
            ("/divers/1/hat", "unknown_field"),
            ("/colour", "unknown_field"),
        ]

    def test_born_after_the_dive(self) -> None:
        body = metric(pair(born="2027-06-13"), {"on": "2027-06-12"})
        assert errors(body) == [("/divers/1/born", "out_of_order")]

    def test_what_the_question_needs(self) -> None:
        body = metric(pair())
        for name in ("depth_unit", "pressure_unit", "volume_unit", "dive", "divers"):
            lacking = copy.deepcopy(body)
            del lacking[name]
            assert (f"/{name}", "required") in errors(lacking)
        for name in ("depth", "bottom_time_min"):
            lacking = copy.deepcopy(body)
            del lacking["dive"][name]
            assert errors(lacking) == [(f"/dive/{name}", "required")]

    @pytest.mark.parametrize("value", [float("nan"), float("inf"), True, "30", -1, 0, 1e9])
    def test_absurd_depths(self, value: object) -> None:
        body = metric(pair())
        body["dive"]["depth"] = value
        assert errors(body)[0][0] == "/dive/depth"

    def test_deeper_than_40_m_and_130_ft_unless_enabled(self) -> None:
        assert errors(metric(pair(), depth=40.01)) == [("/dive/depth", "beyond_40_m")]
        assert errors(imperial([feet("a"), feet("b")], depth=130.1)) == [("/dive/depth", "beyond_40_m")]
        enabled = plan(metric(pair(), {"beyond_40_m_enabled": True}, depth=45))
        assert enabled["team"]["limits"]["certified_depth"]["min"] == 0.0

    def test_oxygen_of_plans(self) -> None:
        for o2 in (0.2, 0.41, 1):
            assert ("/divers/1/gas/o2_fraction", "out_of_range") in errors(
                metric(pair(gas={"o2_fraction": o2}))
            )
        assert errors(metric(pair(), {"max_ppo2_bar": 1.7})) == [("/max_ppo2_bar", "out_of_range")]

    def test_an_interval_is_needed_with_every_earlier_dive(self) -> None:
        made = earlier(18, 20, 60)
        del made[0]["surfaced_min_before_descent"]
        at = "/divers/1/earlier_dives/0/surfaced_min_before_descent"
        assert errors(metric(pair(earlier_dives=made))) == [(at, "required")]


def whole(answer: Body) -> str:
    return " / ".join(answer["team"]["limit_min"]["not_known"])


class TestNotKnown:
    @pytest.mark.parametrize(
        ("lacking", "words", "limits"),
        [
            ({"rmv_l_min": None}, "RMV of diver b", ["gas"]),
            ({"cylinders": None}, "main cylinder of diver b", ["oxygen", "gas"]),
            ({"certified_depth": None}, "certified depth of diver b", ["certified_depth"]),
            ({"gas": None}, "gas of diver b", ["oxygen"]),
            ({"gas": {"o2_fraction": 0.32}}, "analysis of the gas of diver b", ["oxygen"]),
            ({"gas": {"o2_fraction": 0.21}}, "analysis of the gas of diver b", ["oxygen"]),
            (
                {"earlier_dives": None},
                "earlier dives of diver b",
                ["oxygen", "table_no_stop", "tissue_no_stop"],
            ),
            ({"rmv_sd_l_min": None}, "spread of the RMV of diver b", ["gas"]),
            ({"start_pressure": None}, "start pressure of diver b", ["gas"]),
        ],
    )
    def test_it_says_what_and_whose(self, lacking: Body, words: str, limits: list[str]) -> None:
        answer = plan(metric(pair(**lacking)))
        assert words in whole(answer)
        assert "diver a" not in whole(answer)
        unknown = [k for k, v in answer["team"]["limits"].items() if isinstance(v["min"], dict)]
        assert unknown == limits
        assert answer["team"]["limited_by"] is None
        # What is known is still shown, and how much it can be at most.
        assert answer["team"]["at_most"]["min"] <= 17.0
        assert answer["team"]["limits"]["planned"]["min"] == 17.0

    def test_a_sharer_of_unknown_rate_leaves_both_without_minimum_gas(self) -> None:
        answer = plan(metric(pair(rmv_l_min=None)))
        assert all("not_known" in d["minimum_gas"] for d in answer["divers"])

    def test_minimum_gas_needs_no_start_pressure(self) -> None:
        answer = plan(metric(pair(start_pressure=None)))
        assert [d["minimum_gas"] for d in answer["divers"]] == [90, 90]

    def test_a_limit_of_nothing_is_known_whatever_else_is_missing(self) -> None:
        answer = plan(metric([diver("a", certified_depth=18), diver("b", rmv_l_min=None)]))
        assert (answer["team"]["limit_min"], answer["team"]["limiting_diver"]) == (0.0, "a")
        assert answer["team"]["run_time_min"] is None

    def test_no_margin_is_allowed_and_shown(self) -> None:
        answer = plan(
            metric([no_spread("a", 12, 210, 18), no_spread("b", 12, 210, 18)], {"gas_margin_percent": 0})
        )
        assert answer["divers"][0]["breathing"]["gas_margin_percent"] == 0
        assert answer["divers"][0]["breathing"]["planned_l_min"] == 18.0

    def test_not_analysed_counts_as_air_for_nitrogen(self) -> None:
        on_air = plan(metric(pair()))["divers"][1]["limits"]
        labelled = plan(metric(pair(gas={"o2_fraction": 0.32})))["divers"][1]["limits"]
        assert labelled["table_no_stop"] == on_air["table_no_stop"]
        assert labelled["tissue_no_stop"] == on_air["tissue_no_stop"]

    def test_after_a_dive_beyond_its_limit(self) -> None:
        answer = plan(metric(pair(earlier_dives=earlier(30, 60, 120))))
        assert "beyond its limit (diver b)" in whole(answer)

    def test_turn_pressure_needs_the_way_back(self) -> None:
        answer = plan(metric(pair(), **{"return": None}))
        assert "dive.return" in answer["divers"][0]["turn_pressure"]["not_known"][0]
        assert isinstance(answer["team"]["limit_min"], float)


class TestAnalysis:
    """It belongs to one cylinder and one diver, and is void after a refill or a swap."""

    @pytest.mark.parametrize(
        "change",
        [
            {"by": "a"},
            {"cylinder": "c2"},
            {"cylinder": None},
            {"at": None},
            {"by": None},
            {"o2_fraction": None},
        ],
    )
    def test_void(self, change: Body) -> None:
        mix = gas("b", 0.32)
        mix["analysis"] |= change
        answer = plan(metric(pair(gas=mix)))
        assert "not_known" in answer["divers"][1]["mod"]
        assert "not_known" in answer["team"]["limits"]["oxygen"]["min"]

    def test_refilled(self) -> None:
        before = plan(metric(pair(filled_at="2027-06-12T07:00:00Z")))
        after = plan(metric(pair(filled_at="2027-06-12T07:10:00Z")))
        assert before["divers"][1]["mod"] == 56
        assert "not_known" in after["divers"][1]["mod"]

    def test_after_the_fill_is_told_by_instants_not_by_letters(self) -> None:
        """Filled at 07:30 UTC: 09:00 two hours east is before it (ISO 8601), though its letters sort after."""
        for at, filled, known in (
            ("2027-06-12T09:00:00+02:00", "2027-06-12T07:30:00Z", False),
            ("2027-06-12T09:31:00+02:00", "2027-06-12T07:30:00Z", True),
            ("2027-06-12T09:00:00", "2027-06-12T07:30:00", True),
            ("2027-06-12T09:00:00", "2027-06-12T07:30:00Z", False),
            ("this morning", "2027-06-12T07:30:00Z", False),
            ("2027-02-30T09:00:00Z", "2027-02-12T07:30:00Z", False),
        ):
            mix = gas("b", 0.32)
            mix["analysis"]["at"] = at
            mod = plan(metric(pair(gas=mix, filled_at=filled)))["divers"][1]["mod"]
            assert ("not_known" not in str(mod)) is known, at

    def test_the_reading_counts_not_the_label(self) -> None:
        # A published accident: 36 % planned, 40.1 % in the cylinder.
        answer = plan(metric(pair(gas=gas("b", 0.36, 0.4)), depth=26))
        assert answer["divers"][1]["mod"] == 24
        assert answer["team"]["limits"]["oxygen"]["min"] == 0.0
        assert "label_differs" in [w["code"] for w in answer["warnings"]]


def test_a_hundredth_that_refuses_is_said() -> None:
    for at, text in ((18.01, "18.01 m"), (18.5, "18.5 m"), (19, "19 m")):
        answer = plan(metric(pair(certified_depth=18), depth=at))
        limit = answer["team"]["limits"]["certified_depth"]
        assert limit == {"min": 0.0, "reason": f"Certified to 18 m, not to {text}.", "diver": "b"}


class TestShorterThanTheDescent:
    def test_the_profile_turns_on_the_way_down(self) -> None:
        # 27 m at 18 m a minute: half a minute leads to 9 m; up at 9 m a minute, 3 min at 5 m.
        answer = plan(metric(pair(), bottom_time_min=0.5))
        assert answer["team"]["profile"] == [[0, 0], [0.5, 9], [0.9, 5], [3.9, 5], [4.5, 0]]
        assert answer["team"]["run_time_min"] == 5
        assert "shorter_than_descent" in [w["code"] for w in answer["warnings"]]

    def test_a_limit_shorter_than_the_descent(self) -> None:
        before = [diver(n, earlier_dives=earlier(18, 60, 10)) for n in ("a", "b")]
        answer = plan(metric(before, {"method": "table"}, depth=18, bottom_time_min=10))
        assert answer["team"]["limit_min"] == 0.0
        assert answer["team"]["profile"] == []

    @pytest.mark.parametrize("minutes", [1.5, 2, 17])
    def test_as_long_as_the_descent_reaches_the_depth(self, minutes: float) -> None:
        answer = plan(metric(pair(), bottom_time_min=minutes))
        assert max(at for _, at in answer["team"]["profile"]) == 27
        assert "shorter_than_descent" not in [w["code"] for w in answer["warnings"]]


class TestOxygenOfEarlierDives:
    """NOAA Diving Manual: the limits are for a single exposure and for 24 hours; common practice adds the shares."""

    def test_a_day_later_an_exposure_no_longer_counts(self) -> None:
        fresh = plan(metric(pair()))["divers"][1]["limits"]["oxygen"]["min"]
        for ago, counts in ((120, True), (1439, True), (1440, False), (4000, False)):
            b = pair(earlier_dives=earlier(20, 40, ago))
            assert (plan(metric(b))["divers"][1]["limits"]["oxygen"]["min"] < fresh) is counts

    def test_a_gas_not_analysed_last_week_says_nothing_of_today(self) -> None:
        b = pair(earlier_dives=earlier(20, 40, 4000, 0.32))
        assert "not_known" not in str(plan(metric(b))["divers"][1]["limits"]["oxygen"])
        b = pair(earlier_dives=earlier(20, 40, 400, 0.32))
        assert "not_known" in str(plan(metric(b))["divers"][1]["limits"]["oxygen"])


class TestSharing:
    def test_the_heavier_of_stressed_and_own_working_rate(self) -> None:
        calm = plan(metric(pair()))["divers"]
        hard = plan(metric(pair(), work="severe"))["divers"]
        assert calm[0]["breathing"]["sharing_l_min"] == 30.0
        assert hard[0]["breathing"]["sharing_l_min"] == hard[0]["breathing"]["planned_l_min"] > 30.0
        assert hard[0]["minimum_gas"] > calm[0]["minimum_gas"]

    def test_the_two_heaviest_of_three_on_every_gauge(self) -> None:
        three = [no_spread(n, 12, 230, r) for n, r in (("a", 50), ("b", 40), ("c", 15))]
        answer = plan(metric(three, {"gas_margin_percent": 0}))
        # 90 L/min x 15.25 bar-minutes / 12 L + 10 bar = 124.4.
        assert [d["minimum_gas"] for d in answer["divers"]] == [125, 125, 125]

    def test_a_redundant_cylinder_never_counts(self) -> None:
        spare = pair()
        spare[1]["cylinders"].append({"id": "p", "volume": 6, "start_pressure": 230, "use": "redundant"})
        without, with_ = plan(metric(pair())), plan(metric(spare))
        assert with_ == without

    def test_juniors_and_supervised_divers_never_count_as_sharing(self) -> None:
        for of_b in ({"born": "2013-06-13"}, {"junior": True}, {"supervised": True}):
            answer = plan(metric(pair(**of_b), depth=10))
            assert [d["counts_as_sharing"] for d in answer["divers"]] == [True, False]
            warned = [w["pointer"] for w in answer["warnings"] if w["code"] == "nobody_to_share"]
            assert warned == ["/divers/0"]
        fifteen = plan(metric(pair(born="2012-06-12"), depth=10))
        assert [d["counts_as_sharing"] for d in fifteen["divers"]] == [True, True]


def test_the_multipliers_are_applied_once_and_shown() -> None:
    answer = plan(
        metric(
            [no_spread(n, 15, 230, 18) for n in "ab"], {"gas_margin_percent": 0}, work="hard", current_kn=1.0
        )
    )
    # 30/18 for the work, 40/18 for the current: 18 x 1.667 x 2.222.
    assert answer["divers"][0]["breathing"]["planned_l_min"] == 66.7
    assert answer["divers"][0]["breathing"]["multiplier"] == 3.71
    assert "hard_swim" in [w["code"] for w in answer["warnings"]]


def test_last_start_leaves_one_unit_of_work_and_a_minute() -> None:
    team = plan(metric(pair(), task_unit_min=3))["team"]
    assert team["last_start_min"] == int(team["limit_min"] - 3 - 1)
    stretched = plan(metric(pair(stretched=True), task_unit_min=3))["team"]
    assert stretched["last_start_min"] == int(team["limit_min"] - 6 - 1)


def test_run_time_is_bottom_ascent_and_stop() -> None:
    team = plan(
        metric([no_spread(n, 18, 230, 12) for n in "ab"], {"gas_margin_percent": 0}, bottom_time_min=15)
    )["team"]
    # 15 + 27 m at 9 m/min + 3 min at 5 m.
    assert team["run_time_min"] == 21
    assert team["profile"] == [[0, 0], [1.5, 27], [15, 27], [17.4, 5], [20.4, 5], [21, 0]]


def test_gas_at_the_surface_is_what_the_dive_leaves() -> None:
    answer = plan(
        metric([no_spread(n, 15, 230, 12) for n in "ab"], {"gas_margin_percent": 0}, bottom_time_min=15)
    )
    # 12 L/min x (1.5 x 2.35 + 13.5 x 3.7 + 11.55) bar-minutes = 780 L of 15 L a bar.
    assert answer["divers"][0]["gas_at_surface"] == 175


def test_what_if_deeper_stops_at_the_edge() -> None:
    answer = plan(metric(pair(), {"what_if": True}, depth=38))
    assert [c["change"] for c in answer["what_if"]] == ["deeper", "longer"]
    assert answer["what_if"][0]["refused"]["code"] == "beyond_40_m"


def test_qualification_steps_are_equal_across_units() -> None:
    for metres, ft in ((18, 60), (30, 100), (40, 130)):
        assert qualified(Depth(ft * 100, "ft"), Depth(metres * 100, "m"))
        assert qualified(Depth(metres * 100, "m"), Depth(ft * 100, "ft"))
    assert not qualified(Depth(6100, "ft"), Depth(1800, "m"))
    assert not qualified(Depth(2000, "m"), Depth(6500, "ft"))


def test_never_the_word_safe() -> None:
    assert "safe " not in str(plan(metric(pair(), {"what_if": True, "find": "surface_interval"})))
