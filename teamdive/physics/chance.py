"""The little of probability that gas needs: exponential, logarithm, root and the normal distribution.

The library versions of these differ in their last bit between languages. The ones here use only
+ - x / in a fixed order, so that a phone and a server give the same number. They agree with
`math` and `scipy.stats.norm` to better than 1e-12 (tests/published/test_gas.py).
"""

from collections.abc import Sequence

LN_2 = 0.6931471805599453
NORMAL_PEAK = 0.3989422804014327
UPPER_95 = 1.6448536269514722
"""The normal quantile at 0.95: nineteen in twenty lie below it."""


def exponential(x: float) -> float:
    """e^x."""
    if x < 0:
        return 1.0 / exponential(-x)
    halvings = 0
    while x > 0.5:
        x = x / 2.0
        halvings = halvings + 1
    term = 1.0
    total = 1.0
    for n in range(1, 18):
        term = term * x / n
        total = total + term
    for _ in range(halvings):
        total = total * total
    return total


def natural_log(x: float) -> float:
    """ln x, for x > 0."""
    doublings = 0
    while x > 1.5:
        x = x / 2.0
        doublings = doublings + 1
    while x < 0.75:
        x = x * 2.0
        doublings = doublings - 1
    y = (x - 1.0) / (x + 1.0)
    square = y * y
    power = y
    total = y
    for n in range(1, 20):
        power = power * square
        total = total + power / (2 * n + 1)
    return 2.0 * total + doublings * LN_2


def root(x: float) -> float:
    """The square root of x >= 0, by Heron's rule."""
    if x <= 0:
        return 0.0
    guess = x if x > 1.0 else 1.0
    for _ in range(60):
        guess = (guess + x / guess) / 2.0
    return guess


def normal_density(z: float) -> float:
    """The standard normal density at z."""
    return NORMAL_PEAK * exponential(-(z * z) / 2.0)


def normal_share_below(z: float) -> float:
    """The share of a standard normal distribution below z (its series of positive terms: no cancelling)."""
    if z < 0:
        return 1.0 - normal_share_below(-z)
    if z > 8.0:
        return 1.0
    square = z * z
    term = z
    total = z
    n = 1
    while term > total * 1e-17:
        term = term * square / (2 * n + 1)
        total = total + term
        n = n + 1
    return 0.5 + normal_density(z) * total


def share_later(log_time: float, log_median: float, spread: float) -> float:
    """The probability that a log-normal time is later than e^log_time; a spread of 0 makes it a certainty."""
    if spread > 0:
        return normal_share_below((log_median - log_time) / spread)
    if log_median > log_time:
        return 1.0
    return 0.5 if log_median == log_time else 0.0


STEPS = 256
REACH = 8.0


def first_of(log_medians: Sequence[float], spreads: Sequence[float]) -> tuple[float, ...]:
    """For independent log-normal times, the probability of each to be the first.

    Two times have a closed form; more are the trapezoid rule over the one's own distribution.
    """
    if len(log_medians) == 2:
        spread = root(spreads[0] * spreads[0] + spreads[1] * spreads[1])
        first = share_later(log_medians[0], log_medians[1], spread)
        return (first, 1.0 - first)
    return tuple(_first(i, log_medians, spreads) for i in range(len(log_medians)))


def _first(i: int, log_medians: Sequence[float], spreads: Sequence[float]) -> float:
    if spreads[i] <= 0:
        return _all_later(log_medians[i], i, log_medians, spreads)
    step = 2.0 * REACH / STEPS
    total = 0.0
    for k in range(STEPS + 1):
        z = k * step - REACH
        later = _all_later(log_medians[i] + spreads[i] * z, i, log_medians, spreads)
        total = total + normal_density(z) * later
    return total * step


def _all_later(log_time: float, i: int, log_medians: Sequence[float], spreads: Sequence[float]) -> float:
    share = 1.0
    for j in range(len(log_medians)):
        if j != i:
            share = share * share_later(log_time, log_medians[j], spreads[j])
    return share
