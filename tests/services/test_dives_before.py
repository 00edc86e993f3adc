"""A diver's dives go with them from one trip to the next: into the questions asked about teams, and onto the boat."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from teamdive.boatlog import snapshot
from teamdive.boatlog.facts import facts as log_facts
from teamdive.boatlog.surfaced import settings_of, surfaced
from teamdive.deck import selectors as deck
from teamdive.deck import services as deck_services
from teamdive.logbook.models import MadeDive
from teamdive.physics import dive as physics
from teamdive.physics.earlier import EarlierDive, state_before
from teamdive.physics.oxygen import Mix
from teamdive.physics.units import Depth
from teamdive.trips import selectors, services, services_ready
from teamdive.trips.bodies import diver_part
from teamdive.trips.models import Booking, Dive, Trip
from teamdive.trips.shown import Reader, trip_page
from tests.boat_scene import Phone, at
from tests.reminders_cast import Cast
from tests.services.deck_cast import NOW, a_day, at_sea, bodies

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> Cast:
    return at_sea()


def logged(cast: Cast, *phones: Phone) -> None:
    deck_services.store(trip=cast.trip, bodies=bodies(*phones), now=NOW)
    deck_services.project(trip=cast.trip, now=NOW)


def next_trip(cast: Cast, hours: float = 5, told: Any = ()) -> tuple[Trip, Booking, Dive]:
    """Diver `a` booked on another trip of the club that starts `hours` after the surfacing at 10:05."""
    starts_at = NOW.replace(hour=10, minute=5) + timedelta(hours=hours)
    trip = services.add_trip(club=cast.club, name="The other bank", starts_at=starts_at)
    earlier = None if told is None else list(told)
    booking = services.add_booking(trip=trip, diver=cast.divers[0], earlier_dives=earlier)
    dive = Dive.objects.create(
        trip=trip, number=1, depth_hundredths=1800, depth_unit="m", bottom_time_s=1800, planned_at=starts_at
    )
    return selectors.trip(trip.pk), booking, dive


def asked(booking: Booking, dive: Dive) -> Any:
    (facts,) = selectors.facts(dive, [booking])
    return diver_part(facts, dive, dive.trip.club, for_teams=False).get("earlier_dives")


def on_the_boat(trip: Trip) -> Any:
    (person,) = services_ready.snapshot_body(trip, NOW)["people"]
    return person["earlier_dives"]


MORNING = {"depth": 18.0, "bottom_time_min": 25, "o2_fraction": 0.21, "surfaced_min_before_descent": 300}


def test_a_dive_of_another_trip_is_asked_about_and_goes_onto_the_boat(cast: Cast) -> None:
    logged(cast, a_day())
    trip, booking, dive = next_trip(cast)
    assert asked(booking, dive) == [MORNING]
    assert on_the_boat(trip) == [
        {
            "depth": {"hundredths": 1800, "unit": "m"},
            "bottom_time_s": 1500,
            "o2_pm": 210,
            "surfaced_at": at("10:05"),
        }
    ]
    page = trip_page(trip, Reader(frozenset(), everyone=True))
    assert page["bookings"][0]["dives_in_logs"] == 1


def test_the_next_boat_works_out_the_diver_that_the_last_one_left(cast: Cast) -> None:
    """The state from the snapshot of the second trip is the state of the first trip's log five hours later."""
    logged(cast, a_day())
    state = deck.state_of(cast.trip.pk)
    assert state is not None
    left = surfaced(state, str(cast.bookings[0].pk), log_facts(state))
    trip, _, _ = next_trip(cast)
    (item,) = on_the_boat(trip)
    made = EarlierDive(
        Depth(item["depth"]["hundredths"], item["depth"]["unit"]),
        item["bottom_time_s"],
        Mix(item["o2_pm"] * 10, True),
        5 * 3600,
    )
    carried = state_before((made,), settings_of(state))
    here = physics.wait(left.nitrogen, 5 * 3600)
    assert (carried.group(), carried.since_s) == (here.group(), here.since_s)
    assert carried.surfaced_tissues == pytest.approx(here.surfaced_tissues, abs=1e-12)


def test_the_snapshot_of_the_next_trip_can_be_read(cast: Cast) -> None:
    logged(cast, a_day())
    trip, _, _ = next_trip(cast)
    read = snapshot.read(services_ready.snapshot_body(trip, NOW))
    assert [dive.surfaced_at for dive in read.people[0].earlier_dives or ()] == [at("10:05")]


@pytest.mark.parametrize(("by", "told"), [("a", {"o2_fraction": 0.32, "analysed": True}), (None, {})])
def test_a_gas_nobody_analysed_is_not_known(cast: Cast, by: str | None, told: Any) -> None:
    phone = a_day()
    reading = {"cylinder": "c1", "pressure": {"unit": "bar", "value": 200}, "o2_pm": 320}
    phone.write("gas_checked", "a", "09:10", analysed_by=by, **reading)
    logged(cast, phone)
    trip, booking, dive = next_trip(cast)
    bare = {name: value for name, value in MORNING.items() if name != "o2_fraction"}
    assert asked(booking, dive) == [{**bare, **told}]
    assert on_the_boat(trip)[0]["o2_pm"] == (320 if by else 210)


def test_what_is_not_known_at_booking_stays_not_known(cast: Cast) -> None:
    logged(cast, a_day())
    trip, booking, dive = next_trip(cast, told=None)
    assert asked(booking, dive) is None and on_the_boat(trip) is None


def test_a_dive_told_and_logged_is_one_and_the_worse_reading_counts(cast: Cast) -> None:
    logged(cast, a_day())
    told = {
        "depth": {"hundredths": 2000, "unit": "m"},
        "bottom_time_s": 1200,
        "o2_pm": 320,
        "surfaced_at": at("10:03"),
    }
    other = {
        "depth": {"hundredths": 900, "unit": "m"},
        "bottom_time_s": 1200,
        "o2_pm": 210,
        "surfaced_at": at("12:00"),
    }
    _, booking, dive = next_trip(cast, told=[told, other])
    assert asked(booking, dive) == [
        {**MORNING, "depth": 20.0},
        {"depth": 9.0, "bottom_time_min": 20, "o2_fraction": 0.21, "surfaced_min_before_descent": 185},
    ]


def test_a_depth_nobody_reported_makes_the_dives_before_not_known(cast: Cast) -> None:
    phone = Phone("p1")
    phone.holds("09:00", "s")
    phone.down("09:40")
    phone.up("10:05")
    logged(cast, phone)
    trip, booking, dive = next_trip(cast)
    assert asked(booking, dive) is None and on_the_boat(trip) is None


def test_a_diver_not_seen_up_makes_the_dives_before_not_known(cast: Cast) -> None:
    phone = Phone("p1")
    phone.holds("09:00", "s")
    phone.down("09:40")
    logged(cast, phone)
    _, booking, dive = next_trip(cast)
    assert asked(booking, dive) is None


def test_it_counts_for_four_days_and_only_for_later_dives(cast: Cast) -> None:
    logged(cast, a_day())
    for hours, found in ((95, 1), (97, 0), (-3, 0)):
        trip, booking, dive = next_trip(cast, hours)
        assert len(asked(booking, dive)) == found
        Trip.objects.filter(pk=trip.pk).delete()


def test_a_planned_time_before_that_surfacing_is_not_known(cast: Cast) -> None:
    logged(cast, a_day())
    _, booking, dive = next_trip(cast, hours=-0.2)
    assert asked(booking, dive) is None


def test_the_logs_of_a_trip_replace_what_was_kept_of_it(cast: Cast) -> None:
    phone = a_day()
    logged(cast, phone)
    kept = {row.diver_id: row.pk for row in MadeDive.objects.all()}
    assert set(kept) == {cast.divers[0].pk, cast.divers[1].pk}
    phone.depth("10:20", "b", 21)
    logged(cast, phone)
    assert {row.diver_id: row.pk for row in MadeDive.objects.all()} == kept
    assert set(MadeDive.objects.values_list("depth_hundredths", flat=True)) == {2100}
    deck_services.project(trip=cast.trip, now=NOW)
    assert MadeDive.objects.count() == 2


def test_its_own_trip_does_not_count_a_dive_twice(cast: Cast) -> None:
    logged(cast, a_day())
    Booking.objects.update(earlier_dives=[])
    loaded = selectors.trip(cast.trip.pk)
    assert all(
        person["earlier_dives"] == [] for person in services_ready.snapshot_body(loaded, NOW)["people"]
    )
