"""More than was taken, an end that is taken back, and alarms that nobody takes: whoever was alarmed hears of each.

How an alarm that nobody takes goes on (each contact their calls, then the club's leaders, then every half hour) is our
own choice: no figure is published.
"""

from __future__ import annotations

from datetime import datetime

import pytest
from django.core import mail

from teamdive.people.models import Membership
from teamdive.reminders import rules, selectors_shore, services_shore
from teamdive.reminders.models import InboxMessage, Reminder, ShoreWatch
from teamdive.trips.models import ShoreContact
from teamdive.trips.services import UnableToKeepTrip
from tests.boat_scene import Phone
from tests.shore_cast import BRYN, Shore, called, hand_in, left_without_b, say, stands, sweep, utc

pytestmark = pytest.mark.django_db
EDDA = "edda@skerry.example"


@pytest.fixture
def shore(shore: Shore) -> Shore:
    """As for every test of the alarm ashore, with the float plan told before."""
    mail.outbox.clear()
    return shore


def alarm_mails() -> list[str]:
    return [message.body for message in mail.outbox if message.subject.startswith("ALARM")]


def subjects(to: str = BRYN) -> list[str]:
    return [message.subject.split(":")[0] for message in mail.outbox if message.to == [to]]


def left_without_both() -> Phone:
    """As left_without_b, and then a goes back in and the boat leaves the next site without a as well."""
    phone = left_without_b()
    phone.write("person_went_in", "a", "12:00")
    phone.write("departed", "trip", "12:30", place="site")
    return phone


def without_edda(shore: Shore, at: str, back_by: datetime | None = None) -> None:
    services_shore.change(
        trip=shore.club.trip,
        back_by=back_by or utc("17:00"),
        if_not_heard="",
        contacts=[{"id": shore.mailed.pk, "name": "Bryn Tal", "email": BRYN}],
        positions={},
        now=utc(at),
    )


def without_bryn(shore: Shore, at: str) -> None:
    services_shore.change(
        trip=shore.club.trip,
        back_by=utc("17:00"),
        if_not_heard="",
        contacts=[{"id": shore.member.pk, "name": "Edda Lorn", "diver": shore.member.diver}],
        positions={},
        now=utc(at),
    )


def test_more_people_missing_are_told_to_whoever_has_it_first_and_then_to_the_others(shore: Shore) -> None:
    hand_in(shore, left_without_b(), "10:52")
    sweep(shore, "10:53")
    say(shore, "acknowledged", "10:55", by="Edda Lorn", contact=shore.member)
    sweep(shore, "11:30")
    assert stands(shore, "11:30") == "acknowledged" and len(called()) == 1
    hand_in(shore, left_without_both(), "12:31")
    sweep(shore, "12:32")
    assert stands(shore, "12:32") == "raised"
    assert called()[1:] == [("not_accounted_for", "Edda Lorn", 0)]
    (text,) = [one.text for one in InboxMessage.objects.filter(reminder__call=rules.ALARM)]
    assert "left the site without Person 0 and Person 1: not accounted for" in text
    assert "There is more than when Edda Lorn took it, Saturday 10:55" in text
    sweep(shore, "12:46")
    assert sorted(name for _, name, number in called() if number == 3) == ["Bryn Tal", "Edda Lorn"]
    say(shore, "acknowledged", "12:47", by="Edda Lorn", contact=shore.member)
    assert stands(shore, "12:47") == "acknowledged"


def test_fewer_people_missing_is_no_new_alarm(shore: Shore) -> None:
    phone = left_without_both()
    hand_in(shore, phone, "12:31")
    sweep(shore, "12:32")
    say(shore, "acknowledged", "12:33")
    phone.back("12:50", "b")
    hand_in(shore, phone, "12:51")
    sweep(shore, "12:52")
    assert stands(shore, "12:52") == "acknowledged" and len(called()) == 1
    assert "The alarm is over" not in subjects()


def test_the_rescue_service_has_what_was_known_then_and_more_is_told_anew(shore: Shore) -> None:
    hand_in(shore, left_without_b(), "10:52")
    sweep(shore, "10:53")
    say(shore, "handed_over", "10:56")
    assert stands(shore, "10:56") == "handed_over"
    hand_in(shore, left_without_both(), "12:31")
    sweep(shore, "12:32")
    assert stands(shore, "12:32") == "raised" and len(alarm_mails()) == 2
    assert "without Person 0: not accounted for" in alarm_mails()[-1]
    say(shore, "handed_over", "12:33")
    assert stands(shore, "16:59") == "handed_over"
    # A boat that then does not come back either is another thing.
    sweep(shore, "17:00")
    assert stands(shore, "17:00") == "raised"


def test_home_said_before_it_was_known_that_somebody_is_missing_does_not_hold(shore: Shore) -> None:
    sweep(shore, "08:01")
    say(shore, "home", "15:00")
    sweep(shore, "15:01")
    hand_in(shore, left_without_b(), "15:30")
    sweep(shore, "15:31")
    sweep(shore, "15:32")
    assert stands(shore, "15:32") == "raised"
    assert sorted(subjects()[-2:]) == ["ALARM", "Float plan, you wait again"]
    say(shore, "home", "15:40")  # the page asks: all home, Person 1 too
    assert stands(shore, "15:41") == "home"


def test_whoever_was_alarmed_and_taken_off_the_list_hears_that_it_is_over(shore: Shore) -> None:
    phone = left_without_b()
    hand_in(shore, phone, "10:52")
    sweep(shore, "10:53")
    without_bryn(shore, "10:55")
    phone.back("11:20", "b")
    hand_in(shore, phone, "11:21")
    sweep(shore, "11:22")
    assert subjects()[-1] == "The alarm is over"
    assert "Nothing is asked of you: Edda Lorn ashore wait for the boat" in mail.outbox[-1].body
    assert "You still wait" not in mail.outbox[-1].body and "/ashore/" not in mail.outbox[-1].body


def test_whoever_was_alarmed_and_taken_off_hears_that_all_are_home_and_that_it_was_wrong(
    shore: Shore,
) -> None:
    sweep(shore, "08:01")
    sweep(shore, "17:00")
    without_bryn(shore, "17:02")
    sweep(shore, "17:03")
    assert subjects()[-1] == "ALARM"
    say(shore, "home", "17:10", contact=shore.member, by="Edda Lorn")
    sweep(shore, "17:11")
    assert subjects()[-1] == "All home"
    say(shore, "not_home", "17:12", contact=shore.member, by="Edda Lorn")
    sweep(shore, "17:13")
    assert subjects()[-1] == "Not home after all"
    assert "that all are home no longer holds. Nothing is asked of you" in mail.outbox[-1].body


def test_another_address_is_another_person(shore: Shore) -> None:
    sweep(shore, "17:00")
    contacts = [{"id": shore.mailed.pk, "name": "Bryn Tal", "email": "other@skerry.example"}]
    services_shore.change(
        trip=shore.club.trip,
        back_by=utc("17:00"),
        if_not_heard="",
        contacts=contacts,
        positions={},
        now=utc("17:02"),
    )
    say(shore, "home", "17:04")
    sweep(shore, "17:05")
    assert subjects()[-1] == "All home" and subjects("other@skerry.example")[-1] == "All home"


def test_who_has_an_alarm_and_is_taken_off_has_it_no_more(shore: Shore) -> None:
    sweep(shore, "17:00")
    say(shore, "acknowledged", "17:01", contact=shore.mailed)
    assert stands(shore, "17:02") == "acknowledged"
    without_bryn(shore, "17:03")
    sweep(shore, "17:04")
    assert stands(shore, "17:04") == "raised"
    assert called()[-1][1] == "Edda Lorn"


def test_who_was_called_is_not_erased_before_they_hear_the_end(shore: Shore) -> None:
    sweep(shore, "17:00")
    with pytest.raises(UnableToKeepTrip) as refused:
        services_shore.erase(contact=shore.mailed, now=utc("17:01"))
    assert refused.value.code == "alarm_open"
    assert ShoreContact.objects.get(pk=shore.mailed.pk).email == BRYN
    say(shore, "home", "17:02")
    services_shore.erase(contact=shore.mailed, now=utc("17:03"))
    sweep(shore, "17:04")
    assert Reminder.objects.filter(contact=shore.mailed, state=rules.WAITING).count() == 0


def test_an_alarm_that_nobody_takes_is_told_to_the_leaders_and_goes_on_every_half_hour(shore: Shore) -> None:
    chair = Membership.objects.get(user=shore.club.users[2])  # who leads, aboard or not
    assert chair.role == "leader"
    for minute in range(0, 150):  # 17:00 to 19:29
        sweep(shore, f"{17 + minute // 60}:{minute % 60:02d}")
    own = [row for row in called() if row[1] == "Bryn Tal"]
    # Two contacts, three calls each, five minutes apart; then 17:30, 18:00, 18:30, 19:00.
    due = Reminder.objects.filter(call=rules.ALARM, contact=shore.mailed).order_by("due_at")
    assert [f"{row.due_at:%H:%M}" for row in due] == [
        "17:00", "17:05", "17:10", "17:15", "17:20", "17:25", "17:30", "18:00", "18:30", "19:00",
    ]  # fmt: skip
    assert len(own) == 10
    assert stands(shore, "17:29") == "raised" and stands(shore, "17:30") == "untaken"
    assert ShoreWatch.objects.get().stands == "untaken"
    (told,) = InboxMessage.objects.filter(reminder__kind="untaken")
    assert told.user == shore.club.users[2] and told.reminder.due_at == utc("17:30")
    assert "Everybody ashore was called, and nobody has taken it" in told.text
    assert "Bryn Tal 555 0199 and Edda Lorn" in told.text
    assert "From now on it comes every 30 min" in alarm_mails()[-1]
    assert "every 5 min until somebody" in alarm_mails()[0]
    page = selectors_shore.page(shore.club.trip, shore.plan, utc("19:29"))
    assert page.stands == "untaken"
    services_shore.say(
        plan=shore.plan, what="acknowledged", by="Person 2", user=shore.club.users[2], now=utc("19:30")
    )
    assert stands(shore, "19:30") == "acknowledged"
    say(shore, "home", "19:40")
    sweep(shore, "19:41")
    last = InboxMessage.objects.filter(user=shore.club.users[2]).order_by("sent_at").last()
    assert last is not None and last.reminder.kind == "all_home"


def test_a_leader_who_took_it_at_the_desk_is_told_of_more_in_the_inbox(shore: Shore) -> None:
    leader = shore.club.users[2]
    hand_in(shore, left_without_b(), "10:52")
    sweep(shore, "10:53")
    services_shore.say(plan=shore.plan, what="acknowledged", by="Person 2", user=leader, now=utc("10:55"))
    hand_in(shore, left_without_both(), "12:31")
    sweep(shore, "12:32")
    assert [one.reminder.kind for one in InboxMessage.objects.filter(user=leader)] == ["not_accounted_for"]
    assert called()[-1] == ("not_accounted_for", "Bryn Tal", 0)


def test_what_was_over_and_is_open_again_is_raised_anew_whoever_had_it(shore: Shore) -> None:
    phone = left_without_b()
    hand_in(shore, phone, "10:52")
    sweep(shore, "10:53")
    say(shore, "acknowledged", "10:55")
    back = phone.back("11:20", "b")
    hand_in(shore, phone, "11:21")
    sweep(shore, "11:22")
    assert subjects()[-1] == "The alarm is over"
    # It was not b who climbed the ladder: two people say so, so that nobody has met b.
    said = {"corrects": back.id, "reason": "wrong_person", "void": True}
    for by in "sa":
        phone.write("correction", "b", "11:40", by=by, **said)
    hand_in(shore, phone, "11:41")
    sweep(shore, "11:42")
    assert stands(shore, "11:42") == "raised"
    assert subjects()[-1] == "ALARM" and called()[-1] == ("not_accounted_for", "Bryn Tal", 0)
    phone.back("12:20", "b")
    hand_in(shore, phone, "12:21")
    sweep(shore, "12:22")
    assert subjects()[-1] == "The alarm is over" and subjects().count("The alarm is over") == 2


def test_all_home_that_holds_again_is_told_again(shore: Shore) -> None:
    sweep(shore, "08:01")
    say(shore, "home", "15:00")
    sweep(shore, "15:01")
    phone = left_without_b()
    hand_in(shore, phone, "15:30")
    sweep(shore, "15:31")
    assert "Float plan, you wait again" in subjects()
    # The phone that met b comes in a minute later.
    other = Phone("p2")
    other.back("10:20", "b")
    hand_in(shore, other, "15:32")
    sweep(shore, "15:33")
    assert stands(shore, "15:33") == "home"
    assert subjects()[-1] == "All home"


def test_a_back_by_time_written_anew_after_home_waits_for_the_boat_again(shore: Shore) -> None:
    """Called off on the quay in the morning, and gone out after all in the afternoon."""
    sweep(shore, "08:01")
    say(shore, "home", "09:00")
    sweep(shore, "09:01")
    assert stands(shore, "09:01") == "home"
    without_edda(shore, "12:00", back_by=utc("20:00"))
    sweep(shore, "12:01")
    assert stands(shore, "12:01") == "armed"
    assert subjects()[-1] == "Float plan, you wait again"
    sweep(shore, "20:00")
    assert subjects()[-1] == "ALARM"


def test_a_change_of_contacts_after_home_waits_for_nobody(shore: Shore) -> None:
    say(shore, "home", "16:00")
    without_edda(shore, "16:10")
    assert stands(shore, "16:10") == "home" and stands(shore, "17:30") == "home"
