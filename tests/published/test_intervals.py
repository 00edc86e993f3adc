"""Least surface intervals, steps and orders against a second reckoning that shares no code with the first.

The table half: the start of the first band whose residual nitrogen time leaves the bottom time asked, read from the
files of the US Navy Diving Manual, Revision 7 (Tables 9-7 and 9-8; transcribed, not compared with the printed manual).
The tissue half: Haldane's and Schreiner's closed forms with `math.exp`, the ZH-L16C coefficients of the same data file
(most of them from memory), gradient factor high 0.80, and a search by the minute.
"""

from __future__ import annotations

import copy
import itertools
import json
import math
from pathlib import Path
from typing import Any

import pytest

from teamdive.calculations.plan import plan
from tests.parity.plan_bodies import Body, diver, earlier, gas, metric, ordered

DATA = Path(__file__).parents[2] / "teamdive" / "physics" / "data"
MODEL = json.loads((DATA / "zhl16.json").read_text())
ROWS = [
    (row["half_time_min"], row["a_bar"] if isinstance(row["a_bar"], float) else row["a_bar"]["C"], row["b"])
    for row in (MODEL["alternative_first"]["n2"], *(c["n2"] for c in MODEL["compartments"][1:]))
]
ROOMY = {"volume": 40, "start_pressure": 230, "rmv_l_min": 8, "rmv_sd_l_min": 0}

# Computed (not published): first dive, second dive, least interval by the table, and by the tissue model with a
# surface of 1.000 bar and nitrogen 0.79, and as reckoned here, 1.01325 bar and 0.7902.
LEAST = [
    ((30, 13), (18, 30), 10, 19),
    ((30, 13), (18, 35), 53, 34),
    ((30, 13), (15, 40), 10, 10),
    ((30, 13), (12, 50), 10, 10),
    ((27, 17), (18, 30), 10, 23),
    ((27, 17), (18, 35), 53, 38),
    ((27, 17), (15, 40), 10, 15),
    ((27, 17), (12, 50), 10, 10),
    ((24, 21), (18, 30), 53, 24),
    ((24, 21), (18, 35), 105, 40),
    ((24, 21), (15, 40), 10, 18),
    ((24, 21), (12, 50), 10, 10),
    ((21, 29), (18, 30), 105, 31),
    ((21, 29), (18, 35), 158, 47),
    ((21, 29), (15, 40), 10, 24),
    ((21, 29), (12, 50), 10, 10),
    ((18, 40), (18, 30), 158, 35),
    ((18, 40), (18, 35), 210, 51),
    ((18, 40), (15, 40), 53, 28),
    ((18, 40), (12, 50), 10, 10),
]


class Closed:
    """The tissue model in closed form, in one surface pressure and one nitrogen share."""

    def __init__(self, surface: float, n2: float) -> None:
        self.surface, self.n2 = surface, n2
        self.rows = ROWS

    def rest(self) -> list[float]:
        return [(self.surface - 0.0627) * self.n2 for _ in self.rows]

    def flat(self, tissues: list[float], depth: float, minutes: float) -> list[float]:
        breathed = (self.surface + depth / 10 - 0.0627) * self.n2
        return [
            breathed + (p - breathed) * math.exp(-math.log(2) * minutes / half)
            for p, (half, _, _) in zip(tissues, self.rows, strict=True)
        ]

    def slope(self, tissues: list[float], start: float, end: float, minutes: float) -> list[float]:
        breathed = (self.surface + start / 10 - 0.0627) * self.n2
        rate = (end - start) / 10 * self.n2 / minutes
        after = []
        for p, (half, _, _) in zip(tissues, self.rows, strict=True):
            k = math.log(2) / half
            after.append(
                breathed + rate * (minutes - 1 / k) - (breathed - p - rate / k) * math.exp(-k * minutes)
            )
        return after

    def dive(self, tissues: list[float], depth: float, bottom: float) -> list[float]:
        down = depth / 18
        tissues = self.slope(tissues, 0, depth, down)
        return self.slope(self.flat(tissues, depth, bottom - down), depth, 0, depth / 9)

    def surfaces(self, tissues: list[float], gf: float = 0.8) -> bool:
        most = [self.surface + gf * (a + self.surface / b - self.surface) for _, a, b in self.rows]
        return all(p <= m for p, m in zip(tissues, most, strict=True))

    def least(self, first: tuple[int, int], second: tuple[int, int]) -> int:
        made = self.dive(self.rest(), *first)
        return next(
            minutes
            for minutes in itertools.count(10)
            if self.surfaces(self.dive(self.flat(made, 0, minutes), *second))
        )


def team(first: tuple[int, int], *others: Body) -> list[Body]:
    return [
        diver("a", **ROOMY, earlier_dives=earlier(*first, 400)),
        *(others or [diver("b", **ROOMY, earlier_dives=earlier(*first, 400))]),
    ]


def asked(divers: list[Body], second: tuple[int, int], **top: Any) -> Body:
    depth, minutes = second
    return plan(metric(divers, top, depth=depth, bottom_time_min=minutes))


@pytest.mark.parametrize(("first", "second", "table", "tissue"), LEAST)
def test_least_intervals_by_both_methods(
    first: tuple[int, int], second: tuple[int, int], table: int, tissue: int
) -> None:
    found = asked(team(first), second, find="surface_interval")["surface_interval"]
    assert found["table_min"] == table
    # The figures of the list come from 1.000 bar and 0.79, to a minute of its rounding; ours from 1.01325 and 0.7902.
    assert Closed(1.0, 0.79).least(first, second) == pytest.approx(tissue, abs=1)
    assert found["tissue_min"] == pytest.approx(Closed(1.01325, 0.7902).least(first, second), abs=1)
    assert found["min"] == max(found["table_min"], found["tissue_min"])
    longest = max(table, found["tissue_min"])
    assert found["asked_by"] == (None if longest == 10 else "table" if table == longest else "tissue")


def test_whose_interval_it_is_and_what_it_would_be_without_them() -> None:
    """The one who sat out is not the limit; with somebody else in place of the limiting diver: that one's minutes."""
    trio = [*team((21, 29), diver("b", **ROOMY, earlier_dives=earlier(27, 17, 400)))]
    trio.append(diver("c", **ROOMY, earlier_dives=[]))
    named = [diver("d", **ROOMY, earlier_dives=earlier(30, 13, 400))]
    found = asked(trio, (18, 35), find="surface_interval", alternatives=named)["surface_interval"]
    assert (found["min"], found["diver"], found["asked_by"]) == (158, "a", "table")
    assert [own["min"] for own in found["divers"]] == [158, 53, 0]
    without = {(each["without"], each["with"]): each for each in found["without"]}
    assert (without["a", None]["min"], without["a", None]["diver"]) == (53, "b")
    assert without["b", None]["min"] == without["c", None]["min"] == 158
    assert without["a", "d"]["min"] == 53


def test_the_steps_in_which_waiting_pays() -> None:
    """18 m for 29 min (group F, 1:40 to the 30 min of the 60 fsw row), then 15 m 49 min later: at 53 min it is E.

    Tables 9-7 and 9-8: the 50 fsw row has 92 min; residual nitrogen time of F there 42, of E 35, of D 29, of C 23.
    So four minutes of waiting buy seven: 50 becomes 57.
    """
    pair = [diver(n, **ROOMY, earlier_dives=earlier(18, 29, 49)) for n in "ab"]
    found = asked(pair, (15, 90), method="table", interval_steps=True)["interval_steps"]
    assert found["limit_min"] == 50
    assert found["steps"][0] == {
        "after_min": 4,
        "limit_min": 57.0,
        "gain_min": 7,
        "limited_by": "table_no_stop",
        "diver": "a",
    }
    # A band is 52 or 53 minutes long (Table 9-8).
    assert [(s["after_min"], s["limit_min"]) for s in found["steps"][1:3]] == [(56, 63.0), (109, 69.0)]
    assert found["message"].startswith("4 min more on the surface buy 7: not more than 57 min")
    assert found["tissue"][0]["gain_min"] >= 1


def test_waiting_ends_where_the_plan_or_the_gas_does() -> None:
    pair = [diver(n, **ROOMY, earlier_dives=earlier(18, 29, 49)) for n in "ab"]
    planned = asked(copy.deepcopy(pair), (15, 60), method="table", interval_steps=True)["interval_steps"]
    assert [s["limit_min"] for s in planned["steps"]] == [57.0, 60.0]
    assert planned["ends"]["limited_by"] == "planned"
    for one in pair:
        one["cylinders"][0]["volume"] = 8
    gas = asked(pair, (15, 90), method="table", interval_steps=True)["interval_steps"]
    assert gas["ends"]["limited_by"] == "gas"
    assert all(s["limit_min"] <= gas["ends"]["min"] for s in gas["steps"])


class TestOrder:
    """27 m/17 and 18 m/35: computed from the same tables and the closed forms above."""

    def test_the_price_of_deeper_later(self) -> None:
        dives = [{"depth": 18, "bottom_time_min": 35}, {"depth": 27, "bottom_time_min": 17}]
        pair = [diver(n, **ROOMY) for n in "ab"]
        found = plan(ordered(pair, dives))["order"]
        assert found["best"] == [1, 0]
        prices = [(o["dives"], o["waiting_min"], o["deeper_later"]) for o in found["orders"]]
        assert prices == [([1, 0], 53, False), ([0, 1], 158, True)]
        model = Closed(1.0, 0.79)
        assert model.least((27, 17), (18, 35)) == pytest.approx(38, abs=1)
        assert model.least((18, 35), (27, 17)) == pytest.approx(49, abs=1)
        ours = Closed(1.01325, 0.7902)
        by_tissue = [o["legs"][1]["tissue_min"] for o in found["orders"]]
        assert by_tissue == [
            pytest.approx(ours.least((27, 17), (18, 35)), abs=1),
            pytest.approx(ours.least((18, 35), (27, 17)), abs=1),
        ]

    @pytest.mark.parametrize(
        ("shallow", "deep", "refused"),
        [(28, 39.9, False), (28, 40, True), (18, 29.9, False), (18, 30, True)],
    )
    def test_deeper_later_only_inside_the_bounds(self, shallow: float, deep: float, refused: bool) -> None:
        # Smithsonian Institution workshop, 1999: no reason to forbid it for no-stop dives under 40 msw that differ by
        # less than 12 msw.
        dives = [{"depth": shallow, "bottom_time_min": 6}, {"depth": deep, "bottom_time_min": 6}]
        pair = [diver(n, **ROOMY) for n in "ab"]
        found = plan(ordered(pair, dives))["order"]
        later = next(o for o in found["orders"] if o["dives"] == [0, 1])
        assert ("refused" in later) is refused
        assert found["best"] == [1, 0]

    def test_each_dive_is_counted_in_its_own_water(self) -> None:
        """A warm fill shows less in the colder sea: each leg's gas is that of the plan there."""
        dives = [
            {"depth": 20, "bottom_time_min": 25, "water_temp_c": 24, "return": "same_point"},
            {"depth": 18, "bottom_time_min": 25, "water_temp_c": 4, "return": "same_point"},
        ]
        pair = [diver(n, start_pressure=120) for n in "ab"]
        body = ordered(pair, dives, {"method": "table", "fill_temp_c": 40})
        first = plan(body)["order"]["orders"][0]
        assert [leg["limited_by"] for leg in first["legs"]] == ["gas", "gas"]
        for leg in first["legs"]:
            alone = {name: value for name, value in body.items() if name not in ("find", "dives")}
            answer = plan({**alone, "dive": dives[leg["dive"]]})
            assert leg["limit_min"] == answer["team"]["limits"]["gas"]["min"]

    def test_the_dive_whose_water_is_not_known_is_named(self) -> None:
        dives = [{"depth": 18, "bottom_time_min": 9, "water_temp_c": 24}, {"depth": 15, "bottom_time_min": 9}]
        body = ordered([diver(n) for n in "ab"], dives, {"fill_temp_c": 40})
        assert [
            w["pointer"] for w in plan(body)["warnings"] if w["code"] == "fill_temperature_not_counted"
        ] == ["/dives/1/water_temp_c"]

    def test_no_shorter_total_exists(self) -> None:
        """Three dives by the table: every first wait to the minute, the second as the least interval answers it."""
        dives = [
            {"depth": 27, "bottom_time_min": 17},
            {"depth": 18, "bottom_time_min": 30},
            {"depth": 15, "bottom_time_min": 40},
        ]
        pair = [diver(n, **ROOMY) for n in "ab"]
        found = plan(ordered(pair, dives, {"method": "table"}))["order"]
        three = next(o for o in found["orders"] if o["dives"] == [0, 1, 2])

        def total(wait: int) -> int | None:
            before = earlier(27, 17, wait + 30 + 18 // 9 + 400) + earlier(18, 30, 400)
            body = metric(
                [diver(n, **ROOMY, earlier_dives=before) for n in "ab"],
                {"method": "table", "find": "surface_interval"},
                depth=15,
                bottom_time_min=40,
            )
            answer = plan(body)["surface_interval"]
            return None if "min" not in answer else wait + answer["min"]

        first = three["legs"][1]["interval_min"]
        totals = [t for wait in range(first, 400) if (t := total(wait)) is not None]
        assert three["waiting_min"] == min(totals)


class TestFlight:
    """Workshop of 2002: 12 h after one no-stop dive, 18 h after more; Table 9-6 to 8,000 ft: E 4:39, H 11:04."""

    def test_backwards_from_the_flight(self) -> None:
        one = diver("a", **ROOMY, flight={"in_min": 1000, "days_of_diving": 1})
        two = diver("b", **ROOMY, earlier_dives=earlier(12, 20, 120), flight={"in_min": 1100})
        answer = asked([one, two], (18, 30))
        first, second = (d["flight"] for d in answer["divers"])
        assert (first["wait_min"], first["latest_surfacing_min"]) == (720, 280)
        assert (second["wait_min"], second["latest_surfacing_min"]) == (1080, 20)
        surfaces = answer["team"]["run_time_min"]
        assert first["spare_min"] == 280 - surfaces
        assert second["spare_min"] == 20 - surfaces < 0
        assert "too late" in second["message"]
        assert "not a clearance to fly" in first["message"]

    def test_on_nitrox_the_club_s_own_wait_where_it_is_the_longer(self) -> None:
        """The workshop spoke of air: its figure stands, and says so, until the club asks for more."""
        one = diver("a", **ROOMY, gas=gas("a", 0.32), flight={"in_min": 2000, "days_of_diving": 1})
        for own, wait in ((None, 720), (600, 720), (1440, 1440)):
            no_fly = {} if own is None else {"no_fly": {"club_wait_other_gas_min": own}}
            found = asked([one, diver("b", **ROOMY)], (18, 30), **no_fly)["divers"][0]["flight"]
            assert (found["wait_min"], found["latest_surfacing_min"]) == (wait, 2000 - wait)
            assert any("for nitrox" in text for text in found["assumptions"])
        air = diver("a", **ROOMY, flight={"in_min": 2000, "days_of_diving": 1})
        own = {"no_fly": {"club_wait_other_gas_min": 1440}}
        found = asked([air, diver("b", **ROOMY)], (18, 30), **own)["divers"][0]["flight"]
        assert found["wait_min"] == 720

    def test_the_table_where_it_is_the_longer(self) -> None:
        # Group L waits 16:50 to 8,000 ft, longer than 12 h after a single dive.
        one = diver("a", **ROOMY, flight={"in_min": 1200, "days_of_diving": 1})
        answer = asked([one, diver("b", **ROOMY)], (12, 120), method="table")
        assert answer["divers"][0]["group_after"] == "L"
        assert answer["divers"][0]["flight"]["latest_surfacing_min"] == 1200 - (16 * 60 + 50)


def test_an_unknown_first_dive_is_not_group_a() -> None:
    """Within no-stop limits the highest group is Z, clear after 15:50 (Table 9-8)."""
    answer = asked([diver("a", **ROOMY), diver("b", **ROOMY, earlier_dives=None)], (18, 30))
    assert "not_known" in answer["team"]["limits"]["table_no_stop"]["min"]
    assert "15 h 50 min" in answer["divers"][1]["frees"]
    assert "frees" not in answer["divers"][0]
    made = diver("a", **ROOMY, earlier_dives=earlier(21, 29, 60))
    with_mate = asked([made, diver("b", **ROOMY, earlier_dives=None, earlier_dives_of="a")], (18, 30))
    # 70 fsw, 29 min: G on surfacing (Table 9-7), F from 53 min on (Table 9-8).
    assert [d["group_before"] for d in with_mate["divers"]] == ["F", "F"]
    assert "earlier_dives_assumed" in [w["code"] for w in with_mate["warnings"]]
