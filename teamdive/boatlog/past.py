"""The log as it was known at a past moment: only what had been received by then."""

from collections.abc import Iterable
from hashlib import sha256

from teamdive.boatlog.canonical import canonical
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.snapshot import Snapshot


def known_at(snapshot: Snapshot, received: Iterable[tuple[int, Entry]], moment: int) -> State:
    """The state at `moment` (ms) from entries with the instants at which they were received, in any order.

    What an entry says happened earlier does not matter: who had not yet received it did not know it.
    """
    return fold(snapshot, (entry for instant, entry in received if instant <= moment))


def set_hash(state: State) -> str:
    """One hash of all entries held, the snapshot's included: equal on two phones that hold the same log."""
    marks: list[object] = list(sorted(state.entries))
    return sha256(canonical([state.snapshot.hash, *marks]).encode()).hexdigest()
