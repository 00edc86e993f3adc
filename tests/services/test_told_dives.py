"""From the boat log to the record: dives told, confirmed by their diver, following what the log is corrected to."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from teamdive.deck import services as deck
from teamdive.logbook import selectors, services
from teamdive.logbook.models import LoggedDive, MadeDive
from tests import reminders_cast
from tests.boat_scene import Phone, metres, trip_body, uid
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


def test_what_was_found_at_sea_stands_in_the_log_of_its_diver() -> None:
    """Gas used = RMV x pressure x time (US Navy Diving Manual Rev 4, 7-4.1), the bottom at 18 m and the way up at 9 m.

    12 L from 200 to 80 bar is 1,440 L; 20 min at 2.8 bar and 5 min at 1.9 bar are 65.5 bar min: 21.98 L/min.
    """
    made_of = trip_body()
    for diver in made_of["dives"][0]["teams"][0]["divers"]:
        diver["cylinder_dl"] = 120
    cast = reminders_cast.at_sea(made_of, uid("s"))
    phone = Phone("p1")
    phone.holds("09:00", "s")
    phone.write("gas_checked", "a", "09:20", cylinder="1", pressure=bar(210), o2_pm=210, analysed_by=uid("a"))
    pressures = [{"person": uid("a"), "pressure": bar(200)}, {"person": uid("b"), "pressure": bar(190)}]
    phone.write("team_check_done", "t1", "09:38", lines=5, pressures=pressures)
    phone.write("conditions_found", "d1", "09:30", current_tenths_kn=4, visibility_cm=800)
    phone.write("conditions_found", "d1", "09:55", current_tenths_kn=7, water_tenths_c=145)
    phone.down("09:40")
    phone.write("pressure_reported", "a", "09:50", dive="d1", pressure=bar(120))
    phone.write("left_bottom", "t1", "10:00")
    phone.up("10:05")
    phone.depth("10:12", "a", 18)
    made = told(cast, phone)
    assert (made.pressure_start, made.pressure_end, made.rmv_l_min) == (200, None, None)
    services.confirm_made_dive(made=made, task_done=False, now=NOW)
    # Said after the diver confirmed: it joins the log and asks for no second word.
    phone.write("pressure_reported", "a", "10:06", dive="d1", pressure=bar(80))
    phone.write("effort_said", "a", "10:07", dive="d1", effort=2)
    made = told(cast, phone)
    row = LoggedDive.objects.get()
    assert made.confirmed_at is not None
    # The weaker of two currents found: experience is never made harder than it may have been.
    known = (
        float(row.current_kn or 0),
        float(row.visibility_m or 0),
        float(row.water_temp_c or 0),
        row.effort,
    )
    assert known == (0.4, 8.0, 14.5, 2)
    assert (made.pressure_start, made.pressure_end, row.rmv_l_min) == (200, 80, Decimal("22.0"))


def bar(value: int) -> dict[str, Any]:
    return {"unit": "bar", "value": value}
