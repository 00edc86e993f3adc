"""A whole roster's compartments after the dives of many days, on the blocks of `scale.tissues`."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from teamdive.physics import tissues
from teamdive.physics.nitrogen import JOIN_S
from teamdive.physics.profile import Dive, Settings, profile
from teamdive.scale.tissues import Floats, breathe, surface_states

_Step = tuple[float, float, float, int]
"""Ambient pressure at its start and end in bar, nitrogen fraction, seconds."""


def after_dives(rosters: Sequence[Sequence[Dive]], settings: Settings) -> Floats:
    """Nitrogen of each diver on surfacing from the last dive of theirs, shape (divers, 16), in bar.

    One list of dives a diver, in order; the first dive's interval does not count. Bit for bit what
    `physics.dive.day` leaves. ValueError for an interval under ten minutes (one dive: `physics.dive` joins
    them), for a gas with helium, and at altitude where the time there is not known.
    """
    if settings.altitude_ft > 0 and settings.at_altitude_s is None:
        raise ValueError("at altitude the settings need at_altitude_s")
    steps = [_steps(dives, settings) for dives in rosters]
    table = np.zeros((4, max(map(len, steps), default=0), len(steps)))
    for i, made in enumerate(steps):
        if made:
            table[:, : len(made), i] = np.array(made).T
    from_bar, to_bar, n2, seconds = table
    return breathe(surface_states(len(steps)), from_bar, to_bar, n2, seconds.astype(np.int64))


def at_rest(states: Floats, settings: Settings, seconds: ArrayLike) -> Floats:
    """The same divers later, air breathed at the site's altitude since; seconds for all, or one each."""
    return breathe(states, settings.surface_bar, settings.surface_bar, tissues.AIR_N2, seconds)


def _steps(dives: Sequence[Dive], settings: Settings) -> list[_Step]:
    surface = settings.surface_bar
    steps: list[_Step] = []
    for position, dive in enumerate(dives):
        rest_s = dive.interval_s if position > 0 else settings.at_altitude_s or 0
        if position > 0 and rest_s < JOIN_S:
            raise ValueError(f"dive {position} began {rest_s} s after the one before it: they are one dive")
        if dive.mix.he_e4 > 0:
            raise ValueError(f"dive {position} is on a gas with helium: this reckons nitrogen alone")
        steps.append((surface, surface, tissues.AIR_N2, rest_s))
        steps.extend((p0, p1, dive.mix.n2, seconds) for p0, p1, seconds in profile(dive, settings))
    return steps
