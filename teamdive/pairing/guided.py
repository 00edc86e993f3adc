"""Guided groups that would give supervised divers a place: a team that is made anyway, and who joins it.

EN 14153-1 / ISO 24801-1: supervised divers, up to four for a leader who can reach all of them.
"""

from __future__ import annotations

from collections.abc import Sequence

from teamdive.pairing.cost import Candidate
from teamdive.pairing.pricing import Pricing
from teamdive.pairing.threes import team_alone


def guided_offers(
    teams: Sequence[Candidate], left: Sequence[str], pricing: Pricing
) -> list[tuple[Candidate, tuple[str, ...]]]:
    """Groups under the leader of a team that stands, each with who joins it; `left`: who has no place.

    Each supervised diver joins the first team whose leader may take one more; nobody is offered twice.
    """
    waiting = [name for name in sorted(left) if name in pricing.able and pricing.case.people[name].supervised]
    found: list[tuple[Candidate, tuple[str, ...]]] = []
    for team in teams:
        best: Candidate | None = None
        joined: tuple[str, ...] = ()
        for name in waiting:
            ids = tuple(sorted((*team.divers, *joined, name)))
            tried = team_alone(ids, pricing, guided=True)
            if isinstance(tried, Candidate) and tried.gas.limit_s and not tried.hidden:
                best, joined = tried, (*joined, name)
        if best is not None:
            found.append((best, joined))
            waiting = [name for name in waiting if name not in joined]
    return found
