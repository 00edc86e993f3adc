"""Gas against what is published, and against general-purpose libraries for the probability in it."""

import math

import pytest
from scipy import integrate, optimize, stats

from teamdive.physics import breathing, chance, cylinder, gas
from teamdive.physics.cylinder import Along, Cylinder
from teamdive.physics.gas import Supply
from teamdive.physics.real_gas import counting

BAR, PSI = (counting("published", unit, None, 0.21) for unit in ("bar", "psi"))


def minimum(depth_msw: float, litres: int, rates: float = 60.0, delay_min: float = 1.0) -> int:
    """Two sharing at `rates` together from `depth_msw`: delay, 9 m/min, 3 min at 5 m."""
    shared = rates * gas.pressure_minutes(((delay_min, depth_msw), *gas.ascent(depth_msw, 9.0, 5.0, 3.0)))
    return cylinder.minimum_gas(shared, 0.0, Cylinder("c", litres, 1.0, 200.0, BAR), 10.0, 50.0, "bar")


class TestNavyEmergencyGas:
    """US Navy Diving Manual, Rev 4 Change A, 8-2.2.2, p. 8-3: emergency gas for 190 fsw.

    Its parameters: 1.4 acfm, 33 fsw for an atmosphere, 30 ft/min with the ascent time rounded up to
    7 min at half the depth, a cylinder of 0.399 cu ft floodable volume, 14.7 psi, 135 psi regulator minimum.
    """

    bottom = 1.4 * gas.pressure_minutes(((3.0, 190.0),), depth_per_bar=33.0)
    up = 1.4 * gas.pressure_minutes(((7.0, 95.0),), depth_per_bar=33.0)

    def test_gas_of_each_part(self) -> None:
        assert self.bottom == pytest.approx(28.38, abs=0.005)
        assert self.up == pytest.approx(38.01, abs=0.005)
        assert self.bottom + self.up == pytest.approx(66.39, abs=0.005)

    def test_pressure(self) -> None:
        pressure = cylinder.share_pressure(66.39, 0.399 / 14.7, 135.0)
        assert pressure == pytest.approx(2580.95, abs=0.01)
        assert (
            cylinder.minimum_gas(66.39, 0.0, Cylinder("c", 0.399, 1 / 14.7, None, PSI), 135.0, 0.0, "psi")
            == 2600
        )


def test_consumption_is_the_manuals_formula() -> None:
    # C = (D + 33)/33 x RMV, US Navy Diving Manual, Rev 4 Change A, 7-4.1, p. 7-14; at 70 fsw and 1.4 acfm 4.37 scfm
    # (that result recomputed: the print is from memory).
    assert gas.consumption(1.4, 70.0, 33.0) == pytest.approx(4.37, abs=0.005)
    for depth in (0.0, 33.0, 66.0, 190.0):
        assert gas.consumption(1.4, depth, 33.0) == pytest.approx((depth + 33.0) / 33.0 * 1.4, rel=1e-12)


@pytest.mark.parametrize(("depth", "litres"), [(27.0, 915.0), (30.0, 1010.0), (26.0, 885.0)])
def test_minimum_gas_of_two_is_the_integral_of_the_ascent(depth: float, litres: float) -> None:
    # Two sharing, a stated delay, ascent and stop: common practice, no scientific source for the method itself; the
    # number is checked against scipy's quadrature of pressure along the same ascent, 60 L/min for both together.
    ours = 60.0 * gas.pressure_minutes(((1.0, depth), *gas.ascent(depth, 9.0, 5.0, 3.0)))
    up_to_stop, _ = integrate.quad(lambda t: 1 + (depth - 9.0 * t) / 10, 0, (depth - 5.0) / 9.0)
    from_stop, _ = integrate.quad(lambda t: 1 + (5.0 - 9.0 * t) / 10, 0, 5.0 / 9.0)
    theirs = 60.0 * ((1 + depth / 10) + up_to_stop + 3.0 * 1.5 + from_stop)
    assert ours == pytest.approx(theirs, rel=1e-9)
    assert ours == pytest.approx(litres, abs=0.5)


@pytest.mark.parametrize(("litres", "bar"), [(12, 90), (10, 105), (15, 75)])
def test_minimum_gas_differs_on_the_gauges_of_one_pair(litres: int, bar: int) -> None:
    # 915 L at 27 m, 10 bar regulator minimum, up to the next 5 bar.
    assert minimum(27.0, litres) == bar


def test_the_surface_reserve_is_the_floor() -> None:
    # At least 50 bar / 500 psi at the surface: New Zealand Police diving findings, 2016.
    assert minimum(3.0, 18) == 50


@pytest.mark.parametrize(
    ("depth", "litres", "start", "rmv", "minimum_bar", "minutes"),
    [
        (27.0, 10, 200, 24.0, 105, 11.2),
        (27.0, 15, 200, 24.0, 75, 21.6),
        (26.0, 12, 215, 15.0, 85, 29.4),
        (26.0, 12, 210, 18.0, 85, 23.6),
        (26.0, 10, 205, 23.0, 100, 13.2),
    ],
)
def test_gas_limit_against_a_root_of_the_integral(
    depth: float, litres: int, start: int, rmv: float, minimum_bar: int, minutes: float
) -> None:
    assert minimum(depth, litres) == minimum_bar
    usable = litres * (start - minimum_bar)
    ours = gas.gas_limit_s(usable, rmv, depth, 18.0)

    def pressure(t: float) -> float:
        return 1 + min(depth, 18.0 * t) / 10

    def spare(minutes_: float) -> float:
        used, _ = integrate.quad(pressure, 0, minutes_, points=[depth / 18.0])
        return usable - rmv * used

    theirs = optimize.brentq(spare, depth / 18.0, 200.0)
    assert ours == math.floor(theirs * 60)
    assert math.floor(ours / 6) / 10 == minutes


class TestWhoTurnsFirst:
    """Two divers at 27 m: usable 1,440 and 1,320 L, RMV 17 +/- 15 % and 20 +/- 20 %, log-normal."""

    pair = (Supply(1440.0, 17.0, 0.15), Supply(1320.0, 20.0, 0.20))

    def test_probability(self) -> None:
        first, second = gas.turns_first(self.pair)
        log_ratio = math.log((1440 / 17) / (1320 / 20))
        assert second == pytest.approx(stats.norm.cdf(log_ratio / math.hypot(0.15, 0.20)), abs=1e-12)
        assert second == pytest.approx(0.84, abs=0.005)
        assert first + second == pytest.approx(1.0)

    def test_median_and_nineteen_in_twenty(self) -> None:
        # Counted with the whole time spent at depth, as the numbers compared with were.
        at_once = 1e9
        assert gas.time_met_s(self.pair, 0.5, 27.0, at_once) / 60 == pytest.approx(17.6, abs=0.05)
        assert gas.time_met_s(self.pair, 0.95, 27.0, at_once) / 60 == pytest.approx(12.8, abs=0.05)

    def test_three_against_a_simulation(self) -> None:
        three = (*self.pair, Supply(1300.0, 18.0, 0.1))
        ours = gas.turns_first(three)
        assert sum(ours) == pytest.approx(1.0, abs=1e-6)
        rng = stats.norm.rvs(size=(200_000, 3), random_state=20)
        times = [s.litres / (s.rmv * math.e ** (s.spread * rng[:, i])) for i, s in enumerate(three)]
        for i, mine in enumerate(ours):
            others = [t for j, t in enumerate(times) if j != i]
            share = float(((times[i] < others[0]) & (times[i] < others[1])).mean())
            assert mine == pytest.approx(share, abs=0.005)

    def test_a_certain_difference(self) -> None:
        assert gas.turns_first((Supply(100.0, 10.0, 0.0), Supply(200.0, 10.0, 0.0))) == (1.0, 0.0)
        assert gas.turns_first((Supply(100.0, 10.0, 0.0), Supply(100.0, 10.0, 0.0))) == (0.5, 0.5)

    def test_heavier_or_shorter_of_gas_turns_first(self) -> None:
        # Common practice, no source: who works harder reaches the turn first.
        base = gas.turns_first(self.pair)[1]
        assert gas.turns_first((self.pair[0], Supply(1320.0, 25.0, 0.20)))[1] > base
        assert gas.turns_first((self.pair[0], Supply(1000.0, 20.0, 0.20)))[1] > base


def test_upper_rate_is_the_95_percent_value_of_a_log_normal() -> None:
    assert breathing.upper_rate(18.0, 3.0) == pytest.approx(
        stats.lognorm.ppf(0.95, 3.0 / 18.0, scale=18.0), rel=1e-12
    )
    assert breathing.upper_rate(18.0, 0.0) == 18.0


@pytest.mark.parametrize("x", [-30.0, -1.0, -1e-9, 0.0, 1e-12, 0.3, 0.5, 0.50001, 1.0, 2.0, 17.5, 40.0])
def test_exponential(x: float) -> None:
    assert chance.exponential(x) == pytest.approx(math.exp(x), rel=1e-13)


@pytest.mark.parametrize("x", [1e-9, 0.1, 0.7499, 0.75, 1.0, 1.0000001, 1.5, 1.51, 2.0, 84.7, 1e9])
def test_natural_log_and_root(x: float) -> None:
    assert chance.natural_log(x) == pytest.approx(math.log(x), rel=1e-13, abs=1e-15)
    assert chance.root(x) == pytest.approx(math.sqrt(x), rel=1e-15)


@pytest.mark.parametrize("z", [-9.0, -5.0, -1.6448536269514722, -0.1, 0.0, 0.3, 1.0, 1.96, 4.0, 7.9, 8.1])
def test_normal_share(z: float) -> None:
    assert chance.normal_share_below(z) == pytest.approx(stats.norm.cdf(z), abs=1e-14)


def test_current_multiplier() -> None:
    # RMV by speed of swimming, NOAA Diving Manual, from memory: 0.5 kn 18, 0.85 kn 30, 1.0 kn 40, 1.2 kn 60 L/min.
    assert [breathing.current_multiplier(kn) for kn in (0.0, 0.3, 0.5)] == [1.0, 1.0, 1.0]
    assert breathing.current_multiplier(0.85) == pytest.approx(30 / 18)
    assert breathing.current_multiplier(1.0) == pytest.approx(40 / 18)
    assert breathing.current_multiplier(1.2) == pytest.approx(60 / 18)
    assert breathing.current_multiplier(1.21) is None
    points = [breathing.current_multiplier(kn / 100) or 0.0 for kn in range(121)]
    assert points == sorted(points)
    # Between its points the table is convex, so that a straight line is never below it.
    slopes = [12 / 0.35, 10 / 0.15, 20 / 0.2]
    assert slopes == sorted(slopes)


def test_oxygen_use_triples_from_half_a_knot_to_twelve_tenths() -> None:
    # Dwyer and Lanphier, NEDU: oxygen use about triples from 0.5 to 1.2 kn; gas breathed follows it.
    assert (breathing.current_multiplier(1.2) or 0.0) / (
        breathing.current_multiplier(0.5) or 1.0
    ) == pytest.approx(3.0, abs=0.5)


def test_cuft_counts_free_gas_at_the_working_pressure() -> None:
    # 1 cu ft = 28.316846592 L exactly (the foot is 0.3048 m). 80 cu ft at 3,000 psi.
    full = Cylinder("c", 80.0, cylinder.litres_each("cuft", 3000.0, "psi"), None, PSI)
    assert full.litres_per_unit * 3000.0 == pytest.approx(80 * 0.3048**3 * 1000, rel=1e-12)
    assert Cylinder("c", 12.0, cylinder.litres_each("l", 232.0, "bar"), None, BAR).litres_per_unit == 12.0
    # One bar is 14.503773773 psi.
    metric = Cylinder("c", 12.0, cylinder.litres_each("l", 3365.0, "psi"), None, PSI)
    assert metric.litres_per_unit * 14.503773773 == pytest.approx(12.0, rel=1e-9)


class TestTurn:
    """Equal litres, not equal bar, between unequal cylinders: common practice, no source."""

    def turn(self, start: float, least: int, litres: float, usable: float, share: float | None = 0.5) -> int:
        return cylinder.turn_pressure(
            share, Cylinder("c", litres, 1.0, start, BAR), start, least, usable, "bar"
        )

    def test_matched_in_litres(self) -> None:
        least = 950.0
        big, small = self.turn(210.0, 90, 12.0, least), self.turn(200.0, 105, 10.0, least)
        assert (big, small) == (180, 160)
        assert (210 - big) * 12.0 <= least / 2
        assert (200 - small) * 10.0 <= least / 2

    def test_all_usable_leaves_the_bottom_at_minimum_gas(self) -> None:
        assert cylinder.share_out("all_usable", None) is None
        assert self.turn(210.0, 90, 12.0, 950.0, None) == 90

    def test_never_below_minimum_nor_above_the_start(self) -> None:
        assert self.turn(100.0, 95, 12.0, 60.0) == 100
        assert self.turn(80.0, 95, 12.0, -180.0) == 95
        assert self.turn(207.0, 90, 12.0, 12.0) == 207

    def test_thirds_keep_a_third_of_the_usable_gas(self) -> None:
        # One third out, one back, one in reserve (Exley, Basic Cave Diving, 1979: from memory; common practice).
        share = cylinder.share_out("thirds", None)
        assert share == pytest.approx(1 / 3)
        assert self.turn(210.0, 90, 12.0, 1440.0, share) == 170
        assert cylinder.share_out("halves", None) == 0.5

    def test_a_current_shifts_the_turn(self) -> None:
        # With the current first (v - u)/(2 v) of the usable gas goes on the way out, against it first (v + u)/(2 v):
        # the two ways take the same distance at v + u and at v - u. 0.8 and 0.3 kn: 31 % and 69 %.
        v, u = 0.8, 0.3
        with_it = cylinder.share_out("halves", Along("with", v, u)) or 0.0
        against = cylinder.share_out("halves", Along("against", v, u)) or 0.0
        assert with_it == pytest.approx((1 / (v + u)) / (1 / (v + u) + 1 / (v - u)))
        assert against == pytest.approx((1 / (v - u)) / (1 / (v + u) + 1 / (v - u)))
        assert (round(with_it * 100), round(against * 100)) == (31, 69)

    @pytest.mark.parametrize("first", ["with", "against"])
    def test_no_way_back_in_a_current_as_fast_as_the_swim(self, first: str) -> None:
        assert cylinder.share_out("halves", Along(first, 0.8, 0.8)) == 0.0
        assert cylinder.share_out("thirds", Along(first, 0.8, 1.0)) == 0.0
