"""How far a phone's clock lies from the log's time: learnt from another phone, or from a step of the clock itself.

All in ms. The log's time is a server's; between phones that never met one it is that of the phone that was read.
What cannot be known widens the error, so that nobody's times are taken for surer than they are.
"""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.boatlog.claims import last_compared
from teamdive.boatlog.fold import State

# The schema's most: a clock that may be a day off says nothing.
MOST_ERROR_MS = 86_400_000
# A smaller step of a clock goes unnoticed: our own choice, well under the minute that tables count in.
STEP_MS = 1000


@dataclass(frozen=True)
class Offset:
    """What to add to a phone's clock to have the log's time (ms), give or take `error_ms`."""

    offset_ms: int
    error_ms: int

    @property
    def low(self) -> int:
        return self.offset_ms - self.error_ms

    @property
    def high(self) -> int:
        return self.offset_ms + self.error_ms


def last_offset(state: State, device: str) -> Offset | None:
    """What a phone last wrote of its own clock, by its own sequence; None: it was never compared."""
    last = last_compared(state, device)
    return None if last is None else Offset(last.data["offset_ms"], last.data["error_ms"])


def met(
    mine: Offset | None, theirs: Offset | None, shown_ms: int, read_ms: int, shown_for_ms: int | None = None
) -> Offset | None:
    """My offset after reading off another phone that its clock said `shown_ms` when mine said `read_ms`.

    It was read after it was shown, within `shown_for_ms`; None there: it may have been any time after, as with an
    entry, which cannot be read before it is written. None: nothing new is learnt, or they know less than I do.
    """
    if theirs is None and mine is not None:
        return None
    low = (0 if theirs is None else theirs.low) + shown_ms - read_ms
    high = (
        None
        if shown_for_ms is None
        else (0 if theirs is None else theirs.high) + shown_ms - read_ms + shown_for_ms
    )
    if mine is None:
        # One that was never compared is taken as right; an entry alone can only contradict that.
        if high is not None:
            return between(low, high)
        mine = Offset(0, 0)
    if low > mine.high:
        # One of the two was moved and nobody can say which: both stay possible.
        return between(mine.low, low if high is None else high)
    if high is not None and high < mine.low:
        return between(low, mine.high)
    narrow = between(max(low, mine.low), mine.high if high is None else min(high, mine.high))
    return narrow if narrow.error_ms * 2 <= mine.error_ms and narrow.error_ms < mine.error_ms else None


def stepped(known: Offset | None, step_ms: int, awake: bool) -> Offset:
    """The offset after the clock was seen to jump by `step_ms` against a steady one. `awake`: it ran all the while.

    Back while awake: known. Forward while awake: moved by hand, or the phone slept unseen; both stay possible. Back
    over a sleep or while closed, with no steady clock: by at least so much, so doubted by as much again. Forward over
    a sleep looks like the sleep itself.
    """
    before = Offset(0, 0) if known is None else known
    if step_ms > 0:
        return between(before.low - step_ms - STEP_MS, before.high + STEP_MS) if awake else before
    doubt = STEP_MS if awake else -step_ms + STEP_MS
    return between(before.low - step_ms - doubt, before.high - step_ms + doubt)


def between(low: int, high: int) -> Offset:
    """The offset that may be anything from `low` to `high`."""
    middle = (low + high) // 2
    return Offset(middle, min(high - middle, MOST_ERROR_MS))
