"""What a club sets for the deck: two counts, quiet, its own procedure; and that the boat's snapshot carries it.

Two independent counts before leaving: Queensland regulator, head counts page. The minutes of a procedure are each
club's own, no figure is published.
"""

from __future__ import annotations

import json

import pytest
from django.test import Client

from teamdive.boatlog import fold, snapshot
from teamdive.boatlog.emergency import DEFAULT_STEPS, steps
from teamdive.boatlog.view import view
from teamdive.people.models import Club, User
from teamdive.people.services import UnableToChangeClub, add_club, change_club
from teamdive.trips import services_ready
from teamdive.trips.models import Trip
from teamdive.trips.selectors import for_phones

from .people_fixtures import NOW

OWN = {
    "counts_needed": 1,
    "quiet_min": 3,
    "due_soon_min": 0,
    "lost_diver": [
        {"say": "Call every team up.", "after_min": 0},
        {"say": "Count again by name.", "after_min": None},
        {"say": "Call the coastguard.", "after_min": 5},
    ],
    "rescue_contact": "Coastguard Varrow, 5550 0100",
    "radio_channel": "VHF 16",
    "call_sign": "QQ1234",
    "oxygen_l": 637,
}


IN_NEED = ("rescue_contact", "radio_channel", "call_sign", "oxygen_l")


@pytest.fixture
def trip(demo, db) -> Trip:
    return Trip.objects.select_related("club").get()


def test_a_new_club_and_the_demo_need_two_counts_and_have_general_steps(trip):
    assert add_club(name="Another").counts_needed == 2 == trip.club.counts_needed
    start = snapshot.read(services_ready.snapshot_body(trip, NOW))
    assert start.settings.counts_needed == 2 and start.settings.quiet_min is None
    assert steps(start) == DEFAULT_STEPS
    call = view(fold.begin(start), int(NOW.timestamp() * 1000))["roll_call"]
    assert (call["needed"], call["stage"]) == (2, "counting")


def test_what_an_organiser_sets_reaches_the_boat(trip):
    address = f"/api/clubs/{trip.club_id}"
    organiser, leader = Client(), Client()
    organiser.force_login(User.objects.get(email="greta.solum@varrow.example"))
    leader.force_login(User.objects.get(email="marta.quill@varrow.example"))
    assert leader.patch(address, json.dumps(OWN), "application/json").status_code == 403
    assert organiser.patch(address, json.dumps(OWN), "application/json").status_code == 200
    shown = organiser.get("/api/me").json()["clubs"][0]["settings"]
    assert {name: shown[name] for name in OWN} == OWN
    Trip.objects.update(state=Trip.State.PLANNED)
    trip = Trip.objects.select_related("club").get()
    trip.snapshot.delete()
    kept = services_ready.make_ready(trip=trip, by=None, now=NOW)
    start = snapshot.read(json.loads(kept.canonical))
    assert (start.settings.counts_needed, start.settings.quiet_min, start.settings.due_soon_min) == (1, 3, 0)
    assert [(step.say, step.within_s) for step in start.lost_diver] == [
        ("Call every team up.", 0),
        ("Count again by name.", None),
        ("Call the coastguard.", 300),
    ]
    assert {name: kept.labels[name] for name in IN_NEED} == {name: OWN[name] for name in IN_NEED}


def test_whom_to_call_reaches_phones_of_a_trip_that_is_ready_already(trip):
    """The plan is frozen, a number that was wrong is not: what is called for help stands as the club has it now."""
    before = for_phones(trip.pk)
    assert before is not None and "rescue_contact" not in before["labels"]
    change_club(club=trip.club, rescue_contact="Coastguard Varrow, 5550 0100", call_sign="QQ1234")
    after = for_phones(trip.pk)
    assert after is not None
    assert after["labels"] == before["labels"] | {
        "rescue_contact": "Coastguard Varrow, 5550 0100", "call_sign": "QQ1234",
    }  # fmt: skip
    assert after["hash"] == before["hash"]


@pytest.mark.parametrize(
    ("wrong", "pointer", "code"),
    [
        ({"lost_diver": [{"say": "  ", "after_min": 1}]}, "/lost_diver/0/say", "required"),
        ({"lost_diver": [{"say": "x" * 401}]}, "/lost_diver/0/say", "too_long"),
        ({"lost_diver": [{"say": "a", "after_min": 1441}]}, "/lost_diver/0/after_min", "not_minutes"),
        (
            {"lost_diver": [{"say": "a", "after_min": 5}, {"say": "b", "after_min": 4}]},
            "/lost_diver/1/after_min",
            "out_of_order",
        ),
        ({"lost_diver": [{"say": "a"}] * 41}, "/lost_diver", "too_many_steps"),
        ({"lost_diver": "steps"}, "/lost_diver", "not_a_list"),
        ({"quiet_min": 16}, "/quiet_min", "invalid"),
        ({"due_soon_min": 61}, "/due_soon_min", "invalid"),
        ({"oxygen_l": 0}, "/oxygen_l", "invalid"),
        ({"counts_needed": 3}, "/counts_needed", "invalid"),
    ],
)
def test_what_cannot_be_is_refused_with_its_field(trip, wrong, pointer, code):
    with pytest.raises(UnableToChangeClub) as refused:
        change_club(club=trip.club, **wrong)
    assert (refused.value.errors[0]["pointer"], refused.value.errors[0]["code"]) == (pointer, code)
    assert Club.objects.get(pk=trip.club_id).lost_diver == []
