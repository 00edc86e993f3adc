"""Whatever the record says in whatever order: the table follows it, and nobody is told twice."""

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from teamdive.reminders import rules, services
from teamdive.reminders.models import InboxMessage, Reminder
from tests import reminders_cast as cast
from tests.reminders_cast import NOON

DIVERS = tuple(UUID(int=n) for n in (1, 2))
KEYS = st.tuples(
    st.sampled_from((cast.interval, cast.no_fly)), st.sampled_from(range(2)), st.sampled_from("ab")
)
MINUTES = st.integers(0, 3)
RECORD = st.dictionaries(KEYS, MINUTES, max_size=5)
STEP = st.one_of(st.tuples(st.just("record"), RECORD), st.tuples(st.just("minute"), MINUTES))


def wanted_of(record: dict[Any, int], divers: tuple[UUID, ...]) -> list[rules.Wanted]:
    return [
        make(divers[who], NOON + timedelta(minutes=at), subject)
        for (make, who, subject), at in record.items()
    ]


def after(table: dict[rules.Key, rules.Standing], todo: rules.Changes) -> dict[rules.Key, rules.Standing]:
    """What a table is once the changes were made to it."""
    table = dict(table)
    for one in (*todo.make, *todo.move):
        table[one.key] = rules.Standing(
            one.kind, one.diver, one.subject, one.due_at, one.facts, rules.WAITING
        )
    for key in todo.cancel:
        row = table[key]
        table[key] = rules.Standing(*key, row.due_at, row.facts, rules.CANCELLED, False)
    for one in todo.note:
        table[one.key] = rules.Standing(*one.key, one.due_at, one.facts, table[one.key].state)
    for key in todo.note_withdrawn:
        row = table[key]
        table[key] = rules.Standing(*key, row.due_at, row.facts, row.state, False)
    return table


@settings(max_examples=200, derandomize=True, deadline=None)
@given(
    RECORD,
    st.dictionaries(KEYS, st.tuples(MINUTES, st.sampled_from(rules.STATES), st.booleans()), max_size=5),
)
def test_the_changes_leave_nothing_to_change(record: Any, rows: Any) -> None:
    table = {}
    for (make, who, subject), (minute, state, stands) in rows.items():
        one = make(DIVERS[who], NOON + timedelta(minutes=minute), subject)
        stands = stands or state in rules.OPEN_STATES
        table[one.key] = rules.Standing(*one.key, one.due_at, one.facts, state, stands)
    wanted = wanted_of(record, DIVERS)
    once = after(table, rules.changes(wanted, table.values()))
    assert not rules.changes(wanted, once.values())
    assert {key for key, row in once.items() if row.stands and row.state != rules.CANCELLED} == {
        one.key for one in wanted
    }
    for one in wanted:
        assert once[one.key].due_at == one.due_at
    for key, row in table.items():
        if row.state in (rules.SENT, rules.WITHHELD, rules.FAILED):
            assert once[key].state == row.state


@pytest.mark.django_db
@settings(
    max_examples=60,
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(STEP, min_size=1, max_size=6))
def test_in_the_database_reconcile_is_idempotent_and_delivery_single(db: None, steps: Any) -> None:
    with transaction.atomic():
        club = cast.make()
        divers = tuple(diver.pk for diver in club.divers)
        wanted: list[rules.Wanted] = []
        told: set[rules.Key] = set()
        for kind, value in steps:
            if kind == "record":
                wanted = wanted_of(value, divers)
                services.reconcile(trip=club.trip, wanted=wanted, now=NOON)
                rows = list(Reminder.objects.values())
                assert not services.reconcile(trip=club.trip, wanted=wanted, now=NOON)
                assert list(Reminder.objects.values()) == rows
            else:
                now = NOON + timedelta(minutes=value)
                while services.deliver_due(now=now):
                    pass
                told |= {one.key for one in wanted if one.due_at <= now}
            open_rows = {
                (row.kind, row.diver_id, row.subject)
                for row in Reminder.objects.filter(state__in=rules.OPEN_STATES)
            }
            assert open_rows == {one.key for one in wanted} - told
            messages = [
                (m.reminder.kind, m.reminder.diver_id, m.reminder.subject)
                for m in InboxMessage.objects.select_related("reminder")
            ]
            assert len(messages) == len(set(messages))
            assert set(messages) == told
        transaction.set_rollback(True)
