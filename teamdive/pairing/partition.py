"""The best teams of a dive under what has to hold: locked teams, wishes that must be kept, teams ruled out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from teamdive.pairing.case import Case
from teamdive.pairing.cost import Candidate
from teamdive.pairing.floors import threes_of
from teamdive.pairing.group import Answer, Group, Team
from teamdive.pairing.model import Reason, listed
from teamdive.pairing.pricing import Pricing

Search = Callable[[Group, Sequence[Team], Callable[[], Sequence[Team]], str], Answer | None]


@dataclass(frozen=True)
class Found:
    """What the search found: the teams, fixed ones included, and who of the able divers is left."""

    teams: tuple[Candidate, ...]
    left: tuple[str, ...]
    proven: bool
    at_least: tuple[int, ...]


def find(
    pricing: Pricing,
    needed: Sequence[Reason],
    search: Search,
    kept: Sequence[tuple[str, ...]] = (),
    barred: Collection[tuple[str, ...]] = (),
) -> Found | None:
    """The best teams, or None when a must cannot hold. Locked teams and guided groups are set aside first.

    `kept` are further teams that are set, `barred` teams that are not formed (exactly these; by sorted ids). A
    set three is the one that "only when odd" allows.
    """
    case = pricing.case
    fixed: list[Candidate] = []
    for ids in (*case.locked, *case.guided, *kept):
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
    if regime == "only_when_odd" and any(len(t.divers) == 3 and t.divers not in case.guided for t in fixed):
        regime = "never"
    place = {name: at for at, name in enumerate(able)}
    known = {name for one in case.announced for name in one}
    group = Group(
        size=len(able),
        must=tuple(name in wanted for name in able),
        moved=tuple(1 if name in known and not case.least_change else 0 for name in able),
    )
    by_members: dict[tuple[int, ...], Candidate] = {}

    def made(one: Candidate) -> Team | None:
        if one.divers in barred:
            return None
        members = tuple(place[name] for name in one.divers)
        by_members[members] = one
        return Team(members, *_tiers(one, case, known))

    pairs = [team for one in pricing.permitted(able, 2) if (team := made(one)) is not None]
    answer = search(group, pairs, threes_of(pricing, able, made), regime)
    if answer is None:
        return None
    teams = [*fixed, *(by_members[team.members] for team in answer.teams)]
    own = [(0, *_tiers(team, case, known)) for team in fixed]
    least = tuple(sum(tier) for tier in zip(answer.at_least, *own, strict=True))
    return Found(
        teams=tuple(sorted(teams, key=lambda team: team.divers)),
        left=tuple(able[at] for at in answer.not_placed),
        proven=answer.proven,
        at_least=(least[0], *least[2:], least[1]) if case.least_change else least,
    )


def _tiers(team: Candidate, case: Case, known: Collection[str]) -> tuple[int, int, int, int]:
    """What a team costs in the four tiers after the number placed.

    With the fewest changes asked first, leaving out a diver who was announced counts at those who are placed:
    the number placed being given, that is the same order.
    """
    count = changes(team.divers, case)
    if not case.least_change:
        return team.overrides, team.safety + team.hidden, team.seconds, count
    count += sum(1 for name in team.divers if name not in known)
    return count, team.overrides, team.safety + team.hidden, team.seconds


def changes(divers: tuple[str, ...], case: Case) -> int:
    """How many divers of this team dive in another one than was announced."""
    known = [set(one) for one in case.announced]
    return 0 if not known or set(divers) in known else len(divers)


def musts(case: Case) -> list[Reason]:
    """What has to hold: locked teams, guided groups and must-be-together wishes, as facts."""
    found = [Reason("locked", fixed, f"The team {listed(fixed)} is fixed.") for fixed in case.locked]
    found += [Reason("guided", fixed, f"The guided group {listed(fixed)} is fixed.") for fixed in case.guided]
    for wish in case.wishes:
        if wish.kind == "together" and wish.strength == "must":
            found.append(Reason("wish_together", wish.divers, f"{listed(wish.divers)} are to dive together."))
    return found
