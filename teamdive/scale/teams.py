"""Who dives with whom, for any size of group: the door that the server and the command line use."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from teamdive.calculations.teams import MOST_DIVERS as LARGEST_SHARED
from teamdive.calculations.teams import teams as shared
from teamdive.pairing.group import Answer, Group, Team
from teamdive.pairing.optimise import best

MOST_DIVERS = 400


def teams(body: Any) -> dict[str, Any]:
    """As `calculations.teams.teams`, to 400 divers. Up to 30 the answer is that of the phone, to the bit,
    unless the shared search left a gap (threes free, above 20 or so); there the larger search closes it."""
    return shared(body, search, MOST_DIVERS)


def search(
    group: Group, pairs: Sequence[Team], threes: Callable[[], Sequence[Team]], regime: str
) -> Answer | None:
    """As `pairing.optimise.best`: that itself up to 30 divers, `scale.pairing` above and where it left a gap."""
    found = best(group, pairs, threes, regime) if group.size <= LARGEST_SHARED else None
    if group.size <= LARGEST_SHARED and (found is None or found.proven):
        return found
    # Loaded only where it is needed: numpy and HiGHS take longer to load than a usual group to solve.
    from teamdive.scale.pairing import solve

    closer = solve(group, pairs, threes, regime)
    return found if closer is None or (found is not None and not closer.proven) else closer
