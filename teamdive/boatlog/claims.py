"""What an entry claims, once corrections and uncertain clocks are taken in.

An entry that a person corrected has more than one reading. Until two people say the same, all
readings stay, and each question takes the one that is safe for it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from teamdive.boatlog import schema
from teamdive.boatlog.corrections import INSTANTS, Instant, Word, is_at_once, words_on
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fields import outcome
from teamdive.boatlog.fold import State
from teamdive.boatlog.order import key
from teamdive.boatlog.settling import RECORD

# A phone clock this near to the server's is right enough for tables that count minutes.
HONEST_CLOCK_MS = 2000
# Claims that differ by less than a minute, the unit of the tables, are not worth a question.
DISPUTE_MS = 60 * 1000


@dataclass(frozen=True)
class Question:
    """Something for people to settle: which entries, whom it concerns."""

    code: str
    entries: tuple[str, ...]
    people: tuple[str, ...] = ()
    subject: str | None = None


@dataclass(frozen=True)
class Claim:
    """One reading of one entry: it happened to `subject` between `earliest` and `latest` (ms), said to be `at`.

    `shift` (ms) puts other instants of its data at the earliest they can be by the clock they were read off.
    `clock`: whose clock, between which comparisons, where it was written as it happened; None where anything was told.
    Of two with the same one the order is sure, however uncertain the time of day.
    """

    entry: Entry
    subject: str
    at: int
    earliest: int
    latest: int
    data: Mapping[str, Any]
    shift: int = 0
    clock: tuple[str, int, int] | None = None


@dataclass(frozen=True)
class Readings:
    """All readings of an entry that still count. None left: it did not happen.

    `doubted`: one person says it did not happen; nobody else has said so yet. `meant`: of a decision, what all of them
    amount to where they do not contradict each other, else as it was entered or settled.
    """

    claims: tuple[Claim, ...]
    doubted: bool
    questions: tuple[Question, ...]
    meant: Claim | None


def readings(state: State, entry: Entry) -> Readings:
    """The readings of an entry, and the questions its corrections raise."""
    said = words_on(state, entry) if entry.id in state.corrections else []
    if not said:
        claim = _claim(state, entry, ())
        return Readings((claim,), False, (), claim)
    at_once = [w for w in said if w.denies is None and not w.disputed and is_at_once(entry, w.correction)]
    told = outcome(entry, said, at_once, lambda read_off: _shift(state, read_off))
    undone = bool(at_once) and at_once[-1].void
    base = [word for word in at_once if not word.void] + [words[0] for words in told.settled]
    over: list[list[Word]] = []
    if told.settled or not (undone or told.void_settled):
        over = [base, *([*base, word] for words in told.settled for word in words[1:])]
    over.extend([*base, word] for word in told.open)
    claims = tuple(_claim(state, entry, words) for words in over)
    meant = claims[0] if claims else None
    if claims and not told.conflict and told.open:
        meant = _claim(state, entry, [*base, *sorted(told.open, key=lambda word: key(word.correction))])
    asks = told.differ or (bool(told.asked) and entry.kind in RECORD)
    code = "corrections_differ" if told.differ else "correction_not_settled"
    doubted = told.void_settled or told.void_open or (undone and not told.settled)
    return Readings(
        claims,
        bool(claims) and doubted,
        (Question(code, tuple(sorted({entry.id, *told.asked})), subject=entry.subject),) if asks else (),
        meant,
    )


def together(read: Readings) -> Claim:
    """All readings in one: no earlier and no later than any. What accounts for somebody has to hold in each of them."""
    first = read.claims[0]
    if len(read.claims) == 1:
        return first
    return replace(
        first,
        at=min(claim.at for claim in read.claims),
        earliest=min(claim.earliest for claim in read.claims),
        latest=max(claim.latest for claim in read.claims),
        clock=None,
    )


def standing(state: State, entry: Entry) -> Claim | None:
    """What a decision (a plan, a team, who holds the deck) amounts to; None when someone took it back."""
    read = readings(state, entry)
    return None if read.doubted else read.meant


def decided(state: State, kind: str) -> list[Claim]:
    """All decisions of a kind that stand, in order of writing."""
    found = [standing(state, entry) for entry in state.by_kind.get(kind, ())]
    return [claim for claim in found if claim is not None]


def _claim(state: State, entry: Entry, words: Sequence[Word]) -> Claim:
    """The entry as it stands, or as corrections say that it should read, one over the other."""
    own = _shifts(state, entry)
    subject, data, within = entry.subject, entry.data, own
    at: Instant | None = None
    ends: dict[str, Instant | None] = {name: None for name in ("earliest", "latest")}
    for word in words:
        subject = subject if word.subject is None else word.subject
        if word.data is not None and _fits(entry, {**data, **word.data}):
            data = {**data, **word.data}
            if INSTANTS & word.data.keys():
                within = _shifts(state, word.timed_by)
        if word.at is not None:
            at, ends = word.at, {name: None for name in ends}
        ends |= {name: said for name in ends if (said := getattr(word, name)) is not None}
    # A corrected time was read off the clock of whoever corrects, not of whoever wrote first.
    told = (entry.at, own) if at is None else (at.ms, _shifts(state, at.by))
    spans: list[tuple[int, list[tuple[int, int]]]] = [told]
    for name, said in ends.items():
        if said is not None:
            spans.append((said.ms, _shifts(state, said.by)))
        elif name in entry.data and at is None:
            spans.append((entry.data[name], own))
    as_written = len(spans) == 1 and at is None
    return Claim(
        entry,
        subject,
        told[0] + told[1][0][0],
        min(instant + offset - error for instant, shifts in spans for offset, error in shifts),
        max(instant + offset + error for instant, shifts in spans for offset, error in shifts),
        data,
        min(offset - error for offset, error in within),
        _one_clock(state, entry) if as_written and _as_it_happened(entry, own) else None,
    )


def _fits(entry: Entry, data: Mapping[str, Any]) -> bool:
    """Whether corrected data are still those of such an entry: a correction cannot make nonsense of it."""
    return not schema.problems(schema.ENTRY["$defs"][entry.kind], data, schema.ENTRY)


def own_offset(state: State, device: str) -> int:
    """What to add to that phone's clock now to have the log's time (ms); 0 while it is right enough, or not known."""
    return _own(state, device)[0]


def own_error(state: State, device: str) -> int:
    """How far the log's time may be off when reckoned from that phone's clock now (ms); 0 as for `own_offset`."""
    return _own(state, device)[1]


def unsure(state: State, entry: Entry) -> int:
    """How far the time of an entry may be off because of the clock that it was read off (ms)."""
    shifts = _shifts(state, entry)
    at = shifts[0][0]
    return max(max(at - offset + error, offset + error - at) for offset, error in shifts)


def last_compared(state: State, device: str) -> Entry | None:
    """The last comparison of a phone's clock, by its own sequence; None: it was never compared."""
    return max(state.compared.get(device, ()), key=lambda compared: compared.seq, default=None)


def _own(state: State, device: str) -> tuple[int, int]:
    last = last_compared(state, device)
    return (0, 0) if last is None else _counted(last)


def happened(state: State, entry: Entry) -> int:
    """When the entry says that it happened, by the log's time (ms): its phone's clock put right."""
    return entry.at + _shift(state, entry)


def _shift(state: State, entry: Entry) -> int:
    return _shifts(state, entry)[0][0]


def _shifts(state: State, entry: Entry) -> list[tuple[int, int]]:
    """(offset, error) to add to this phone's times: its clock compared just before and just after the entry, in ms."""
    return [_counted(near) for near in _around(state, entry) if near is not None] or [(0, 0)]


def _around(state: State, entry: Entry) -> tuple[Entry | None, Entry | None]:
    """The comparisons of a phone's clock just before and just after an entry of it."""
    before: Entry | None = None
    after: Entry | None = None
    for compared in state.compared.get(entry.device, ()):
        if compared.seq <= entry.seq and (before is None or compared.seq >= before.seq):
            before = compared
        if compared.seq > entry.seq and (after is None or compared.seq < after.seq):
            after = compared
    return before, after


def _as_it_happened(entry: Entry, shifts: list[tuple[int, int]]) -> bool:
    """Whether the entry was written when it says that it happened: else the time came from another clock."""
    apart = min(abs(entry.clock.ms - entry.at), abs(entry.clock.ms - entry.at - shifts[0][0]))
    return "source" not in entry.data and apart < DISPUTE_MS


def _one_clock(state: State, entry: Entry) -> tuple[str, int, int] | None:
    """A phone's clock around an entry; None where it is known to have been moved in between."""
    before, after = _around(state, entry)
    if before is not None and after is not None:
        (left, left_error), (right, right_error) = _counted(before), _counted(after)
        if abs(left - right) > left_error + right_error:
            return None
    return entry.device, 0 if before is None else before.seq, 0 if after is None else after.seq


def _counted(compared: Entry) -> tuple[int, int]:
    offset: int = compared.data["offset_ms"]
    error: int = compared.data["error_ms"]
    # A clock is right enough only where it cannot be further off than that.
    return (0, 0) if abs(offset) + error <= HONEST_CLOCK_MS else (offset, error)
