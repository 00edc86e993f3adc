"""Tissues at altitude: the standard atmosphere's pressure, time to get used to it, and limits by an own root."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from teamdive.physics import tissues
from teamdive.physics.dive import Settings, clear_state, no_stop
from teamdive.physics.known import Missing
from teamdive.physics.oxygen import AIR
from teamdive.physics.units import Depth, depth
from tests.published.test_tissue_model import N2, SURFACE, VAPOUR, K, limit_by_root


def standard_bar(feet):
    """ISO 2533: 288.15 K and 6.5 K/km below 11 km."""
    height = feet * 0.3048
    return 1.01325 * (1 - 0.0065 * height / 288.15) ** (9.80665 * 0.0289644 / (8.31432 * 0.0065))


@pytest.mark.parametrize("feet", [0, 1, 999, 1000, 1001, 4500, 5000, 9999, 10_000])
def test_the_pressure_is_that_of_the_next_thousand_feet(feet):
    """Lower than at the site, never higher: a lower surface pressure is the shorter limit."""
    ours = Settings(altitude_ft=feet).surface_bar
    assert ours == pytest.approx(standard_bar(-(-feet // 1000) * 1000), abs=1.1e-5)
    assert ours <= standard_bar(feet) + 1e-9


@pytest.mark.parametrize("hours", [0, 1, 6, 24, 72])
@pytest.mark.parametrize("feet", [2000, 5000, 8000])
def test_getting_used_to_an_altitude_against_solve_ivp(feet, hours):
    """From rest at sea level, straight to the altitude, the nitrogen of its air breathed since."""
    at = Settings(altitude_ft=feet, at_altitude_s=hours * 3600)
    rest = np.full(16, (SURFACE - VAPOUR) * N2)
    ours = clear_state(at).tissues(at)
    if hours == 0:
        assert ours == pytest.approx(rest, abs=1e-12)
        return
    breathed = (at.surface_bar - VAPOUR) * N2
    found = solve_ivp(
        lambda t, y: K * (breathed - y), (0, hours * 3600), rest, method="DOP853", rtol=1e-12, atol=1e-13
    )
    assert np.max(np.abs(np.array(ours) - found.y[:, -1])) < 1e-9


@pytest.mark.parametrize("hours", [0, 12, 72])
@pytest.mark.parametrize("feet", [1000, 5000, 8000])
@pytest.mark.parametrize("deep", [12, 18, 27, 36])
def test_limits_at_altitude_against_brentq(feet, hours, deep):
    at = Settings(altitude_ft=feet, at_altitude_s=hours * 3600)
    ours = no_stop(clear_state(at), depth(deep, "m"), AIR, at).tissue_limit_s
    state = clear_state(at).tissues(at)
    root = limit_by_root(state, at.surface_bar + deep / 10, N2, 0.8, 18, 9, at.surface_bar)
    assert root - 5 < ours <= root


@given(
    st.integers(900, 4500),
    st.integers(0, 10_000),
    st.integers(0, 10_000),
    st.integers(0, 200),
    st.integers(0, 200),
)
@settings(max_examples=100, deadline=None)
def test_higher_or_sooner_is_never_longer(cm, one_ft, other_ft, one_h, other_h):
    low, high = sorted((one_ft, other_ft))
    soon, late = sorted((one_h, other_h))

    def limit(feet, hours):
        at = Settings(altitude_ft=feet, at_altitude_s=hours * 3600)
        found = no_stop(clear_state(at), Depth(cm, "m"), AIR, at).tissue_limit_s
        return 10**9 if found is None else found

    assert limit(high, soon) <= limit(low, soon)
    assert limit(high, soon) <= limit(high, late)


def test_time_at_altitude_that_is_not_given_is_not_assumed():
    at = Settings(altitude_ft=5000)
    found = no_stop(clear_state(at), depth(18, "m"), AIR, at)
    assert found.tissue_limit_s == Missing(("hours_at_altitude",))
    assert Settings().surface_bar == tissues.SEA_LEVEL_BAR
