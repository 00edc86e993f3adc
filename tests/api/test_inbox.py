"""The inbox as the screens read it: only one's own, newest first, read once."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client

from teamdive.reminders import selectors, services
from tests import reminders_cast as cast
from tests.reminders_cast import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def club() -> cast.Cast:
    club = cast.make()
    services.reconcile(
        trip=club.trip,
        wanted=[
            cast.interval(club.divers[0].pk, subject="dive 2"),
            cast.no_fly(club.divers[0].pk, NOON + timedelta(hours=18)),
            cast.no_fly(club.divers[1].pk, NOON + timedelta(hours=18)),
        ],
        now=NOON - timedelta(hours=1),
    )
    for now in (NOON, NOON + timedelta(hours=18)):
        services.deliver_due(now=now)
    return club


def signed_in(club: cast.Cast, number: int) -> Client:
    client = Client()
    client.force_login(club.users[number], backend="allauth.account.auth_backends.AuthenticationBackend")
    return client


def test_a_reader_sees_only_their_own_newest_first(club: cast.Cast) -> None:
    first = signed_in(club, 0).get("/api/inbox").json()
    assert [message["kind"] for message in first["messages"]] == [
        "no_fly_passed",
        "surface_interval_reached",
    ]
    assert {message["diver"] for message in first["messages"]} == {str(club.divers[0].pk)}
    assert (first["unread"], first["next"]) == (2, None)
    second = signed_in(club, 1).get("/api/inbox").json()
    assert [message["diver"] for message in second["messages"]] == [str(club.divers[1].pk)]


def test_a_message_carries_its_sentence_and_instants(club: cast.Cast) -> None:
    message = signed_in(club, 0).get("/api/inbox").json()["messages"][1]
    assert message["text"].startswith("At 12:00 your surface interval reached what dive 2 (18 m, 30 min)")
    assert (message["due_at"], message["sent_at"], message["read_at"]) == (
        "2027-06-12T12:00:00Z",
        "2027-06-12T12:00:00Z",
        None,
    )
    assert (message["call"], message["trip"], message["since"]) == ("reminder", str(club.trip.pk), None)
    assert message["trip_name"] == "Two dives at the Teeth"


def test_a_message_says_when_the_record_changed_since(club: cast.Cast) -> None:
    client = signed_in(club, 0)
    told = client.get("/api/inbox").json()["messages"][1]
    client.post(f"/api/inbox/{told['id']}/read")
    later = cast.interval(club.divers[0].pk, NOON + timedelta(minutes=8), subject="dive 2")
    services.reconcile(trip=club.trip, wanted=[later], now=NOON)
    message = client.get("/api/inbox").json()["messages"][1]
    assert (message["id"], message["read_at"]) == (told["id"], None)
    assert message["since"] == "The record has changed since: the time is now Saturday 12:08."
    assert message["due_at"] == "2027-06-12T12:00:00Z"


def test_reading_is_marked_once_and_again_is_harmless(club: cast.Cast) -> None:
    client = signed_in(club, 0)
    message = client.get("/api/inbox").json()["messages"][0]
    read = client.post(f"/api/inbox/{message['id']}/read")
    assert read.status_code == 200
    assert read.json()["read_at"] is not None
    assert client.post(f"/api/inbox/{message['id']}/read").json() == read.json()
    inbox = client.get("/api/inbox").json()
    assert inbox["unread"] == 1
    assert [one["id"] for one in client.get("/api/inbox?unread=1").json()["messages"]] == [
        one["id"] for one in inbox["messages"] if one["read_at"] is None
    ]


def test_nobody_reads_anothers_message(club: cast.Cast) -> None:
    theirs = signed_in(club, 1).get("/api/inbox").json()["messages"][0]
    refused = signed_in(club, 0).post(f"/api/inbox/{theirs['id']}/read")
    missing = signed_in(club, 0).post(f"/api/inbox/{uuid4()}/read")
    assert refused.status_code == missing.status_code == 404
    assert refused.json() == missing.json()
    assert signed_in(club, 1).get("/api/inbox").json()["messages"][0]["read_at"] is None


def test_an_account_that_is_no_longer_the_divers_keeps_only_what_it_was_told(club: cast.Cast) -> None:
    diver = club.divers[0]
    stranger = club.users[1]
    club.divers[1].user = None
    club.divers[1].save()
    diver.user = stranger
    diver.save()
    seen = signed_in(club, 1).get("/api/inbox").json()["messages"]
    assert [message["diver"] for message in seen] == [str(club.divers[1].pk)]


def test_the_inbox_needs_sign_in(club: cast.Cast) -> None:
    assert Client().get("/api/inbox").status_code == 403
    assert Client().post(f"/api/inbox/{uuid4()}/read").status_code == 403
    assert Client().get(f"/api/trips/{club.trip.pk}/status").status_code == 403


def test_pages_follow_each_other_without_gap_or_repeat(
    club: cast.Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    services.reconcile(trip=club.trip, wanted=[cast.no_fly(club.divers[0].pk) for _ in range(5)], now=NOON)
    services.deliver_due(now=NOON)
    monkeypatch.setattr(selectors, "PAGE", 3)
    client = signed_in(club, 0)
    found, before = [], ""
    while True:
        page = client.get(f"/api/inbox?before={before}").json()
        assert len(page["messages"]) <= 3
        found += [message["id"] for message in page["messages"]]
        if page["next"] is None:
            break
        before = page["next"]
    assert len(found) == len(set(found)) == 7


def test_a_cursor_that_is_no_id_is_refused_by_name(club: cast.Cast) -> None:
    refused = signed_in(club, 0).get("/api/inbox?before=yesterday")
    assert refused.status_code == 400
    assert refused.json()["errors"][0]["pointer"] == "/before"
