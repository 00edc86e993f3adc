"""A breathing rate from few dives: the closed form against numerical integration and against simulated divers."""

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy import integrate, stats

from teamdive.physics import gas
from teamdive.physics.breathing import upper_rate
from teamdive.physics.gas import Supply
from teamdive.physics.rmv_log import GROUP_DIVES, Group, rate_from_log

GROUP = Group(19.0, 0.25, 0.15)
LOGS = [[], [22.0], [14.0, 15.5, 13.2], [18.0, 30.0, 24.0, 21.0], [16.0] * 40]


def pooled(rates: list[float]) -> float:
    """The spread of one dive: the group's, counted as eight dives, with the diver's own."""
    own = float(np.var(np.log(rates), ddof=1)) * (len(rates) - 1) if len(rates) > 1 else 0.0
    more = max(len(rates) - 1, 0)
    return math.sqrt((GROUP_DIVES * GROUP.within**2 + own) / (GROUP_DIVES + more))


@pytest.mark.parametrize("rates", LOGS)
def test_against_bayes_by_numerical_integration(rates: list[float]) -> None:
    """Prior times likelihood of the diver's own mean, by scipy's quadrature; the next dive scatters about it."""
    within = pooled(rates)

    def weight(mu: float) -> float:
        prior = stats.norm.pdf(mu, math.log(GROUP.median), GROUP.between)
        return float(
            prior * np.prod(stats.norm.pdf(np.log(rates), mu, within) / stats.norm.pdf(0, 0, within))
        )

    low, high = math.log(3), math.log(120)
    middle = math.log(np.exp(np.mean(np.log(rates)))) if rates else math.log(GROUP.median)
    options = {"points": [middle], "limit": 400}
    total, _ = integrate.quad(weight, low, high, **options)
    mean, _ = integrate.quad(lambda mu: mu * weight(mu) / total, low, high, **options)
    variance, _ = integrate.quad(lambda mu: (mu - mean) ** 2 * weight(mu) / total, low, high, **options)
    found = rate_from_log(rates, GROUP)
    assert found.median == pytest.approx(math.exp(mean), rel=1e-5)
    assert found.spread == pytest.approx(math.sqrt(within**2 + variance), rel=1e-4)


def test_few_dives_stay_near_the_group_and_many_are_the_divers_own() -> None:
    # New diver without log: group mean and wide spread, shrinking as dives come (common practice, no source).
    rates = [rate_from_log([14.0] * n, GROUP) for n in range(0, 60)]
    assert rates[0].median == pytest.approx(GROUP.median, rel=1e-12) and rates[0].own_weight == 0.0
    assert rates[0].spread == pytest.approx(math.hypot(GROUP.between, GROUP.within), rel=1e-12)
    for fewer, more in pairwise(rates):
        assert 14.0 < more.median < fewer.median
        assert more.spread < fewer.spread
        assert fewer.own_weight < more.own_weight < 1.0
    assert rates[-1].median == pytest.approx(14.0, rel=0.01)


class TestSimulatedDivers:
    """Divers drawn from the group, each with a log and a next dive that nobody has seen; one seed."""

    made = 6000

    @pytest.mark.parametrize("dives", [0, 1, 3, 12])
    def test_nineteen_in_twenty_stay_under_the_upper_rate(self, dives: int) -> None:
        rng = np.random.default_rng(20 + dives)
        under = 0
        for _ in range(self.made):
            own = rng.normal(math.log(GROUP.median), GROUP.between)
            found = rate_from_log(list(np.exp(rng.normal(own, GROUP.within, dives))), GROUP)
            under += math.exp(rng.normal(own, GROUP.within)) <= upper_rate(
                found.median, found.median * found.spread
            )
        assert under / self.made == pytest.approx(0.95, abs=0.012)

    def test_who_turns_first_and_the_time_met_nineteen_in_twenty(self) -> None:
        logs = [[17.0, 18.5, 16.0], [21.0]]
        rates = [rate_from_log(log, GROUP) for log in logs]
        supplies = [Supply(litres, r.median, r.spread) for litres, r in zip((1440, 1320), rates, strict=True)]
        rng = np.random.default_rng(5)
        drawn = [np.exp(rng.normal(math.log(r.median), r.spread, 200_000)) for r in rates]
        pressure_minutes = [s.litres / d for s, d in zip(supplies, drawn, strict=True)]
        second = float((pressure_minutes[1] < pressure_minutes[0]).mean())
        assert gas.turns_first(supplies)[1] == pytest.approx(second, abs=0.005)
        # 27 m at 18 m/min: the descent at its mean depth, then the bottom.
        least = np.minimum(*pressure_minutes)
        minutes = 1.5 + (least - 1.5 * (1 + 13.5 / 10)) / 3.7
        for share in (0.5, 0.95):
            ours = gas.time_met_s(supplies, share, 27.0, 18.0) / 60
            assert ours == pytest.approx(float(np.quantile(minutes, 1 - share)), abs=0.1)
