"""The club's own waits after a dive: what it may decide, and that plans, the boat's snapshot and a status use it."""

from __future__ import annotations

import json

import pytest
from django.test import Client

from teamdive.calculations.plan import plan
from teamdive.people.models import Club, User
from teamdive.people.services import UnableToChangeClub, change_club
from teamdive.trips import selectors, services_ready
from teamdive.trips.bodies import plan_body
from teamdive.trips.models import Snapshot, Trip

from .people_fixtures import NOW

OWN = {
    "no_fly_wait_min": 1440,
    "club_wait_beyond_limit_min": 2880,
    "club_wait_other_gas_min": 1500,
    "rest_after_beyond_limit_min": 2160,
}


@pytest.fixture
def trip(demo, db) -> Trip:
    return Trip.objects.get()


def test_an_organiser_sets_and_clears_them_and_others_do_not(trip):
    address = f"/api/clubs/{trip.club_id}"
    organiser, leader = Client(), Client()
    organiser.force_login(User.objects.get(email="greta.solum@varrow.example"))
    leader.force_login(User.objects.get(email="marta.quill@varrow.example"))
    assert leader.patch(address, json.dumps(OWN), "application/json").status_code == 403
    assert organiser.patch(address, json.dumps(OWN), "application/json").status_code == 200
    shown = organiser.get("/api/me").json()["clubs"][0]["settings"]
    assert {name: shown[name] for name in OWN} == OWN
    cleared = dict.fromkeys(OWN)
    assert organiser.patch(address, json.dumps(cleared), "application/json").status_code == 200
    assert Club.objects.filter(pk=trip.club_id, **{f"{name}__isnull": True for name in OWN}).exists()


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        # The workshop of 2002 says "substantially longer than 18 h" after a dive that owes stops.
        ("club_wait_beyond_limit_min", 1080),
        ("rest_after_beyond_limit_min", 1439),
        ("club_wait_other_gas_min", 5761),
    ],
)
def test_what_is_too_short_or_outlasts_what_is_known_of_dives_is_refused_by_name(trip, name, wrong):
    answer = Client()
    answer.force_login(User.objects.get(email="greta.solum@varrow.example"))
    refused = answer.patch(f"/api/clubs/{trip.club_id}", json.dumps({name: wrong}), "application/json")
    assert refused.status_code == 400
    assert refused.json()["errors"][0]["pointer"] == f"/{name}"
    with pytest.raises(UnableToChangeClub):
        change_club(club=trip.club, **{name: wrong})


def test_a_plan_is_asked_with_them_and_takes_them(trip):
    change_club(club=trip.club, **OWN)
    trip = Trip.objects.get()
    dive = trip.dives.get(number=1)
    divers = selectors.booked_divers(dive)[:2]
    body = plan_body(dive, selectors.facts(dive, divers))
    assert body["rest_after_beyond_limit_min"] == 2160
    assert body["no_fly"] == {
        "to_altitude_ft": trip.club.no_fly_to_altitude_ft,
        "club_wait_min": 1440,
        "club_wait_beyond_limit_min": 2880,
        "club_wait_other_gas_min": 1500,
    }
    body["divers"][0]["flight"] = {"in_min": 3000}
    body["divers"][0]["earlier_dives"] = []
    assert "the club's own wait" in plan(body)["divers"][0]["flight"]["message"]


def test_the_boats_snapshot_holds_them_and_one_from_before_has_none(trip):
    before = json.loads(Snapshot.objects.get().canonical)["settings"]
    assert before["club_wait_beyond_limit_min"] is None
    change_club(club=trip.club, **OWN)
    trip = selectors.trip(trip.pk)
    settings = services_ready.snapshot_body(trip, NOW)["settings"]
    assert {name: settings[name] for name in OWN} == OWN
