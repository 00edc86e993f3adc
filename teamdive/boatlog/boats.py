"""On which boats of a trip a person may be, where several go. Of one boat nothing here says anything.

Only being met by name moves anybody, and only what certainly came after takes them off the boat that they were met on:
whoever may be on two boats is wanted on both. A dive, a swim or a count by eye leaves a person with their boat.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from teamdive.boatlog.chain import is_unaltered
from teamdive.boatlog.claims import Claim, Question, readings
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import State
from teamdive.boatlog.presence import ASHORE, MET, TRANSFERRED, Presence, Sign, after
from teamdive.boatlog.snapshot import boats_of_trip


@dataclass(frozen=True)
class Met:
    """A sign that met a person by name, and the boats that it names; none: it says nothing of boats."""

    sign: Sign
    boats: frozenset[str]


@dataclass(frozen=True)
class Afloat:
    """The boats of the trip (none where fewer than two go), and of each person: the list's, who met them, where now.

    `ever`: any that was ever said of them.
    """

    boats: tuple[str, ...]
    home: Mapping[str, frozenset[str]]
    met: Mapping[str, tuple[Met, ...]]
    ever: Mapping[str, frozenset[str]]
    now: Mapping[str, frozenset[str]]


ONE_BOAT = Afloat((), {}, {}, {}, {})
_LISTS = {"down": "members", "surfaced": "people"}


def afloat_of(state: State, people: Iterable[str], signs: Mapping[str, Sequence[Sign]]) -> Afloat:
    """On which boats everyone may be. Nobody known to the list or met by name anywhere: on any."""
    boats = boats_of_trip(state.snapshot)
    if not boats:
        return ONE_BOAT
    home = _homes(state, people, boats)
    met = {
        person: tuple(
            Met(sign, _named(boats, sign.said)) for sign in signs[person] if sign.firm and sign.word in MET
        )
        for person in people
    }
    ever = {person: home[person].union(*(each.boats for each in met[person])) for person in people}
    now = {person: _possible(home[person], met[person], _naming(met[person])) for person in people}
    return Afloat(boats, home, met, ever, now)


def at_instant(afloat: Afloat, instant: int) -> dict[str, frozenset[str]]:
    """On which boats everyone may have been at that instant (ms), by what had happened by then."""
    found: dict[str, frozenset[str]] = {}
    for person, listed in afloat.met.items():
        met = [each for each in listed if max(each.sign.claim.at, each.sign.not_before) <= instant]
        found[person] = _possible(afloat.home[person], met, _naming(met))
    return found


def when(afloat: Afloat, person: str, claim: Claim) -> frozenset[str]:
    """On which boats a person may have been when that happened; what it says of boats itself is left aside."""
    if len(afloat.ever[person]) == 1:
        return afloat.ever[person]
    it = Sign("", claim)
    met = [each for each in afloat.met[person] if each.sign.claim.entry is not claim.entry]
    may = [each for each in met if not after(each.sign, it)]
    sure = [each for each in _naming(met) if after(it, each.sign)]
    return _possible(afloat.home[person], may, sure)


def concerns(afloat: Afloat, claim: Claim, boat: str, crowd: Collection[str]) -> bool:
    """Whether what opens a roll call again is of that boat: of itself, or of somebody in its `crowd` or then on it."""
    if claim.entry.kind in ("departed", "phone_lost"):
        return boat in about_boats(afloat, claim)
    listed = _LISTS.get(claim.entry.kind)
    people = (claim.subject,) if listed is None else claim.data[listed]
    return any(
        person in crowd or person not in afloat.now or boat in when(afloat, person, claim)
        for person in people
    )


def about_boats(afloat: Afloat, claim: Claim) -> frozenset[str]:
    """The boats that a departure or a lost phone is about: all, where it names none of the trip's or was altered."""
    boat = claim.data.get("boat")
    return (
        frozenset((boat,)) if boat in afloat.boats and is_unaltered(claim.entry) else frozenset(afloat.boats)
    )


def of_boat(claim: Claim, boat: str | None) -> bool:
    """Whether a count, a decision or the deck is of that boat (None: of all): it names that one, or none."""
    return boat is None or claim.data.get("boat") in (None, boat)


def own_signs(afloat: Afloat, person: str, signs: Sequence[Sign]) -> list[Sign]:
    """The signs without the lost phones of boats that this person cannot have been on."""
    return [
        sign
        for sign in signs
        if sign.claim.entry.kind != "phone_lost"
        or not about_boats(afloat, sign.claim).isdisjoint(when(afloat, person, sign.claim))
    ]


def left_behind(
    afloat: Afloat, state: State, entry: Entry, instant: int, missing: Iterable[str]
) -> list[str]:
    """Of those missing at that instant (ms) whoever may have been on a boat that then left; of an end all."""
    listed = list(missing)
    if not afloat.boats or entry.kind != "departed" or not listed:
        return listed
    claims = readings(state, entry).claims
    left = (
        frozenset(afloat.boats)
        if not claims
        else frozenset().union(*(about_boats(afloat, c) for c in claims))
    )
    were = at_instant(afloat, instant)
    return [person for person in listed if not left.isdisjoint(were[person])]


def together_on(boats: Collection[frozenset[str]]) -> frozenset[str]:
    """The boats that all of a team may be on, or any of them where there is no such boat."""
    if not boats:
        return frozenset()
    listed = list(boats)
    return frozenset.intersection(*listed) or frozenset.union(*listed)


def asked(afloat: Afloat, where: Mapping[str, Presence]) -> list[Question]:
    """Whoever was named on two boats at about the same time: wanted on both until named again on one."""
    found: list[Question] = []
    for person, boats in afloat.now.items():
        if len(boats) < 2 or elsewhere(where[person]):
            continue
        last = _last(afloat.met[person], _naming(afloat.met[person]))
        naming = [each for each in last if each.boats]
        if len(frozenset().union(*(each.boats for each in naming))) > 1:
            entries = tuple(sorted({each.sign.claim.entry.id for each in naming}))
            found.append(Question("on_two_boats", entries, (person,)))
    return found


def elsewhere(presence: Presence) -> bool:
    """Whether someone is accounted for and not to be counted on a boat of the trip."""
    if presence.state == ASHORE:
        return True
    return presence.state == TRANSFERRED and presence.accounted_for and not presence.ours


def _homes(state: State, people: Iterable[str], boats: tuple[str, ...]) -> dict[str, frozenset[str]]:
    """The boat of the list or of who entered that they joined; any, where none is named."""
    every = frozenset(boats)
    listed = {each.id: each.boat for each in state.snapshot.people}
    joined: dict[str, frozenset[str]] = {}
    for entry in state.by_kind.get("joined", ()):
        for claim in readings(state, entry).claims:
            said = _named(boats, (claim,)) or every
            joined[claim.subject] = joined.get(claim.subject, frozenset()) | said
    found: dict[str, frozenset[str]] = {}
    for person in people:
        boat = listed.get(person)
        if person in listed:
            found[person] = every if boat is None else frozenset((boat,))
        else:
            found[person] = joined.get(person, every)
    return found


def _named(boats: tuple[str, ...], claims: Iterable[Claim]) -> frozenset[str]:
    """The boats that the readings of an entry name; all, where one names a boat that the trip does not have."""
    found: set[str] = set()
    for claim in claims:
        boat = claim.data.get("boat")
        if boat is not None:
            found.update((boat,) if boat in boats and is_unaltered(claim.entry) else boats)
    return frozenset(found)


def _naming(met: Iterable[Met]) -> list[Met]:
    return [each for each in met if each.boats]


def _last(met: Iterable[Met], sure: Collection[Met]) -> list[Met]:
    """What no sure word for a boat certainly came after."""
    return [each for each in met if not any(after(other.sign, each.sign) for other in sure)]


def _possible(home: frozenset[str], met: Collection[Met], sure: Collection[Met]) -> frozenset[str]:
    """The boats of the last words for any boat; the list's too, until one is sure, or where the last names none."""
    every = home.union(*(each.boats for each in met))
    if len(every) == 1:
        return every
    found = frozenset() if sure else home
    for each in _last(met, sure):
        found |= each.boats or home
    # Clocks that contradict each other may leave no last word at all.
    return found or every
