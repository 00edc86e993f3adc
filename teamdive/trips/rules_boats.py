"""Seats on a trip's boats: everyone who is booked goes to sea and takes one, in the water or not. Pure."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from teamdive.pairing.model import listed


def over_the_boat(boat: str, most: int | None, people: Collection[str]) -> str | None:
    """What is wrong with these people on this boat; None: they fit, or what it carries is not known."""
    if most is None or len(people) <= most:
        return None
    return (
        f"{boat} may carry {most} persons and {len(people)} are on it: {listed(sorted(people))}. "
        "Take people off, or take a larger boat."
    )


def named_on(boats: Sequence[Mapping[str, Any]]) -> set[str]:
    """Whoever has a seat on one of these boats by name: aboard, or covering it from the surface."""
    covering = {one["person"] for boat in boats for one in boat.get("surface_cover", ())}
    return covering | {person for boat in boats for person in boat.get("aboard", ())}
