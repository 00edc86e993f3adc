"""Pressure and depth against TEOS-10 (the Gibbs Seawater library), the international standard of sea water."""

from fractions import Fraction
from math import ceil, floor

import gsw
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from teamdive.physics import water
from teamdive.physics.dive import Settings
from teamdive.physics.rounding import scaled_up
from teamdive.physics.units import FSW_IN_MSW, Depth, altitude_ft_up, deeper_in, depth, shallower_in

LATITUDES = (0, 20, 45, 60, 75)
DEPTHS = (1, 5, 10, 20, 30, 40, 58)


def column_bar(metres, salinity, celsius, latitude):
    """Gauge pressure under `metres` of water of uniform salinity and temperature, by TEOS-10."""
    layers = np.linspace(0, metres, 200)
    density = gsw.rho_t_exact(salinity, celsius, layers)
    gravity = gsw.grav(latitude, layers)
    return float(np.trapezoid(density * gravity, layers)) / 1e5


@pytest.mark.parametrize("latitude", LATITUDES)
@pytest.mark.parametrize("celsius", [2, 10, 15, 20, 28])
def test_salt_water(latitude, celsius):
    """Sea water of salinity 33 to 37 g/kg: within 1 %, gravity from equator to 75 degrees included."""
    for salinity in (33, 35, 37):
        for metres in DEPTHS:
            reference = column_bar(metres, salinity, celsius, latitude)
            assert water.gauge_pressure_bar(metres, "salt") == pytest.approx(reference, rel=0.01)


@pytest.mark.parametrize("latitude", LATITUDES)
@pytest.mark.parametrize("celsius", [0, 4, 10, 20, 30])
def test_fresh_water(latitude, celsius):
    """Fresh water of 0 to 30 C: within 0.8 %, of which gravity is up to 0.3 %."""
    for metres in DEPTHS:
        reference = column_bar(metres, 0, celsius, latitude)
        assert water.gauge_pressure_bar(metres, "fresh") == pytest.approx(reference, rel=0.008)


def test_sea_water_of_the_stated_density():
    """1,025.97 kg/m3 at 15 C (an instrument maker's figure): TEOS-10 for 35.165 g/kg is within 0.1 kg/m3."""
    assert gsw.rho_t_exact(35.16504, 15, 0) == pytest.approx(water.DENSITY_KG_M3["salt"], abs=0.1)


@pytest.mark.parametrize("latitude", LATITUDES)
def test_a_gauge_in_the_sea_reads_more_than_the_line(latitude):
    """TEOS-10's own depth of a pressure: 30 msw (3 bar) is 29.6 to 30.0 m of ocean, never more than 30."""
    metres = -float(gsw.z_from_p(30.0, latitude))
    assert 29.6 < metres < 30.0
    assert water.metres_of_water(30.0, "salt") == pytest.approx(metres, rel=0.006)
    assert water.gauge_depth_msw(metres, "salt") == pytest.approx(30.0, rel=0.006)


def test_one_msw_and_one_fsw():
    """US Navy Diving Manual: 1 msw = 10,000 Pa exactly; 1 fsw = 3,064.3 Pa = 0.30643 msw."""
    assert depth(10, "m").bar == 1.0
    assert depth(10, "ft").bar * 1e5 == pytest.approx(30_643.0, rel=1e-12)
    assert pytest.approx(3.2634, abs=1e-4) == 1 / FSW_IN_MSW
    assert depth(100, "ft").msw == 30.643
    # A mean sea of 64 lb/ft3, from which the fsw comes, is 1,025.18 kg/m3.
    assert pytest.approx(3064.3, abs=0.2) == 64 * 0.45359237 / 0.3048**3 * 9.80665 * 0.3048


@given(st.integers(1, 19_000), st.sampled_from(["m", "ft"]))
def test_a_depth_in_the_other_unit_is_within_a_hundredth_on_the_side_asked(hundredths, unit):
    """US Navy Diving Manual: 1 fsw = 0.30643 msw, by fractions."""
    at, other = Depth(hundredths, unit), "ft" if unit == "m" else "m"
    exact = hundredths * Fraction(30_643, 100_000) ** (1 if unit == "ft" else -1)
    assert deeper_in(at, other) == Depth(ceil(exact), other)
    assert shallower_in(at, other) == Depth(floor(exact), other)
    assert deeper_in(at, unit) is at and shallower_in(at, unit) is at


def test_the_number_typed_is_kept():
    assert depth(29.57, "m") == Depth(2957, "m")
    assert depth(29.571, "m") == Depth(2958, "m")
    assert depth(120, "ft").fsw_up == 120
    assert depth(120.1, "ft").fsw_up == 121
    assert scaled_up(0.1 + 0.2, 10) == 3


def test_standard_atmosphere():
    """US Standard Atmosphere 1976, printed tables (from memory): 5,000 ft 843.07 hPa, 10,000 ft 696.82 hPa."""
    assert Settings(altitude_ft=5000).surface_bar * 1000 == pytest.approx(843.07, abs=0.02)
    assert Settings(altitude_ft=10_000).surface_bar * 1000 == pytest.approx(696.82, abs=0.02)
    assert Settings().surface_bar == 1.01325
    assert Settings(altitude_ft=4001).surface_bar == Settings(altitude_ft=5000).surface_bar
    assert altitude_ft_up(304.8) == 1000
    assert altitude_ft_up(304.81) == 1001
