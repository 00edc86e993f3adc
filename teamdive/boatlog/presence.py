"""Where each person is, and whether that is accounted for.

Only being met aboard or ashore, by name, or being handed over for good to a named vessel, accounts for a
person, and only if nothing that may have happened later says otherwise. Whatever conflicts resolves to not
accounted for.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from teamdive.boatlog.chain import is_unaltered
from teamdive.boatlog.claims import Claim, Question, readings, together
from teamdive.boatlog.dives import Attempt, met_in_all
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import State, about
from teamdive.boatlog.order import key, told
from teamdive.boatlog.snapshot import boats_of_trip

ABOARD = "aboard"
ASHORE = "ashore"
TRANSFERRED = "transferred"
IN_CARE = "in_care"
# Handed over to another boat of this trip: brought home with us, and named in the next count over there.
HANDED_OVER = "handed_over"
IN_WATER = frozenset({"in_water", "down", "marker_seen", "up", "lost_from_sight"})
MET = (ABOARD, ASHORE, IN_CARE, HANDED_OVER)


@dataclass(frozen=True)
class Sign:
    """One thing that says where a person is. `firm`: the person was met, not only counted by eye.

    `not_before`: of one that has readings at several times, the last of them (ms). `said`: the readings, where
    somebody was met.
    """

    word: str
    claim: Claim
    firm: bool = True
    not_before: int = 0
    said: tuple[Claim, ...] = ()


@dataclass(frozen=True)
class Presence:
    """Where a person is, since when (ms; None: never seen), and whether that accounts for them.

    `ours`: transferred to another boat of this trip.
    """

    state: str
    accounted_for: bool
    since: int | None
    ours: bool = False


def signs_of(state: State, person: str, orphans: Iterable[Claim]) -> list[Sign]:
    """Everything entered that says where a person is, dives apart."""
    found = [Sign("up", claim) for claim in orphans]
    for entry in about(state, person):
        found.extend(_signs(state, entry, person))
    for entry in state.by_kind.get("phone_lost", ()):
        found.extend(Sign("unknown", claim) for claim in readings(state, entry).claims)
    return found


def presence(signs: Iterable[Sign], attempts: Iterable[Attempt], until: int | None = None) -> Presence:
    """What the signs and dives amount to; `until` (ms): only what had happened by then."""
    listed = list(signs)
    away = [sign for sign in listed if sign.word not in MET]
    met = [sign for sign in listed if sign.word in MET]
    dives = list(attempts)
    for attempt in dives:
        away.extend(Sign("down", claim) for claim in attempt.downs)
        away.extend(Sign("up", claim) for claim in (*attempt.ups, *attempt.late_ups))
    if until is not None:
        away = [sign for sign in away if sign.claim.earliest <= until]
        met = [sign for sign in met if max(sign.claim.at, sign.not_before) <= until]
    firm = [sign for sign in met if sign.firm]
    out = [sign for sign in away if sign.word != "unknown"]
    # A head count by eye never brings anyone out of the water: that needs the person.
    last_out, last_away = _last_possible(out), _last_possible(away)
    counted = met if any(_after_all(sign, last_out) for sign in firm) or not last_out else firm
    good = [sign for sign in counted if _after_all(sign, last_away)]
    if good:
        last = max(good, key=_told)
        word = TRANSFERRED if last.word in (IN_CARE, HANDED_OVER) else last.word
        return Presence(word, True, last.claim.at, last.word == HANDED_OVER)
    for attempt in sorted(dives, key=lambda each: (each.down, each.dive), reverse=True):
        if attempt.is_open and (until is None or attempt.down[0] <= until):
            return Presence("down", False, min(claim.at for claim in attempt.downs))
    if away:
        last = max(away, key=_told)
        # A dive that ended is no longer "down", even where the boarding that ended it is in doubt.
        return Presence("up" if last.word == "down" else last.word, False, last.claim.at)
    return Presence("unknown", False, None)


def named_only(person: str, signs: Iterable[Sign], attempts: Iterable[Attempt]) -> list[Question]:
    """A question for every count by eye that names someone last known in the water."""
    listed = list(signs)
    downs = [Sign("down", claim) for attempt in attempts for claim in attempt.downs]
    out = [*downs, *(sign for sign in listed if sign.word in IN_WATER or sign.word == TRANSFERRED)]
    met = [sign for sign in listed if sign.firm and sign.word in MET]
    found = []
    for sign in listed:
        before = [] if sign.firm else [other for other in out if after(sign, other)]
        gone = _last_possible(before)
        if not gone or any(after(sign, other) and _after_all(other, gone) for other in met):
            continue
        entries = sorted({sign.claim.entry.id, max(before, key=_told).claim.entry.id})
        found.append(Question("counted_by_eye_only", tuple(entries), (person,)))
    return found


def _signs(state: State, entry: Entry, person: str) -> list[Sign]:
    word = _WORDS.get(entry.kind)
    if entry.kind == "down":
        read = readings(state, entry)
        # Someone says this team never left; until met they are neither down nor aboard.
        return [Sign("unknown", c) for c in read.claims if read.doubted and person in c.data["members"]]
    if word is None:
        return []
    read = readings(state, entry)
    if word == TRANSFERRED and is_unaltered(entry) and met_in_all(read, person):
        ours = boats_of_trip(state.snapshot)
        if all(_in_care(claim) or _handed_over(claim, ours) for claim in read.claims):
            word = HANDED_OVER if any(_handed_over(claim, ours) for claim in read.claims) else IN_CARE
    if word not in MET:
        return [Sign(word, claim) for claim in read.claims if claim.subject == person]
    if not met_in_all(read, person):
        return []
    firm = all(claim.data.get("method") != "seen" for claim in read.claims)
    return [Sign(word, together(read), firm, max(claim.at for claim in read.claims), read.claims)]


_WORDS = {
    "aboard": ABOARD,
    "back_aboard": ABOARD,
    "ashore": ASHORE,
    "roll_call_taken": ABOARD,
    "person_went_in": "in_water",
    "seen_at_surface": "up",
    "lost_from_sight": "lost_from_sight",
    "transferred": TRANSFERRED,
}


def _in_care(claim: Claim) -> bool:
    """Whether the other vessel is named and brings the person home: who only gets a lift must come back here."""
    named = claim.entry.text_hash is not None and claim.data.get("vessel") is not None
    return named and claim.data.get("stays", False) is True


def _handed_over(claim: Claim, ours: Collection[str]) -> bool:
    return claim.data.get("boat") in ours and claim.data.get("stays", False) is True


def _last_possible(signs: Iterable[Sign]) -> list[Sign]:
    """Of each clock the sign that may have been the last to happen; what is certainly after these is after all."""
    last: dict[tuple[str, int, int] | None, Sign] = {}
    for sign in signs:
        there = last.get(sign.claim.clock)
        if there is None or _possible(sign) > _possible(there):
            last[sign.claim.clock] = sign
    return list(last.values())


def _possible(sign: Sign) -> tuple[object, ...]:
    return sign.claim.latest, key(sign.claim.entry)


def _after_all(sign: Sign, others: Iterable[Sign]) -> bool:
    return all(after(sign, other) for other in others)


def after(sign: Sign, other: Sign) -> bool:
    """Whether `sign` certainly came after `other`; within the same instant the order of writing tells."""
    mine, theirs = sign.claim, other.claim
    if mine.clock is not None and mine.clock == theirs.clock:
        return told(mine.at, mine.entry) > told(theirs.at, theirs.entry)
    if mine.earliest == theirs.latest:
        return key(mine.entry) > key(theirs.entry)
    return mine.earliest > theirs.latest


def _told(sign: Sign) -> tuple[object, ...]:
    return (*told(sign.claim.at, sign.claim.entry), sign.word)
