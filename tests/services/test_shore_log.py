"""What the boat log calls ashore for before back-by, and what in it is no alarm."""

from __future__ import annotations

from typing import Any

import pytest
from django.core import mail

from teamdive.boatlog.entries import body, text_hash
from teamdive.deck import selectors as deck
from teamdive.deck.services import store
from teamdive.reminders import selectors_shore, services, services_shore
from tests.boat_scene import Phone
from tests.shore_cast import (
    Shore,
    a_day,
    called,
    hand_in,
    left_without_b,
    overdue,
    stands,
    sweep,
    utc,
)

pytestmark = pytest.mark.django_db


def test_somebody_left_behind_calls_ashore_long_before_back_by(shore: Shore) -> None:
    hand_in(shore, left_without_b(), "10:52")
    sweep(shore, "10:53")
    kinds = {kind for kind, _, _ in called()}
    assert "not_accounted_for" in kinds
    (text,) = [message.body for message in mail.outbox if message.subject.startswith("ALARM")]
    assert "left the site without Person 1: not accounted for. We know it since Saturday 10:52" in text
    assert "Last heard: the boat left its site, Saturday 10:51 (it reached us Saturday 10:52)" in text


def test_that_two_people_looked_at_it_brings_nobody_back(shore: Shore) -> None:
    phone = left_without_b()
    left = phone.entries[-1]
    about = {"code": "departed_not_accounted_for", "entries": [left.id], "with_": "a"}
    phone.write("question_settled", "trip", "11:00", by="s", **about)
    phone.write("joined", "v", "11:05", role="visitor", dives=False, can_lead=False)
    hand_in(shore, phone, "11:06")
    sweep(shore, "11:07")
    page = selectors_shore.page(shore.club.trip, shore.plan, utc("11:07"))
    assert ("not_accounted_for", ("Person 1",)) in [(alarm.kind, alarm.names) for alarm in page.alarms]
    assert all(alarm.names == ("Person 1",) for alarm in page.alarms)


def test_somebody_left_behind_and_found_is_told_to_whoever_was_called(shore: Shore) -> None:
    phone = left_without_b()
    hand_in(shore, phone, "10:52")
    sweep(shore, "10:53")
    phone.back("11:20", "b")
    hand_in(shore, phone, "11:21")
    sweep(shore, "11:22")
    over = [message for message in mail.outbox if message.subject.startswith("The alarm is over")]
    assert len(over) == 1 and "back by Saturday 17:00" in over[0].body
    assert stands(shore, "11:22") == "armed"
    sweep(shore, "11:40")
    assert len([one for one in called() if one[2] > 5]) == 0


@pytest.mark.parametrize(
    ("written", "received", "alarms"),
    [
        ("10:28", "10:29", 0),  # overdue, and then silence: the deck's own alarm, not one ashore
        ("10:37", "10:38", 0),
        ("10:38", "10:39", 1),  # overdue for as long again, by what the phone itself wrote
        ("10:38", "14:00", 0),  # the same log handed in hours later is no news of now
    ],
)
def test_overdue_calls_ashore_only_by_the_log_s_own_time(
    shore: Shore, written: str, received: str, alarms: int
) -> None:
    hand_in(shore, overdue(written), received)
    # Hours of silence change nothing: the server's clock makes nobody overdue.
    sweep(shore, "14:01")
    assert len({kind for kind, _, _ in called()}) == alarms
    if alarms:
        assert {kind for kind, _, _ in called()} == {"overdue"}
        assert stands(shore, "14:01") == "untaken"


def test_a_log_that_cannot_be_read_keeps_no_alarm_back(shore: Shore, monkeypatch: pytest.MonkeyPatch) -> None:
    hand_in(shore, a_day(home=False), "10:40")

    def broken(trip_id: object) -> None:
        raise ValueError("this log cannot be folded")

    monkeypatch.setattr(deck, "state_of", broken)
    assert selectors_shore.due(utc("17:00")) == [shore.club.trip.pk]
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:00"))
    services.deliver_due(now=utc("17:00"))
    assert called() == [("back_by_passed", "Bryn Tal", 0)]


def test_a_phone_hours_fast_makes_nobody_overdue(shore: Shore) -> None:
    phone = a_day(home=False)
    phone.down("11:00", dive="d2")
    fast = Phone("p2")
    fast.write("note", "trip", "14:05")
    hand_in(shore, phone, "11:04")
    hand_in(shore, fast, "11:05")
    sweep(shore, "11:06")
    assert stands(shore, "11:06") == "armed" and called() == []


def test_the_names_of_who_joined_on_the_quay_are_told_too(shore: Shore) -> None:
    phone, salt = Phone("p1"), "0" * 32
    phone.holds("08:10", "s")
    joined = {"role": "visitor", "dives": False, "can_lead": False}
    known = phone.write("joined", "v", "08:15", text_hash=text_hash(salt, "Wanda Oke"), **joined)
    phone.write("joined", "w", "08:16", text_hash=text_hash(salt, "Una Moss"), **joined)
    texts = [{"entry": known.id, "salt": salt, "text": "Wanda Oke"}]
    store(
        trip=shore.club.trip, bodies=[body(entry) for entry in phone.entries], texts=texts, now=utc("08:20")
    )
    page = selectors_shore.page(shore.club.trip, shore.plan, utc("08:30"))
    assert page.people[-2:] == ("Wanda Oke", "somebody whose name is only on the phone")
    assert len(page.people) == 5


def test_who_joined_is_read_at_once_however_many(shore: Shore, django_assert_max_num_queries: Any) -> None:
    def joined(many: int) -> int:
        phone, salt = Phone("p1"), "0" * 32
        phone.holds("08:10", "s")
        texts = []
        for number in range(many):
            name, data = f"Guest {number}", {"role": "visitor", "dives": False, "can_lead": False}
            entry = phone.write("joined", f"v{number}", "08:15", text_hash=text_hash(salt, name), **data)
            texts.append({"entry": entry.id, "salt": salt, "text": name})
        bodies = [body(entry) for entry in phone.entries]
        store(trip=shore.club.trip, bodies=bodies, texts=texts, now=utc("08:20"))
        with django_assert_max_num_queries(100) as asked:
            page = selectors_shore.page(shore.club.trip, shore.plan, utc("08:30"))
        assert f"Guest {many - 1}" in page.people
        return len(asked)

    assert joined(2) == joined(9)
