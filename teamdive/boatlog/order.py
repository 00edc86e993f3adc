"""The one order in which entries are told, the same on every phone whatever came first.

`told` sorts by when things happened as claimed; `key` by when they were written. Neither says
which claim is true: that is for the fold, which keeps both.
"""

from teamdive.boatlog.entries import Entry

Key = tuple[int, int, str, int, str, str]


def key(entry: Entry) -> Key:
    """Order of writing: hybrid clock, then device, its sequence, and for forks and altered copies id and mark."""
    return (entry.clock.ms, entry.clock.n, entry.device, entry.seq, entry.id, entry.mark)


def told(at: int, entry: Entry) -> tuple[int, Key]:
    """Order of happening: the instant claimed, then the order of writing."""
    return (at, key(entry))
