"""Who is held from diving and why, until two others release them.

Symptoms, an ascent too fast and a missed stop mean that the limits and waiting times of tables no longer speak
of this diver: they are withheld, never shown as they would have been. What was felt is text, not in the log.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from teamdive.boatlog.chain import is_unaltered
from teamdive.boatlog.claims import Claim, decided, readings
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import State
from teamdive.boatlog.order import key
from teamdive.boatlog.settling import two_others


@dataclass(frozen=True)
class Hold:
    """Why a diver is held, since when (ms), by which entry. `urgent`: the emergency page opens."""

    why: str
    since: int
    entry: str
    urgent: bool


def holds(state: State) -> dict[str, tuple[Hold, ...]]:
    """The holds of each person that two others have not released, in order of writing."""
    released: dict[str, list[Claim]] = defaultdict(list)
    for claim in decided(state, "held_from_diving"):
        # An entry altered after it was written must never set anybody free.
        if claim.data["released"] and is_unaltered(claim.entry):
            released[claim.entry.subject].append(claim)
    found: dict[str, list[tuple[Entry, Hold]]] = defaultdict(list)
    for kind in _KINDS:
        for entry in state.by_kind.get(kind, ()):
            # One person's doubt does not end a hold: any reading that still counts is enough.
            said = [(claim, _why(kind, claim.data)) for claim in readings(state, entry).claims]
            for claim, why in said:
                if why is not None and not _released(entry, released[entry.subject]):
                    hold = Hold(why, claim.at, entry.id, why != "held")
                    found[entry.subject].append((entry, hold))
                    break
    return {
        person: tuple(hold for _, hold in sorted(listed, key=lambda item: key(item[0])))
        for person, listed in sorted(found.items())
    }


def not_fit(state: State, person: str) -> bool:
    """Whether this person said that they are not fit to dive and took it not back since."""
    return fit_said(state, person) == "no"


def fit_said(state: State, person: str) -> str | None:
    """What this person said of being fit to dive; None: nothing. A "no" stands until a later word follows it."""
    said = [claim for claim in decided(state, "fit_to_dive_said") if claim.entry.subject == person]
    named = {name for claim in said for name in claim.data.get("of", ())}
    last = max((key(claim.entry) for claim in said if "of" not in claim.data), default=None)
    for claim in said:
        stands = claim.entry.id not in named and (last is None or key(claim.entry) >= last)
        if claim.data["said"] == "no" and stands:
            return "no"
    return said[-1].data["said"] if said else None


_KINDS = ("ascended_too_fast", "held_from_diving", "oxygen_started", "stop_missed", "symptoms_asked")


def _why(kind: str, data: Mapping[str, object]) -> str | None:
    if kind == "held_from_diving":
        if data["released"]:
            return None
        # Without a reason given it may have been symptoms: that is how it is taken.
        return "held" if data.get("because") == "other" else "symptoms"
    if kind == "symptoms_asked":
        return "symptoms" if data["said"] == "not_well" else None
    return {"ascended_too_fast": "fast_ascent", "stop_missed": "stop_missed", "oxygen_started": "oxygen"}[
        kind
    ]


def _released(held: Entry, releases: list[Claim]) -> bool:
    """Whether two people, neither of them the diver, released this hold. A release frees from what it knew of."""
    named: set[str | None] = set()
    for claim in releases:
        of = claim.data.get("of")
        covers = key(claim.entry) > key(held) if of is None else held.id in of
        if covers:
            named.update((claim.entry.by, claim.data.get("with")))
    return two_others(named, {held.subject})
