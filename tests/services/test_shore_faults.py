"""False all-clears and lost alarms: workers that end, logs that cannot be read, clocks that are wrong."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.core import mail

from teamdive.deck import selectors as deck
from teamdive.reminders import rules, selectors, selectors_shore, services, services_shore
from teamdive.reminders.models import Reminder
from teamdive.trips.models import Trip
from tests.boat_scene import Phone
from tests.shore_cast import (
    Shore,
    called,
    hand_in,
    left_port,
    left_without_b,
    overdue,
    say,
    stands,
    sweep,
    told,
    utc,
    waiting,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def shore(shore: Shore) -> Shore:
    """As for every test of the alarm ashore, with the float plan told before."""
    mail.outbox.clear()
    return shore


def test_a_worker_that_ends_between_taking_a_log_in_and_looking_at_it_loses_no_alarm(
    shore: Shore, monkeypatch: pytest.MonkeyPatch
) -> None:
    sweep(shore, "10:00")
    hand_in(shore, left_without_b(), "10:52")
    with monkeypatch.context() as killed:
        killed.setattr(services_shore, "look", lambda **_: None)
        assert services.take_in(trip_id=shore.club.trip.pk, now=utc("10:53"))
    assert selectors.behind(utc("10:54")) == []  # taken in, and never looked at
    sweep(shore, "10:54")
    assert called() == [("not_accounted_for", "Bryn Tal", 0)]
    assert selectors_shore.due(utc("10:55")) == []


def test_a_log_that_cannot_be_taken_in_is_looked_at_for_those_ashore_all_the_same(
    shore: Shore, monkeypatch: pytest.MonkeyPatch
) -> None:
    hand_in(shore, left_without_b(), "10:52")

    def broken(trip: object, now: object) -> None:
        raise ValueError("the intervals of this log cannot be worked out")

    monkeypatch.setattr(selectors, "ought", broken)
    assert not services.take_in(trip_id=shore.club.trip.pk, now=utc("10:53"))
    services.deliver_due(now=utc("10:53"))
    assert called() == [("not_accounted_for", "Bryn Tal", 0)]


def test_a_log_that_cannot_be_read_any_more_ends_no_alarm(
    shore: Shore, monkeypatch: pytest.MonkeyPatch
) -> None:
    phone = left_without_b()
    hand_in(shore, phone, "10:52")
    sweep(shore, "10:53")
    phone.write("note", "trip", "10:57")
    hand_in(shore, phone, "10:58")

    def broken(trip_id: object) -> None:
        raise ValueError("this log cannot be folded")

    monkeypatch.setattr(deck, "state_of", broken)
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("10:58"))
    services.deliver_due(now=utc("10:58"))
    assert stands(shore, "10:58") == "raised" and told() == ["ALARM", "Float plan", "ALARM"]
    assert "cannot be read" in mail.outbox[-1].body and "Person 1" in mail.outbox[-1].body
    assert selectors_shore.due(utc("10:59")) == [shore.club.trip.pk]  # and is asked again soon


def test_a_log_that_is_busy_for_a_moment_is_asked_once_more(
    shore: Shore, monkeypatch: pytest.MonkeyPatch
) -> None:
    hand_in(shore, left_without_b(), "10:52")
    real, asked = deck.state_of, []

    def busy(trip_id: object) -> object:
        asked.append(trip_id)
        if len(asked) == 1:
            raise OSError("database is locked")
        return real(trip_id)

    monkeypatch.setattr(deck, "state_of", busy)
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("10:53"))
    services.deliver_due(now=utc("10:53"))
    assert called() == [("not_accounted_for", "Bryn Tal", 0)]


def test_a_departure_that_is_taken_back_finds_nobody(shore: Shore) -> None:
    """b came up, was not picked up, and the boat left; then it says that it did not leave."""
    phone = left_port()
    phone.down("09:40")
    phone.up("10:05")
    phone.back("10:10", "a")
    left = phone.write("departed", "trip", "10:51", place="site")
    hand_in(shore, phone, "10:51")
    sweep(shore, "10:51")
    assert told() == ["ALARM", "Float plan"]
    said = {"corrects": left.id, "reason": "did_not_happen", "void": True}
    phone.write("correction", "trip", "10:51:30", **said)
    hand_in(shore, phone, "10:52")
    for moment in ("10:53", "10:58"):
        sweep(shore, moment)
    assert "The alarm is over" not in told() and stands(shore, "10:58") == "raised"
    phone.back("11:20", "b")
    hand_in(shore, phone, "11:21")
    sweep(shore, "11:22")
    assert told()[-1] == "The alarm is over"


def test_a_clock_put_right_ends_no_overdue_of_somebody_who_is_still_down(shore: Shore) -> None:
    phone, fast = overdue("10:28"), Phone("p2")
    fast.write("marker_seen", "t1", "10:39")
    for one in (phone, fast):
        hand_in(shore, one, "10:40")
    sweep(shore, "10:41")
    assert called() == [("overdue", "Bryn Tal", 0)]
    # It was an hour fast, so that by the log the newest entry is of before they were overdue for as long again.
    fast.write("clock_compared", "p2", "10:42", offset_ms=-3_600_000, error_ms=500)
    hand_in(shore, fast, "10:42")
    sweep(shore, "10:46")
    assert "The alarm is over" not in told() and stands(shore, "10:46") == "raised"
    phone.up("10:50")
    hand_in(shore, phone, "10:51")
    sweep(shore, "10:52")
    assert told()[-1] == "The alarm is over"


def test_somebody_found_who_dives_again_is_not_left_behind(shore: Shore) -> None:
    phone = left_without_b()
    hand_in(shore, phone, "10:52")
    sweep(shore, "10:53")
    phone.back("11:20", "b")
    phone.down("12:30", dive="d2", team="t1b")
    hand_in(shore, phone, "12:31")
    sweep(shore, "12:32")
    assert told()[-1] == "The alarm is over" and stands(shore, "12:32") == "armed"


def test_a_phone_an_hour_slow_whose_clock_was_compared_opens_a_home_of_before(shore: Shore) -> None:
    services_shore.say(plan=shore.plan, what="home", by="Bryn Tal", now=utc("09:30"))
    assert stands(shore, "09:31") == "home"
    phone = Phone("p1")
    phone.holds("07:10", "s")
    # An hour behind the server: written 08:40, happened 09:40.
    phone.write("clock_compared", "p1", "08:35", offset_ms=3_600_000, error_ms=500)
    phone.down("08:40")
    hand_in(shore, phone, "09:41")
    assert stands(shore, "09:42") == "armed"


def test_a_phone_an_hour_slow_is_overdue_at_the_right_time(shore: Shore) -> None:
    phone = left_port(7)
    phone.down("08:40")
    phone.write("marker_seen", "t1", "09:38")
    hand_in(shore, phone, "10:39")
    sweep(shore, "10:40")
    assert called() == []  # an hour old by its own clock: it may be a log of before
    phone.write("clock_compared", "p1", "09:39", offset_ms=3_600_000, error_ms=500)
    hand_in(shore, phone, "10:40")
    sweep(shore, "10:41")
    assert {kind for kind, _, _ in called()} == {"overdue"}


def test_a_claim_or_a_wait_of_a_clock_that_was_put_back_holds_no_alarm(shore: Shore) -> None:
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:00"))
    ahead = utc("17:00") + timedelta(days=365)
    alarm = Reminder.objects.filter(call=rules.ALARM)
    alarm.update(state=rules.WAITING, try_at=ahead)
    held = services.claim(now=utc("17:00"))
    assert rules.ALARM in {row.call for row in held}
    alarm.update(leased_until=ahead)
    assert [row.call for row in services.claim(now=utc("17:00"))] == [rules.ALARM]
    # A lease that holds is not taken away.
    assert services.claim(now=utc("17:00")) == []


def test_a_club_that_calls_less_often_from_now_on_skips_no_call(shore: Shore) -> None:
    for minute in (0, 5, 10, 15):
        sweep(shore, f"17:{minute:02d}")
    shore.club.club.shore_call_every_min = 10
    shore.club.club.save()
    for minute in (20, 25, 30, 35):
        sweep(shore, f"17:{minute:02d}")
    due = Reminder.objects.filter(call=rules.ALARM, contact=shore.mailed).order_by("due_at")
    assert [f"{row.due_at:%H:%M}" for row in due][-2:] == ["17:20", "17:30"]


def test_an_alarm_that_ended_while_a_worker_held_it_is_not_sent(shore: Shore) -> None:
    phone = left_without_b()
    hand_in(shore, phone, "10:52")
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("10:53"))
    held = [row for row in services.claim(now=utc("10:53")) if row.call == rules.ALARM]
    phone.back("10:54", "b")
    hand_in(shore, phone, "10:54")  # came in, and nobody has looked at it yet
    services.deliver(reminders=held, now=utc("10:54"))
    assert "ALARM" not in told()


def test_a_day_over_midnight_says_which_day(settings: object) -> None:
    settings.MAIL_SET_UP = True
    shore = waiting(back_by=utc("00:30") + timedelta(days=1))
    sweep(shore, "23:59")
    assert called() == [] and "Back by Sunday 00:30" in mail.outbox[0].body
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("00:30") + timedelta(days=1))
    services.deliver_due(now=utc("00:30") + timedelta(days=1))
    assert called() == [("back_by_passed", "Bryn Tal", 0)]
    assert "had to be back by Sunday 00:30" in mail.outbox[-1].body


@pytest.mark.parametrize(
    ("clock", "zone", "said"),
    [
        # The IANA time zone database: summer time ends on 31 October 2027 at 01:00 UTC.
        ("00:30", "Europe/Berlin", "Sunday 02:30 CEST"),
        ("01:30", "Europe/Berlin", "Sunday 02:30 CET"),
        ("00:30", "Atlantic/Azores", "Sunday 00:30 UTC+00"),
        ("01:30", "Atlantic/Azores", "Sunday 00:30 UTC-01"),
        ("02:30", "Europe/Berlin", "Sunday 03:30"),
    ],
)
def test_the_hour_that_a_night_has_twice_says_which(clock: str, zone: str, said: str) -> None:
    hours, minutes = map(int, clock.split(":"))
    instant = datetime(2027, 10, 31, hours, minutes, tzinfo=UTC)
    assert rules.clock_time(instant, zone, weekday=True) == said


def test_calls_go_on_in_step_when_the_clocks_are_put_back(settings: object) -> None:
    """Back by 00:50 of the summer's last night on the Azores; ten minutes later the clocks say 00:00 again."""
    settings.MAIL_SET_UP = True
    back_by = datetime(2027, 10, 31, 0, 50, tzinfo=UTC)
    shore = waiting(back_by=back_by)
    for minutes in range(0, 21):
        services_shore.look(trip_id=shore.club.trip.pk, now=back_by + timedelta(minutes=minutes))
        services.deliver_due(now=back_by + timedelta(minutes=minutes))
    assert [number for _, name, number in called() if name == "Bryn Tal"] == [0, 1, 2, 3, 4]


def test_after_a_restored_backup_those_ashore_are_told_anew_until_when_they_wait(shore: Shore) -> None:
    """A change of after the copy is lost: they would else rely on an alarm at another time."""
    sweep(shore, "08:01")
    planned = Trip.objects.create(club=shore.club.club, name="To the Kelp Garden", starts_at=utc("07:00"))
    said = services_shore.after_restore(now=utc("12:00"))
    assert len(said) == 2
    assert f"{planned.name} is not ready in this copy, so that nobody ashore is alarmed" in said[0]
    assert "Two dives at the Teeth are told again" in said[1]
    sweep(shore, "12:01")
    assert told() == ["Float plan", "Float plan"]
    sweep(shore, "17:00")
    assert told()[-1] == "ALARM"
    assert services_shore.after_restore(now=utc("12:00") + timedelta(days=60)) == []


def test_what_is_said_last_counts_also_after_the_clock_was_put_back(shore: Shore) -> None:
    say(shore, "home", "16:00")
    say(shore, "not_home", "16:30")
    say(shore, "home", "15:30")  # an hour later, by a clock that was put back by two
    assert stands(shore, "16:00") == "home"
