"""The dives of a day for any number of divers: exact where few dive, improved part by part where many do.

To `MOST_EXACT` divers the whole day is one search (`several_walk`), proven unless its steps run out. Above, each dive
is first solved by itself; what that costs is a bound that no day goes below: the price between the dives is never
negative, and waves and boats only narrow the choice. From those teams, `WINDOW` divers at a time are placed anew on
all dives while the others keep their teams, for as long as a round helps. The answer is proven where it reaches the
bound; otherwise the gap says what could still be saved at most.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from teamdive.pairing.cost import Candidate
from teamdive.pairing.partition import Search, find, musts
from teamdive.pairing.several_case import ANY_WAVE, Fixed, WholeDay, several_of, teams_of, weigh
from teamdive.pairing.several_walk import best_plan

MOST_EXACT = 12
WINDOW = 8
MOST_ROUNDS = 4
WINDOW_STEPS = 1500


@dataclass(frozen=True)
class FoundDay:
    """`teams`: for each dive its teams by ids, each with its wave. `cost` and `at_least` as `several_case.weigh`."""

    teams: tuple[Fixed, ...]
    cost: int
    at_least: int


def best_day(day: WholeDay, search: Search) -> FoundDay:
    """The best teams of all dives together."""
    able = [name for name in day.names if any(name in dive.pricing.able for dive in day.dives)]
    nothing: list[Fixed] = [{} for _ in day.dives]
    if len(able) <= MOST_EXACT:
        walked, least = best_plan(several_of(day, able, nothing))
        return FoundDay(tuple(teams_of(day, walked.plan or ())), walked.cost, least)
    least, teams = _each_alone(day, search)
    return _improved(day, able, teams, least)


def _each_alone(day: WholeDay, search: Search) -> tuple[int, list[Fixed]]:
    """What the dives cost at least, each by itself, and its teams."""
    least = 0
    kept: list[Fixed] = []
    for dive in day.dives:
        pricing = dive.pricing
        found = find(pricing, musts(pricing.case), search)
        room = sum(0 if wave.closed else wave.room for wave in dive.waves)
        short = max(0, len(pricing.able) - room)
        if found is None or short > len(found.left):
            # Where fewer can be placed than the search placed, the rest of its cost is no bound.
            least += weigh((short, 0, 0, 0, 0))
        else:
            order = found.at_least
            least += weigh((order[0], order[4], *order[1:4]) if pricing.case.least_change else order)
        kept.append({} if found is None else {team.divers: ANY_WAVE for team in found.teams})
    return least, kept


def _following(day: WholeDay, teams: Sequence[Fixed]) -> list[Fixed]:
    """The teams of the first dive on every dive that permits them."""
    return [
        {
            ids: ANY_WAVE
            for ids in teams[0]
            if isinstance(dive.pricing.try_team(ids), Candidate)
            and all(name in dive.pricing.able for name in ids)
        }
        for dive in day.dives
    ]


def _improved(day: WholeDay, able: Sequence[str], teams: list[Fixed], least: int) -> FoundDay:
    """Window after window placed anew, from the cheaper of two starts."""
    starts = [teams, _following(day, teams)] if day.partners == "keep" else [teams]
    walks = [best_plan(several_of(day, (), start), None, WINDOW_STEPS)[0] for start in starts]
    first = min(walks, key=lambda one: one.cost)
    now, cost = teams_of(day, first.plan or ()), first.cost
    for stride in range(1, MOST_ROUNDS + 1):
        before = cost
        for window in _windows(day, able, now, stride):
            if cost <= least:
                return FoundDay(tuple(now), cost, cost)
            kept = [
                {ids: wave for ids, wave in one.items() if not all(name in window for name in ids)}
                for one in now
            ]
            walked = best_plan(several_of(day, window, kept), cost, WINDOW_STEPS)[0]
            if walked.plan is not None:
                now, cost = teams_of(day, walked.plan), walked.cost
        if cost == before and stride > 1:
            break
    return FoundDay(tuple(now), cost, min(cost, least))


def _windows(day: WholeDay, able: Sequence[str], now: Sequence[Fixed], stride: int) -> list[list[str]]:
    """Divers to place anew together: on each dive in turn some neighbouring teams, every `stride`-th of them, with two
    of those left out."""
    found: list[list[str]] = []
    for dive, fixed in zip(day.dives, now, strict=True):
        teams = list(fixed)
        order = [name for start in range(stride) for ids in teams[start::stride] for name in ids]
        out = [name for name in able if name in dive.pricing.able and name not in order][:2]
        width = WINDOW - len(out)
        for start in range(0, len(order), width // 2):
            window = sorted([*out, *order[start : start + width]])
            if window not in found:
                found.append(window)
    return found
