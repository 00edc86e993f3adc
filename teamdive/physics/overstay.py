"""What a team would owe for staying past its tissue no-stop limit: told before the dive, never planned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from teamdive.physics.ascent import Ascent, owed
from teamdive.physics.diver import DiverLimits, TeamDive, TeamSettings
from teamdive.physics.known import Missing, merge
from teamdive.physics.profile import Dive

PAST_S = (300, 600)
"""Five and ten minutes past the limit."""


@dataclass(frozen=True)
class Overstay:
    """A bottom time past the team's limit, and the diver who would owe most for it."""

    past_s: int
    bottom_time_s: int
    diver: str
    ascent: Ascent


def overstays(
    dive: TeamDive, members: Sequence[DiverLimits], settings: TeamSettings, asked: bool
) -> tuple[Overstay, ...] | Missing:
    """The bottom time planned, where it is past the team's tissue limit, and with `asked` 5 and 10 min past it."""
    lefts = [member.no_stop.tissue_left_s for member in members]
    unknown = merge(lefts)
    if unknown is not None:
        return unknown
    known = [left for left in lefts if isinstance(left, int)]
    if not known:
        return ()
    limit_s = min(known)
    pasts = [dive.bottom_time_s - limit_s] if dive.bottom_time_s > limit_s else []
    pasts += [past for past in PAST_S if asked and past not in pasts]
    found = []
    for past_s in pasts:
        worst: Overstay | None = None
        for member in members:
            diver, bottom_s = member.diver, limit_s + past_s
            stay = Dive(dive.depth, bottom_s, diver.mix, 0, diver.caution, dive.next_longer)
            ascent = owed(member.state, stay, settings.dive)
            if isinstance(ascent, Missing):
                return ascent
            if worst is None or ascent.stop_s > worst.ascent.stop_s:
                worst = Overstay(past_s, bottom_s, diver.id, ascent)
        if worst is not None:
            found.append(worst)
    return tuple(found)
