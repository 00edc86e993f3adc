"""The chain of each phone: every entry carries the hash of the one before it.

A chain that forks or was altered is shown, with the entry; nothing is thrown away for it.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from teamdive.boatlog import clock
from teamdive.boatlog.clock import Clock
from teamdive.boatlog.entries import Entry, body, hash_of, read, uuid7

VERSION = 1


@dataclass(frozen=True)
class Head:
    """The last entry of one phone's chain."""

    seq: int
    hash: str


@dataclass(frozen=True)
class ChainTrouble:
    """What is wrong in one phone's chain: altered, forked, not_linked, or missing (not here yet, or lost)."""

    code: str
    device: str
    seq: int
    entries: tuple[str, ...]


def append(
    head: Head | None, last: Clock | None, wall_ms: int, random: bytes, draft: dict[str, Any]
) -> Entry:
    """The next entry of this phone's chain.

    `draft` has trip, device, by, at, kind, subject, data, and text_hash or corrects where needed;
    `random` is 10 bytes. Raises NotAnEntry or NotCanonical where the draft cannot be an entry.
    """
    stamp = clock.tick(last, wall_ms)
    value: dict[str, Any] = {
        **draft,
        "id": uuid7(wall_ms, random),
        "v": VERSION,
        "seq": 1 if head is None else head.seq + 1,
        "clock": {"ms": stamp.ms, "n": stamp.n},
        "prev_hash": None if head is None else head.hash,
    }
    value["hash"] = hash_of(value)
    return read(value)


def is_unaltered(entry: Entry) -> bool:
    """Whether the entry's hash is the hash of what it says."""
    return hash_of(body(entry)) == entry.hash


def check(entries: Iterable[Entry]) -> tuple[ChainTrouble, ...]:
    """What is wrong in the chain of one phone, in order of its sequence."""
    places: dict[int, list[Entry]] = defaultdict(list)
    for entry in entries:
        places[entry.seq].append(entry)
    found: list[ChainTrouble] = []
    before = 0
    for seq in sorted(places):
        here = sorted(places[seq], key=lambda entry: (entry.id, entry.mark))
        device = here[0].device
        if seq > before + 1:
            found.append(ChainTrouble("missing", device, before + 1, ()))
        found.extend(
            ChainTrouble("altered", device, seq, (entry.id,)) for entry in here if not is_unaltered(entry)
        )
        if len(here) > 1:
            found.append(ChainTrouble("forked", device, seq, tuple(entry.id for entry in here)))
        if seq == before + 1:
            hashes: set[str | None] = {entry.hash for entry in places.get(before, ())} or {None}
            found.extend(
                ChainTrouble("not_linked", device, seq, (entry.id,))
                for entry in here
                if entry.prev_hash not in hashes
            )
        before = seq
    return tuple(found)
