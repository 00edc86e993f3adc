"""How the duty ashore stands: which alarms are open, who has them, who said all home. Pure; instants are aware.

The duty begins with a trip that is ready and has a back-by time, and ends when somebody says that all are home (a
named person, or the boat log with everyone accounted for), or that it is in the hands of the rescue service.
**Silence at sea is no alarm before back-by**: a boat out of reach is the normal case. Before it the server calls only
for what people on the boat wrote and what reached it (`Heard`). Whatever was said answers what was known by then:
more people, or a later alarm, are told anew.
"""

from __future__ import annotations

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
# To every leader and organiser of the club: nobody ashore has taken it.
UNTAKEN = "untaken"

# A log that came within this of being written tells of now, not of a morning that is handed in at last; a log from
# which nothing more has come for a minute is whole, as far as it goes. Both are our own choice.
LIVE = timedelta(minutes=15)
SETTLED = timedelta(minutes=1)
# How often an alarm goes on once every contact had all the calls the club asks for: our own choice.
STEADY = timedelta(minutes=30)


@dataclass(frozen=True)
class Said:
    """What a named person said: home, not_home, acknowledged or handed_over; `log`: the boat log says it.

    `to`: the contact or the account of whoever said it, None: neither.
    """

    what: str
    at: datetime
    by: str
    log: bool = False
    to: UUID | None = None


@dataclass(frozen=True)
class Trouble:
    """Somebody the boat log is in trouble about, and since when the server has known it of them. `first`: when the
    departure came, or the entry that they were overdue by; what tells of them may come later, from another phone."""

    person: str
    since: datetime
    first: datetime | None = None


@dataclass(frozen=True)
class Heard:
    """What the boat log amounts to, as far as it reached the server.

    `newest_at`: when the newest entry happened, `received_at`: when the last one came; None: none at all. `out_at`:
    when the boat last left a place or somebody went down. `left`: who was left behind at a site, and is still missing.
    `overdue`: who is down and was overdue for as long again, by the log's own time: the server's clock alone makes
    nobody overdue. `not_met`: who is not accounted for, and not under water within their time; `not_up`: of these,
    who has not come up. `unread`: the log could not be read, so that nothing here says anything.
    """

    newest_at: datetime | None = None
    received_at: datetime | None = None
    home: Said | None = None
    out_at: datetime | None = None
    left: tuple[Trouble, ...] = ()
    overdue: tuple[Trouble, ...] = ()
    not_met: frozenset[str] = frozenset()
    not_up: frozenset[str] = frozenset()
    unread: bool = False


@dataclass(frozen=True)
class Made:
    """A call that was made: to whom (a contact, or an account), when, and when it was told (None: not yet).

    `about`: the alarm, `troubles`: the people it was raised for.
    """

    to: UUID
    kind: str
    subject: str
    made_at: datetime
    told_at: datetime | None
    about: str = ""
    troubles: tuple[Trouble, ...] = ()


@dataclass(frozen=True)
class Duty:
    """One trip's duty ashore. `contacts` in the order of calling; `leaders`: the accounts told where no contact takes
    an alarm; `made`: the calls that were made and not taken back; `written_at`: when the back-by time was last changed;
    `erased`: whom nothing reaches any more."""

    ready: bool
    back_by: datetime | None
    version: int
    contacts: tuple[UUID, ...]
    every: timedelta
    calls: int
    said: tuple[Said, ...] = ()
    heard: Heard = Heard()
    made: tuple[Made, ...] = ()
    leaders: tuple[UUID, ...] = ()
    written_at: datetime | None = None
    erased: frozenset[UUID] = frozenset()


@dataclass(frozen=True)
class Alarm:
    """An open alarm: since when, about whom (by id in the boat log), and who said that they have all of it.

    `before`: who took it before there was more; `troubles` with the instant since which somebody must have taken each;
    `unanswered`: those instants of what nobody has taken.
    """

    kind: str
    since: datetime
    people: tuple[str, ...]
    acknowledged: Said | None
    before: Said | None = None
    troubles: tuple[Trouble, ...] = ()
    unanswered: tuple[datetime, ...] = ()


def is_armed(duty: Duty) -> bool:
    """Whether somebody ashore waits for this boat at all."""
    return duty.ready and duty.back_by is not None and bool(duty.contacts)


def told(duty: Duty, *kinds: str) -> list[Made]:
    """The calls of these kinds that reached somebody."""
    return [one for one in duty.made if one.kind in kinds and one.told_at is not None]


def last_told(duty: Duty, *kinds: str) -> datetime | None:
    """When a call of these kinds last reached somebody; None: none did."""
    return max((one.told_at for one in told(duty, *kinds) if one.told_at is not None), default=None)


def home(duty: Duty, now: datetime) -> Said | None:
    """Who said last that all are home; None: nobody, it was said to be wrong since, the boat went out again or is to be
    back by a later time, or it was not known then that somebody was left behind or overdue."""
    sayings = [*duty.said, *([duty.heard.home] if duty.heard.home is not None else [])]
    last = _standing(sayings, HOME)
    if last is None or (duty.written_at is not None and last.at < duty.written_at <= now):
        return None
    left = _news(duty, NOT_ACCOUNTED_FOR, duty.heard.left, last, now)
    down = _news(duty, OVERDUE, duty.heard.overdue, last, now)
    # A log that cannot be read takes no word back: that they were told to wait after it says that it did not hold.
    waits = last_told(duty, FLOAT_PLAN, *ALARMS, UNTAKEN) if duty.heard.unread else None
    again = any(one is not None and one > last.at for one in (*left, *down, duty.heard.out_at, waits))
    return None if again and not last.log else last


def _news(duty: Duty, kind: str, heard: Iterable[Trouble], said: Said, now: datetime) -> list[datetime]:
    """Since when each of them is known. Of whom those ashore were called about before somebody said home only another
    departure is news, not what comes late of the first one."""
    calls = [one for one in told(duty, *ALARMS, UNTAKEN) if one.about == kind]
    knew = {one.person for call in calls if call.told_at and call.told_at <= said.at for one in call.troubles}
    counted = heard if _counts(duty, kind, now) else ()
    return [one.first if one.first is not None and one.person in knew else one.since for one in counted]


def handed_over(duty: Duty) -> Said | None:
    """Who said that it is in the hands of the rescue service: all that was known by then."""
    return _standing(duty.said, HANDED_OVER)


def _standing(sayings: Iterable[Said], what: str) -> Said | None:
    last = max((one for one in sayings if one.what in (what, NOT_HOME)), key=lambda one: one.at, default=None)
    return last if last is not None and last.what == what else None


def alarms(duty: Duty, now: datetime) -> tuple[Alarm, ...]:
    """The alarms that are open, the oldest first. A name that has one quietens it and closes nothing."""
    if not is_armed(duty) or duty.back_by is None or home(duty, now):
        return ()
    found = {
        NOT_ACCOUNTED_FOR: _troubles(duty, NOT_ACCOUNTED_FOR, duty.heard.left, duty.heard.not_met, now),
        OVERDUE: _troubles(duty, OVERDUE, duty.heard.overdue, duty.heard.not_up, now),
        BACK_BY_PASSED: (Trouble("", duty.back_by),) if now >= duty.back_by else (),
    }
    given = handed_over(duty)
    made = [_alarm(duty, kind, troubles, given, now) for kind, troubles in found.items()]
    return tuple(sorted((one for one in made if one is not None), key=lambda one: (one.since, one.kind)))


def _alarm(
    duty: Duty, kind: str, troubles: Iterable[Trouble], given: Said | None, now: datetime
) -> Alarm | None:
    opened = [(one, _open_since(duty, kind, one.since, now)) for one in troubles]
    opened = [(one, since) for one, since in opened if given is None or since > given.at]
    if not opened:
        return None
    taken = sorted((one for one in duty.said if one.what == ACKNOWLEDGED), key=lambda one: one.at)
    last = max(since for _, since in opened)
    first = min(since for _, since in opened)
    whole = next((one for one in taken if one.at >= last), None)
    part = next((one for one in reversed(taken) if one.at >= first), None)
    return Alarm(
        kind,
        min(one.since for one, _ in opened),
        tuple(one.person for one, _ in opened if one.person),
        whole,
        None if whole is not None else part,
        tuple(one for one, _ in opened if one.person),
        tuple(sorted(since for _, since in opened if part is None or since > part.at)),
    )


def _open_since(duty: Duty, kind: str, since: datetime, now: datetime) -> datetime:
    """Since when somebody must have taken it: what was told to be over, or said to be wrong, is raised anew."""
    ended = last_told(duty, ALL_HOME, *(() if kind == BACK_BY_PASSED else (ALARM_OVER,)))
    wrong = max((one.at for one in duty.said if one.what == NOT_HOME), default=None)
    raised = [since, *([] if wrong is None else [wrong])]
    if ended is not None and ended > max(raised):
        raised.append(
            min((one.made_at for one in duty.made if one.about == kind and one.made_at > ended), default=now)
        )
    return max(raised)


def _troubles(
    duty: Duty, kind: str, heard: tuple[Trouble, ...], still: frozenset[str], now: datetime
) -> tuple[Trouble, ...]:
    """Once ashore was called about somebody, only the log's own word on them ends it: entries of another phone that
    come late are none, nor is a departure that is taken back, nor a log that cannot be read."""
    known: dict[str, datetime] = {}
    over = last_told(duty, ALARM_OVER, *((ALL_HOME,) if duty.heard.unread else ()))
    for made in told(duty, *ALARMS, UNTAKEN):
        if made.about != kind or (over is not None and made.told_at is not None and made.told_at <= over):
            continue
        for one in made.troubles:
            if duty.heard.unread or one.person in still:
                known[one.person] = min(one.since, known.get(one.person, one.since))
    if _counts(duty, kind, now):
        known = {**{one.person: one.since for one in heard}, **known}
    return tuple(Trouble(person, since) for person, since in sorted(known.items()))


def _counts(duty: Duty, kind: str, now: datetime) -> bool:
    """Whether what the log says is news of now, or of a boat that ashore was called about before."""
    heard = duty.heard
    if any(one.about == kind for one in told(duty, *ALARMS, UNTAKEN)):
        return True
    if heard.newest_at is None or heard.received_at is None:
        return False
    live = heard.received_at - heard.newest_at <= LIVE
    return live or (kind == NOT_ACCOUNTED_FOR and now >= heard.received_at + SETTLED)


def stands(duty: Duty, now: datetime) -> str:
    """The duty in one word: nobody, armed, raised, untaken, acknowledged, handed_over or home."""
    if not is_armed(duty):
        return "nobody"
    if home(duty, now):
        return "home"
    found = alarms(duty, now)
    if not found:
        return "handed_over" if handed_over(duty) else "armed"
    if all(alarm.acknowledged for alarm in found):
        return "acknowledged"
    return "untaken" if is_untaken(duty, now) else "raised"


def loud(duty: Duty, now: datetime) -> tuple[Alarm, datetime] | None:
    """The alarm that calls now, and since when; None: somebody has each. The oldest that nobody has taken; what comes
    once all had their calls starts them afresh."""
    open_now = [alarm for alarm in alarms(duty, now) if alarm.acknowledged is None]
    waiting = [(since, alarm) for alarm in open_now for since in alarm.unanswered]
    waiting.sort(key=lambda one: (one[0], one[1].kind))
    if not waiting:
        return None
    step, calling = waiting[0]
    for since, alarm in waiting:
        if since >= step + first_round(duty):
            step, calling = since, alarm
    return calling, step


def first_round(duty: Duty) -> timedelta:
    """How long it takes until every contact, one after the other, had the calls that the club asks for."""
    return len(duty.contacts) * duty.calls * duty.every


def is_untaken(duty: Duty, now: datetime) -> bool:
    """Whether every contact had all their calls, and nobody has taken it."""
    calling = loud(duty, now)
    return calling is not None and now >= calling[1] + first_round(duty)
