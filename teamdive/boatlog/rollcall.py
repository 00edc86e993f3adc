"""Roll calls, and whether the boat may leave.

A count is complete only when everyone who ought to be aboard was named in it after the last boarding,
descent, swim, transfer or departure: sets are compared, never numbers. Named, because published losses came
from counts that came out right with the wrong people (Queensland regulator, head counts page).
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from teamdive.boatlog.boats import Afloat, concerns, elsewhere, of_boat
from teamdive.boatlog.claims import Claim, Question, decided, readings
from teamdive.boatlog.counting import Among, Compared, Count, compare, count_of
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import State
from teamdive.boatlog.order import key, told
from teamdive.boatlog.presence import ABOARD, Presence
from teamdive.boatlog.settling import two_others

_REOPEN = (
    "aboard",
    "back_aboard",
    # A count serves one departure: the next one is counted again.
    "departed",
    "down",
    "joined",
    "lost_from_sight",
    "person_went_in",
    "phone_lost",
    "seen_at_surface",
    "surfaced",
    "surfaced_alone",
    "transferred",
)
# What is said to be over or left behind, and the question where somebody then was not accounted for.
LEAVING = {"departed": "departed_not_accounted_for", "trip_ended": "ended_not_accounted_for"}
_CREW = frozenset({"crew", "leader", "organiser"})


_STAGES = ("agree", "counting", "recount", "emergency")


@dataclass(frozen=True)
class Crowd:
    """A boat and whoever may be on it."""

    boat: str
    people: Collection[str]
    afloat: Afloat


@dataclass(frozen=True)
class Departure:
    """Whether a boat may not leave, who is not accounted for or not counted, whether two decided all the same."""

    blocked: bool
    missing: tuple[str, ...]
    not_counted: tuple[str, ...]
    overridden: bool


@dataclass(frozen=True)
class RollCall:
    """How far the count is. `since`: what last opened it (ms); None: nothing yet. `alone`: one crew member aboard."""

    complete: bool
    since: int | None
    named: tuple[str, ...]
    missing: tuple[str, ...]
    counts: tuple[Count, ...]
    needed: int
    alone: bool
    compared: Compared


def roll_call(
    state: State,
    where: Mapping[str, Presence],
    people: Mapping[str, tuple[str, bool]],
    leaving: Entry | None = None,
    of: Crowd | None = None,
) -> RollCall:
    """The roll call that counts now, or that served a departure; where one count is needed, the one missing fewest.

    `of`: of that boat and whoever may be on it alone.
    """
    opened = [
        claim
        for kind in _REOPEN
        for entry in state.by_kind.get(kind, ())
        if entry is not leaving
        for claim in readings(state, entry).claims
        if (leaving is None or _before(claim, leaving))
        and (of is None or concerns(of.afloat, claim, of.boat, of.people))
    ]
    last = max(opened, key=lambda claim: (claim.latest, key(claim.entry)), default=None)
    boat = None if of is None else of.boat
    namings = _by_count(state, "roll_call_taken", last, leaving, boat)
    ends = _by_count(state, "count_finished", last, leaving, boat)
    wanted = [person for person, presence in where.items() if not elsewhere(presence)]
    among = None
    if of is not None:
        among = Among(of.people, wanted)
        where = {person: presence for person, presence in where.items() if person in of.people}
        wanted = [person for person in wanted if person in of.people]
    ordered = sorted({*namings, *ends}, key=lambda count: _latest(count, namings.get(count) or ends[count]))
    counts = tuple(
        count_of(count, named, ended, wanted, None if among is None or _is_own([*named, *ended]) else among)
        for count, named, ended in ((each, namings.get(each, []), ends.get(each, [])) for each in ordered)
        if of is None or _counts_here(named, ended, of)
    )
    best = min(counts, key=lambda count: len(count.missing), default=None)
    crew = [p for p, presence in where.items() if presence.state == ABOARD and people[p][0] in _CREW]
    alone = len(crew) <= 1
    compared = compare(counts, alone)
    needed = state.snapshot.settings.counts_needed or 1
    one = best is not None and not best.missing
    return RollCall(
        complete=one if needed == 1 else compared.stage == "agree",
        since=last.at if last else None,
        named=best.seen if best else (),
        missing=best.missing if best else tuple(sorted(wanted)),
        counts=counts,
        needed=needed,
        alone=alone,
        compared=compared,
    )


def ended_at(state: State, call: RollCall) -> int | None:
    """When the trip was said to be over (ms), nobody having gone aboard, in or away since; None: it goes on."""
    last = max((claim.at for claim in decided(state, "trip_ended")), default=None)
    return None if last is None or (call.since is not None and call.since > last) else last


def overridden(state: State, since: int | None, missing: Collection[str], boat: str | None = None) -> bool:
    """Whether two named people decided to leave with someone not accounted for, after the count was last opened.

    Nobody decides it for themselves: whoever is missing is not one of the two.
    """
    said = overrides(state, since, boat)
    named = {person for claim in said for person in (claim.entry.by, claim.data["with"])}
    return two_others(named, missing)


def overrides(state: State, since: int | None, boat: str | None = None) -> list[Claim]:
    """The decisions to leave all the same. Without a reason it is not one that the record can carry."""
    return [
        claim
        for entry in state.by_kind.get("override", ())
        if entry.text_hash is not None
        for claim in readings(state, entry).claims
        if claim.data["rule"] == "departure" and (since is None or claim.at >= since) and of_boat(claim, boat)
    ]


def departure(state: State, call: RollCall, missing: Collection[str], boat: str | None = None) -> Departure:
    """Whether the boat may leave: `missing` are those of it who are not accounted for."""
    override = overridden(state, call.since, missing, boat)
    blocked = (bool(missing) or not call.complete) and not override
    return Departure(blocked, tuple(missing), call.missing, override)


def departure_of_all(missing: Collection[str], call: RollCall, by_boat: Collection[Departure]) -> Departure:
    """Whether all boats may leave: each of them may."""
    blocked = any(each.blocked for each in by_boat)
    override = not blocked and any(each.overridden for each in by_boat)
    return Departure(blocked, tuple(missing), call.missing, override)


def of_all(call: RollCall, by_boat: Mapping[str, RollCall]) -> RollCall:
    """The roll call of several boats together: complete when each of them is, and as far as the one in most trouble."""
    calls = by_boat.values()
    worst = max(calls, key=lambda each: _STAGES.index(each.compared.stage))
    return replace(
        call,
        complete=all(each.complete for each in calls),
        named=tuple(sorted({person for each in calls for person in each.named})),
        missing=tuple(sorted({person for each in calls for person in each.missing})),
        compared=worst.compared,
    )


def asked(
    state: State, calls: Collection[RollCall], missing_at: Mapping[str, tuple[str, ...]]
) -> list[Question]:
    """Counts that differ; every departure and end with someone not accounted for (`missing_at` by entry id)."""
    found = [
        Question(code, (entry.id,), missing_at[entry.id])
        for kind, code in LEAVING.items()
        for entry in state.by_kind.get(kind, ())
        if missing_at.get(entry.id)
    ]
    for call in calls:
        if call.needed > 1 and call.compared.stage in ("recount", "emergency"):
            found.append(Question("counts_differ", call.compared.entries, call.compared.differ))
    return found


def _is_own(claims: Collection[Claim]) -> bool:
    """Whether a count names the boat that it is of."""
    return any(claim.data.get("boat") is not None for claim in claims)


def _counts_here(namings: Collection[Claim], ends: Collection[Claim], of: Crowd) -> bool:
    """Whether a count is of this boat: it says so, or it is of all and names somebody here or nobody at all."""
    if not namings or _is_own([*namings, *ends]):
        return True
    return any(person in of.people for claim in namings for person in claim.data["seen"])


def _by_count(
    state: State, kind: str, opened: Claim | None, leaving: Entry | None, boat: str | None
) -> dict[str, list[Claim]]:
    found: dict[str, list[Claim]] = {}
    for entry in state.by_kind.get(kind, ()):
        read = readings(state, entry)
        if not read.claims or read.doubted or not all(_since(claim, opened) for claim in read.claims):
            continue
        if not all(of_boat(claim, boat) for claim in read.claims):
            continue
        if leaving is None or all(_before(claim, leaving) for claim in read.claims):
            found.setdefault(entry.data["count"], []).extend(read.claims)
    return found


def _since(claim: Claim, opened: Claim | None) -> bool:
    if opened is None or claim.earliest > opened.latest:
        return True
    return claim.earliest == opened.latest and key(claim.entry) > key(opened.entry)


def _before(claim: Claim, leaving: Entry) -> bool:
    return told(claim.at, claim.entry) < told(leaving.at, leaving)


def _latest(count: str, claims: list[Claim]) -> tuple[tuple[object, ...], str]:
    return max(told(claim.at, claim.entry) for claim in claims), count
