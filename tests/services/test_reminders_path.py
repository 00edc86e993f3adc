"""The whole path: entries posted by a phone, the status of each diver, two calls each, the inbox.

The figures are those of test_reminders_ought: US Navy air tables (Diving Manual revision 7) and the consensus of
the Flying After Recreational Diving Workshop (2002).
"""

import json
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client

from teamdive.boatlog.entries import body
from teamdive.deck.models import Device
from teamdive.deck.selectors import token_hash
from teamdive.reminders import rules, selectors, services, tasks
from teamdive.reminders.models import InboxMessage, Reminder, Seen
from tests import reminders_cast as cast
from tests.boat_scene import Phone, at, trip_body, uid

pytestmark = pytest.mark.django_db


@pytest.fixture
def club() -> cast.Cast:
    scene = trip_body(teams=[["a", "b"]], depths=(27, 18), bottom_min=(17, 35), run_min=(23, 42))
    return put_to_sea(scene)


def put_to_sea(scene: dict[str, Any]) -> cast.Cast:
    """The trip of a scene with its boat phone enrolled."""
    club = cast.at_sea(scene, leader=uid("s"))
    Device.objects.create(
        id=uid("p1"),
        trip=club.trip,
        label="Boat phone",
        token_hash=token_hash("boat-phone-token"),
        enrolled_at=club.trip.starts_at,
    )
    return club


def client(club: cast.Cast, person: str) -> Client:
    number = [str(booking.pk) for booking in club.bookings].index(uid(person))
    signed_in = Client()
    signed_in.force_login(club.users[number], backend="allauth.account.auth_backends.AuthenticationBackend")
    return signed_in


def post(club: cast.Cast, phone: Phone) -> dict[str, Any]:
    answer = Client().post(
        f"/api/trips/{club.trip.pk}/entries",
        json.dumps({"entries": [body(entry) for entry in phone.entries], "texts": [], "head": None}),
        content_type="application/json",
        headers={"Authorization": "Device boat-phone-token"},
    )
    assert answer.status_code == 200, answer.content
    assert answer.json()["problems"] == []
    return answer.json()


def first_dive(phone: Phone, moved_ms: int = 0) -> None:
    """Both divers at 27 m for 17 min from 09:00, or from so much later."""
    phone.holds(at("08:30") + moved_ms, "s")
    phone.down(at("09:00") + moved_ms, members="ab")
    phone.up(at("09:17") + moved_ms, people="ab")
    for person in "ab":
        phone.back(at("09:30") + moved_ms, person)
        phone.depth(at("09:31") + moved_ms, person, 27)


def utc(clock: str, day: int = 12) -> datetime:
    hour, minute = map(int, clock.split(":"))
    return datetime(2027, 6, day, hour, minute, tzinfo=UTC)


def take_in(now: datetime) -> None:
    for trip_id in selectors.behind(now):
        assert services.take_in(trip_id=trip_id, now=now)
    assert selectors.behind(now) == []


def test_entries_become_status_rows_two_calls_each_and_messages(club: cast.Cast) -> None:
    phone = Phone("p1")
    first_dive(phone)
    post(club, phone)
    take_in(utc("09:45"))

    status = client(club, "s").get(f"/api/trips/{club.trip.pk}/status").json()
    rows = {row["person"]: row for row in status["divers"]}
    for person in "ab":
        row = rows[uid(person)]
        assert (row["surfaced_at"], row["earliest_next_dive_at"], row["no_fly_until"]) == (
            "2027-06-12T09:17:00Z",
            "2027-06-12T10:10:00Z",
            "2027-06-12T21:17:00Z",
        )
        assert row["group"] == "E"
        assert row["next_dive"] == {"id": uid("d2"), "number": 2}
        planned, plane, road = row["why"]
        assert planned == "Dive 2 is planned to 18 m for 35 min."
        for text, altitude in ((plane, "8,000 ft"), (road, "3,281 ft by road")):
            start = f"12 h 00 min after the last surfacing, before going to {altitude} (consensus: 12 h after a single"
            assert text.startswith(start)
            assert "By the table alone" in text and "does not remove it" in text
        # E at 8,000 ft 4:39, at 4,000 ft none (Table 9-6).
        assert "alone 4 h 39 min." in plane and "alone 0 h 00 min." in road
        assert "a road as high counts like one" in road
        assert row["no_road"] == {"until": "2027-06-12T21:17:00Z", "to_altitude_ft": 3281}
    assert len(status["reminders"]) == 4
    assert {one["state"] for one in status["reminders"]} == {rules.WAITING}
    assert status["taken_in"] == {"position": len(phone.entries), "last_error": ""}

    services.deliver_due(now=utc("10:09"))
    assert InboxMessage.objects.count() == 0
    services.deliver_due(now=utc("10:10"))
    services.deliver_due(now=utc("21:17"))
    services.deliver_due(now=utc("23:59"))
    for person in "ab":
        inbox = client(club, person).get("/api/inbox").json()
        assert [message["text"] for message in inbox["messages"]] == [
            "Saturday 21:17: the waiting time from these dives has passed; this is not a clearance to fly.",
            "At 10:10 your surface interval reached what dive 2 (18 m, 35 min) needs. "
            "If your own computer asks for longer, wait for it.",
        ]
    assert client(club, "s").get("/api/inbox").json()["messages"] == []


def test_a_second_dive_moves_the_waiting_time_and_leaves_what_was_said(club: cast.Cast) -> None:
    phone = Phone("p1")
    first_dive(phone)
    post(club, phone)
    take_in(utc("09:45"))
    services.deliver_due(now=utc("10:10"))
    phone.down("10:30", team="t1b", members="ab", dive="d2")
    post(club, phone)
    take_in(utc("10:31"))
    assert set(Reminder.objects.values_list("kind", "state", "stands")) == {
        (rules.SURFACE_INTERVAL_REACHED, rules.SENT, True),
        (rules.NO_FLY_PASSED, rules.CANCELLED, False),
    }
    phone.up("11:05", team="t1b", people="ab", dive="d2")
    for person in "ab":
        phone.back("11:10", person)
        phone.depth("11:11", person, 18, dive="d2")
    post(club, phone)
    take_in(utc("11:30"))
    waiting = Reminder.objects.filter(state=rules.WAITING)
    assert [(row.kind, row.subject, row.due_at) for row in waiting] == [
        (rules.NO_FLY_PASSED, uid("d2"), utc("05:05", day=13))
    ] * 2
    services.deliver_due(now=utc("05:05", day=13))
    assert InboxMessage.objects.count() == 4
    message = client(club, "a").get("/api/inbox").json()["messages"][1]
    assert (message["kind"], message["since"]) == (rules.SURFACE_INTERVAL_REACHED, None)


def test_the_same_entries_again_change_nothing(club: cast.Cast) -> None:
    phone = Phone("p1")
    first_dive(phone)
    post(club, phone)
    take_in(utc("09:45"))
    before = list(Reminder.objects.order_by("pk").values())
    post(club, phone)
    assert selectors.behind(utc("09:46")) == []
    Seen.objects.all().delete()
    take_in(utc("09:47"))
    assert list(Reminder.objects.order_by("pk").values()) == before


def test_a_changed_plan_moves_the_interval(club: cast.Cast) -> None:
    phone = Phone("p1")
    first_dive(phone)
    post(club, phone)
    take_in(utc("09:45"))
    phone.write(
        "plan_changed",
        "d2",
        "09:50",
        depth={"unit": "m", "hundredths": 1200},
        bottom_time_s=50 * 60,
        run_time_s=55 * 60,
    )
    post(club, phone)
    take_in(utc("09:51"))
    # 12 m is the 40 fsw row: E has 10 min of interval there and 50 min fit at once (published table).
    moved = Reminder.objects.filter(kind=rules.SURFACE_INTERVAL_REACHED)
    assert {row.due_at for row in moved} == {utc("09:27")}
    services.deliver_due(now=utc("09:51"))
    texts = {message.text for message in InboxMessage.objects.all()}
    assert texts == {
        "At 09:27 your surface interval reached what dive 2 (12 m, 50 min) needs. "
        "If your own computer asks for longer, wait for it."
    }


def test_a_diver_sees_only_their_own_row_and_no_table_of_reminders(club: cast.Cast) -> None:
    phone = Phone("p1")
    first_dive(phone)
    post(club, phone)
    take_in(utc("09:45"))
    own = client(club, "a").get(f"/api/trips/{club.trip.pk}/status").json()
    assert [row["person"] for row in own["divers"]] == [uid("a")]
    assert "reminders" not in own
    stranger = cast.make(divers=1, name="Another club")
    outside = Client()
    outside.force_login(stranger.users[0], backend="allauth.account.auth_backends.AuthenticationBackend")
    assert outside.get(f"/api/trips/{club.trip.pk}/status").status_code == 404


def test_what_is_not_known_says_what_is_missing(club: cast.Cast) -> None:
    phone = Phone("p1")
    phone.holds("08:30", "s")
    phone.down("09:00", members="ab")
    phone.up("09:17", people="ab")
    post(club, phone)
    take_in(utc("09:45"))
    (row,) = client(club, "a").get(f"/api/trips/{club.trip.pk}/status").json()["divers"]
    for name in ("group", "earliest_next_dive_at", "no_fly_until"):
        assert row[name] == {"not_known": ["reported depth of dive 1"]}
    assert Reminder.objects.count() == 0


def test_what_the_log_leaves_open_about_a_diver_is_theirs_alone_to_see(club: cast.Cast) -> None:
    phone = Phone("p1")
    first_dive(phone)
    phone.up(at("09:21"), people="a")
    post(club, phone)
    take_in(utc("09:45"))
    (own,) = client(club, "a").get(f"/api/trips/{club.trip.pk}/status").json()["divers"]
    assert [question["code"] for question in own["questions"]] == ["up_times_differ"]
    assert own["surfaced_at"] == "2027-06-12T09:21:00Z", "the later counts until it is settled"
    (other,) = client(club, "b").get(f"/api/trips/{club.trip.pk}/status").json()["divers"]
    assert other["questions"] == []


def test_a_log_that_cannot_be_taken_in_waits_and_holds_up_no_other(
    club: cast.Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    phone = Phone("p1")
    first_dive(phone)
    post(club, phone)
    club.trip.snapshot.canonical = "not a snapshot"
    club.trip.snapshot.save()
    now = utc("09:45")
    assert not services.take_in(trip_id=club.trip.pk, now=now)
    seen = Seen.objects.get()
    assert (seen.position, seen.attempts) == (0, 1)
    assert seen.last_error != ""
    assert seen.try_at is not None
    assert selectors.behind(now) == []
    assert selectors.behind(seen.try_at) == [club.trip.pk]


def test_the_sweep_does_all_of_it(club: cast.Cast, time_machine: Any) -> None:
    phone = Phone("p1")
    first_dive(phone)
    post(club, phone)
    time_machine.move_to(utc("10:11"), tick=False)
    tasks.sweep()
    tasks.sweep()
    assert InboxMessage.objects.count() == 2
    time_machine.move_to(utc("21:17"), tick=False)
    tasks.sweep()
    assert InboxMessage.objects.count() == 4


def test_an_older_picture_never_overwrites_a_newer_one(
    club: cast.Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    phone = Phone("p1")
    first_dive(phone)
    post(club, phone)
    ought = selectors.ought
    newer: list[bool] = []

    def overtaken(trip: Any, now: datetime) -> rules.Ought:
        older = ought(trip, now)
        if not newer:
            newer.append(False)
            phone.write("dive_called_off", "d2", "09:50")
            post(club, phone)
            newer[0] = services.take_in(trip_id=trip.pk, now=now)
        return older

    monkeypatch.setattr(selectors, "ought", overtaken)
    assert not services.take_in(trip_id=club.trip.pk, now=utc("09:51"))
    assert newer == [True]
    assert set(Reminder.objects.values_list("kind", flat=True)) == {rules.NO_FLY_PASSED}
    assert Seen.objects.get().position == len(phone.entries)
    assert selectors.behind(utc("09:52")) == []
