"""Why these teams, why not others: the whole question solved, and its answer as data.

`solve` prices every permitted team, finds the best day and says of everybody else why there is no place.
`why_not` gives the rule that bars a team, or its cost and the cost of the best day that holds it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from teamdive.pairing.case import Case, leads_to_depth
from teamdive.pairing.cost import Candidate, price
from teamdive.pairing.model import Person, Reason, TeamGas, depth_text, listed
from teamdive.pairing.optimise import Answer, Group, Team, best
from teamdive.pairing.rules import standing_reasons
from teamdive.pairing.rules_diver import personal
from teamdive.pairing.rules_team import team_gas, together

MOST_IN_TEAM = 3
OF_A_PAIR = ("two_stretched", "wish_apart")

GasOf = Callable[[tuple[str, ...]], TeamGas]
Search = Callable[[Group, Sequence[Team], Callable[[], Sequence[Team]], str], Answer | None]


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


@dataclass(frozen=True)
class WhyNot:
    """`rules` bar the team; otherwise `team` is its price and `day` the best day with it."""

    divers: tuple[str, ...]
    chosen: bool
    rules: tuple[Reason, ...]
    team: Candidate | None
    day: Day | None


class Pricing:
    """Every team tried once: its standing reasons, or its price."""

    def __init__(self, case: Case, gas_of: GasOf, out: Sequence[str]) -> None:
        self.case = case
        self.gas_of = gas_of
        self.out = tuple(out)
        self.barred: dict[str, list[Reason]] = {}
        for name, person in case.people.items():
            if name not in self.out:
                self.barred[name] = standing_reasons(personal(person, case), case)
        self.able = sorted(name for name, reasons in self.barred.items() if not reasons)
        self.kept: dict[tuple[str, ...], Candidate | list[Reason]] = {}

    def members(self, ids: Sequence[str]) -> list[Person]:
        return [self.case.people[name] for name in sorted(ids)]

    def try_team(self, ids: Sequence[str]) -> Candidate | list[Reason]:
        """The priced team, or the reasons that no override lifts (of the team; not of its divers)."""
        key = tuple(sorted(ids))
        if key not in self.kept:
            team = self.members(key)
            reasons = standing_reasons(together(team, self.case), self.case)
            if reasons:
                self.kept[key] = reasons
            else:
                gas = self.gas_of(key)
                short = standing_reasons(team_gas(gas), self.case)
                self.kept[key] = short or price(team, gas, self.case)
        return self.kept[key]

    def permitted(self, among: Sequence[str], size: int) -> list[Candidate]:
        """Priced teams of that size, in the order of ids."""
        found = []
        for ids in combinations(among, size):
            tried = self.try_team(ids)
            if isinstance(tried, Candidate):
                found.append(tried)
        return found


@dataclass(frozen=True)
class Found:
    """What the search found: the teams, fixed ones included, and who of the able divers is left."""

    teams: tuple[Candidate, ...]
    left: tuple[str, ...]
    proven: bool
    at_least: tuple[int, ...]


def solve(pricing: Pricing, search: Search = best) -> Day:
    """The best day. Divers named in a must-be-together wish or a locked team have to be placed."""
    needed = musts(pricing.case)
    found = find(pricing, needed, search)
    if found is not None and found.teams:
        return _day(pricing, found)
    out = _out_of_water(pricing)
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


def find(pricing: Pricing, needed: Sequence[Reason], search: Search) -> Found | None:
    """The best teams, or None when a must cannot hold. Locked teams are set aside and the rest is searched.

    A locked three is the one that "only when odd" allows.
    """
    case = pricing.case
    fixed: list[Candidate] = []
    for ids in case.locked:
        tried = pricing.try_team(ids)
        if not isinstance(tried, Candidate) or not all(name in pricing.able for name in ids):
            return None
        fixed.append(tried)
    wanted = {name for fact in needed for name in fact.divers}
    if not wanted.issubset(pricing.able):
        return None
    held = {name for team in fixed for name in team.divers}
    able = [name for name in pricing.able if name not in held]
    regime = case.policy.threes
    if regime == "only_when_odd" and any(len(team.divers) == 3 for team in fixed):
        regime = "never"
    place = {name: at for at, name in enumerate(able)}
    known = {name for one in case.announced for name in one}
    group = Group(
        size=len(able),
        must=tuple(name in wanted for name in able),
        moved=tuple(1 if name in known else 0 for name in able),
    )
    by_members: dict[tuple[int, ...], Candidate] = {}

    def permitted(size: int) -> list[Team]:
        made = []
        for one in pricing.permitted(able, size):
            members = tuple(place[name] for name in one.divers)
            by_members[members] = one
            made.append(Team(members, one.overrides, one.safety, one.seconds, one.changes))
        return made

    answer = search(group, permitted(2), lambda: permitted(3), regime)
    if answer is None:
        return None
    teams = [*fixed, *(by_members[team.members] for team in answer.teams)]
    own = [(0, team.overrides, team.safety, team.seconds, team.changes) for team in fixed]
    return Found(
        teams=tuple(sorted(teams, key=lambda team: team.divers)),
        left=tuple(able[at] for at in answer.not_placed),
        proven=answer.proven,
        at_least=tuple(sum(tier) for tier in zip(answer.at_least, *own, strict=True)),
    )


def musts(case: Case) -> list[Reason]:
    """What has to hold: locked teams and must-be-together wishes, as facts."""
    found = [Reason("locked", fixed, f"The team {listed(fixed)} is fixed.") for fixed in case.locked]
    for wish in case.wishes:
        if wish.kind == "together" and wish.strength == "must":
            found.append(Reason("wish_together", wish.divers, f"{listed(wish.divers)} are to dive together."))
    return found


def _day(pricing: Pricing, found: Found) -> Day:
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
        gap = Gap(
            most - placed, total.overrides - least[1], total.safety - least[2], total.seconds - least[3]
        )
    not_placed = _out_of_water(pricing)
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


def _out_of_water(pricing: Pricing) -> list[NotPlaced]:
    return [
        NotPlaced(name, (Reason("out_of_water", (name,), f"{name} stays out of the water on this dive."),))
        for name in pricing.out
    ]


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


# --- impossible --------------------------------------------------------------------------------------


def impossible(pricing: Pricing, needed: Sequence[Reason]) -> list[Reason]:
    """Facts that together leave no answer, and of which none can be spared: drop any one and there is one.

    With musts in play those are tried first, one after the other; what bars the last one left is added.
    """
    if not needed:
        return _no_team(pricing, (), False)
    kept = list(needed)
    for fact in needed:
        fewer = [one for one in kept if one is not fact]
        if fewer and not _can_hold(pricing, fewer):
            kept = fewer
    if len(kept) > 1:
        return kept
    group = kept[0].divers
    if len(group) > MOST_IN_TEAM:
        return [*kept, Reason("threes", group, "A team is two or three divers.")]
    return [*kept, *_no_team(pricing, group, kept[0].code == "locked")]


def _can_hold(pricing: Pricing, facts: Sequence[Reason]) -> bool:
    """Whether these musts alone, with every rule in force, leave an answer."""
    fewer = Pricing(_with_musts(pricing.case, facts), pricing.gas_of, pricing.out)
    return find(fewer, facts, best) is not None


def _with_musts(case: Case, facts: Sequence[Reason]) -> Case:
    locked = tuple(fact.divers for fact in facts if fact.code == "locked")
    wished = [fact.divers for fact in facts if fact.code == "wish_together"]
    wishes = tuple(
        wish
        for wish in case.wishes
        if wish.kind != "together" or wish.strength != "must" or wish.divers in wished
    )
    return replace(case, locked=locked, wishes=wishes)


def _no_team(pricing: Pricing, group: Sequence[str], exactly: bool) -> list[Reason]:
    """An irreducible set of facts that bars every team that holds `group` (or is exactly it).

    Each team is a list of facts of which one is enough; a fact is let go while every list keeps another.
    """
    case = _with_musts(
        pricing.case, [fact for fact in musts(pricing.case) if exactly and fact.divers == tuple(group)]
    )
    own = {name: list(reasons) for name, reasons in pricing.barred.items()}
    for one in _out_of_water(pricing):
        own[one.id] = list(one.reasons)
    names = sorted(case.people)
    sizes = [2] if case.policy.threes == "never" else [2, 3]
    teams = (
        [tuple(sorted(group))]
        if exactly
        else [ids for size in sizes for ids in combinations(names, size) if set(group).issubset(ids)]
    )
    if not teams:
        return [
            *(reason for name in names for reason in own[name]),
            Reason("no_team_mate", tuple(names), "One diver is no team."),
        ]
    facts = [reason for name in names for reason in own[name]]
    count = {fact: at for at, fact in enumerate(facts)}
    lists: list[list[int]] = []
    for ids in teams:
        barring = [reason for name in ids for reason in own[name]]
        barring += _barring(pricing, ids, case)
        if not barring:
            barring = standing_reasons(team_gas(pricing.gas_of(ids)), case)
        for reason in barring:
            if reason not in count:
                count[reason] = len(facts)
                facts.append(reason)
        lists.append([count[reason] for reason in barring])
    # Facts about teams are let go first, so that what stays is about people, whom a leader can ask.
    kept = [True] * len(facts)
    left = [len(one) for one in lists]
    holding: list[list[int]] = [[] for _ in facts]
    for at, barring_at in enumerate(lists):
        for fact_at in barring_at:
            holding[fact_at].append(at)
    for fact_at in range(len(facts) - 1, -1, -1):
        if all(left[at] > 1 for at in holding[fact_at]):
            kept[fact_at] = False
            for at in holding[fact_at]:
                left[at] -= 1
    return [fact for at, fact in enumerate(facts) if kept[at]]


def _barring(pricing: Pricing, ids: Sequence[str], case: Case) -> list[Reason]:
    """What bars a team as such. A pair that may not dive together bars every three that holds it: one fact."""
    found = standing_reasons(together(pricing.members(ids), case), case)
    if len(ids) < MOST_IN_TEAM:
        return found
    found = [reason for reason in found if reason.code not in OF_A_PAIR]
    for pair in combinations(ids, 2):
        of_pair = standing_reasons(together(pricing.members(pair), case), case)
        found += [reason for reason in of_pair if reason.code in OF_A_PAIR]
    return found


# --- why not -----------------------------------------------------------------------------------------


def why_not(pricing: Pricing, ids: Sequence[str], day: Day, search: Search = best) -> WhyNot:
    """The rule that bars this team, or its price and that of the best day in which it dives."""
    case = pricing.case
    key = tuple(sorted(ids))
    if any(team.divers == key for team in day.teams):
        chosen = next(team for team in day.teams if team.divers == key)
        return WhyNot(key, True, (), chosen, day)
    rules = [reason for one in _out_of_water(pricing) if one.id in key for reason in one.reasons]
    rules += [reason for name in key if name in pricing.barred for reason in pricing.barred[name]]
    tried = pricing.try_team(key)
    if not isinstance(tried, Candidate):
        rules += tried
    if rules or not isinstance(tried, Candidate):
        return WhyNot(key, False, tuple(rules), None, None)
    held = Pricing(replace(case, locked=(*case.locked, key)), pricing.gas_of, pricing.out)
    with_it = solve(held, search)
    return WhyNot(key, False, with_it.facts, tried, None if with_it.facts else with_it)


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
