"""The alarm ashore: who is called when, what stops a call, what ends the duty, and what is no alarm.

How often a contact is called and when the next one is called as well is the club's own setting (no figure is
published); that an alarm goes on to the next named person until one has it is common practice, no source.
"""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core import mail

from teamdive.boatlog.entries import body, text_hash
from teamdive.deck import selectors as deck
from teamdive.deck.services import store
from teamdive.people.models import Club, Diver
from teamdive.reminders import delivery, rules, rules_shore, selectors_shore, services, services_shore
from teamdive.reminders.models import InboxMessage, Reminder, ShoreWatch
from teamdive.trips import services_shore as trips
from teamdive.trips.models import ShoreContact, ShoreSaid
from teamdive.trips.services import UnableToKeepTrip
from tests.boat_scene import Phone
from tests.shore_cast import BRYN, Shore, a_day, hand_in, say, sweep, utc, waiting

pytestmark = pytest.mark.django_db


@pytest.fixture
def shore(settings: object) -> Shore:
    settings.MAIL_SET_UP = True
    return waiting()


def stands(shore: Shore, at: str) -> str:
    shore.plan.refresh_from_db()
    return rules_shore.stands(selectors_shore.duty(shore.club.trip, shore.plan), utc(at))


def called() -> list[tuple[str, str, int]]:
    """Every alarm that was made: kind, name, number of the call; in order."""
    rows = Reminder.objects.filter(call=rules.ALARM, state=rules.SENT).order_by("due_at", "contact__position")
    return [(row.kind, row.contact.name, int(row.subject.split(" ")[-1])) for row in rows if row.contact]


def test_the_float_plan_is_told_once_and_again_when_it_changes(shore: Shore) -> None:
    sweep(shore, "08:01")
    sweep(shore, "08:02")
    assert [message.to for message in mail.outbox] == [[BRYN]]
    sent = mail.outbox[0]
    assert sent.subject == "Float plan: Two dives at the Teeth, back by Saturday 17:00"
    for told in (
        "3 people: Person 0, Person 1 and Person 2",
        "Harbour watch, 555 0100",
        "Back by Saturday 17:00",
    ):
        assert told in sent.body
    assert "/ashore/" in sent.body
    assert [message.user for message in InboxMessage.objects.all()] == [shore.account]
    kept = [{"id": shore.mailed.pk, "name": "Bryn Tal", "email": BRYN}]
    services_shore.change(
        trip=shore.club.trip,
        back_by=utc("18:00"),
        if_not_heard="",
        contacts=kept,
        positions={},
        now=utc("09:00"),
    )
    sweep(shore, "09:01")
    assert [message.subject[-5:] for message in mail.outbox] == ["17:00", "18:00"]
    assert InboxMessage.objects.count() == 1  # who was taken off is told no more


def test_silence_at_sea_is_no_alarm_before_back_by_and_one_at_it(shore: Shore) -> None:
    sweep(shore, "16:59")
    assert called() == [] and stands(shore, "16:59") == "armed"
    sweep(shore, "17:00")
    assert called() == [("back_by_passed", "Bryn Tal", 0)] and stands(shore, "17:00") == "raised"
    alarm = mail.outbox[-1]
    assert alarm.subject == "ALARM: Two dives at the Teeth, 3 people"
    assert "had to be back by Saturday 17:00, and nobody has said that all are home" in alarm.body
    assert "Nothing was heard of the boat yet" in alarm.body and "They decide what is done" in alarm.body
    assert alarm.extra_headers["Importance"] == "high"


def test_it_calls_until_a_named_person_has_it_and_goes_on_to_the_next(shore: Shore) -> None:
    for minute in range(60, 60 + 26):  # 17:00 to 17:25, one sweep a minute
        sweep(shore, f"{16 + minute // 60}:{minute % 60:02d}")
    assert called() == [
        ("back_by_passed", "Bryn Tal", 0),
        ("back_by_passed", "Bryn Tal", 1),
        ("back_by_passed", "Bryn Tal", 2),
        ("back_by_passed", "Bryn Tal", 3),
        ("back_by_passed", "Edda Lorn", 3),
        ("back_by_passed", "Bryn Tal", 4),
        ("back_by_passed", "Edda Lorn", 4),
        ("back_by_passed", "Bryn Tal", 5),
        ("back_by_passed", "Edda Lorn", 5),
    ]
    say(shore, "acknowledged", "17:26", by="Edda Lorn", contact=shore.member)
    sweep(shore, "18:30")
    assert len(called()) == 9 and stands(shore, "18:30") == "acknowledged"
    say(shore, "home", "18:40")
    assert stands(shore, "18:40") == "home"
    sweep(shore, "18:41")
    assert mail.outbox[-1].subject == "All home: Two dives at the Teeth"
    assert "Bryn Tal said so Saturday 18:40" in mail.outbox[-1].body


def test_a_worker_that_was_away_makes_the_call_of_the_moment_not_all_it_missed(shore: Shore) -> None:
    sweep(shore, "08:01")
    mail.outbox.clear()
    sweep(shore, "18:02")
    assert called() == [("back_by_passed", "Bryn Tal", 12), ("back_by_passed", "Edda Lorn", 12)]
    assert len(mail.outbox) == 1


def test_all_home_takes_a_call_back_that_a_worker_holds(shore: Shore) -> None:
    sweep(shore, "08:01")
    mail.outbox.clear()
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:00"))
    held = services.claim(now=utc("17:00"))
    assert [row.kind for row in held] == ["back_by_passed"]
    say(shore, "home", "17:00")
    services.deliver(reminders=held, now=utc("17:00"))
    assert mail.outbox == []
    assert Reminder.objects.get(pk=held[0].pk).state == rules.CANCELLED


def test_who_said_home_by_mistake_puts_the_alarm_back(shore: Shore) -> None:
    sweep(shore, "17:00")
    say(shore, "home", "17:02")
    sweep(shore, "17:03")
    say(shore, "not_home", "17:04")
    sweep(shore, "17:05")
    assert stands(shore, "17:05") == "raised"
    assert called()[-1] == ("back_by_passed", "Bryn Tal", 1)
    # Everyone who was told that all are home is told that they wait again.
    assert [message.subject.split(":")[0] for message in mail.outbox][-2:] == [
        "ALARM",
        "Float plan, you wait again",
    ]
    assert mail.outbox[-1].body.startswith("You wait for this boat again: that all are home no longer holds.")


def test_a_boat_that_goes_out_again_after_its_end_is_waited_for_again(shore: Shore) -> None:
    phone = a_day()
    hand_in(shore, phone, "11:40")
    sweep(shore, "11:41")
    phone.down("12:30", dive="d2", team="t1b")
    hand_in(shore, phone, "12:31")
    for moment in ("12:32", "12:33", "12:34"):
        sweep(shore, moment)
    assert stands(shore, "12:34") == "armed"
    assert [message.subject.split(":")[0] for message in mail.outbox] == [
        "All home",
        "Float plan, you wait again",
    ]
    sweep(shore, "17:00")
    assert called() == [("back_by_passed", "Bryn Tal", 0)]


def test_a_name_that_has_it_before_back_by_was_moved_quietens_nothing_new(shore: Shore) -> None:
    sweep(shore, "17:00")
    say(shore, "acknowledged", "17:01")
    kept = [{"id": shore.mailed.pk, "name": "Bryn Tal", "email": BRYN}]
    services_shore.change(
        trip=shore.club.trip,
        back_by=utc("19:00"),
        if_not_heard="",
        contacts=kept,
        positions={},
        now=utc("17:05"),
    )
    assert stands(shore, "17:05") == "armed"
    sweep(shore, "19:00")
    assert stands(shore, "19:00") == "raised" and called()[-1] == ("back_by_passed", "Bryn Tal", 0)


def test_the_rescue_service_having_it_ends_the_calls_and_is_no_home(shore: Shore) -> None:
    sweep(shore, "17:00")
    say(shore, "handed_over", "17:03")
    sweep(shore, "18:00")
    assert stands(shore, "18:00") == "handed_over" and len(called()) == 1
    say(shore, "home", "19:00")
    assert stands(shore, "19:00") == "home"


def test_the_end_of_the_trip_in_the_boat_log_ends_the_duty(shore: Shore) -> None:
    hand_in(shore, a_day(), "11:40")
    sweep(shore, "11:41")
    assert stands(shore, "11:41") == "home"
    assert "Person 2 said so Saturday 11:40" in mail.outbox[-1].body
    sweep(shore, "17:00")
    assert called() == []


def test_an_end_with_somebody_not_accounted_for_ends_nothing(shore: Shore) -> None:
    phone = left_without_b()
    phone.met("11:25", "as", count="c3", place="site")
    phone.write("trip_ended", "trip", "11:30")
    hand_in(shore, phone, "11:40")
    sweep(shore, "11:42")
    assert stands(shore, "11:42") == "raised"
    assert called() == [("not_accounted_for", "Bryn Tal", 0)]


def left_without_b() -> Phone:
    """As a_day, but b never came back aboard; s and a decided to leave."""
    phone = Phone("p1")
    phone.holds("08:10", "s")
    phone.met("08:20", "abs", count="c1", place="port")
    phone.write("departed", "trip", "08:30", place="port")
    phone.down("09:40")
    phone.write("surfaced", "t1", "10:05", dive="d1", people=["a"])
    phone.back("10:10", "a")
    data = {"rule": "departure", "with": "a", "people": ["b"]}
    phone.write("override", "trip", "10:50", text_hash="0" * 64, **data)
    phone.write("departed", "trip", "10:51", place="site")
    return phone


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
    assert ("not_accounted_for", ("Person 1",)) in [(kind, names) for kind, _, names, _ in page.alarms]
    assert all(names == ("Person 1",) for _, _, names, _ in page.alarms)


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


def overdue(until: str) -> Phone:
    """Down at 09:40 for a run of 38 min and 10 min of grace: overdue from 10:28; the phone writes until then."""
    phone = Phone("p1")
    phone.holds("08:10", "s")
    phone.met("08:20", "abs", count="c1", place="port")
    phone.write("departed", "trip", "08:30", place="port")
    phone.down("09:40")
    phone.write("overdue_reached", "t1", "10:28", by=None, people=["a", "b"])
    if until > "10:28":
        phone.write("marker_seen", "t1", until)
    return phone


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
        assert stands(shore, "14:01") == "raised"


def test_mail_that_fails_stops_no_other_channel_and_is_seen(shore: Shore, settings: object) -> None:
    settings.MAIL_SET_UP = False
    say(shore, "acknowledged", "08:05")
    sweep(shore, "17:00")
    sweep(shore, "17:16")
    rows = {
        row.contact.name: row for row in Reminder.objects.filter(call=rules.ALARM, subject__endswith=" 3")
    }
    assert rows["Edda Lorn"].state == rules.SENT
    assert rows["Bryn Tal"].state == rules.WAITING
    assert "this installation sends no mail" in rows["Bryn Tal"].last_error
    # Somebody with both: told in the app although the mail failed, and the failure stands beside it.
    ShoreContact.objects.filter(pk=shore.member.pk).update(email="edda@skerry.example")
    sweep(shore, "17:20")
    both = Reminder.objects.get(call=rules.ALARM, contact=shore.member, subject__endswith=" 4")
    assert both.state == rules.SENT and "sends no mail" in both.last_error
    told = Reminder.objects.get(kind="float_plan", contact=shore.member)
    assert told.state == rules.SENT and "/ashore/" not in told.message.text
    seen = selectors_shore.reached(shore.plan)
    assert {one.state for one in seen} >= {rules.SENT, rules.WAITING}


def test_an_alarm_held_by_a_worker_that_died_is_made_by_the_next(shore: Shore) -> None:
    sweep(shore, "08:01")
    mail.outbox.clear()
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:00"))
    assert len(services.claim(now=utc("17:00"))) == 1  # and then kill -9
    assert services.deliver_due(now=utc("17:00")) == 0
    assert services.deliver_due(now=utc("17:00") + delivery.lease()) == 1
    assert len(mail.outbox) == 1


def test_a_log_that_cannot_be_read_keeps_no_alarm_back(shore: Shore, monkeypatch: pytest.MonkeyPatch) -> None:
    hand_in(shore, a_day(home=False), "10:40")

    def broken(trip_id: object) -> None:
        raise ValueError("this log cannot be folded")

    monkeypatch.setattr(deck, "state_of", broken)
    assert selectors_shore.due(utc("17:00")) == [shore.club.trip.pk]
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:00"))
    services.deliver_due(now=utc("17:00"))
    assert called() == [("back_by_passed", "Bryn Tal", 0)]


def test_a_look_that_is_older_changes_nothing(shore: Shore) -> None:
    sweep(shore, "17:10")
    assert not services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:09"))
    assert ShoreWatch.objects.get().look_again_at == utc("17:15")
    rows = Reminder.objects.filter(call=rules.ALARM)
    assert [row.state for row in rows] == [rules.SENT]


def test_a_clock_that_was_put_back_keeps_no_alarm_waiting(shore: Shore) -> None:
    services_shore.look(trip_id=shore.club.trip.pk, now=utc("17:00") + timedelta(days=365))
    Reminder.objects.filter(call=rules.ALARM).delete()
    sweep(shore, "17:00")
    assert called() == [("back_by_passed", "Bryn Tal", 0)]


def test_a_link_is_signed_and_ends_with_the_duty(shore: Shore) -> None:
    token = selectors_shore.token_of(shore.mailed)
    assert selectors_shore.contact_by(token, utc("12:00")) == shore.mailed
    assert selectors_shore.contact_by(token[:-1] + ("A" if token[-1] != "A" else "B"), utc("12:00")) is None
    assert selectors_shore.contact_by(str(shore.mailed.pk), utc("12:00")) is None
    later = utc("17:00") + timedelta(days=30)
    assert selectors_shore.contact_by(token, later) == shore.mailed  # nobody has said that they are home
    say(shore, "home", "16:00")
    assert selectors_shore.contact_by(token, utc("17:00") + timedelta(hours=48)) == shore.mailed
    assert selectors_shore.contact_by(token, utc("17:00") + timedelta(hours=49)) is None
    ShoreContact.objects.filter(pk=shore.mailed.pk).update(removed_at=utc("12:00"))
    assert selectors_shore.contact_by(token, utc("12:00")) is None


def test_a_contact_is_erased_and_what_was_told_when_stays(shore: Shore) -> None:
    sweep(shore, "17:00")
    say(shore, "acknowledged", "17:01", contact=shore.mailed)
    before = Reminder.objects.filter(contact=shore.mailed).count()
    trips.erase_contact(contact=shore.mailed, now=utc("20:00"))
    erased = ShoreContact.objects.get(pk=shore.mailed.pk)
    assert (erased.name, erased.email, erased.phone, erased.diver) == ("(erased)", "", "", None)
    assert ShoreSaid.objects.get().by == "(erased)"
    assert Reminder.objects.filter(contact=shore.mailed).count() == before


def test_a_boat_that_goes_out_again_is_not_home_whoever_said_so(shore: Shore) -> None:
    phone = a_day(home=False)
    hand_in(shore, phone, "11:00")
    say(shore, "home", "11:40")
    assert stands(shore, "11:41") == "home"
    # Entries of before that come late change nothing of it.
    late = Phone("p2")
    late.write("note", "trip", "10:00")
    hand_in(shore, late, "12:00")
    assert stands(shore, "12:01") == "home"
    phone.down("14:00", dive="d2")
    hand_in(shore, phone, "14:05")
    assert stands(shore, "14:06") == "armed"
    sweep(shore, "17:00")
    assert ("back_by_passed", "Bryn Tal", 0) in called()


def test_a_phone_hours_fast_makes_nobody_overdue(shore: Shore) -> None:
    phone = a_day(home=False)
    phone.down("11:00", dive="d2")
    fast = Phone("p2")
    fast.write("note", "trip", "14:05")
    hand_in(shore, phone, "11:04")
    hand_in(shore, fast, "11:05")
    sweep(shore, "11:06")
    assert stands(shore, "11:06") == "armed" and called() == []


def test_who_is_on_the_boat_or_of_another_club_is_not_ashore(shore: Shore) -> None:
    other = Diver.objects.create(club=Club.objects.create(name="Sallow Head divers"), name="Otto Grey")
    for diver, code in ((shore.club.divers[0], "on_the_boat"), (other, "other_club")):
        with pytest.raises(UnableToKeepTrip) as refused:
            services_shore.change(
                trip=shore.club.trip,
                back_by=utc("17:00"),
                if_not_heard="",
                contacts=[{"diver": diver}],
                positions={},
                now=utc("09:00"),
            )
        assert refused.value.code == code


def test_a_waiting_boat_cannot_be_forgotten_by_taking_the_time_away(shore: Shore) -> None:
    for back_by, contacts, code in (
        (None, [{"name": "Bryn Tal", "email": BRYN}], "alarm_is_armed"),
        (utc("17:00"), [], "nobody_ashore"),
        (utc("07:00"), [{"name": "Bryn Tal", "email": BRYN}], "back_by_before_start"),
        (utc("17:00"), [{"name": "Bryn Tal", "phone": "555"}], "contact_not_reached"),
    ):
        with pytest.raises(UnableToKeepTrip) as refused:
            services_shore.change(
                trip=shore.club.trip,
                back_by=back_by,
                if_not_heard="",
                contacts=contacts,
                positions={},
                now=utc("09:00"),
            )
        assert refused.value.code == code
    assert stands(shore, "09:00") == "armed"


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
