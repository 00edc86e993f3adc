"""The float plan over the wire: the page behind a signed link, and the doors of those who plan the trip."""

from __future__ import annotations

import json
import re
from datetime import timedelta
from urllib.parse import urlencode

import pytest
from django.http import HttpResponse
from django.test import Client
from django.utils import timezone

from teamdive.people.models import Membership
from teamdive.reminders import selectors_shore, services, services_shore
from teamdive.reminders.models import Reminder
from teamdive.trips.models import FloatPlan, ShoreContact, ShoreSaid, Trip
from tests.shore_cast import BRYN, Shore, utc, waiting

pytestmark = pytest.mark.django_db
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@pytest.fixture
def shore(settings: object) -> Shore:
    settings.MAIL_SET_UP = True
    return waiting()


def link(contact: ShoreContact) -> str:
    return f"/ashore/{selectors_shore.token_of(contact)}"


FORM = "application/x-www-form-urlencoded"


def tap(url: str, what: str, by: str, client: Client | None = None) -> HttpResponse:
    """One button of the page, as a browser sends it."""
    return (client or Client()).post(url, urlencode({"what": what, "by": by}), content_type=FORM)


def late(shore: Shore, minutes: int = 12) -> None:
    """The boat was to be back so long ago, by the clock of the doors."""
    now = timezone.now()
    Trip.objects.filter(pk=shore.club.trip.pk).update(starts_at=now - timedelta(hours=8))
    FloatPlan.objects.filter(pk=shore.plan.pk).update(
        back_by=now - timedelta(minutes=minutes), changed_at=now
    )
    services_shore.look(trip_id=shore.club.trip.pk, now=now)


def words(answer: HttpResponse) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", answer.content.decode()))


def stands(shore: Shore) -> str:
    return signed_in(shore, "s").get(f"/api/trips/{shore.club.trip.pk}/float-plan").json()["stands"]


def signed_in(shore: Shore, person: str) -> Client:
    client = Client()
    number = {"a": 0, "b": 1, "s": 2}[person]
    client.force_login(shore.club.users[number], backend=BACKEND)
    return client


def test_the_link_shows_the_plan_without_an_account(shore: Shore) -> None:
    answer = Client().get(link(shore.mailed))
    text = words(answer)
    assert answer.status_code == 200 and answer["Content-Type"].startswith("text/html")
    for told in (
        "17:00",
        "Saturday 12 June",
        "You wait for this boat",
        "3 people",
        "Person 1",
        "Harbour watch, 555 0100",
    ):
        assert told in text
    assert "All home" in text and "I have this" not in text
    assert answer["Cache-Control"] == "no-store" and "noindex" in answer["X-Robots-Tag"]
    # No address of anybody, and nobody's e-mail: names and numbers only as they are needed.
    assert BRYN not in text and "@" not in text


def test_reading_the_page_says_nothing_and_one_tap_says_home(shore: Shore) -> None:
    strict = Client(enforce_csrf_checks=True)
    url = link(shore.mailed)
    strict.get(url)
    assert ShoreSaid.objects.count() == 0
    answer = tap(url, "home", "Bryn Tal", strict)
    assert (answer.status_code, answer["Location"]) == (303, url)
    said = ShoreSaid.objects.get()
    assert (said.what, said.by, said.contact, said.user) == ("home", "Bryn Tal", shore.mailed, None)
    text = words(strict.get(url))
    assert "All home. Bryn Tal said so at" in text and "That was wrong" in text
    assert stands(shore) == "home"
    tap(url, "not_home", "Bryn Tal", strict)
    assert stands(shore) == "armed"


def test_an_alarm_is_taken_by_name_and_stays_open(shore: Shore) -> None:
    late(shore)
    url = link(shore.mailed)
    assert "I have this: stop the calls" in words(Client().get(url))
    nameless = tap(url, "acknowledged", "  ")
    assert nameless.status_code == 400 and "Write your name first" in words(nameless)
    assert stands(shore) == "raised"
    tap(url, "acknowledged", "Bryn's sister Ebba <b>")
    text = words(Client().get(url))
    assert "Ebba &lt;b&gt; has it since" in text and "I have this" not in text
    assert "All home" in text and "The rescue service has it" in text
    assert stands(shore) == "acknowledged"
    tap(url, "handed_over", "Bryn Tal")
    assert "The rescue service has it. Bryn Tal said so" in words(Client().get(url))


def test_what_no_button_sends_is_refused_and_kept_nowhere(shore: Shore) -> None:
    url = link(shore.mailed)
    assert Client().post(url, "[]", content_type="application/json").status_code == 400
    assert tap(url, "home", "Bryn\0Tal").status_code == 400
    assert ShoreSaid.objects.count() == 0 and stands(shore) == "armed"


@pytest.mark.parametrize("token", ["x", "0" * 32, "%00", "a.b", "0" * 32 + ".wrong"])
def test_a_link_that_nobody_was_given_says_nothing_of_any_trip(shore: Shore, token: str) -> None:
    for answer in (
        Client().get(f"/ashore/{token}"),
        tap(f"/ashore/{token}", "home", "X"),
    ):
        assert answer.status_code == 404 and "Skerry" not in words(answer)
        assert "call the rescue service" in words(answer)
    assert ShoreSaid.objects.count() == 0


def test_the_link_of_one_who_was_taken_off_is_closed(shore: Shore) -> None:
    client = signed_in(shore, "s")
    erased = client.delete(f"/api/trips/{shore.club.trip.pk}/float-plan/contacts/{shore.mailed.pk}")
    assert erased.status_code == 204
    assert Client().get(link(shore.mailed)).status_code == 404
    page = client.get(f"/api/trips/{shore.club.trip.pk}/float-plan").json()
    assert [contact["name"] for contact in page["contacts"]] == ["Edda Lorn"]
    last = client.delete(f"/api/trips/{shore.club.trip.pk}/float-plan/contacts/{shore.member.pk}")
    assert (last.status_code, last.json()["errors"][0]["code"]) == (400, "nobody_ashore")
    assert stands(shore) == "armed"


def lead(shore: Shore) -> Client:
    Membership.objects.filter(user=shore.club.users[2]).update(role="leader")
    return signed_in(shore, "s")


def put(client: Client, shore: Shore, **changed: object) -> object:
    body = {"back_by": "2027-06-12T17:30:00Z", "contacts": [{"name": "Bryn Tal", "email": BRYN}], **changed}
    url = f"/api/trips/{shore.club.trip.pk}/float-plan"
    return client.put(url, json.dumps(body), content_type="application/json")


def test_a_leader_changes_the_plan_and_sees_what_was_sent(shore: Shore, settings: object) -> None:
    client = lead(shore)
    settings.MAIL_SET_UP = False
    # Nobody of them would hear anything: that is a decision of somebody, by name.
    refused = put(client, shore, if_not_heard="Call Ebba first.")
    (error,) = refused.json()["errors"]
    assert (refused.status_code, error["code"], error["pointer"]) == (
        400,
        "nobody_reached",
        "/told_otherwise",
    )
    assert ShoreSaid.objects.count() == 0
    page = put(client, shore, if_not_heard="Call Ebba first.", told_otherwise=True).json()
    assert page["told_otherwise_by"] == "Person 2"
    said = ShoreSaid.objects.get()
    assert (said.what, said.by, said.user) == ("told_otherwise", "Person 2", shore.club.users[2])
    token = page["contacts"][0]["link"].rpartition("/")[2]
    own = words(Client().get(f"/ashore/{token}"))
    assert (
        "Nothing here wakes you if they do not come back" in own and "Person 2 said that you are told" in own
    )
    assert page["back_by"] == "2027-06-12T17:30:00Z" and page["if_not_heard"] == "Call Ebba first."
    assert page["mail"] is False and page["stands"] == "armed"
    late(shore)
    services.deliver_due(now=timezone.now())
    sent = client.get(f"/api/trips/{shore.club.trip.pk}/float-plan").json()["sent"]
    assert {(one["kind"], one["state"]) for one in sent} == {
        ("float_plan", "waiting"),
        ("back_by_passed", "waiting"),
    }
    assert all("sends no mail" in one["error"] for one in sent)


def test_a_diver_aboard_reads_who_waits_and_no_address(shore: Shore) -> None:
    page = signed_in(shore, "a").get(f"/api/trips/{shore.club.trip.pk}/float-plan").json()
    assert set(page) == {"back_by", "stands", "contacts", "home", "handed_over"}
    assert [set(contact) for contact in page["contacts"]] == [{"id", "name"}, {"id", "name"}]


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"back_by": "soon"}, "/back_by"),
        ({"back_by": "2027-06-12T07:00:00Z"}, "/back_by"),
        ({"contacts": [{"name": "Bryn Tal", "email": "no address"}]}, "/contacts/0/email"),
        ({"contacts": [{"email": BRYN}]}, "/contacts/0/name"),
        ({"contacts": [{"name": "Bryn Tal"}]}, "/contacts/0"),
        ({"margin": 30}, "/margin"),
    ],
)
def test_a_bad_plan_names_its_field_and_changes_nothing(shore: Shore, body: dict, pointer: str) -> None:
    answer = put(lead(shore), shore, **body)
    assert answer.status_code == 400
    assert [error["pointer"] for error in answer.json()["errors"]] == [pointer]
    shore.plan.refresh_from_db()
    assert shore.plan.version == 1 and shore.plan.contacts.filter(removed_at=None).count() == 2


def test_a_contact_of_the_club_finds_it_in_the_inbox_with_the_link_beside_it(shore: Shore) -> None:
    late(shore, minutes=16)
    services.deliver_due(now=timezone.now())
    client = Client()
    client.force_login(shore.account, backend=BACKEND)
    messages = client.get("/api/inbox").json()["messages"]
    (alarm,) = messages
    assert (alarm["kind"], alarm["call"]) == ("back_by_passed", "alarm")
    assert alarm["text"].startswith("ALARM. The boat of Skerry Divers had to be back by")
    assert alarm["link"].endswith(link(shore.member)) and "/ashore/" not in alarm["text"]
    # A trip's status is of its divers: who waits ashore stands on the float plan.
    status = lead(shore).get(f"/api/trips/{shore.club.trip.pk}/status").json()
    assert status["reminders"] == []


def test_a_phone_is_told_who_expects_the_boat_as_it_stands_then(shore: Shore) -> None:
    client = lead(shore)
    url = f"/api/trips/{shore.club.trip.pk}/snapshot"
    before = client.get(url).json()
    rescue = {"rescue_contact": "Harbour watch, 555 0100"}
    at = int(utc("17:00").timestamp() * 1000)
    assert before["labels"] == {**rescue, "back_by": at, "ashore": ["Bryn Tal"]}
    assert (
        put(client, shore, contacts=[{"name": "Ebba Tal", "email": "ebba@skerry.example"}]).status_code == 200
    )
    after = client.get(url).json()
    at = int(utc("17:30").timestamp() * 1000)
    assert after["labels"] == {**rescue, "back_by": at, "ashore": ["Ebba Tal"]}
    assert after["hash"] == before["hash"]


def test_the_leader_says_home_under_their_own_name(shore: Shore) -> None:
    client = lead(shore)
    url = f"/api/trips/{shore.club.trip.pk}/float-plan/said"
    page = client.post(url, {"what": "home"}, content_type="application/json").json()
    assert (page["stands"], page["home"]["by"]) == ("home", "Person 2")
    assert ShoreSaid.objects.get().user == shore.club.users[2]
    told = Reminder.objects.filter(kind="all_home")
    assert told.count() == 2
