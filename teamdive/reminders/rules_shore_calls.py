"""Which calls ashore ought to exist, to whom and when, and when to look again. Pure; instants are aware datetimes.

An alarm calls the first contact, then the next as well, as often as the club says. Once every contact had those calls
and nobody has taken it, each leader and organiser of the club is told, and it goes on steadily, every `STEADY`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from . import rules_shore as rules
from .rules_shore import Duty, Made, Said, Trouble


@dataclass(frozen=True)
class Call:
    """A call that ought to exist: unique by (kind, to, subject); `to`: a contact, or the account of a leader.

    `about`: the alarm that it is about, `troubles`: the people it is raised for; `beside`: the other alarms that it
    tells of, each with its people.
    """

    kind: str
    to: UUID
    subject: str
    due_at: datetime
    number: int = 0
    about: str = ""
    troubles: tuple[Trouble, ...] = ()
    beside: tuple[tuple[str, tuple[Trouble, ...]], ...] = ()


def calls(duty: Duty, now: datetime) -> tuple[Call, ...]:
    """Every call that ought to exist at `now`: what is no longer among them is taken back unless it was made.

    Of a call that repeats only the one of this moment: a worker that was away does not make good an hour of them.
    """
    if not rules.is_armed(duty):
        return ()
    ended = rules.home(duty, now)
    if ended is not None:
        subject, everyone = _of_home(duty, ended), (*duty.contacts, *_others(duty))
        return tuple(Call(rules.ALL_HOME, to, subject, ended.at) for to in everyone)
    return (*_plans(duty, now), *_alarm_calls(duty, now), *_overs(duty, now))


def _of_home(duty: Duty, ended: Said) -> str:
    """Told once, whoever else says it: by the boat log after a person, by a second phone. Once more where they were
    told anything else meanwhile."""
    last = max(rules.told(duty, rules.ALL_HOME), key=lambda one: one.told_at or one.made_at, default=None)
    other = rules.last_told(duty, rules.FLOAT_PLAN, rules.ALARM_OVER, *rules.ALARMS, rules.UNTAKEN)
    if last is not None and last.told_at is not None and (other is None or last.told_at > other):
        return last.subject
    return f"{_instant(ended.at)} {_times(duty, rules.FLOAT_PLAN, 'after home')}"


def _plans(duty: Duty, now: datetime) -> list[Call]:
    """The float plan, told anew when it changes, and when they were told that all are home and that no longer holds."""
    homes = 0 if duty.heard.unread else _times(duty, rules.ALL_HOME)
    again = f" after home {homes}" if homes else ""
    found = [
        Call(rules.FLOAT_PLAN, contact, f"version {duty.version}{again}", now) for contact in duty.contacts
    ]
    believe = {one.to for one in rules.told(duty, rules.ALL_HOME)} - set(duty.contacts) - duty.erased
    return [*found, *(Call(rules.FLOAT_PLAN, to, again.strip(), now) for to in sorted(believe) if again)]


def _alarm_calls(duty: Duty, now: datetime) -> list[Call]:
    calling = rules.loud(duty, now)
    if calling is None:
        return []
    alarm, step = calling
    number, due_at, _ = round_of(duty, step, now)
    subject = f"{_instant(step)} {_instant(due_at)} {number}"
    due_at = min(due_at, now)
    order, has_it = list(duty.contacts), _holder(duty, step)
    if has_it in order:
        order.sort(key=lambda contact: contact != has_it)
    others = [one for one in rules.alarms(duty, now) if one.kind != alarm.kind]
    about = {
        "about": alarm.kind,
        "troubles": alarm.troubles,
        "beside": tuple((one.kind, one.troubles) for one in others),
    }
    found = [
        Call(alarm.kind, contact, subject, due_at, number, **about)
        for place, contact in enumerate(order)
        if number >= place * duty.calls
    ]
    if has_it is not None and has_it not in order:
        found.append(Call(alarm.kind, has_it, subject, due_at, number, **about))
    first_round = rules.first_round(duty)
    if now >= step + first_round:
        found.extend(
            Call(rules.UNTAKEN, leader, f"{_instant(step)} 0", step + first_round, number, **about)
            for leader in duty.leaders
        )
    return found


def _holder(duty: Duty, step: datetime) -> UUID | None:
    """Who took what was known before: they are told first that there is more."""
    wrong = max((one.at for one in duty.said if one.what == rules.NOT_HOME), default=None)
    taken = [
        one
        for one in duty.said
        if one.what == rules.ACKNOWLEDGED and one.at < step and (wrong is None or one.at > wrong)
    ]
    last = max(taken, key=lambda one: one.at, default=None)
    return None if last is None else last.to


def _overs(duty: Duty, now: datetime) -> list[Call]:
    """One word to whoever was called for people, also one taken off since, that the log has nobody in trouble any more.

    A later back-by time is told by the float plan itself. A log that could not be read says nothing.
    """
    people = (rules.NOT_ACCOUNTED_FOR, rules.OVERDUE)
    heard = duty.heard
    open_now = {alarm.kind for alarm in rules.alarms(duty, now)} & set(people)
    if heard.unread or heard.newest_at is None or heard.left or heard.overdue or open_now:
        return []
    if rules.handed_over(duty) is not None:
        return []
    last: dict[UUID, Made] = {}
    for made in rules.told(duty, *rules.ALARMS, rules.UNTAKEN):
        if made.about in people and (made.to not in last or made.subject > last[made.to].subject):
            last[made.to] = made
    return [
        Call(rules.ALARM_OVER, to, f"{made.about} {made.subject}", now)
        for to, made in sorted(last.items())
        if to not in duty.erased
    ]


def _others(duty: Duty) -> list[UUID]:
    """Who was alarmed and is on the list no more, or is a leader of the club: they hear the end too."""
    alarmed = {one.to for one in rules.told(duty, *rules.ALARMS, rules.UNTAKEN)}
    return sorted(alarmed - set(duty.contacts) - duty.erased)


def _times(duty: Duty, kind: str, part: str = "") -> int:
    return len(
        {one.subject[one.subject.find(part) :] for one in rules.told(duty, kind) if part in one.subject}
    )


def round_of(duty: Duty, step: datetime, now: datetime) -> tuple[int, datetime, datetime]:
    """The call of this moment: its number, when it is due, and when the next one is.

    A server's clock that was put back makes no call wait.
    """
    quick, fast = rules.first_round(duty), len(duty.contacts) * duty.calls
    number = max(0, (now - step) // duty.every)
    if number < fast:
        return number, step + number * duty.every, step + (number + 1) * duty.every
    steady = max(duty.every, rules.STEADY)
    more = (now - step - quick) // steady
    return fast + more, step + quick + more * steady, step + quick + (more + 1) * steady


def _instant(at: datetime) -> str:
    return f"{at:%Y-%m-%dT%H:%M:%S.%fZ}"


def since_of(subject: str) -> datetime:
    """Since when the call was made for, from its subject."""
    return datetime.fromisoformat(subject.split(" ")[0].replace("Z", "+00:00"))


def number_of(subject: str) -> int:
    """Which call it was, from 0."""
    return int(subject.rpartition(" ")[2])


def look_again_at(duty: Duty, now: datetime) -> datetime | None:
    """When the duty changes by time alone; None: not before something is said, changed or heard."""
    if not rules.is_armed(duty) or duty.back_by is None or rules.home(duty, now):
        return None
    heard = duty.heard
    instants = [duty.back_by] if now < duty.back_by else []
    calling = rules.loud(duty, now)
    if calling is not None:
        instants.append(round_of(duty, calling[1], now)[2])
    if heard.left and heard.received_at is not None and now < heard.received_at + rules.SETTLED:
        instants.append(heard.received_at + rules.SETTLED)
    if heard.unread:
        instants.append(now + timedelta(minutes=1))
    return min(instants, default=None)
