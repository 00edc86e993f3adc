"""The hybrid logical clock that stamps entries: a time of day that never runs backwards.

Source of the method: Kulkarni, Demirbas, Madappa, Avva and Leone, Logical Physical Clocks and
Consistent Snapshots in Globally Distributed Databases, 2014 (from memory).
"""

from dataclasses import dataclass

# A phone set an hour wrong must not drag every other phone along. A few minutes cover
# hand-set clocks that are honest.
FURTHEST_AHEAD_MS = 5 * 60 * 1000


@dataclass(frozen=True, order=True)
class Clock:
    """Milliseconds since 1970 UTC, and a counter for stamps within the same millisecond."""

    ms: int
    n: int


def tick(last: Clock | None, wall_ms: int) -> Clock:
    """The stamp of an entry written now on this phone, later than `last` whatever the wall clock says."""
    if last is None or wall_ms > last.ms:
        return Clock(wall_ms, 0)
    return Clock(last.ms, last.n + 1)


def receive(last: Clock | None, seen: Clock, wall_ms: int) -> Clock | None:
    """Our clock after an entry stamped `seen` came in: not behind it, unless it is far ahead of our own wall clock."""
    if seen.ms > wall_ms + FURTHEST_AHEAD_MS:
        return last
    return seen if last is None or seen > last else last


def compare(left: Clock, right: Clock) -> int:
    """-1, 0 or 1: whether `left` is before, at or after `right`."""
    return (left > right) - (left < right)
