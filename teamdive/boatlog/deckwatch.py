"""Who holds the deck of each boat: one named person at every moment, and never one who is under water.

Whoever accepts it says in `of` what that follows, so that no clock decides who holds it: an acceptance that nothing
follows still stands. Of two such, on phones that had not met, both hold it until somebody takes it from both.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from teamdive.boatlog.boats import Afloat, of_boat, together_on, when
from teamdive.boatlog.claims import Claim, Question, decided, readings
from teamdive.boatlog.fold import State
from teamdive.boatlog.order import key, told


@dataclass(frozen=True)
class Handover:
    """The deck was offered to `to` and not yet accepted."""

    giver: str | None
    to: str
    entry: str


def holder(state: State, boat: str | None = None) -> str | None:
    """The person who last accepted the deck of that boat (None: of any); None: nobody yet."""
    last = _last(state, _of(state, "deck_accepted", boat))
    return last[-1].entry.subject if last else None


def holders(state: State, boat: str | None = None) -> frozenset[str]:
    """Everyone from whom nobody took the deck: more than one where two took it on phones that had not met."""
    return frozenset(claim.entry.subject for claim in _last(state, _of(state, "deck_accepted", boat)))


def handover(state: State, boat: str | None = None) -> Handover | None:
    """The offer that still waits to be accepted."""
    waiting = _waiting(state, boat)
    if not waiting:
        return None
    last = waiting[-1]
    return Handover(last.data["from"], last.entry.subject, last.entry.id)


def accepting(state: State, boat: str | None = None) -> dict[str, Any]:
    """What whoever takes the deck of that boat now writes: from whom, and which acceptances and offers it follows."""
    follows = [*_last(state, _of(state, "deck_accepted", boat)), *_waiting(state, boat)]
    return {"from": holder(state, boat), "of": sorted({claim.entry.id for claim in follows})}


def asked(state: State, in_water: Collection[str], afloat: Afloat) -> list[Question]:
    """Two who took the deck from one holder, a holder who went down or is in the water, a dive nobody watched."""
    boats: tuple[str | None, ...] = afloat.boats or (None,)
    decks = {boat: _of(state, "deck_accepted", boat) for boat in boats}
    found = [q for accepted in decks.values() for q in _taken(_last(state, accepted), in_water)]
    by_time = {
        boat: sorted(accepted, key=lambda claim: told(claim.at, claim.entry))
        for boat, accepted in decks.items()
    }
    for entry in state.by_kind.get("down", ()):
        read = readings(state, entry)
        if not read.claims or read.doubted:
            continue
        claim = read.claims[0]
        members: list[str] = claim.data["members"]
        went_from = (
            together_on([when(afloat, person, claim) for person in members]) if afloat.boats else boats
        )
        watches = {boat: _watch(accepted, claim) for boat, accepted in by_time.items()}
        if all(watches[boat] is None for boat in went_from):
            found.append(Question("no_deck_holder", (entry.id,), (), entry.subject))
        for watch in watches.values():
            if watch is not None and watch.entry.subject in members:
                entries = (watch.entry.id, entry.id)
                found.append(Question("deck_holder_down", entries, (watch.entry.subject,), entry.subject))
    return found


def _of(state: State, kind: str, boat: str | None) -> list[Claim]:
    return [claim for claim in decided(state, kind) if of_boat(claim, boat)]


def _last(state: State, accepted: Sequence[Claim]) -> list[Claim]:
    """The acceptances that no other follows, in order of writing. One taken back passes on what it followed."""
    followed: set[str] = set()
    names: list[str] = []
    for place, claim in enumerate(accepted):
        if "of" in claim.data:
            names.extend(claim.data["of"])
        else:
            followed.update(each.entry.id for each in _before(accepted[:place], claim))
    while names:
        name = names.pop()
        if name not in followed:
            followed.add(name)
            for entry in state.by_id.get(name, ()):
                if entry.kind == "deck_accepted":
                    names.extend(entry.data.get("of", ()))
    return [claim for claim in accepted if claim.entry.id not in followed] or list(accepted[-1:])


def _before(earlier: Sequence[Claim], claim: Claim) -> Sequence[Claim]:
    """What one follows that does not say so: all written before, but for the last where it was taken from another."""
    if not earlier or earlier[-1].entry.subject in (claim.data["from"], claim.entry.subject):
        return earlier
    return earlier[:-1]


def _waiting(state: State, boat: str | None) -> list[Claim]:
    accepted = _of(state, "deck_accepted", boat)
    named = {name for claim in accepted for name in claim.data.get("of", ())}
    answered = max((key(claim.entry) for claim in accepted if "of" not in claim.data), default=None)
    return [
        offer
        for offer in _of(state, "deck_handed_over", boat)
        if offer.entry.id not in named and (answered is None or key(offer.entry) > answered)
    ]


def _taken(last: Sequence[Claim], in_water: Collection[str]) -> list[Question]:
    found: list[Question] = []
    people = list(dict.fromkeys(claim.entry.subject for claim in last))
    for claim in last:
        if claim.entry.subject in in_water:
            found.append(Question("deck_holder_in_water", (claim.entry.id,), (claim.entry.subject,)))
    if len(people) > 1:
        entries = tuple(claim.entry.id for claim in last)
        found.append(Question("deck_accepted_by_two", entries, tuple(people)))
    return found


def _watch(accepted: list[Claim], down: Claim) -> Claim | None:
    """Who held the deck when the team went down."""
    before = [claim for claim in accepted if told(claim.at, claim.entry) <= told(down.at, down.entry)]
    return before[-1] if before else None
