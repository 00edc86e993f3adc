"""Cases of fixtures/vectors/physics.json: look-ups, tissues to the last bit, states and limits.

Each case names a function and its arguments; depths are [hundredths, unit], gases [o2 in 1/10,000, analysed].
"""

from __future__ import annotations

from random import Random
from typing import Any

from teamdive.physics import no_fly, oxygen, rounding, tables, tissues, trimix, units, water
from teamdive.physics.dive import NitrogenState, Settings, no_stop, wait
from teamdive.physics.earlier import EarlierDive, overlapping, state_before
from teamdive.physics.known import Missing
from teamdive.physics.oxygen import Mix
from teamdive.physics.units import Depth

EACH = 12


def cases() -> list[dict[str, Any]]:
    random = Random(8_000)
    made = [
        *_lookups(),
        *_rounding(random),
        *_units(random),
        *_tissues(random),
        *_helium(Random(8_001)),
        *_oxygen(random),
        *_states(random),
    ]
    for case in made:
        if "not_known" in str(case["out"]):
            case["flags"].append("not_known")
    return made


def _case(n: int, why: str, call: str, args: list[Any], out: Any) -> dict[str, Any]:
    return {
        "id": f"physics-{call}-{n:03}",
        "why": why,
        "flags": [],
        "in": {"call": call, "args": args},
        "out": plain(out),
    }


def plain(value: Any) -> Any:
    if isinstance(value, Missing):
        return value.as_json()
    if isinstance(value, Depth):
        return [value.hundredths, value.unit]
    return list(value) if isinstance(value, tuple) else value


def _lookups() -> list[dict[str, Any]]:
    made = []
    for n, fsw in enumerate(tables.DEPTHS_FSW):
        row = [
            [tables.group_after(fsw, t, steps) for t in (1, 5, 10, 20, 33, 48, 60, 93, 200, 400, 1200)]
            for steps in (0, 1, 3)
        ]
        made.append(_case(n, "groups along a row", "row_groups", [fsw], row))
        limits = [tables.limit_with_steps_min(fsw, steps) for steps in range(4)]
        made.append(_case(n, "limit with longer entries", "row_limits", [fsw], limits))
        found = [tables.residual_nitrogen_time(g, fsw) for g in tables.GROUPS]
        residual = [[plain(r.minutes), r.row_fsw] for r in found]
        made.append(_case(n, "residual nitrogen time of every group", "row_residual", [fsw], residual))
    for n, group in enumerate(tables.GROUPS):
        after = [tables.group_after_interval(group, t) for t in range(0, 1000, 13)]
        made.append(_case(n, "groups along an interval", "interval_groups", [group], after))
        waits = [plain(tables.wait_before_altitude_min(group, ft)) for ft in range(-500, 11_001, 500)]
        made.append(_case(n, "waits before altitude", "altitude_waits", [group], waits))
    made.append(
        _case(
            0,
            "groups on arrival",
            "arrivals",
            [],
            [tables.group_on_arrival(ft) for ft in range(0, 10_001, 250)],
        )
    )
    return made


def _rounding(random: Random) -> list[dict[str, Any]]:
    made = []
    for n in range(EACH):
        x, scale = (
            random.choice([29.57, 0.1 + 0.2, random.uniform(0, 300), 1 / 3]),
            random.choice([1, 10, 60, 100]),
        )
        out = [
            rounding.scaled_up(x, scale),
            rounding.scaled_down(x, scale),
            rounding.scaled_nearest(x, scale),
        ]
        made.append(_case(n, "rounding a typed number", "scaled", [x, scale], out))
        a, b = random.randint(-(10**9), 10**12), random.randint(1, 10**6)
        made.append(
            _case(n, "exact division", "divided", [a, b], [rounding.ceil_div(a, b), rounding.floor_div(a, b)])
        )
    return made


def _units(random: Random) -> list[dict[str, Any]]:
    made = []
    for n in range(2 * EACH):
        unit = random.choice(["m", "ft"])
        typed = round(random.uniform(0.5, 58 if unit == "m" else 190), random.choice([0, 1, 2, 3]))
        d = units.depth(typed, unit)
        out = [d.hundredths, d.msw_e7, d.msw, d.bar, d.cm, d.fsw_up, d.number, tables.row_for(d)]
        made.append(_case(n, "a depth as typed", "depth", [typed, unit], out))
        rate = Depth(random.choice([500, 900, 1800, 3000]), random.choice(["m", "ft"]))
        travel = [units.travel_s(d, rate, up=True), units.travel_s(d, rate, up=False)]
        made.append(_case(n, "time to move", "travel", [plain(d), plain(rate)], travel))
    for n in range(EACH):
        m = round(random.uniform(0, 60), 2)
        out = [
            f(m, w)
            for w in ("salt", "fresh")
            for f in (water.gauge_pressure_bar, water.gauge_depth_msw, water.metres_of_water)
        ]
        made.append(_case(n, "water and gauge", "water", [m], out))
        made.append(_case(n, "altitude in feet", "altitude_ft_up", [m * 50], units.altitude_ft_up(m * 50)))
    return made


def _tissues(random: Random) -> list[dict[str, Any]]:
    made = []
    for n in range(2 * EACH):
        state = tissues.surface_state() if n < 3 else tuple(random.uniform(0.7, 2.5) for _ in range(16))
        bar, n2, seconds = (
            random.uniform(1.0, 6.8),
            random.choice([0.7902, 0.69, 0.65]),
            random.randint(1, 20_000),
        )
        args = [list(state), bar, n2, seconds]
        made.append(
            _case(n, "at one depth, to the bit", "constant", args, tissues.constant(state, bar, n2, seconds))
        )
        to = random.uniform(1.0, 6.8)
        args = [list(state), bar, to, n2, seconds]
        made.append(
            _case(
                n, "changing depth, to the bit", "linear", args, tissues.linear(state, bar, to, n2, seconds)
            )
        )
        gf = random.choice([0.7, 0.75, 0.8, 1.0])
        args = [list(state), gf, bar]
        out = [tissues.ceiling_bar(state, gf), *tissues.allowed_bar(bar, gf)]
        made.append(_case(n, "ceiling and allowed tensions", "ceiling", args, out))
        start = tissues.surface_state() if n % 2 else tuple(random.uniform(0.75, 1.3) for _ in range(16))
        surface = random.choice([1.01325, 0.84307])
        limit = [
            list(start),
            surface,
            surface + random.uniform(0.3, 5.8),
            n2,
            random.randint(10, 200),
            random.randint(20, 400),
            gf,
        ]
        made.append(
            _case(
                n,
                "no-stop limit in seconds",
                "no_stop_limit_s",
                limit,
                tissues.no_stop_limit_s(start, *limit[1:]),
            )
        )
    made.append(
        _case(
            0,
            "decay over long times",
            "decay",
            [],
            [tissues.decay(i, s) for i in range(16) for s in (0, 1, 86_400, 10**7)],
        )
    )
    return made


def _helium(random: Random) -> list[dict[str, Any]]:
    made = []
    for n in range(EACH):
        nitrogen = tuple(random.uniform(0.6, 2.5) for _ in range(16))
        state = nitrogen if n % 3 == 0 else nitrogen + tuple(random.uniform(0.0, 2.0) for _ in range(16))
        bar, to, seconds = random.uniform(1.0, 6.8), random.uniform(1.0, 6.8), random.randint(1, 20_000)
        n2, he = random.choice([(0.33, 0.5), (0.45, 0.35), (0.7902, 0.0)])
        gf = random.choice([0.3, 0.7, 0.8, 1.0])
        args = [list(state), bar, n2, seconds, he]
        made.append(
            _case(100 + n, "helium at one depth", "constant", args, tissues.constant(state, *args[1:]))
        )
        args = [list(state), bar, to, n2, seconds / 7, he]
        made.append(_case(100 + n, "helium on the way", "linear", args, tissues.linear(state, *args[1:])))
        a, b = tissues.coefficients(state)
        out = [tissues.ceiling_bar(state, gf), tissues.tolerates(state, bar, gf), a, b]
        made.append(_case(n, "a and b by share", "two_gases", [list(state), gf, bar], plain_all(out)))
        start = tissues.surface_state() if n % 2 else tuple(random.uniform(0.3, 0.9) for _ in range(32))
        surface, deep, up_s = 1.01325, random.uniform(0.3, 5.8), random.randint(20, 400)
        args = [list(start), surface, surface + deep, n2, he, random.randint(10, 200), up_s, gf, up_s - 0.3]
        limit = trimix.no_stop_limit_s(start, *args[1:])
        made.append(_case(n, "limit with helium", "trimix_limit_s", args, limit))
        args = [list(start[:16]), surface, surface + deep, 0.7902, 60, up_s, gf, up_s - random.random()]
        limit = tissues.no_stop_limit_s(start[:16], *args[1:])
        made.append(_case(100 + n, "an ascent exactly at its rate", "no_stop_limit_s", args, limit))
    return made


def plain_all(values: list[Any]) -> list[Any]:
    return [plain(value) for value in values]


def _oxygen(random: Random) -> list[dict[str, Any]]:
    made = []
    for n in range(2 * EACH):
        mix = Mix(random.choice([None, 2100, 2800, 3180, 3200, 3600, 4000, 9950]), random.random() < 0.7)
        d = Depth(random.randint(100, 5800), random.choice(["m", "ft"]))
        ppo2 = random.choice([1.2, 1.4, 1.5, 1.6])
        out = [
            plain(mix.oxygen_e4),
            mix.n2_e4,
            mix.n2,
            plain(oxygen.table_depth(d, mix)),
            plain(oxygen.mod(mix, ppo2, d.unit)),
        ]
        made.append(_case(n, "a gas", "mix", [[mix.o2_e4, mix.analysed], plain(d), ppo2], out))
        segments = [(random.uniform(1, 5), random.uniform(1, 5), random.randint(1, 4000)) for _ in range(3)]
        segments.append((segments[0][0], segments[0][0], 600))
        o2 = random.choice([2100, 3300, 4100])
        made.append(
            _case(
                n,
                "oxygen exposure",
                "exposure",
                [[list(s) for s in segments], o2],
                oxygen.exposure_share(segments, o2),
            )
        )
    return made


def _states(random: Random) -> list[dict[str, Any]]:
    made = []
    for n in range(5 * EACH):
        unit = random.choice(["m", "ft"])
        deep = lambda: Depth(random.randint(600, 4000) * (1 if unit == "m" else 3), unit)  # noqa: B023, E731
        earlier = [
            [
                plain(deep()),
                random.randint(120, 2400),
                [random.choice([2100, 2100, 3200, None]), random.random() < 0.7],
                surfaced,
            ]
            for surfaced in random.sample(
                [60, 300, 700, 3600, 7200, 20_000, 50_000, 100_000], random.randint(0, 3)
            )
        ]
        settings = [
            random.choice(["shorter", "table", "tissue"]),
            400,
            random.choice([700, 800, 900]),
            random.choice([0, 0, 0, 4500]),
        ]
        settings.append(random.choice([None, 10**6, 4000]))
        asked = [
            None if n % 12 == 0 else earlier,
            settings,
            plain(deep()),
            [2100, False],
            random.randint(0, 2),
            random.random() < 0.2,
            random.choice([0, 1800]),
        ]
        made.append(
            _case(
                n, "earlier dives, then the limits of a coming one", "state_before", asked, state_case(*asked)
            )
        )
    return made


def state_case(
    earlier: Any, settings: Any, deep: Any, mix: Any, caution: int, cold: bool, later_s: int
) -> Any:
    reckon = Settings(
        settings[0], settings[1], settings[2], altitude_ft=settings[3], at_altitude_s=settings[4]
    )
    listed = (
        None if earlier is None else tuple(EarlierDive(Depth(*d), b, Mix(*m), s) for d, b, m, s in earlier)
    )
    state = wait(state_before(listed, reckon), later_s)
    found = no_stop(state, Depth(*deep), Mix(*mix), reckon, caution, cold)
    wait_found = no_fly.no_fly(state, reckon, 8000, 2, None, no_fly.ClubWaits())
    return {
        "overlapping": None if listed is None else overlapping(listed),
        "state": _state(state),
        "group": plain(state.group()),
        "limits": [
            plain(found.table_depth_fsw),
            plain(found.residual_nitrogen_time_min),
            plain(found.no_stop_limit_min),
            plain(found.adjusted_no_stop_limit_min),
            plain(found.tissue_limit_s),
            plain(found.table_left_s),
            plain(found.tissue_left_s),
            found.steps,
            found.spent_s,
        ],
        "no_fly": [
            plain(wait_found.consensus_wait_min),
            plain(wait_found.table_wait_min),
            plain(wait_found.wait_min),
            wait_found.rule,
        ],
    }


def _state(state: NitrogenState) -> list[Any]:
    groups = [[plain(group), age] for group, age in state.groups]
    return [plain(state.surfaced_group), plain(state.surfaced_tissues), state.since_s, groups, state.beyond]
