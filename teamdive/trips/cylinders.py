"""Pressures and volumes of cylinders from one unit to another, to the careful side."""

from __future__ import annotations

from decimal import ROUND_DOWN, Decimal

from teamdive.people.conversions import CUFT_IN_LITRES, PSI_IN_BAR


def pressure(value: Decimal, unit: str, wanted: str, rounding: str) -> float:
    """A gauge pressure in the wanted unit, to a tenth."""
    if unit == wanted:
        return float(value)
    turned = value / PSI_IN_BAR if wanted == "bar" else value * PSI_IN_BAR
    return float(turned.quantize(Decimal("0.1"), rounding))


def volume(value: Decimal, unit: str, working: Decimal, working_unit: str, wanted: str) -> float:
    """A cylinder's volume as water capacity (l) or as free gas at its working pressure (cuft), rounded down."""
    if unit == wanted:
        return float(value)
    bar = working if working_unit == "bar" else working / PSI_IN_BAR
    turned = value * CUFT_IN_LITRES / bar if wanted == "l" else value * bar / CUFT_IN_LITRES
    return float(turned.quantize(Decimal("0.01"), ROUND_DOWN))
