"""What the corrections of an entry say of it, those of its corrections included.

A correction that names a correction speaks of the entry at the root: what it leaves out stays as the one it names had
it. One that takes a correction back denies it. A correction that somebody disputes is still a reading, but its voice
settles nothing.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import PEOPLE_LISTS, State
from teamdive.boatlog.order import key

# The same hand on the same phone, noticing at once: a mistap, not a second opinion.
UNDO_MS = 60 * 1000
# The instants in an entry's data; each was read off the clock of the phone that wrote it.
INSTANTS = frozenset({"at", "earliest", "latest", "last_seen_at", "until"})
_LAST_INSTANT = 2**53 - 1
# Entries of which a wrong name may be said: it was another person, or another team.
OF_A_PERSON = frozenset(
    {
        "aboard",
        "ashore",
        "back_aboard",
        "depth_reported",
        "lost_from_sight",
        "person_went_in",
        "seen_at_surface",
        "surfaced_alone",
        "transferred",
    }
)
OF_A_TEAM = frozenset({"down", "left_bottom", "marker_seen", "surfaced"})


@dataclass(frozen=True)
class Instant:
    """A time (ms) and the entry whose phone's clock it was read off."""

    ms: int
    by: Entry


@dataclass(frozen=True)
class Word:
    """What one correction says that the entry at the root should have said; None: nothing of that.

    `void`: it did not happen. `denies`: the mark of the correction that it takes back; it then says nothing else.
    `timed_by`: whose clock the instants in `data` were read off. `disputed`: a later correction names this one.
    """

    correction: Entry
    void: bool
    denies: str | None
    subject: str | None
    at: Instant | None
    earliest: Instant | None
    latest: Instant | None
    data: Mapping[str, Any] | None
    timed_by: Entry
    disputed: bool


def is_at_once(entry: Entry, correction: Entry) -> bool:
    """Whether the hand that made the entry corrected it there and then.

    A correction is somebody's word: only they take it back so, though another answers on the same phone.
    """
    took_ms = correction.clock.ms - entry.clock.ms
    # A clock that was ahead and was put right leaves the stamps standing still: then the phone's own time must agree.
    if correction.clock.n > 0:
        took_ms = max(took_ms, abs(correction.at - entry.at))
    return (
        correction.device == entry.device
        and (entry.kind != "correction" or correction.by == entry.by)
        and key(correction) > key(entry)
        and took_ms <= UNDO_MS
    )


def words_on(state: State, entry: Entry) -> list[Word]:
    """What is said of an entry by the corrections that stand, in order of writing."""
    line, named = _tree(state, entry)
    undone, disputed = [False] * len(line), [False] * len(line)
    # Whatever names a correction stands behind it in the line.
    for index in range(len(line) - 1, 0, -1):
        if undone[index]:
            continue
        if not disputed[index] and is_at_once(line[named[index]], line[index]):
            undone[named[index]] = True
        else:
            disputed[named[index]] = True
    said: list[Word | None] = [None]
    for index in range(1, len(line)):
        said.append(_word(entry, line[index], said[named[index]], disputed[index]))
    found = [
        word
        for index, word in enumerate(said)
        if word is not None and not undone[index] and not (word.denies is not None and undone[named[index]])
    ]
    return sorted(found, key=lambda word: key(word.correction))


def _tree(state: State, entry: Entry) -> tuple[list[Entry], list[int]]:
    """The entry and all that corrects it, nearest first, and of each the place of what it names. Each once."""
    line, named, seen = [entry], [0], {entry.mark}
    index = 0
    while index < len(line):
        for other in state.corrections.get(line[index].id, ()):
            if other.mark not in seen and other.id != line[index].id:
                seen.add(other.mark)
                line.append(other)
                named.append(index)
        index += 1
    # The entry itself is not taken back with the rest: what voids it at once is for its readings.
    return line, named


def _word(entry: Entry, correction: Entry, before: Word | None, disputed: bool) -> Word:
    data = correction.data
    another = data.get("subject") if entry.kind in OF_A_PERSON | OF_A_TEAM else None
    void = bool(data["void"]) and another is None
    denies = before.correction.mark if void and before is not None else None
    kept = None if void or before is None or before.void or before.denies is not None else before
    at = Instant(data["at"], correction) if "at" in data else None
    spans = {}
    for name in ("earliest", "latest"):
        own = Instant(data[name], correction) if name in data else None
        spans[name] = own if own is not None or at is not None or kept is None else getattr(kept, name)
    own_data = data.get("data")
    timed_by, all_data = correction, own_data
    if kept is not None:
        at = kept.at if at is None else at
        another = kept.subject if another is None else another
        all_data = own_data if kept.data is None else {**kept.data, **(own_data or {})}
        timed_by = correction if INSTANTS & (own_data or {}).keys() else kept.timed_by
    return Word(
        correction=correction,
        void=void,
        denies=denies,
        subject=another,
        at=at,
        earliest=spans["earliest"],
        latest=spans["latest"],
        data=all_data,
        timed_by=timed_by,
        disputed=disputed,
    )


def moved(data: Mapping[str, Any], by_ms: int) -> dict[str, Any]:
    """The data of an entry with every instant in it (ms) moved; those that a correction brings in too."""
    found: dict[str, Any] = {}
    for name, value in data.items():
        if name == "data" and isinstance(value, Mapping):
            found[name] = moved(value, by_ms)
        elif name in INSTANTS and isinstance(value, int) and not isinstance(value, bool):
            found[name] = max(0, min(_LAST_INSTANT, value + by_ms))
        else:
            found[name] = value
    return found


def brought(entry: Entry, subject: str | None, data: Mapping[str, Any] | None) -> set[str]:
    """Whom a correction brings into an entry or takes out of it, and the team it names instead."""
    found = set() if subject is None else {subject}
    for name in PEOPLE_LISTS:
        listed = None if data is None else data.get(name)
        if isinstance(listed, list):
            found |= _texts(listed) ^ _texts(entry.data.get(name))
    return found


def brought_by(entry: Entry, words: Iterable[Word]) -> set[str]:
    """Whom all that was said of an entry brings into it: it is about them too, so none settles it alone."""
    return {person for word in words for person in brought(entry, word.subject, word.data)}


def _texts(listed: object) -> set[str]:
    return {item for item in listed if isinstance(item, str)} if isinstance(listed, list) else set()
