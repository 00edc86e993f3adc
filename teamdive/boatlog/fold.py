"""The state of a boat log: a snapshot and a set of entries, indexed for the questions asked of it.

The state is a set, so the order of arrival cannot matter and one more entry is one insertion.
Nothing is decided here: what the claims amount to is worked out by the modules that read this.
"""

from bisect import bisect_left, insort
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from teamdive.boatlog.chain import is_unaltered
from teamdive.boatlog.entries import Entry, data_problems
from teamdive.boatlog.order import key
from teamdive.boatlog.schema import KINDS
from teamdive.boatlog.snapshot import Snapshot

Index = Mapping[str, tuple[Entry, ...]]

# Where in its data an entry lists people.
PEOPLE_LISTS = ("members", "people", "seen")

# An entry that was altered after it was written must never be what accounts for a person.
_ACCOUNTING = frozenset(
    {
        "aboard",
        "ashore",
        "back_aboard",
        "count_finished",
        "override",
        "question_settled",
        "roll_call_taken",
        "surfaced",
        "surfaced_alone",
        "trip_ended",
    }
)


@dataclass(frozen=True)
class State:
    """All entries known, each index in order of writing.

    `about`: by every person, team, dive or trip that an entry names. `corrections`: by the id of
    the entry corrected. `compared`: how a phone's clock lay, by phone.
    `aside`: kept but not acted on, by why: altered, not_understood, other_trip, unknown_kind.
    """

    snapshot: Snapshot
    entries: Mapping[str, Entry]
    by_kind: Index
    about: Index
    by_device: Index
    by_id: Index
    corrections: Index
    compared: Index
    aside: Index


def begin(snapshot: Snapshot) -> State:
    """The state before any entry."""
    return State(snapshot, {}, {}, {}, {}, {}, {}, {}, {})


def add(state: State, entry: Entry) -> State:
    """The state with one more entry; the same state when it is there already."""
    if entry.mark in state.entries:
        return state
    grown = {name: dict(getattr(state, name)) for name in _INDEXES}
    for name, word in _places(state.snapshot, entry):
        line = list(grown[name].get(word, ()))
        insort(line, entry, key=key)
        grown[name][word] = tuple(line)
    return State(snapshot=state.snapshot, entries={**state.entries, entry.mark: entry}, **grown)


def fold(snapshot: Snapshot, entries: Iterable[Entry]) -> State:
    """The state of a whole set of entries, in any order, repeats allowed. Equal to adding them one by one."""
    known: dict[str, Entry] = {}
    grown: dict[str, dict[str, list[Entry]]] = {name: defaultdict(list) for name in _INDEXES}
    for entry in entries:
        if entry.mark in known:
            continue
        known[entry.mark] = entry
        for name, word in _places(snapshot, entry):
            grown[name][word].append(entry)
    sorted_lines = {
        name: {word: tuple(sorted(line, key=key)) for word, line in index.items()}
        for name, index in grown.items()
    }
    return State(snapshot=snapshot, entries=known, **sorted_lines)


_INDEXES = ("by_kind", "about", "by_device", "by_id", "corrections", "compared", "aside")


def _places(snapshot: Snapshot, entry: Entry) -> list[tuple[str, str]]:
    """Where in the indexes an entry belongs."""
    places = [("by_device", entry.device), ("by_id", entry.id)]
    altered = not is_unaltered(entry)
    if altered:
        places.append(("aside", "altered"))
    if entry.trip != snapshot.trip:
        return [*places, ("aside", "other_trip")]
    if entry.kind not in KINDS:
        return [*places, ("aside", "unknown_kind")]
    if data_problems(entry):
        return [*places, ("aside", "not_understood")]
    if altered and entry.kind in _ACCOUNTING | {"correction", "clock_compared"}:
        return places
    places.append(("by_kind", entry.kind))
    if entry.corrects is not None and entry.kind == "correction":
        places.append(("corrections", entry.corrects))
    if entry.kind == "clock_compared":
        places.append(("compared", entry.device))
    places.extend(("about", word) for word in sorted(mentioned(entry)))
    return places


def mentioned(entry: Entry) -> set[str]:
    """Every id that an entry of a known kind is about; a correction also of those that it brings in."""
    found = {entry.subject, *_named(entry.data)}
    if entry.kind == "correction":
        found |= _named(entry.data.get("data", {})) | {entry.data.get("subject", entry.subject)}
    return found


def roots(state: State, correction: Entry) -> list[Entry]:
    """The entries that a correction is about in the end, where it corrects a correction; none where there is no end."""
    found: list[Entry] = []
    seen = {correction.id}
    wanted = [correction.corrects]
    for id in wanted:
        if id is None or id in seen:
            continue
        seen.add(id)
        for entry in state.by_id.get(id, ()):
            if entry.kind == "correction":
                wanted.append(entry.corrects)
            elif acted_on(state, entry):
                found.append(entry)
    return found


def acted_on(state: State, entry: Entry) -> bool:
    """Whether an entry counts: known and understood, of this trip, not altered where that matters."""
    line = state.by_kind.get(entry.kind, ())
    place = bisect_left(line, key(entry), key=key)
    return place < len(line) and line[place].mark == entry.mark


def about(state: State, word: str) -> list[Entry]:
    """The entries about a person or team in order of writing, those included that only a correction brings in."""
    found = {key(entry): entry for entry in state.about.get(word, ()) if entry.kind != "correction"}
    for correction in state.about.get(word, ()):
        if correction.kind == "correction":
            found |= {key(entry): entry for entry in roots(state, correction)}
    return [found[place] for place in sorted(found)]


def _named(data: Mapping[str, Any]) -> set[str]:
    found: set[str] = set()
    for name in (*PEOPLE_LISTS, "teams"):
        listed = data.get(name)
        if isinstance(listed, list):
            found.update(item for item in listed if isinstance(item, str))
    found.update(data[name] for name in ("dive", "team") if isinstance(data.get(name), str))
    return found
