"""Why these teams, why not others: the whole question solved, and its answer as data.

`solve` prices every permitted team, finds the best day and says of everybody else why there is no place.
`why_not` gives the rule that bars a team, or its cost and the cost of the best day that holds it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from teamdive.pairing.alternatives import Robust, most_robust, next_best
from teamdive.pairing.case import Case, leads_to_depth
from teamdive.pairing.cost import Candidate
from teamdive.pairing.drop_outs import DropOut, without
from teamdive.pairing.facts import MOST_IN_TEAM, impossible, out_of_water
from teamdive.pairing.model import Reason, depth_text, listed
from teamdive.pairing.optimise import best
from teamdive.pairing.partition import Found, Search, find, musts
from teamdive.pairing.pricing import Pricing


@dataclass(frozen=True)
class NotPlaced:
    id: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class Total:
    placed: int
    overrides: int
    safety: int
    seconds: int


@dataclass(frozen=True)
class Gap:
    """What better teams could save at most, where the search stopped before its proof."""

    placed: int
    overrides: int
    safety: int
    seconds: int


@dataclass(frozen=True)
class Day:
    """`status` optimal, feasible (with `gap`) or impossible (with `facts`, none of which can be spared)."""

    status: str
    teams: tuple[Candidate, ...]
    not_placed: tuple[NotPlaced, ...]
    total: Total
    gap: Gap | None
    facts: tuple[Reason, ...]
    robust: Robust | None = None


@dataclass(frozen=True)
class WhyNot:
    """`rules` bar the team; otherwise `team` is its price and `day` the best day with it."""

    divers: tuple[str, ...]
    chosen: bool
    rules: tuple[Reason, ...]
    team: Candidate | None
    day: Day | None


def solve(pricing: Pricing, search: Search = best, robust: bool = False) -> Day:
    """The best day. Divers named in a must-be-together wish or a locked team have to be placed.

    `robust`: of equally good days the one that a drop-out disturbs least, not the first in the order of ids.
    """
    needed = musts(pricing.case)
    if robust:
        chosen = most_robust(pricing, needed, search)
        if chosen is not None:
            return replace(day_of(pricing, chosen.found), robust=chosen)
    found = find(pricing, needed, search)
    if found is not None and found.teams:
        return day_of(pricing, found)
    out = _all_out(pricing)
    for name, reasons in pricing.barred.items():
        out.append(NotPlaced(name, tuple(reasons or _nobody_placed(pricing, name, needed))))
    facts = tuple(impossible(pricing, needed))
    return Day("impossible", (), tuple(sorted(out, key=lambda one: one.id)), Total(0, 0, 0, 0), None, facts)


def _nobody_placed(pricing: Pricing, name: str, needed: Sequence[Reason]) -> list[Reason]:
    """Why a diver whom no rule bars has no team on a day without any."""
    if not needed:
        return no_place(pricing, name, ())
    text = f"{name} could dive, but what has to hold on this dive cannot hold: see the facts."
    return [Reason("must_cannot_hold", (name,), text)]


def day_of(pricing: Pricing, found: Found) -> Day:
    """The teams found as a day, with everybody who has no place and why."""
    teams = found.teams
    placed = sum(len(team.divers) for team in teams)
    total = Total(
        placed,
        sum(team.overrides for team in teams),
        sum(team.safety for team in teams),
        sum(team.seconds for team in teams),
    )
    gap = None
    if not found.proven:
        least = found.at_least
        most = len(pricing.able) - least[0]
        hidden = sum(team.hidden for team in teams)
        gap = Gap(
            most - placed,
            total.overrides - least[1],
            min(total.safety, total.safety + hidden - least[2]),
            total.seconds - least[3],
        )
    not_placed = _all_out(pricing)
    for name, reasons in pricing.barred.items():
        if reasons:
            not_placed.append(NotPlaced(name, tuple(reasons)))
        elif name in found.left:
            not_placed.append(NotPlaced(name, tuple(no_place(pricing, name, teams))))
    return Day(
        "optimal" if found.proven else "feasible",
        teams,
        tuple(sorted(not_placed, key=lambda one: one.id)),
        total,
        gap,
        (),
    )


def _all_out(pricing: Pricing) -> list[NotPlaced]:
    return [NotPlaced(name, (out_of_water(name, pricing.case),)) for name in pricing.out]


def no_place(pricing: Pricing, name: str, teams: Sequence[Candidate]) -> list[Reason]:
    """Why a diver whom no rule bars has no team: nobody to dive with, or all of those are taken."""
    case = pricing.case
    mates: list[str] = []
    rules: list[Reason] = []
    for other in pricing.able:
        if other == name:
            continue
        tried = pricing.try_team((name, other))
        if isinstance(tried, Candidate):
            mates.append(other)
        else:
            rules += tried
    if mates:
        planned = depth_text(case.demands.depth, case.demands.unit)
        now = case.standings[name]
        if now.practised and leads_to_depth(case.people[name], case):
            wanted = f"One more diver for {name} would make a team; until then {name} could hold the deck."
        else:
            wanted = f"One more leader to {planned} with practice of this dive would place {name}."
        taken = [listed(team.divers) for team in teams if set(mates).intersection(team.divers)]
        text = f"{name} could dive with {listed(mates)}, who are placed ({'; '.join(taken)}). {wanted}"
        if not taken:
            text = f"{name} could dive with {listed(mates)}, who have no place either: one more would make a team."
        return [Reason("no_place_left", (name, *mates), text)]
    text = f"No pair with {name} is permitted." if rules else f"There is nobody to dive with {name}."
    return [Reason("no_team_mate", (name,), text), *_each_once(rules)]


def _each_once(reasons: Sequence[Reason]) -> list[Reason]:
    kept: list[Reason] = []
    for reason in reasons:
        if reason not in kept:
            kept.append(reason)
    return kept


def why_not(pricing: Pricing, ids: Sequence[str], day: Day, search: Search = best) -> WhyNot:
    """The rule that bars this team, or its price and that of the best day in which it dives."""
    case = pricing.case
    key = tuple(sorted(ids))
    if any(team.divers == key for team in day.teams):
        chosen = next(team for team in day.teams if team.divers == key)
        return WhyNot(key, True, (), chosen, day)
    rules = _rules_against(pricing, key)
    tried = pricing.try_team(key)
    if rules or not isinstance(tried, Candidate):
        return WhyNot(key, False, tuple(rules), None, None)
    held = Pricing(replace(case, locked=(*case.locked, key)), pricing.gas_of, pricing.out)
    with_it = solve(held, search)
    return WhyNot(key, False, with_it.facts, tried, None if with_it.facts else with_it)


def alternatives(pricing: Pricing, day: Day, count: int, search: Search = best) -> list[Day]:
    """The next best days, best first; fewer where there are no more."""
    if not day.teams:
        return []
    found = next_best(pricing, musts(pricing.case), search, count, _found(pricing, day))
    return [day_of(pricing, one) for one in found]


def drop_outs(pricing: Pricing, day: Day, search: Search = best) -> list[DropOut]:
    """For each diver who has a place, in the order of ids: the day without them."""
    placed = sorted(name for team in day.teams for name in team.divers)
    return [without(pricing, _found(pricing, day), name, search) for name in placed]


def _found(pricing: Pricing, day: Day) -> Found:
    placed = {name for team in day.teams for name in team.divers}
    left = tuple(name for name in pricing.able if name not in placed)
    return Found(day.teams, left, day.status == "optimal", ())


@dataclass(frozen=True)
class Recheck:
    """An announced team held against the dive as it is now: it stands at this price, or these `rules` bar it."""

    divers: tuple[str, ...]
    rules: tuple[Reason, ...]
    team: Candidate | None


def recheck(pricing: Pricing) -> list[Recheck]:
    """Each announced team, in the order announced."""
    return [_recheck(pricing, tuple(sorted(ids))) for ids in pricing.case.announced]


def _recheck(pricing: Pricing, ids: tuple[str, ...]) -> Recheck:
    strangers = [name for name in ids if name not in pricing.case.people]
    if strangers or not (2 <= len(ids) <= MOST_IN_TEAM or ids in pricing.case.guided):
        rules = [Reason("not_on_dive", (name,), f"{name} is not on this dive.") for name in strangers]
        size = Reason("team_size", ids, "A team is two or three divers.")
        return Recheck(ids, tuple(rules) or (size,), None)
    rules = _rules_against(pricing, ids)
    tried = pricing.try_team(ids)
    return Recheck(ids, tuple(rules), tried if isinstance(tried, Candidate) and not rules else None)


def _rules_against(pricing: Pricing, ids: tuple[str, ...]) -> list[Reason]:
    rules = [out_of_water(name, pricing.case) for name in pricing.out if name in ids]
    rules += [reason for name in ids if name in pricing.barred for reason in pricing.barred[name]]
    tried = pricing.try_team(ids)
    return rules if isinstance(tried, Candidate) else [*rules, *tried]


def changed(case: Case, day: Day) -> list[tuple[str, tuple[str, ...] | None, tuple[str, ...] | None]]:
    """Every diver whose team differs from the one announced: who, from, to (None: no team)."""
    if not case.announced:
        return []
    before = {name: tuple(sorted(team)) for team in case.announced for name in team}
    after = {name: team.divers for team in day.teams for name in team.divers}
    names = sorted({*before, *after})
    return [
        (name, before.get(name), after.get(name)) for name in names if before.get(name) != after.get(name)
    ]
