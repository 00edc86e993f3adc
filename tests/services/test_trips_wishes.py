"""Private wishes: weighed by pairing, kept of nobody else's trip, told by no answer."""

from __future__ import annotations

import json

import pytest
from django.test import Client

from teamdive.people import exports
from teamdive.people.models import User
from teamdive.trips import (
    selectors,
    selectors_wishes,
    services,
    services_ready,
    services_teams,
    services_whole_day,
    services_wishes,
)
from teamdive.trips.models import Booking, Dive, Proposal, RatherNot, Snapshot, Team, TeamMember, Trip

from .people_fixtures import NOW

BACKEND = "allauth.account.auth_backends.AuthenticationBackend"
EVERYTHING = {"alternatives": 3, "drop_outs": True, "least_change": True}


@pytest.fixture
def dive(demo, db) -> Dive:
    Snapshot.objects.all().delete()
    TeamMember.objects.all().delete()
    Team.objects.all().delete()
    Proposal.objects.all().delete()
    Trip.objects.update(state="planned")
    Dive.objects.update(last_announced=[])
    return Dive.objects.get(number=1)


def wish(one: Booking, *about: Booking) -> None:
    by = User.objects.get(email="greta.solum@varrow.example")
    services_wishes.keep_rather_nots(booking=one, about=[other.pk for other in about], by=by, now=NOW)


def pair_of(dive: Dive, answer) -> tuple[Booking, Booking]:
    """A pair of an answer of whom one takes no step, so that others could dive with them as well."""
    one, other = next(team["divers"] for team in answer["teams"] if len(team["divers"]) == 2)
    return dive.trip.bookings.get(pk=one), dive.trip.bookings.get(pk=other)


def together(answer, one: Booking, other: Booking) -> bool:
    return any({str(one.pk), str(other.pk)} <= set(team["divers"]) for team in answer["teams"])


@pytest.mark.parametrize("turned", [False, True])
def test_the_two_are_never_proposed_and_nothing_says_why(dive, turned):
    before = services_teams.solve_teams(dive=dive, asked=EVERYTHING, by=None, now=NOW).answer
    one, other = pair_of(dive, before)
    wish(*((other, one) if turned else (one, other)))
    asked = {**EVERYTHING, "why_not": [[str(one.pk), str(other.pk)]]}
    proposal = services_teams.solve_teams(dive=dive, asked=asked, by=None, now=NOW)
    answer = proposal.answer
    assert answer["total"]["placed"] == before["total"]["placed"]
    assert not any(together(day, one, other) for day in (answer, *answer["alternatives"]))
    assert not proposal.asked.get("wishes")
    text = json.dumps(answer).lower()
    assert "private" not in text and "rather" not in text and "wish_apart" not in text
    why = answer["why_not"][0]
    assert not why.get("rules") and why["more"]["safety_penalty"] >= 0


def test_people_still_decide_and_an_announcement_says_nothing_either(dive):
    answer = services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW).answer
    one, other = pair_of(dive, answer)
    wish(one, other)
    chosen = [(team["divers"], team["lead"]) for team in answer["teams"]]
    teams = services_teams.announce_teams(dive=dive, chosen=chosen, by=None, now=NOW)
    assert len(teams) == 6
    assert (
        "rather" not in json.dumps([team.reasons for team in teams] + [team.plan for team in teams]).lower()
    )


def test_who_wished_is_in_no_file_and_in_no_page_but_their_own(dive, demo):
    """Every address that a leader or another diver may read, the roster file and the boat's copy of the trip."""
    trip = dive.trip
    one = trip.bookings.get(diver__email="noor.haddow@varrow.example")
    other = trip.bookings.get(diver__member_number="112")
    pages = ["/api/me", "/api/trips", f"/api/trips/{trip.pk}", f"/api/trips/{trip.pk}/dives/{dive.pk}/teams"]
    pages += [f"/api/divers/{one.diver_id}", f"/api/clubs/{trip.club_id}/divers"]
    pages += [f"/api/trips/{trip.pk}/dives/{dive.pk}/pairability"]
    readers = {}
    for email in ("marta.quill@varrow.example", "greta.solum@varrow.example"):
        readers[email] = Client()
        readers[email].force_login(User.objects.get(email=email), backend=BACKEND)

    def read() -> list[str]:
        def steady(answer: object) -> str:
            return json.dumps({k: v for k, v in answer.items() if k != "csrf"}, sort_keys=True)

        return [steady(client.get(page).json()) for client in readers.values() for page in pages]

    before, roster = read(), exports.roster(trip.club, "csv")
    wish(one, other)
    assert read() == before and exports.roster(trip.club, "csv") == roster
    assert RatherNot.objects.count() == 1
    for number in (1, 2):
        at = trip.dives.get(number=number)
        answer = services_teams.solve_teams(dive=at, asked={}, by=None, now=NOW).answer
        chosen = [(team["divers"], team["lead"]) for team in answer["teams"]]
        services_teams.announce_teams(dive=at, chosen=chosen, by=None, now=NOW)
    kept = services_ready.make_ready(trip=trip, by=None, now=NOW)
    assert "rather" not in (kept.canonical + json.dumps([kept.names, kept.labels])).lower()


def test_a_proposal_does_not_grow_stale_by_a_wish_and_still_does_by_a_fact(dive):
    proposal = services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW)
    one, other = pair_of(dive, proposal.answer)
    wish(one, other)
    assert not selectors.is_stale(proposal), "else every planner would see that somebody wrote a wish"
    again = services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW)
    assert not together(again.answer, one, other), "it counts when teams are next found"
    wish(one)
    assert not selectors.is_stale(again), "nor does taking it back show"
    told = {"wishes": [{"kind": "apart", "divers": [str(one.pk), str(other.pk)], "strength": "prefer"}]}
    stated = services_teams.solve_teams(dive=dive, asked=told, by=None, now=NOW)
    assert stated.rests_on != again.rests_on, "a wish said openly is part of the question"
    services.change_dive(dive=dive, left_out=[one.pk])
    assert selectors.is_stale(again) and selectors.is_stale(proposal)


def test_a_wish_lasts_from_trip_to_trip_and_is_taken_back_only_where_it_was_seen(dive):
    trip = dive.trip
    one, other, third = trip.bookings.filter(dives=True).order_by("pk")[:3]
    wish(one, other, third)
    assert selectors_wishes.rather_nots(one) == {other.pk, third.pk}
    services.cancel_booking(booking=third, now=NOW)
    wish(one)
    assert selectors_wishes.rather_nots(one) == set()
    assert RatherNot.objects.get().about_id == third.diver_id, "whom this page did not show is not touched"
    assert selectors_wishes.private_wishes(selectors.booked_divers(dive)) == []


def test_a_name_that_is_not_on_the_trip_is_refused(dive):
    one = dive.trip.bookings.filter(dives=True).order_by("pk").first()
    with pytest.raises(services.UnableToKeepTrip) as refused:
        wish(one, one)
    assert refused.value.code == "person_not_known"


def test_dives_solved_together_keep_a_wish_on_each_and_say_nothing(dive):
    before = services_whole_day.solve_day(trip=dive.trip, asked={}, by=None)
    one, other = pair_of(dive, before["dives"][0])
    wish(one, other)
    answer = services_whole_day.solve_day(trip=dive.trip, asked={}, by=None)
    assert len(answer["dives"]) == 2
    assert not any(together(each, one, other) for each in answer["dives"])
    text = json.dumps(answer).lower()
    assert "private" not in text and "rather" not in text and "wish_apart" not in text
