"""Gas: what a dive uses, how long it lasts, and who of a team uses it up first.

Gas is counted in litres at 1 bar. Depths are msw; `depth_per_bar` is 10, and 33 with feet of sea water
and atmospheres where a published example counts so. Times are minutes where gas is summed, and whole
seconds where a limit comes out.
Method: US Navy Diving Manual, Rev 4 Change A, 7-4.1 and 8-2.2.2 (consumption = ambient pressure x RMV;
an ascent at its mean depth).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from teamdive.physics.chance import first_of, natural_log, share_later

Segment = tuple[float, float]
"""Minutes, and the mean depth over them."""


def ambient(depth: float, depth_per_bar: float = 10.0) -> float:
    """Ambient pressure at a depth: bar from msw, atmospheres from fsw with 33."""
    return (depth + depth_per_bar) / depth_per_bar


def consumption(rmv: float, depth: float, depth_per_bar: float = 10.0) -> float:
    """Surface volume breathed per minute at a depth, in the volume unit of `rmv`."""
    return ambient(depth, depth_per_bar) * rmv


def pressure_minutes(segments: Sequence[Segment], depth_per_bar: float = 10.0) -> float:
    """The sum of minutes x ambient pressure: multiplied by an RMV it is the gas breathed."""
    total = 0.0
    for minutes, mean_depth in segments:
        total = total + minutes * ambient(mean_depth, depth_per_bar)
    return total


def descent_and_bottom(depth: float, minutes: float, descent_rate: float) -> tuple[Segment, ...]:
    """From leaving the surface to leaving the bottom; `minutes` is the bottom time, descent included."""
    down = depth / descent_rate
    if minutes < down:
        return ((minutes, minutes * descent_rate / 2.0),)
    return ((down, depth / 2.0), (minutes - down, depth))


def ascent(depth: float, ascent_rate: float, stop_depth: float, stop_minutes: float) -> tuple[Segment, ...]:
    """From leaving the bottom to the surface, with one stop (at the deepest point if that is shallower)."""
    stop = stop_depth if stop_depth < depth else depth
    return (
        ((depth - stop) / ascent_rate, (depth + stop) / 2.0),
        (stop_minutes, stop),
        (stop / ascent_rate, stop / 2.0),
    )


def gas_limit_s(litres: float, rate_l_min: float, depth: float, descent_rate: float) -> int:
    """The longest bottom time in whole seconds that uses no more than `litres`; 0 if they do not last to the bottom."""
    down = depth / descent_rate
    left = litres / rate_l_min - down * ambient(depth / 2.0)
    if left < 0:
        return 0
    return int((down + left / ambient(depth)) * 60.0 + 1e-6)


# --- who turns first, and how long nineteen times in twenty ------------------------------------------------


@dataclass(frozen=True)
class Supply:
    """Litres down to a pressure, and how that diver breathes: mean RMV and its spread over the mean."""

    litres: float
    rmv: float
    spread: float


def turns_first(supplies: Sequence[Supply]) -> tuple[float, ...]:
    """The probability of each diver to have used theirs first (log-normal RMV; a shared work factor cancels)."""
    return first_of([natural_log(s.litres / s.rmv) for s in supplies], [s.spread for s in supplies])


def time_met_s(supplies: Sequence[Supply], share: float, depth: float, descent_rate: float) -> int:
    """The bottom time in whole seconds that the gas of all of them lasts with probability `share`, floored."""
    low, high = 0, 86_400
    while high - low > 1:
        middle = (low + high) // 2
        used = pressure_minutes(descent_and_bottom(depth, middle / 60.0, descent_rate))
        log_used = natural_log(used)
        lasting = 1.0
        for s in supplies:
            lasting = lasting * share_later(log_used, natural_log(s.litres / s.rmv), s.spread)
        if lasting >= share:
            low = middle
        else:
            high = middle
    return low
