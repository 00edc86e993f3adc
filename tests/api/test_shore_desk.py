"""The alarm ashore as it stands at the desk and on the phones of the boat."""

from __future__ import annotations

import pytest
from django.test import Client
from django.utils import timezone

from teamdive.reminders import services
from teamdive.trips.models import FloatPlan, ShoreSaid
from tests.shore_cast import Shore, a_day, hand_in, sweep, utc, waiting

from .test_shore_page import late, lead, link, put, signed_in, stands, tap, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def shore(settings: object) -> Shore:
    settings.MAIL_SET_UP = True
    return waiting()


def test_the_end_of_the_boat_log_ends_the_trip_on_the_desk(shore: Shore) -> None:
    client = lead(shore)
    line = f"/api/trips/{shore.club.trip.pk}"
    hand_in(shore, a_day(home=False), "11:00")
    sweep(shore, "11:01")
    assert client.get(line).json()["ended_at"] is None
    hand_in(shore, a_day(), "11:40")
    sweep(shore, "11:41")
    assert client.get(line).json()["ended_at"] == "2027-06-12T11:30:00Z"
    assert stands(shore) == "home"
    reopened = a_day()
    reopened.down("12:30", dive="d2", team="t1b")
    hand_in(shore, reopened, "12:31")
    sweep(shore, "12:32")
    assert client.get(line).json()["ended_at"] is None
    assert stands(shore) == "armed" and utc("12:32") < shore.plan.back_by


def test_the_desk_of_whoever_plans_shows_that_nobody_has_taken_it(shore: Shore) -> None:
    late(shore, minutes=31)
    client = lead(shore)
    page = client.get(f"/api/trips/{shore.club.trip.pk}/float-plan").json()
    assert page["stands"] == "untaken"
    alarms = client.get("/api/ashore").json()["alarms"]
    assert alarms == [
        {"trip": str(shore.club.trip.pk), "name": "Two dives at the Teeth", "stands": "untaken"}
    ]
    assert "nobody has taken it" in words(Client().get(link(shore.mailed)))
    assert "I have this: stop the calls" in words(Client().get(link(shore.mailed)))
    # Nobody else's business: neither a diver's aboard nor that of another club.
    assert signed_in(shore, "a").get("/api/ashore").json() == {"alarms": []}
    assert Client().get("/api/ashore").status_code in (401, 403)
    services.deliver_due(now=timezone.now())
    (message,) = client.get("/api/inbox").json()["messages"]
    assert (message["kind"], message["call"]) == ("untaken", "alarm")
    assert message["link"].endswith(f"/organise/trips/{shore.club.trip.pk}/shore")
    client.post(
        f"/api/trips/{shore.club.trip.pk}/float-plan/said", {"what": "home"}, content_type="application/json"
    )
    assert client.get("/api/ashore").json() == {"alarms": []}


def test_no_contact_says_that_they_are_told_another_way(shore: Shore) -> None:
    assert tap(link(shore.mailed), "told_otherwise", "Bryn Tal").status_code == 400
    url = f"/api/trips/{shore.club.trip.pk}/float-plan/said"
    answer = lead(shore).post(url, {"what": "told_otherwise"}, content_type="application/json")
    assert answer.status_code == 400 and ShoreSaid.objects.count() == 0


def test_a_phone_reads_with_each_round_who_expects_the_boat(shore: Shore) -> None:
    client = lead(shore)
    url = f"/api/trips/{shore.club.trip.pk}/entries"
    assert client.get(url).json()["ashore"] == {
        "back_by": int(utc("17:00").timestamp() * 1000),
        "ashore": ["Bryn Tal"],
    }
    put(client, shore, contacts=[{"name": "Ebba Tal", "email": "ebba@skerry.example"}])
    assert client.get(url).json()["ashore"]["ashore"] == ["Ebba Tal"]
    FloatPlan.objects.all().delete()
    assert client.get(url).json()["ashore"] == {}
