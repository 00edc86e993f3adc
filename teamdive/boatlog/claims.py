"""What an entry claims, once corrections and uncertain clocks are taken in.

An entry that a person corrected has more than one reading. Until two people say the same, all
readings stay, and each question takes the one that is safe for it.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from teamdive.boatlog import schema
from teamdive.boatlog.canonical import canonical
from teamdive.boatlog.corrections import INSTANTS, Instant, Word, brought, is_at_once, words_on
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import State
from teamdive.boatlog.settling import RECORD, settles

# A phone clock this near to the server's is right enough for tables that count minutes.
HONEST_CLOCK_MS = 2000
# Claims that differ by less than a minute, the unit of the tables, are not worth a question.
DISPUTE_MS = 60 * 1000
_LAST_INSTANT = 2**53 - 1


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

    `doubted`: one person says it did not happen; nobody else has said so yet. `differ`: its corrections do not agree.
    """

    claims: tuple[Claim, ...]
    doubted: bool
    questions: tuple[Question, ...]
    differ: bool = False


def readings(state: State, entry: Entry) -> Readings:
    """The readings of an entry, and the questions its corrections raise."""
    said = words_on(state, entry) if entry.id in state.corrections else []
    if not said:
        return Readings((_claim(state, entry, None),), False, ())
    at_once = [w for w in said if w.denies is None and not w.disputed and is_at_once(entry, w.correction)]
    base = at_once[-1] if at_once else None
    later: dict[str, list[Word]] = defaultdict(list)
    for word in said:
        if word.denies is None and word not in at_once:
            later[_said(state, word)].append(word)
    denied = {text: _denials(said, words) for text, words in later.items()}
    agreed = {text for text, words in later.items() if _settled(entry, words, words)}
    out = {text for text, words in later.items() if _settled(entry, words, denied[text])}
    settled = agreed - out
    counted = sorted(settled or later.keys() - (out - agreed))
    claims: list[Claim] = []
    if not settled and not (base is not None and base.void):
        claims.append(_claim(state, entry, base))
    claims.extend(_claim(state, entry, later[text][0]) for text in counted if not later[text][0].void)
    doubts = [] if settled else [word for text in counted for word in denied[text]]
    named = {word.correction.id for word in (*doubts, *(w for text in counted for w in later[text]))}
    differ = len(counted) > 1 or bool(doubts)
    code = "corrections_differ" if differ else "correction_not_settled"
    asks = differ or (bool(counted) and not settled and entry.kind in RECORD)
    return Readings(
        tuple(claims),
        bool(claims) and any(later[text][0].void for text in counted),
        (Question(code, tuple(sorted({entry.id, *named})), subject=entry.subject),) if asks else (),
        differ,
    )


def _denials(said: list[Word], words: list[Word]) -> list[Word]:
    """Those who say that such a correction should not stand, disputed ones included."""
    marks = {word.correction.mark for word in words}
    return [word for word in said if word.denies in marks]


def _settled(entry: Entry, about: list[Word], voices: list[Word]) -> bool:
    """Whether those whose word nobody disputes are enough to settle what these corrections say."""
    named = {word.correction.by for word in voices if not word.disputed}
    return settles(entry, named, brought(entry, about[0].subject, about[0].data))


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
    if not read.claims or read.doubted:
        return None
    # One correction is what was meant; with two that differ the decision as first entered stays.
    return read.claims[1] if len(read.claims) == 2 and not read.differ else read.claims[0]


def decided(state: State, kind: str) -> list[Claim]:
    """All decisions of a kind that stand, in order of writing."""
    found = [standing(state, entry) for entry in state.by_kind.get(kind, ())]
    return [claim for claim in found if claim is not None]


def _said(state: State, word: Word) -> str:
    """What a correction says, apart from who says it and why; times by the log's, so that two phones can agree."""
    if word.void:
        return "void"
    said: dict[str, Any] = {} if word.subject is None else {"subject": word.subject}
    for name in ("at", "earliest", "latest"):
        instant: Instant | None = getattr(word, name)
        if instant is not None:
            said |= moved({name: instant.ms}, _shift(state, instant.by))
    if word.data is not None:
        said["data"] = moved(word.data, _shift(state, word.timed_by))
    return canonical(said)


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


def _claim(state: State, entry: Entry, word: Word | None) -> Claim:
    """The entry as it stands, or as one correction says it should read."""
    own = _shifts(state, entry)
    word = None if word is None or word.void else word
    data, at, within = entry.data, (entry.at, own), own
    spans: list[tuple[int, list[tuple[int, int]]]] = []
    if word is not None:
        if word.data is not None:
            data = _fitting(entry, {**entry.data, **word.data})
        # A corrected time was read off the clock of whoever corrects, not of whoever wrote first.
        if word.at is not None:
            at = word.at.ms, _shifts(state, word.at.by)
        if data is not entry.data and INSTANTS & (word.data or {}).keys():
            within = _shifts(state, word.timed_by)
    spans.append(at)
    for name in ("earliest", "latest"):
        said: Instant | None = None if word is None else getattr(word, name)
        if said is not None:
            spans.append((said.ms, _shifts(state, said.by)))
        elif name in entry.data and (word is None or word.at is None):
            spans.append((entry.data[name], own))
    as_written = len(spans) == 1 and (word is None or word.at is None)
    return Claim(
        entry,
        entry.subject if word is None or word.subject is None else word.subject,
        at[0] + at[1][0][0],
        min(instant + offset - error for instant, shifts in spans for offset, error in shifts),
        max(instant + offset + error for instant, shifts in spans for offset, error in shifts),
        data,
        min(offset - error for offset, error in within),
        _one_clock(state, entry) if as_written and _as_it_happened(entry, own) else None,
    )


def _fitting(entry: Entry, data: Mapping[str, Any]) -> Mapping[str, Any]:
    """The corrected data, or the entry's own where a correction would make nonsense of it."""
    return entry.data if schema.problems(schema.ENTRY["$defs"][entry.kind], data, schema.ENTRY) else data


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
