"""What must hold for every dive, whatever the numbers: deeper is never longer, more rest never shortens."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.physics import rounding, tables, tissues
from teamdive.physics.dive import (
    Dive,
    Refused,
    Settings,
    after,
    clear_state,
    day,
    no_stop,
    wait,
)
from teamdive.physics.earlier import EarlierDive, state_before
from teamdive.physics.known import Missing
from teamdive.physics.oxygen import AIR, Mix, equivalent_air_depth, mod
from teamdive.physics.units import Depth, depth, exact_travel_s, travel_s

DEFAULT = Settings()
UNLIMITED = 10**9

metric = st.integers(300, 5800).map(lambda cm: Depth(cm, "m"))
feet = st.integers(1000, 19_000).map(lambda h: Depth(h, "ft"))
depths = st.one_of(metric, feet)
bottoms = st.integers(60, 7200)
intervals = st.integers(600, 86_400)
dives = st.builds(Dive, depth=depths, bottom_time_s=bottoms, interval_s=intervals)


def limits(state, deep, mix=AIR, **more):
    found = no_stop(state, deep, mix, DEFAULT, **more)
    seconds = [found.tissue_limit_s, found.adjusted_no_stop_limit_min]
    return [UNLIMITED if x is None else x for x in seconds]


def not_longer(a, b):
    """Every limit of `a` that is known is at most that of `b`."""
    return all(isinstance(x, Missing) or isinstance(y, Missing) or x <= y for x, y in zip(a, b, strict=True))


def state_after(*made):
    state = clear_state(DEFAULT)
    for dive in made:
        _, state = after(wait(state, dive.interval_s), dive, DEFAULT)
    return state


@given(depths, depths, dives, intervals)
def test_deeper_is_never_longer(one, other, before, rest):
    shallow, deep = sorted((one, other), key=lambda d: d.msw_e7)
    for state in (clear_state(DEFAULT), wait(state_after(before), rest)):
        a, b = limits(state, shallow), limits(state, deep)
        assert isinstance(a[1], Missing) or isinstance(b[1], Missing) or b[1] <= a[1]
        if not isinstance(a[0], Missing) and not isinstance(b[0], Missing):
            assert b[0] <= a[0] + max(
                0, travel_s(deep, DEFAULT.descent, up=False) - travel_s(shallow, DEFAULT.descent, up=False)
            )


@given(dives, depths, intervals, intervals)
def test_a_longer_interval_never_shortens(before, deep, one, other):
    short, long = sorted((one, other))
    state = state_after(before)
    assert not_longer(limits(wait(state, short), deep), limits(wait(state, long), deep))


@given(dives, depths, intervals)
def test_a_dive_before_never_lengthens(before, deep, rest):
    assert not_longer(limits(wait(state_after(before), rest), deep), limits(clear_state(DEFAULT), deep))


@given(dives, st.integers(0, 3600), depths, intervals)
def test_a_longer_dive_before_never_lengthens(before, more, deep, rest):
    longer = replace(before, bottom_time_s=before.bottom_time_s + more)
    first, second = state_after(before), state_after(longer)
    if first.beyond or second.beyond:
        return
    assert not_longer(limits(wait(second, rest), deep), limits(wait(first, rest), deep))


@given(depths, st.integers(0, 2), st.integers(0, 2), st.booleans())
def test_caution_never_lengthens(deep, one, other, cold):
    less, more = sorted((one, other))
    state = clear_state(DEFAULT)
    assert not_longer(limits(state, deep, caution=more, cold_or_hard=cold), limits(state, deep, caution=less))


@given(depths, st.integers(2200, 4000))
def test_richer_in_oxygen_is_never_shorter_in_nitrogen(deep, o2):
    state = clear_state(DEFAULT)
    assert not_longer(limits(state, deep, Mix(o2, False)), limits(state, deep, Mix(o2 + 100, True)))
    assert equivalent_air_depth(deep, Mix(o2 + 100, True).n2_e4).hundredths <= deep.hundredths
    assert mod(Mix(o2, True), 1.4, "m").hundredths <= mod(Mix(o2, True), 1.6, "m").hundredths


@given(
    st.integers(500, 5800),
    st.integers(1, 5800),
    st.integers(60, 3600),
    st.integers(60, 3600),
    st.integers(2, 60),
)
def test_a_segment_is_tightest_at_its_ends(deep, shallow, stay_s, move_s, parts):
    """Nowhere within a steady ascent is a compartment further above what is allowed than at both ends."""
    top = min(deep, shallow)
    p0, p1 = 1.01325 + deep / 1000, 1.01325 + top / 1000
    state = tissues.linear(tissues.surface_state(), 1.01325, p0, tissues.AIR_N2, 120)
    state = tissues.constant(state, p0, tissues.AIR_N2, stay_s)

    def over(seconds):
        now = p0 + (p1 - p0) * seconds / move_s
        at = state if seconds == 0 else tissues.linear(state, p0, now, tissues.AIR_N2, seconds)
        return [x - y for x, y in zip(at, tissues.allowed_bar(now, 0.8), strict=True)]

    first, last, between = over(0), over(move_s), over(max(1, move_s // parts))
    assert all(x <= max(a, b) + 1e-12 for x, a, b in zip(between, first, last, strict=True))


@given(depths, st.integers(0, 10_000), st.integers(500, 1000))
def test_the_limit_is_the_last_second_within(deep, before_s, gf_pm):
    """At the limit the ascent surfaces within GF high; a second later it does not.

    Whether it takes a whole number of seconds or is exactly at its rate: of the two the worse counts.
    """
    rules = Settings(gf_high_pm=gf_pm)
    state = clear_state(rules)
    found = no_stop(state, deep, AIR, rules).tissue_limit_s
    if found is None or found == 0:
        return
    surface, bottom = rules.surface_bar, rules.surface_bar + deep.bar
    down, up = travel_s(deep, rules.descent, up=False), travel_s(deep, rules.ascent, up=True)
    allowed = tissues.allowed_bar(surface, gf_pm / 1000)

    def tightest(bottom_s):
        at = tissues.linear(tissues.surface_state(), surface, bottom, tissues.AIR_N2, down)
        at = tissues.constant(at, bottom, tissues.AIR_N2, bottom_s - down)
        ends = [
            tissues.linear(at, bottom, surface, tissues.AIR_N2, s)
            for s in (up, exact_travel_s(deep, rules.ascent))
        ]
        return max(x - y for end in ends for x, y in zip(end, allowed, strict=True))

    assert tightest(found) <= 1e-12
    assert tightest(found + 1) > -1e-12
    shorter = max(down, found - before_s)
    assert tightest(shorter) <= 1e-12


@given(st.lists(dives, min_size=1, max_size=5))
@settings(max_examples=50)
def test_a_day_answers_every_dive_once(made):
    answers = day(tuple(made), DEFAULT).answers
    assert len(answers) == len(made)
    for answer in answers:
        assert answer is not None  # nothing is joined: no interval under ten minutes
        if isinstance(answer, Refused):
            continue
        if not isinstance(answer.equivalent_single_dive_time_min, Missing):
            assert answer.equivalent_single_dive_time_min * 60 >= answer.bottom_time_s
        if answer.within is True and isinstance(answer.limit_s, int):
            assert answer.bottom_time_s <= answer.limit_s
        if answer.within is False:
            assert all(isinstance(later, Refused) for later in soon_after(answers, made, answer))


def soon_after(answers, made, beyond):
    """The answers to the dives that begin within 24 h of surfacing from `beyond`."""
    position = answers.index(beyond)
    passed, found = 0, []
    for dive, answer in zip(made[position + 1 :], answers[position + 1 :], strict=True):
        passed += dive.interval_s
        if passed >= 86_400:
            break
        found.append(answer)
        passed += dive.bottom_time_s + travel_s(dive.depth, DEFAULT.ascent, up=True)
    return found


@given(dives, dives, intervals)
def test_earlier_dives_and_a_day_agree(first, second, rest):
    """The same two dives, as a day and as earlier dives counted back, leave the same state."""
    first = replace(first, interval_s=0)
    run_s = second.bottom_time_s + travel_s(second.depth, DEFAULT.ascent, up=True)
    asked = state_before(
        (
            EarlierDive(second.depth, second.bottom_time_s, AIR, rest),
            EarlierDive(first.depth, first.bottom_time_s, AIR, rest + run_s + second.interval_s),
        ),
        DEFAULT,
    )
    assert asked == wait(state_after(first, second), rest)


@given(st.integers(1, 500_000), st.integers(0, 15))
def test_decay_falls_and_multiplies(seconds, compartment):
    whole = tissues.decay(compartment, 2 * seconds)
    assert 0.0 < whole < tissues.decay(compartment, seconds) < 1.0 or whole == 0.0
    assert abs(whole - tissues.decay(compartment, seconds) ** 2) <= 1e-14


@given(st.sampled_from(tables.GROUPS), st.integers(10, 1000), st.integers(10, 1000))
def test_resting_in_two_steps_never_helps(group, one, other):
    """Going on from the group reached never gives a lower group than the whole interval at once."""
    between = tables.group_after_interval(group, one)
    in_steps = None if between is None else tables.group_after_interval(between, other)
    at_once = tables.group_after_interval(group, one + other)
    assert tables.higher_group(in_steps, at_once) == in_steps


@given(st.floats(0, 1e6, allow_nan=False), st.sampled_from([1, 10, 60, 100, 10_000]))
def test_rounding_goes_the_named_way(x, scale):
    up, down = rounding.scaled_up(x, scale), rounding.scaled_down(x, scale)
    assert down <= up <= down + 1
    assert down <= x * scale + 1e-6
    assert up >= x * scale - 1e-6


@given(st.integers(0, 190 * 100))
def test_feet_are_kept(hundredths):
    assert depth(hundredths / 100, "ft") == Depth(hundredths, "ft")
    assert Depth(hundredths, "ft").fsw_up == -(-hundredths // 100)
