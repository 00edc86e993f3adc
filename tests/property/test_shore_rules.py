"""The duty ashore over random days: what always holds, whatever is said, heard and changed, in whatever order."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from teamdive.reminders import rules_shore as rules
from teamdive.reminders import rules_shore_calls as plan
from teamdive.reminders.rules_shore import Duty, Heard, Made, Said, Trouble

START = datetime(2027, 6, 12, 8, 0, tzinfo=UTC)
CONTACTS = tuple(UUID(int=n + 1) for n in range(3))
moments = st.integers(0, 900).map(lambda minute: START + timedelta(minutes=minute))
sayings = st.builds(
    Said,
    st.sampled_from([rules.HOME, rules.NOT_HOME, rules.ACKNOWLEDGED, rules.HANDED_OVER]),
    moments,
    st.just("X"),
)
troubles = st.lists(st.builds(Trouble, st.sampled_from("bcd"), moments), max_size=3).map(tuple)
heards = st.builds(
    Heard,
    newest_at=st.none() | moments,
    received_at=st.none() | moments,
    home=st.none() | st.builds(Said, st.just(rules.HOME), moments, st.just("s"), st.just(True)),
    left=troubles,
    overdue=troubles,
)
OFF_THE_LIST = UUID(int=9)


def one_made(to: UUID, kind: str, at: datetime, told_after: int | None) -> Made:
    told_at = None if told_after is None else at + timedelta(minutes=told_after)
    return Made(to, kind, f"{at:%Y-%m-%dT%H:%M:%S.%fZ} 0", at, told_at, kind, (Trouble("b", at),))


made = st.builds(
    one_made,
    st.sampled_from([*CONTACTS, OFF_THE_LIST]),
    st.sampled_from(rules.ALARMS),
    moments,
    st.none() | st.integers(0, 30),
)
duties = st.builds(
    Duty,
    ready=st.booleans(),
    back_by=st.none() | moments,
    version=st.integers(1, 3),
    contacts=st.sampled_from([CONTACTS[:n] for n in range(4)]),
    every=st.integers(1, 60).map(lambda minutes: timedelta(minutes=minutes)),
    calls=st.integers(1, 20),
    said=st.lists(sayings, max_size=5).map(tuple),
    heard=heards,
    made=st.lists(made, max_size=3).map(tuple),
)


def alarms_of(duty: Duty, now: datetime) -> list[plan.Call]:
    return [call for call in plan.calls(duty, now) if call.kind in rules.ALARMS]


@given(duties, moments)
def test_a_call_is_made_once_and_never_before_it_is_due(duty: Duty, now: datetime) -> None:
    made = plan.calls(duty, now)
    assert len({(call.kind, call.to, call.subject) for call in made}) == len(made)
    assert all(call.due_at <= now for call in alarms_of(duty, now) if call.kind == rules.BACK_BY_PASSED)
    assert {call.to for call in made} <= {*duty.contacts, *(one.to for one in duty.made)}


@given(duties, moments)
def test_with_nothing_heard_no_clock_but_back_by_raises_an_alarm(duty: Duty, now: datetime) -> None:
    silent = Duty(
        duty.ready, duty.back_by, duty.version, duty.contacts, duty.every, duty.calls, heard=Heard()
    )
    raised = alarms_of(silent, now)
    if duty.back_by is None or now < duty.back_by or not duty.ready or not duty.contacts:
        assert raised == []
    else:
        # The first contact always: whoever is called as well comes after.
        assert raised[0].to == duty.contacts[0]


@given(duties, moments)
def test_whoever_is_said_home_or_handed_over_calls_nobody(duty: Duty, now: datetime) -> None:
    if rules.stands(duty, now) in ("home", "handed_over"):
        assert alarms_of(duty, now) == []
    if rules.home(duty, now):
        assert plan.look_again_at(duty, now) is None


@given(duties, moments)
def test_an_alarm_stays_open_until_somebody_says_what_ends_it(duty: Duty, now: datetime) -> None:
    ending = [*duty.said, duty.heard.home] if duty.heard.home else duty.said
    if any(said.what in (rules.HOME, rules.HANDED_OVER) for said in ending):
        return
    open_now = {(alarm.kind, alarm.since) for alarm in rules.alarms(duty, now)}
    later = {(alarm.kind, alarm.since) for alarm in rules.alarms(duty, now + timedelta(hours=9))}
    assert open_now <= later


@given(duties, moments, st.integers(1, 30))
def test_the_next_look_is_at_the_next_call(duty: Duty, now: datetime, steps: int) -> None:
    """Looking only when the rule asks to finds every call that looking at each minute finds."""
    at_each = set()
    for minute in range(steps):
        moment = now + timedelta(minutes=minute)
        at_each.update((call.kind, call.to, call.subject) for call in alarms_of(duty, moment))
    asked, moment, end = set(), now, now + timedelta(minutes=steps - 1)
    while True:
        asked.update((call.kind, call.to, call.subject) for call in alarms_of(duty, moment))
        again = plan.look_again_at(duty, moment)
        if again is None or again > end:
            break
        assert again > moment
        moment = again
    assert at_each <= asked


@given(duties, moments)
def test_who_has_it_said_so_after_it_was_raised(duty: Duty, now: datetime) -> None:
    for alarm in rules.alarms(duty, now):
        if alarm.acknowledged is not None:
            assert alarm.acknowledged.at >= alarm.since
            assert alarm.acknowledged.what == rules.ACKNOWLEDGED


@given(duties, moments)
def test_an_alarm_that_nobody_has_always_calls_somebody_and_is_looked_at_again(
    duty: Duty, now: datetime
) -> None:
    if rules.stands(duty, now) in ("raised", "untaken"):
        calling = alarms_of(duty, now)
        assert duty.contacts[0] in {call.to for call in calling} or calling[0].to in duty.contacts
        again = plan.look_again_at(duty, now)
        assert again is not None and again > now
        # Never rarer than the club calls, or every half hour; a clock that was put back is no reason to wait.
        step = rules.loud(duty, now)[1]
        assert step > now or again - now <= max(duty.every, rules.STEADY)
        assert all(call.due_at <= now for call in calling)


@given(duties, moments)
def test_whatever_was_said_quietens_nobody_who_is_missed_since(duty: Duty, now: datetime) -> None:
    later = now + timedelta(hours=30)
    live = replace(
        duty.heard, newest_at=later, received_at=later, home=None, left=(Trouble("z", later),), out_at=None
    )
    missed = replace(duty, heard=live)
    if rules.is_armed(missed):
        assert rules.stands(missed, later) == "raised"
        assert any("z" in alarm.people for alarm in rules.alarms(missed, later))


@given(duties, moments)
def test_whoever_was_alarmed_hears_that_all_are_home(duty: Duty, now: datetime) -> None:
    if rules.is_armed(duty) and rules.home(duty, now) is not None:
        told = {call.to for call in plan.calls(duty, now) if call.kind == rules.ALL_HOME}
        assert {one.to for one in duty.made if one.told_at is not None} | set(duty.contacts) == told


@given(duties, moments)
def test_the_alarm_is_over_only_for_whom_the_log_has_nobody_in_trouble(duty: Duty, now: datetime) -> None:
    if any(call.kind == rules.ALARM_OVER for call in plan.calls(duty, now)):
        assert not (duty.heard.left or duty.heard.overdue or duty.heard.unread)
        assert {alarm.kind for alarm in rules.alarms(duty, now)} <= {rules.BACK_BY_PASSED}
