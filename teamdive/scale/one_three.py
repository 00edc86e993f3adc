"""Pairs, and at most one team of three: a heaviest matching, and a few more of them to settle the three.

Every three is bounded by the labels of a matching that is already proven (`heaviest.Proof.without`): no day with
that three gains more than the three itself and that bound. The three with the greatest bound is tried by the
heaviest matching of everybody else, started from the labels at hand; its own labels bound all other threes
anew. It ends when no bound is above the best day found, so threes are left out only where the optimum is kept.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from teamdive.pairing.matching import NONE
from teamdive.scale.blossoms import Array
from teamdive.scale.heaviest import Proof, Search

MOST_TRIED = 3000


@dataclass(frozen=True)
class Best:
    """`three`: its row, or -1. `mate`: partners of the rest. `gain` against `at_most` (equal: proven)."""

    three: int
    mate: Array
    gain: int
    at_most: int


def heaviest_with_one(
    gain: Array, threes: Array, worth: Array, price: Callable[[int], int | None], tries: int = MOST_TRIED
) -> Best:
    """The greatest gain of pairs and at most one of the threes.

    `gain` as for `heaviest.Search`; `threes`: members by row; `worth`: what each gains, or at most gains:
    `price` gives what a row really gains (None: not permitted) and is asked only of threes that may be best.
    `tries`: after so many matchings the best found is answered with its gap.
    """
    search = Search(gain)
    proof = search.run()
    best, mate, chosen = proof.total, search.mate, NONE
    cap = proof.without(threes)
    rows = np.flatnonzero(2 * worth + cap > best)
    threes, gained, cap, real = threes[rows], 2 * worth[rows], cap[rows], np.zeros(len(rows), bool)
    for _ in range(tries):
        _price_first(rows, gained, cap, real, best, price)
        left = gained + cap > best
        rows, threes, gained, cap, real = rows[left], threes[left], gained[left], cap[left], real[left]
        if not len(rows):
            return Best(chosen, mate, best // 2, best // 2)
        # Of equal bounds one that is priced; there is one, or everything left would have been priced.
        tops = np.flatnonzero(real)
        at = int(tops[(gained + cap)[tops].argmax()])
        part = search.without(threes[at].tolist())
        rest = part.run()
        if gained[at] + rest.total > best:
            best, mate, chosen = int(gained[at]) + rest.total, part.mate, int(rows[at])
        cap = np.minimum(cap, _covering(search, rest, threes[at]).without(threes))
    return Best(chosen, mate, best // 2, int((gained + cap).max(initial=best)) // 2)


def _price_first(
    rows: Array, gained: Array, cap: Array, real: Array, best: int, price: Callable[[int], int | None]
) -> None:
    """Price threes, the greatest bound first, until none that is not priced could exceed one that is."""
    most = int((gained + cap)[real].max(initial=best))
    within = np.flatnonzero(~real & (gained + cap > most))
    for at in within[np.argsort(-(gained + cap)[within], kind="stable")]:
        if gained[at] + cap[at] <= most:
            return
        found = price(int(rows[at]))
        real[at] = True
        # Below every bound: a three that is not permitted is no day's.
        gained[at] = -2 * abs(best) - cap[at] - 1 if found is None else 2 * found
        most = max(most, int(gained[at] + cap[at]))


def _covering(search: Search, proof: Proof, gone: Array) -> Proof:
    """Labels for the divers taken away as well, so that every edge is covered again."""
    labels, total = proof.labels.copy(), proof.total
    for diver in gone:
        labels[diver] = max(0, int((search.twice[diver] - labels).max()))
        total += int(labels[diver])
    return Proof(labels, proof.inside, total)
