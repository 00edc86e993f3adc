"""What the server learns late of people who were missing already: no word of before it answers it."""

from __future__ import annotations

import pytest
from django.core import mail

from teamdive.deck import selectors as deck
from teamdive.reminders import selectors_shore, services, services_shore
from tests.boat_scene import Phone
from tests.shore_cast import (
    Shore,
    a_day,
    called,
    hand_in,
    left_port,
    left_without_b,
    overdue,
    say,
    stands,
    sweep,
    utc,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def shore(shore: Shore) -> Shore:
    """As for every test of the alarm ashore, with the float plan told before."""
    sweep(shore, "08:01")
    mail.outbox.clear()
    return shore


def a_went_in_again() -> Phone:
    """Another phone: a went in once more before the boat left, as reached the server long after it."""
    phone = Phone("p2")
    phone.write("person_went_in", "a", "10:40")
    return phone


@pytest.mark.parametrize("what", ["acknowledged", "handed_over"])
def test_who_took_an_alarm_does_not_have_whom_nobody_knew_of_then(shore: Shore, what: str) -> None:
    hand_in(shore, left_without_b(), "10:52")
    sweep(shore, "10:53")
    say(shore, what, "10:55", contact=shore.mailed)
    sweep(shore, "10:56")
    assert len(called()) == 1 and stands(shore, "10:56") == what
    mail.outbox.clear()
    hand_in(shore, a_went_in_again(), "11:20")
    sweep(shore, "11:22")
    assert stands(shore, "11:22") == "raised"
    assert "Person 0" in mail.outbox[-1].body


def test_home_said_before_it_was_known_who_was_left_behind_does_not_hold(shore: Shore) -> None:
    phone = left_port()
    phone.write("departed", "trip", "10:51", place="site")
    hand_in(shore, phone, "10:52")
    sweep(shore, "10:53")
    say(shore, "home", "11:10")
    sweep(shore, "11:11")
    assert stands(shore, "11:11") == "home"
    hand_in(shore, a_went_in_again(), "11:20")
    sweep(shore, "11:22")
    assert stands(shore, "11:22") == "raised"
    assert called() == [("not_accounted_for", "Bryn Tal", 0)]


def test_home_said_before_it_was_known_who_is_overdue_does_not_hold(shore: Shore) -> None:
    phone = left_port()
    hand_in(shore, phone, "08:40")
    say(shore, "home", "11:00")
    sweep(shore, "11:01")
    assert stands(shore, "11:01") == "home"
    phone.down("09:40")
    phone.write("marker_seen", "t1", "11:10")
    hand_in(shore, phone, "11:11")
    sweep(shore, "11:12")
    assert stands(shore, "11:12") == "raised" and called() == [("overdue", "Bryn Tal", 0)]
    # Who says it again, knowing of them, ends it, also for what comes late of them.
    say(shore, "home", "11:20")
    late = Phone("p2")
    late.write("aboard", "b", "08:15")
    hand_in(shore, late, "11:30")
    sweep(shore, "11:31")
    assert stands(shore, "11:31") == "home"


def test_who_took_an_overdue_team_does_not_have_the_team_that_comes_late(shore: Shore) -> None:
    phone = left_port()
    phone.down("09:40", members="a")
    phone.write("marker_seen", "t1", "10:40")
    hand_in(shore, phone, "10:41")
    sweep(shore, "10:42")
    assert called() == [("overdue", "Bryn Tal", 0)]
    say(shore, "acknowledged", "10:45", contact=shore.mailed)
    sweep(shore, "10:46")
    other = Phone("p2")
    other.down("09:41", members="b", team="t9")
    hand_in(shore, other, "10:50")
    sweep(shore, "10:51")
    assert stands(shore, "10:51") == "raised"


def test_home_said_by_who_knew_of_them_holds_whatever_comes_late_about_them(shore: Shore) -> None:
    hand_in(shore, left_without_b(), "10:52")
    sweep(shore, "10:53")
    say(shore, "home", "11:10")
    sweep(shore, "11:11")
    assert stands(shore, "11:11") == "home"
    late = Phone("p2")
    late.write("aboard", "b", "08:15")
    hand_in(shore, late, "11:20")
    sweep(shore, "11:22")
    assert stands(shore, "11:22") == "home"


def test_a_home_that_the_log_took_back_does_not_hold_again_once_it_cannot_be_read(
    shore: Shore, monkeypatch: pytest.MonkeyPatch
) -> None:
    phone = a_day(home=False)
    hand_in(shore, phone, "11:00")
    say(shore, "home", "11:40")
    sweep(shore, "11:41")
    phone.down("14:00", dive="d2")
    hand_in(shore, phone, "14:05")
    sweep(shore, "14:06")
    assert stands(shore, "14:06") == "armed"

    def broken(trip_id: object) -> None:
        raise ValueError("this log cannot be folded")

    monkeypatch.setattr(deck, "state_of", broken)
    assert stands(shore, "14:10") == "armed"
    assert selectors_shore.due(utc("17:00")) == [shore.club.trip.pk]
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:00"))
    services.deliver_due(now=utc("17:00"))
    assert called() == [("back_by_passed", "Bryn Tal", 0)]
    say(shore, "home", "17:10")
    assert stands(shore, "17:11") == "home"


def test_who_was_told_of_beside_another_alarm_is_missed_until_the_log_says_otherwise(shore: Shore) -> None:
    """Overdue, and while it is called for, the boat leaves without them; that is taken back, and they come up."""
    phone = overdue("10:40")
    hand_in(shore, phone, "10:41")
    sweep(shore, "10:42")
    left = phone.write("departed", "trip", "10:51", place="site")
    hand_in(shore, phone, "10:52")
    sweep(shore, "10:53")
    assert "left the site without Person 0 and Person 1" in mail.outbox[-1].body
    phone.up("11:00")
    phone.write("correction", "trip", "11:02", corrects=left.id, reason="mistyped", void=True)
    phone.write("correction", "trip", "11:02", corrects=left.id, reason="mistyped", void=True, by="a")
    hand_in(shore, phone, "11:03")
    sweep(shore, "11:04")
    assert stands(shore, "11:04") == "raised"
    phone.back("11:10", "a")
    phone.back("11:10", "b")
    hand_in(shore, phone, "11:11")
    sweep(shore, "11:12")
    assert mail.outbox[-1].subject.startswith("The alarm is over") and stands(shore, "11:12") == "armed"
