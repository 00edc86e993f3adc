"""Who ashore ought to be called, when, and how the duty stands. Pure; instants are aware datetimes.

The duty begins with a trip that is ready and has a back-by time, and ends when somebody says that all are home (a
named person, or the boat log with everyone accounted for), or that it is in the hands of the rescue service.
**Silence at sea is no alarm before back-by**: a boat out of reach is the normal case. Before it the server calls only
for what people on the boat wrote and what reached it (`Heard`).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

HOME, NOT_HOME, ACKNOWLEDGED, HANDED_OVER = "home", "not_home", "acknowledged", "handed_over"

BACK_BY_PASSED = "back_by_passed"
NOT_ACCOUNTED_FOR = "not_accounted_for"
OVERDUE = "overdue"
ALARMS = (BACK_BY_PASSED, NOT_ACCOUNTED_FOR, OVERDUE)
FLOAT_PLAN = "float_plan"
ALARM_OVER = "alarm_over"
ALL_HOME = "all_home"

# A log that came within this of being written tells of now, not of a morning that is handed in at last; a log from
# which nothing more has come for a minute is whole, as far as it goes. Both are our own choice.
LIVE = timedelta(minutes=15)
SETTLED = timedelta(minutes=1)


@dataclass(frozen=True)
class Said:
    """What a named person said: home, not_home, acknowledged or handed_over; `log`: the boat log says it."""

    what: str
    at: datetime
    by: str
    log: bool = False


@dataclass(frozen=True)
class Trouble:
    """People the boat log is in trouble about, and since when the server has known it."""

    people: tuple[str, ...]
    since: datetime


@dataclass(frozen=True)
class Heard:
    """What the boat log amounts to, as far as it reached the server.

    `newest_at`: when the newest entry happened, `received_at`: when the last one came; None: none at all. `out_at`:
    when the boat last left a place or somebody went down. `left`: who was left behind at a site, and
    is still missing. `overdue`: who is down and was overdue for as long again, by the log's own time: the server's
    clock alone makes nobody overdue.
    """

    newest_at: datetime | None = None
    received_at: datetime | None = None
    home: Said | None = None
    out_at: datetime | None = None
    left: Trouble | None = None
    overdue: Trouble | None = None


@dataclass(frozen=True)
class Duty:
    """One trip's duty ashore. `contacts` in the order of calling; `told`: (contact, alarm) of calls that were made;
    `homes`: how often they were told that all are home."""

    ready: bool
    back_by: datetime | None
    version: int
    contacts: tuple[UUID, ...]
    every: timedelta
    calls: int
    said: tuple[Said, ...] = ()
    heard: Heard = Heard()
    told: frozenset[tuple[UUID, str, datetime]] = frozenset()
    homes: int = 0


@dataclass(frozen=True)
class Alarm:
    """An open alarm: since when, about whom (by id in the boat log), and who said that they have it."""

    kind: str
    since: datetime
    people: tuple[str, ...]
    acknowledged: Said | None


@dataclass(frozen=True)
class Call:
    """A call that ought to exist: unique by (kind, contact, subject)."""

    kind: str
    contact: UUID
    subject: str
    due_at: datetime
    number: int = 0


def is_armed(duty: Duty) -> bool:
    """Whether somebody ashore waits for this boat at all."""
    return duty.ready and duty.back_by is not None and bool(duty.contacts)


def home(duty: Duty) -> Said | None:
    """Who said last that all are home; None: nobody, it was said to be wrong since, or the boat went out again."""
    told = [*duty.said, *([duty.heard.home] if duty.heard.home is not None else [])]
    last = _standing(told, HOME)
    out_at = duty.heard.out_at
    return None if last is not None and not last.log and out_at is not None and out_at > last.at else last


def handed_over(duty: Duty) -> Said | None:
    """Who said that it is in the hands of the rescue service."""
    return _standing(duty.said, HANDED_OVER)


def _standing(told: Iterable[Said], what: str) -> Said | None:
    last = max((one for one in told if one.what in (what, NOT_HOME)), key=lambda one: one.at, default=None)
    return last if last is not None and last.what == what else None


def alarms(duty: Duty, now: datetime) -> tuple[Alarm, ...]:
    """The alarms that are open, the oldest first. A name that has one quietens it and closes nothing."""
    if not is_armed(duty) or duty.back_by is None or home(duty) or handed_over(duty):
        return ()
    heard, found = duty.heard, []
    live = _is_live(heard)
    # Once ashore was called, only the log's own word ends it: entries of another phone that come late are none.
    called = {kind for _, kind, _ in duty.told}
    if now >= duty.back_by:
        found.append((duty.back_by, BACK_BY_PASSED, ()))
    if heard.left is not None and (live or _is_settled(heard, now) or NOT_ACCOUNTED_FOR in called):
        found.append((heard.left.since, NOT_ACCOUNTED_FOR, heard.left.people))
    if heard.overdue is not None and (live or OVERDUE in called):
        found.append((heard.overdue.since, OVERDUE, heard.overdue.people))
    return tuple(
        Alarm(kind, since, people, _acknowledged(duty, since)) for since, kind, people in sorted(found)
    )


def _is_live(heard: Heard) -> bool:
    if heard.newest_at is None or heard.received_at is None:
        return False
    return heard.received_at - heard.newest_at <= LIVE


def _is_settled(heard: Heard, now: datetime) -> bool:
    return heard.received_at is not None and now >= heard.received_at + SETTLED


def _acknowledged(duty: Duty, since: datetime) -> Said | None:
    """The first to have an alarm; whoever said so before it was raised cannot have meant it."""
    own = [one for one in duty.said if one.what in (ACKNOWLEDGED, NOT_HOME) and one.at >= since]
    again = max((one.at for one in own if one.what == NOT_HOME), default=since)
    return min(
        (one for one in own if one.what == ACKNOWLEDGED and one.at >= again),
        key=lambda one: one.at,
        default=None,
    )


def calls(duty: Duty, now: datetime) -> tuple[Call, ...]:
    """Every call that ought to exist at `now`: what is no longer among them is taken back unless it was made.

    Of a call that repeats only the one of this moment: a worker that was away does not make good an hour of them.
    """
    if not is_armed(duty):
        return ()
    ended = home(duty)
    if ended is not None:
        subject = _subject(ended.at, 0)
        return tuple(Call(ALL_HOME, contact, subject, ended.at) for contact in duty.contacts)
    # Told anew when it changes, and when they were told that all are home and that no longer holds.
    plan = f"version {duty.version}" + (f" after home {duty.homes}" if duty.homes else "")
    found = [Call(FLOAT_PLAN, contact, plan, now) for contact in duty.contacts]
    loud = next((alarm for alarm in alarms(duty, now) if alarm.acknowledged is None), None)
    if loud is not None:
        # A server's clock that was put back makes no call wait.
        number = max(0, (now - loud.since) // duty.every)
        due_at = loud.since + number * duty.every
        found.extend(
            Call(loud.kind, contact, _subject(loud.since, number), due_at, number)
            for place, contact in enumerate(duty.contacts)
            if number >= place * duty.calls
        )
    if _all_found(duty):
        # One word for all that they were called for; a later back-by time is told by the float plan itself.
        told = sorted((since, kind, contact) for contact, kind, since in duty.told if kind != BACK_BY_PASSED)
        last = {contact: (kind, since) for since, kind, contact in told if contact in duty.contacts}
        found.extend(
            Call(ALARM_OVER, contact, f"{kind} {_subject(since, 0)}", now)
            for contact, (kind, since) in last.items()
        )
    return tuple(found)


def _all_found(duty: Duty) -> bool:
    """Whether the log has nobody in trouble any more. A log that could not be read says nothing."""
    heard = duty.heard
    nobody = heard.newest_at is not None and heard.left is None and heard.overdue is None
    return nobody and handed_over(duty) is None


def _subject(since: datetime, number: int) -> str:
    return f"{since:%Y-%m-%dT%H:%M:%S.%fZ} {number}"


def since_of(subject: str) -> datetime:
    """The alarm that a call was about, from its subject."""
    return datetime.fromisoformat(subject.split(" ")[0].replace("Z", "+00:00"))


def look_again_at(duty: Duty, now: datetime) -> datetime | None:
    """When the duty changes by time alone; None: not before something is said, changed or heard."""
    if not is_armed(duty) or duty.back_by is None or home(duty) or handed_over(duty):
        return None
    instants = [duty.back_by] if now < duty.back_by else []
    loud = next((alarm for alarm in alarms(duty, now) if alarm.acknowledged is None), None)
    if loud is not None:
        instants.append(loud.since + ((now - loud.since) // duty.every + 1) * duty.every)
    if (
        duty.heard.left is not None
        and duty.heard.received_at is not None
        and not _is_settled(duty.heard, now)
    ):
        instants.append(duty.heard.received_at + SETTLED)
    return min(instants, default=None)


def stands(duty: Duty, now: datetime) -> str:
    """The duty in one word: nobody, armed, raised, acknowledged, handed_over or home."""
    if not is_armed(duty):
        return "nobody"
    if home(duty):
        return "home"
    if handed_over(duty):
        return "handed_over"
    found = alarms(duty, now)
    if not found:
        return "armed"
    return "acknowledged" if all(alarm.acknowledged for alarm in found) else "raised"
