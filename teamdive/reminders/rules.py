"""Which reminders ought to exist, how the table becomes equal to that, and what a reminder says. Pure.

A reminder is unique by (kind, diver, subject). What was sent is never sent again; where the record has
moved on since, the message says so.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from teamdive.boatlog import questions
from teamdive.boatlog.dives import Attempt
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import State
from teamdive.deck.instants import date_of
from teamdive.physics.no_fly import PASSED

REMINDER = "reminder"
ALARM = "alarm"

SURFACE_INTERVAL_REACHED = "surface_interval_reached"
NO_FLY_PASSED = "no_fly_passed"
CALLS: Mapping[str, str] = {SURFACE_INTERVAL_REACHED: REMINDER, NO_FLY_PASSED: REMINDER}

WAITING = "waiting"
CLAIMED = "claimed"
SENT = "sent"
CANCELLED = "cancelled"
WITHHELD = "withheld"
FAILED = "failed"
STATES = (WAITING, CLAIMED, SENT, CANCELLED, WITHHELD, FAILED)
OPEN_STATES = (WAITING, CLAIMED)

# Some four hours: a mail server may be down that long.
ATTEMPTS = 24
_FIRST_WAIT_S = 5
_LONGEST_WAIT_S = 900

Key = tuple[str, UUID, str]


@dataclass(frozen=True)
class Wanted:
    """A reminder that ought to exist: `due_at` in UTC, `facts` the JSON that its sentence is made from."""

    kind: str
    diver: UUID
    subject: str
    due_at: datetime
    facts: Mapping[str, Any] = field(default_factory=dict)

    @property
    def key(self) -> Key:
        """What makes two reminders the same one."""
        return (self.kind, self.diver, self.subject)


@dataclass(frozen=True)
class Standing:
    """A reminder as the table has it; `stands` is false once the record no longer asks for it."""

    kind: str
    diver: UUID
    subject: str
    due_at: datetime
    facts: Mapping[str, Any]
    state: str
    stands: bool = True

    @property
    def key(self) -> Key:
        """What makes two reminders the same one."""
        return (self.kind, self.diver, self.subject)


@dataclass(frozen=True)
class Changes:
    """What makes the table equal to what is wanted; each list in the order of the input."""

    make: tuple[Wanted, ...] = ()
    move: tuple[Wanted, ...] = ()
    cancel: tuple[Key, ...] = ()
    note: tuple[Wanted, ...] = ()
    note_withdrawn: tuple[Key, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.make or self.move or self.cancel or self.note or self.note_withdrawn)


@dataclass(frozen=True)
class Ought:
    """What ought to exist, and what is over: calls about a dive that its diver has begun."""

    wanted: tuple[Wanted, ...]
    over: frozenset[Key]


def ought(state: State, divers: Mapping[str, UUID], now: int) -> Ought:
    """Which reminders a trip's boat log asks for at `now` (ms), by the one rule that the phone rings by as well.

    `divers`: the club's record of each person in the log; whoever has none is told by the phone alone. The
    waiting time is about the last dive made: another dive makes another reminder.
    """
    known = facts(state)
    zone = state.snapshot.time_zone
    wanted = []
    for duty in questions.due(state.snapshot, state, now, known):
        if duty.person not in divers or duty.kind not in CALLS:
            continue
        subject = duty.subject
        if duty.kind == NO_FLY_PASSED:
            subject = _last_dive(known.attempts[duty.person])
        wanted.append(
            Wanted(
                duty.kind,
                divers[duty.person],
                subject,
                date_of(duty.due_at),
                {"time_zone": zone, "dive": subject, "why": [dict(reason) for reason in duty.why]},
            )
        )
    over = frozenset(
        (SURFACE_INTERVAL_REACHED, divers[person], attempt.dive)
        for person, attempts in known.attempts.items()
        if person in divers
        for attempt in attempts
    )
    return Ought(tuple(wanted), over)


def _last_dive(attempts: Iterable[Attempt]) -> str:
    return max(attempts, key=lambda each: (each.surfaced or each.down)[1]).dive


def changes(
    wanted: Iterable[Wanted], standing: Iterable[Standing], over: Collection[Key] = frozenset()
) -> Changes:
    """The difference between what ought to exist and the table.

    Open and cancelled rows follow the record (`move` also brings a cancelled one back); what was sent,
    withheld or failed keeps its state, and only notes what the record says now; of what is `over` it notes
    nothing more. Of two wanted ones with one key the later instant counts: a reminder that is late does no
    harm, one that is early can.
    """
    latest: dict[Key, Wanted] = {}
    for one in wanted:
        other = latest.get(one.key)
        if other is None or one.due_at > other.due_at:
            latest[one.key] = one
    have = {row.key: row for row in standing}
    make, move, note = [], [], []
    for key, one in latest.items():
        row = have.get(key)
        if row is None:
            make.append(one)
        elif row.state in OPEN_STATES or row.state == CANCELLED:
            if row.state == CANCELLED or not _same(one, row):
                move.append(one)
        elif not _same(one, row):
            note.append(one)
    gone = [row for key, row in have.items() if key not in latest]
    return Changes(
        make=tuple(make),
        move=tuple(move),
        cancel=tuple(row.key for row in gone if row.state in OPEN_STATES),
        note=tuple(note),
        note_withdrawn=tuple(
            row.key
            for row in gone
            if row.stands and row.state not in (*OPEN_STATES, CANCELLED) and row.key not in over
        ),
    )


def _same(one: Wanted, row: Standing) -> bool:
    return row.stands and row.due_at == one.due_at and dict(row.facts) == dict(one.facts)


def wait_after(attempts: int) -> timedelta:
    """How long a row that threw waits: 5 s, 10 s, 20 s ... at most 15 min; it blocks nobody meanwhile."""
    return timedelta(seconds=min(_FIRST_WAIT_S * 2 ** max(attempts - 1, 0), _LONGEST_WAIT_S))


def clock_time(instant: datetime, time_zone: str, *, weekday: bool = False) -> str:
    """`11:02`, or `Saturday 11:02`, in the trip's zone; an unknown zone gives UTC and says so.

    In the hour that the end of summer time makes twice, the zone's own abbreviation follows."""
    try:
        zone, suffix = ZoneInfo(time_zone), ""
    except (ZoneInfoNotFoundError, ValueError):
        zone, suffix = ZoneInfo("UTC"), " UTC"
    local = instant.astimezone(zone)
    if local.utcoffset() != local.replace(fold=1 - local.fold).utcoffset():
        which = local.strftime("%Z")
        suffix = f" {which}" if which.isalpha() else f" UTC{which}"
    return f"{local:%A %H:%M}{suffix}" if weekday else f"{local:%H:%M}{suffix}"


def day(instant: datetime, time_zone: str) -> str:
    """`Saturday 12 June`, in the trip's zone; an unknown zone gives the day in UTC."""
    try:
        zone = ZoneInfo(time_zone)
    except (ZoneInfoNotFoundError, ValueError):
        zone = ZoneInfo("UTC")
    local = instant.astimezone(zone)
    return f"{local:%A} {local.day} {local:%B}"


def wording(kind: str, facts: Mapping[str, Any], due_at: datetime) -> str:
    """The sentence of a reminder, in the past tense and with its clock time, so that it is true however late.

    `facts` as `ought` gives them: time_zone (IANA) and why, the reasons of the boat log's rule.
    """
    zone = str(facts["time_zone"])
    if kind == SURFACE_INTERVAL_REACHED:
        (why,) = facts["why"]
        return (
            f"At {clock_time(due_at, zone)} your surface interval reached what dive {why['number']} "
            f"({_depth(why['depth'])}, {why['planned_bottom_time_s'] // 60} min) needs. "
            "If your own computer asks for longer, wait for it."
        )
    if kind == NO_FLY_PASSED:
        at = clock_time(due_at, zone, weekday=True)
        return f"{at}: {PASSED}."
    raise ValueError(f"no wording for a reminder of kind {kind!r}")


def reasons(why: Iterable[Mapping[str, Any]]) -> list[str]:
    """The reasons of a reminder or of a diver's status, as sentences; a code not known here is left out."""
    return [_REASONS[each["code"]](each) for each in why if each["code"] in _REASONS]


def _interval_reason(why: Mapping[str, Any]) -> str:
    return (
        f"From then on the planned {why['planned_bottom_time_s'] // 60} min at {_depth(why['depth'])} fit, "
        "by the method that governs in your club."
    )


def _no_fly_reason(why: Mapping[str, Any]) -> str:
    if not isinstance(why["wait_min"], int):
        return f"Before flying or going to altitude: {why['rule']}."
    hours, minutes = divmod(why["wait_min"], 60)
    altitude = f", before going to {why['to_altitude_ft']:,} ft" if "to_altitude_ft" in why else ""
    way = " by road" if why["code"] == "no_road" else ""
    assumed = "".join(f" {text}" for text in why.get("assumptions", ()))
    if isinstance(why.get("table_wait_min"), int):
        table_h, table_min = divmod(why["table_wait_min"], 60)
        assumed = f" By the table alone {table_h} h {table_min:02d} min.{assumed}"
    return f"{hours} h {minutes:02d} min after the last surfacing{altitude}{way} ({why['rule']}).{assumed}"


def _next_dive_reason(why: Mapping[str, Any]) -> str:
    minutes = why["planned_bottom_time_s"] // 60
    return f"Dive {why['number']} is planned to {_depth(why['depth'])} for {minutes} min."


_REASONS = {
    "planned_bottom_time_fits": _interval_reason,
    "waiting_time_passed": _no_fly_reason,
    "next_dive": _next_dive_reason,
    "no_fly": _no_fly_reason,
    "no_road": _no_fly_reason,
}


def said_since(message_due_at: datetime, due_at: datetime, stands: bool, time_zone: str) -> str | None:
    """What a message that was sent must add because the record changed since; None where it still holds."""
    if not stands:
        return "The record has changed since: this no longer holds. Ask the dive leader."
    if due_at != message_due_at:
        now_at = clock_time(due_at, time_zone, weekday=True)
        return f"The record has changed since: the time is now {now_at}."
    return None


def _depth(depth: Mapping[str, Any]) -> str:
    return f"{depth['hundredths'] / 100:g} {depth['unit']}"
