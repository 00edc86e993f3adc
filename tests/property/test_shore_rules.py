"""The duty ashore over random days: what always holds, whatever is said, heard and changed, in whatever order."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from teamdive.reminders import rules_shore as rules
from teamdive.reminders import rules_shore_calls as plan
from teamdive.reminders.rules_shore import Duty, Heard, Said, Trouble

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
)


def alarms_of(duty: Duty, now: datetime) -> list[plan.Call]:
    return [call for call in plan.calls(duty, now) if call.kind in rules.ALARMS]


@given(duties, moments)
def test_a_call_is_made_once_and_never_before_it_is_due(duty: Duty, now: datetime) -> None:
    made = plan.calls(duty, now)
    assert len({(call.kind, call.to, call.subject) for call in made}) == len(made)
    assert all(call.due_at <= now for call in alarms_of(duty, now) if call.kind == rules.BACK_BY_PASSED)
    assert {call.to for call in made} <= set(duty.contacts)


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
