"""Roll calls, and whether the boat may leave.

A count is complete only when everyone who is not ashore was named in it after the last boarding,
descent, swim, transfer or departure: sets are compared, never numbers. Named, because published losses came
from counts that came out right with the wrong people (Queensland regulator, head counts page).
"""

from collections.abc import Mapping
from dataclasses import dataclass

from teamdive.boatlog.claims import Claim, Question, readings
from teamdive.boatlog.fold import State
from teamdive.boatlog.order import key, told
from teamdive.boatlog.presence import ASHORE, Presence

_REOPEN = (
    "aboard",
    "back_aboard",
    # A count serves one departure: the next one is counted again.
    "departed",
    "down",
    "joined",
    "person_went_in",
    "phone_lost",
    "surfaced",
    "surfaced_alone",
    "transferred",
)


@dataclass(frozen=True)
class Count:
    """One count: who took it, whether every naming was active, and whom it named since it was opened."""

    count: str
    by: tuple[str, ...]
    active: bool
    seen: tuple[str, ...]


@dataclass(frozen=True)
class RollCall:
    """How far the count is. `since`: what last opened it (ms); None: nothing yet."""

    complete: bool
    since: int | None
    named: tuple[str, ...]
    missing: tuple[str, ...]
    counts: tuple[Count, ...]


def roll_call(state: State, where: Mapping[str, Presence]) -> RollCall:
    """The roll call that counts now: the one that misses the fewest."""
    opened = [
        claim
        for kind in _REOPEN
        for entry in state.by_kind.get(kind, ())
        for claim in readings(state, entry).claims
    ]
    last = max(opened, key=lambda claim: (claim.latest, key(claim.entry)), default=None)
    namings: dict[str, list[Claim]] = {}
    for entry in state.by_kind.get("roll_call_taken", ()):
        read = readings(state, entry)
        if not read.claims or read.doubted or not all(_since(claim, last) for claim in read.claims):
            continue
        namings.setdefault(entry.data["count"], []).extend(read.claims)
    wanted = [person for person, presence in where.items() if presence.state != ASHORE]
    counts = tuple(_count(count, claims) for count, claims in sorted(namings.items(), key=_latest))
    best = min(counts, key=lambda count: len(set(wanted) - set(count.seen)), default=None)
    seen = set(best.seen) if best else set()
    missing = tuple(sorted(set(wanted) - seen))
    return RollCall(
        complete=best is not None and not missing,
        since=last.at if last else None,
        named=tuple(sorted(seen)),
        missing=missing,
        counts=counts,
    )


def overridden(state: State, since: int | None) -> bool:
    """Whether two named people decided to leave with someone not accounted for, after the count was last opened."""
    named: set[str] = set()
    for entry in state.by_kind.get("override", ()):
        for claim in readings(state, entry).claims:
            # Without a reason it is not a decision that the record can carry.
            given = entry.text_hash is not None and claim.data["rule"] == "departure"
            if given and (since is None or claim.at >= since):
                named.update(person for person in (entry.by, claim.data["with"]) if person is not None)
    return len(named) > 1


def departures(state: State, missing_at: Mapping[str, tuple[str, ...]]) -> list[Question]:
    """A question for every departure with someone not accounted for; `missing_at` by entry id."""
    return [
        Question("departed_not_accounted_for", (entry.id,), missing_at[entry.id])
        for entry in state.by_kind.get("departed", ())
        if missing_at.get(entry.id)
    ]


def _since(claim: Claim, opened: Claim | None) -> bool:
    if opened is None or claim.earliest > opened.latest:
        return True
    return claim.earliest == opened.latest and key(claim.entry) > key(opened.entry)


def _latest(item: tuple[str, list[Claim]]) -> tuple[tuple[object, ...], str]:
    count, claims = item
    return max(told(claim.at, claim.entry) for claim in claims), count


def _count(count: str, claims: list[Claim]) -> Count:
    return Count(
        count,
        by=tuple(sorted({claim.entry.by for claim in claims if claim.entry.by is not None})),
        active=all(claim.data["method"] != "seen" for claim in claims),
        seen=tuple(sorted({person for claim in claims for person in claim.data["seen"]})),
    )
