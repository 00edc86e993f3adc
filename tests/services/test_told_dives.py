"""From the boat log to the record: dives told, confirmed by their diver, following what the log is corrected to."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client

from teamdive.deck import services as deck
from teamdive.logbook import selectors, services
from teamdive.logbook.models import LoggedDive, MadeDive
from tests.boat_scene import Phone, metres, uid
from tests.reminders_cast import Cast
from tests.services.deck_cast import NOW, a_day, at_sea, bodies

pytestmark = pytest.mark.django_db
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@pytest.fixture
def cast() -> Cast:
    return at_sea()


def told(cast: Cast, phone: Phone, person: str = "a") -> MadeDive:
    deck.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
    deck.project(trip=cast.trip, now=NOW)
    booking = next(b for b in cast.bookings if str(b.pk) == uid(person))
    return selectors.told_dives(booking.diver_id).get()


def done(made: MadeDive) -> list[Any]:
    known = selectors.experience(made.diver, on=date(2027, 6, 13), depth_unit="m")
    return [(dive["depth"], dive["task"], dive["on"]) for dive in known.get("done", [])]


def test_a_dive_told_is_no_experience_until_its_diver_confirms_it(cast: Cast) -> None:
    made = told(cast, a_day())
    # 18 m is the 60 fsw row; 25 minutes of bottom time there give E (Revision 7 air table).
    assert (made.depth_hundredths, made.bottom_time_s, made.questions) == (1800, 1500, [])
    assert done(made) == []
    for _ in range(2):
        services.confirm_made_dive(made=made, task_done=True, now=NOW)
    assert done(made) == [(18.0, None, "2027-06-12")]
    row = LoggedDive.objects.get()
    assert (row.evidence, row.bottom_time_s, row.source) == ("logged", 1500, made.pk)


def test_a_confirmed_dive_is_of_the_kind_of_site_that_was_planned(cast: Cast) -> None:
    """So that the next dive on a wreck is no new kind of site; nothing else of the plan is taken for done."""
    cast.trip.dives.create(
        id=uid("d1"),
        number=1,
        depth_hundredths=1800,
        depth_unit="m",
        bottom_time_s=1800,
        site_kind=["wreck"],
        current_kn="1.50",
        night=True,
    )
    made = told(cast, a_day())
    services.confirm_made_dive(made=made, task_done=False, now=NOW)
    known = selectors.experience(made.diver, on=date(2027, 6, 13), depth_unit="m")
    assert [dive["site_kind"] for dive in known["done"]] == [["wreck"]]
    row = LoggedDive.objects.get()
    assert (row.current_kn, row.night) == (None, None)


def test_what_the_log_does_not_know_cannot_be_confirmed(cast: Cast) -> None:
    phone = Phone("p1")
    phone.down("09:40")
    made = told(cast, phone)
    with pytest.raises(services.UnableToConfirm, match="surfaced"):
        services.confirm_made_dive(made=made, task_done=False, now=NOW)
    phone.up("10:05")
    made = told(cast, phone)
    with pytest.raises(services.UnableToConfirm, match="deep"):
        services.confirm_made_dive(made=made, task_done=False, now=NOW)


def test_the_record_follows_a_correction_and_asks_again(cast: Cast) -> None:
    phone = a_day()
    made = told(cast, phone)
    services.confirm_made_dive(made=made, task_done=False, now=NOW)
    deep = next(entry for entry in phone.entries if entry.kind == "depth_reported")
    said: dict[str, Any] = {"reason": "mistyped", "void": False, "data": {"depth": metres(20)}}
    phone.write("correction", "a", "12:00", corrects=deep.id, **said)
    made = told(cast, phone)
    # One person says deeper: the deeper counts, and it is their word alone until a second says the same.
    assert (made.depth_hundredths, made.confirmed_at, done(made)) == (
        2000,
        None,
        [(20.0, None, "2027-06-12")],
    )
    services.confirm_made_dive(made=made, task_done=False, now=NOW)
    for name in ("b", "s"):
        phone.write(
            "correction", "t1", "12:05", corrects=phone.entries[1].id, by=name, reason="settled", void=True
        )
    deck.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
    deck.project(trip=cast.trip, now=NOW)
    assert not MadeDive.objects.filter(pk=made.pk).exists()
    assert not LoggedDive.objects.exists()


def test_the_questions_of_a_dive_come_with_it(cast: Cast) -> None:
    phone = a_day()
    phone.down("09:44")
    other = Phone("p2")
    other.write("surfaced", "t1", "10:11", dive="d1", people=["a", "b"])
    deck.store(trip=cast.trip, bodies=bodies(other), now=NOW)
    made = told(cast, phone)
    assert "up_times_differ" in made.questions
    # The later surfacing counts for bottom time.
    assert made.surfaced_at is not None and made.surfaced_at >= made.down_at + timedelta(minutes=31)


def test_the_diver_confirms_on_their_phone_and_nobody_for_them(cast: Cast) -> None:
    made = told(cast, a_day())
    address = f"/api/divers/{made.diver_id}/told-dives"
    answers = {}
    for name in ("a", "s", "b"):
        client = Client()
        user = next(b.diver.user for b in cast.bookings if str(b.pk) == uid(name))
        client.force_login(user, backend=BACKEND)
        answer = client.post(f"{address}/{made.pk}/confirm", {}, content_type="application/json")
        answers[name] = answer.status_code
        if name == "a":
            (shown,) = client.get(address).json()["dives"]
            assert shown["confirmed_at"] is not None and shown["depth"] == metres(18)
    assert answers == {"a": 200, "s": 403, "b": 404}
