"""Who holds the deck of each boat: one named person at every moment, and never one who is under water."""

from collections.abc import Collection
from dataclasses import dataclass

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
    accepted = _of(state, "deck_accepted", boat)
    return accepted[-1].entry.subject if accepted else None


def handover(state: State, boat: str | None = None) -> Handover | None:
    """The offer that still waits to be accepted."""
    offers = _of(state, "deck_handed_over", boat)
    accepted = _of(state, "deck_accepted", boat)
    if not offers or (accepted and key(accepted[-1].entry) > key(offers[-1].entry)):
        return None
    last = offers[-1]
    return Handover(last.data["from"], last.entry.subject, last.entry.id)


def asked(state: State, in_water: Collection[str], afloat: Afloat) -> list[Question]:
    """Two who took the deck from one holder, a holder who went down or is in the water, a dive nobody watched."""
    boats: tuple[str | None, ...] = afloat.boats or (None,)
    decks = {boat: _of(state, "deck_accepted", boat) for boat in boats}
    found = [question for accepted in decks.values() for question in _taken(accepted, in_water)]
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


def _taken(accepted: list[Claim], in_water: Collection[str]) -> list[Question]:
    found: list[Question] = []
    if accepted and accepted[-1].entry.subject in in_water:
        last = accepted[-1].entry
        found.append(Question("deck_holder_in_water", (last.id,), (last.subject,)))
    if len(accepted) > 1 and accepted[-1].data["from"] != accepted[-2].entry.subject:
        pair = accepted[-2:]
        if pair[0].entry.subject != pair[1].entry.subject:
            entries = tuple(claim.entry.id for claim in pair)
            found.append(
                Question("deck_accepted_by_two", entries, tuple(claim.entry.subject for claim in pair))
            )
    return found


def _watch(accepted: list[Claim], down: Claim) -> Claim | None:
    """Who held the deck when the team went down."""
    before = [claim for claim in accepted if told(claim.at, claim.entry) <= told(down.at, down.entry)]
    return before[-1] if before else None
