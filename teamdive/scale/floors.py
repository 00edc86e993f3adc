"""What every three costs at least (`pairing.group.Floors.of`), for all of them at once."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from teamdive.pairing.group import (
    AT_EDGE,
    AWAY,
    CHARGED,
    FREE,
    HELPS,
    LEADS,
    NOT_KNOWN,
    PRACTISED,
    STRETCHED,
    Floors,
)
from teamdive.pairing.tiers import TIERS
from teamdive.scale.columns import Array


def least(floors: Floors) -> Iterator[tuple[Array, Array]]:
    """Members and tiers of the threes that no rule bars for certain, those of one lowest diver at a time."""
    size = len(floors.own)
    own, limit, bits = np.array(floors.own), np.array(floors.limit), np.array(floors.bits)
    for i in range(0 if floors.barred else size - 2):
        j, k = (side + i + 1 for side in np.triu_indices(size - i - 1, 1))
        x, y, z = bits[i], bits[j], bits[k]
        anyone, two = x | y | z, x & y | x & z | y & z
        led = (anyone & PRACTISED > 0) & ((anyone & CHARGED == 0) | (anyone & LEADS > 0))
        open_to = (anyone & FREE > 0) | (led & (two & STRETCHED == 0))
        j, k, anyone, two = j[open_to], k[open_to], anyone[open_to], two[open_to]
        members = np.stack([np.full(len(j), i), j, k], axis=1)
        have = np.minimum(np.minimum(limit[i, j], limit[i, k]), limit[j, k])
        lost = 60 * np.maximum(0, own[members] - have[:, None]).sum(axis=1)
        tiers = np.zeros((len(members), TIERS), np.int64)
        tiers[:, -3] = _safety(floors, members, anyone, two, x & bits[j] & bits[k])
        tiers[:, -2] = np.where(anyone & NOT_KNOWN > 0, 0, lost)
        if floors.announced is not None:
            tiers[:, -1] = 3
            for one in floors.announced:
                if one[0] == i:
                    tiers[(members == one).all(axis=1), -1] = 0
        if floors.strangers is not None:
            # The fewest changes come first: that tier moves before the others.
            changed = tiers[:, -1] + np.array(floors.strangers)[members].sum(axis=1)
            tiers[:, 1:] = np.column_stack([changed, np.zeros(len(members), np.int64), tiers[:, 2:4]])
        yield members.astype(np.int16), tiers


def _safety(floors: Floors, members: Array, anyone: Array, two: Array, everyone: Array) -> Array:
    alone, edge, away = floors.prices
    rank, beside = np.array(floors.rank)[members], np.array(floors.beside)
    # With each of the three as the leader, where none of the others stands before.
    costs = np.stack([beside[lead[:, None], members].sum(axis=1) for lead in members.T], axis=1)
    costs = np.where(rank == rank.min(axis=1)[:, None], costs, np.iinfo(np.int64).max).min(axis=1)
    found: Array = np.array(floors.safety)[members].sum(axis=1) + costs
    found += np.where(two & HELPS > 0, 0, np.where(anyone & HELPS > 0, alone, 3 * alone))
    found += np.where(everyone & AT_EDGE > 0, edge, 0) + np.where(everyone & AWAY > 0, away, 0)
    return found
