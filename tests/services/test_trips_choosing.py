"""What helps an organiser to choose: other days, drop-outs, few changes, and the roster weeks before."""

from __future__ import annotations

import pytest

from teamdive.trips import services, services_teams
from teamdive.trips.models import Booking, Dive, GasCheck, Snapshot, Team, TeamMember, Trip
from teamdive.trips.pairability import pairability

from .people_fixtures import NOW


@pytest.fixture
def dive(demo, db) -> Dive:
    """The first dive of the demo trip, its plan open again; the teams once announced are still known."""
    Snapshot.objects.all().delete()
    TeamMember.objects.all().delete()
    Team.objects.all().delete()
    Trip.objects.update(state="planned")
    return Dive.objects.get(number=1)


def person(dive: Dive, member_number: str) -> Booking:
    return dive.trip.bookings.get(diver__member_number=member_number)


def teams_of(answer) -> set[frozenset[str]]:
    return {frozenset(team["divers"]) for team in answer["teams"]}


def test_the_next_three_days_come_with_what_they_cost_and_are_no_better(dive):
    answer = services_teams.solve_teams(dive=dive, asked={"alternatives": 3}, by=None, now=NOW).answer
    days = answer["alternatives"]
    assert len(days) == 3
    assert len({frozenset(teams_of(day)) for day in (answer, *days)}) == 4
    for day in days:
        worth = tuple(day["more"][name] for name in ("placed", "overrides", "safety_penalty", "cost_s"))
        assert (-worth[0], *worth[1:]) >= (0, 0, 0, 0)
        assert {frozenset(team) for team in day["other_teams"]} == teams_of(day) - teams_of(answer)


def test_a_drop_out_gone_through_beforehand_is_what_happens_when_it_comes(dive):
    """The least-change answer told for a drop-out is the one found once the person sits out."""
    asked = {"drop_outs": True}
    proposal = services_teams.solve_teams(dive=dive, asked=asked, by=None, now=NOW)
    chosen = [(team["divers"], team["lead"]) for team in proposal.answer["teams"]]
    services_teams.announce_teams(dive=dive, chosen=chosen, by=None, now=NOW, proposal=proposal)
    before = teams_of(proposal.answer)
    told = {one["diver"]: one for one in proposal.answer["drop_outs"]}
    gone = person(dive, "112")
    services.change_dive(dive=dive, left_out=[gone.pk])
    dive.refresh_from_db()
    after = services_teams.solve_teams(dive=dive, asked={"least_change": True}, by=None, now=NOW).answer
    assert {frozenset(team) for team in told[str(gone.pk)]["teams"]} == teams_of(after) - before
    assert after["total"]["placed"] == 11 - len(told[str(gone.pk)]["loses"])
    changed = {one["diver"] for one in after["changed"]} - {str(gone.pk)}
    free = services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW).answer
    assert len(changed) <= len({one["diver"] for one in free["changed"]} - {str(gone.pk)})


def test_a_half_full_cylinder_keeps_what_was_announced_as_far_as_it_goes(dive):
    proposal = services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW)
    chosen = [(team["divers"], team["lead"]) for team in proposal.answer["teams"]]
    services_teams.announce_teams(dive=dive, chosen=chosen, by=None, now=NOW, proposal=proposal)
    low = person(dive, "112")
    GasCheck.objects.filter(dive=dive, booking=low).update(start_pressure=150)
    asked = {"least_change": True}
    after = services_teams.solve_teams(dive=dive, asked=asked, by=None, now=NOW).answer
    kept = teams_of(proposal.answer) & teams_of(after)
    # The gas no longer brings two up: the others' teams stay but the one that the partner left behind joins.
    assert [one["id"] for one in after["not_placed"]] == [str(low.pk)]
    assert len(kept) == 4
    assert len(after["announced"]) == 6


def test_who_has_no_place_hears_what_would_give_one(dive):
    """An irreducible reason and a remedy that works when it is tried: here the gas that was not recorded."""
    low = person(dive, "112")
    GasCheck.objects.filter(dive=dive, booking=low).delete()
    answer = services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW).answer
    out = next(one for one in answer["not_placed"] if one["id"] == str(low.pk))
    assert out["facts"] and out["message"]
    assert "find_out" in {remedy["code"] for remedy in out["remedies"]}


def test_weeks_before_nothing_of_the_day_bars_anybody_and_who_could_be_booked_is_gone_through(dive):
    dive.gas_checks.all().delete()
    Booking.objects.filter(trip=dive.trip).update(earlier_dives=None)
    found = pairability(dive)
    answer = found["pairability"]
    assert (answer["placed"], answer["of"]) == (12, 12)
    assert len(found["full"]) == 12
    booked = {str(pk) for pk in dive.trip.bookings.values_list("pk", flat=True)}
    waiting = {one["diver"] for one in answer["waiting_list"]["each"]}
    assert waiting and not waiting & booked and waiting <= set(found["names"])
    assert {one["diver"] for one in answer["next_steps"]} <= booked
    assert Booking.objects.filter(trip=dive.trip).count() == len(booked), "nobody was booked by asking"


def test_weeks_before_one_who_has_done_it_would_place_those_who_have_not(dive):
    """Without three who have done all of this dive some are left over; booking one of them again places them."""
    gone = [person(dive, number) for number in ("101", "102", "103", "104")]
    for booking in gone:
        services.cancel_booking(booking=booking, now=NOW)
    found = pairability(dive)
    answer = found["pairability"]
    assert answer["placed"] <= answer["of"] == 12 - len([b for b in gone if b.dives])
    helped = {one["diver"]: one["places"] for one in answer["waiting_list"]["each"] if one["places"]}
    assert {str(b.diver_id) for b in gone if b.dives} & set(helped)


def test_a_roster_of_one_is_no_question(dive):
    Booking.objects.filter(trip=dive.trip).exclude(pk=person(dive, "112").pk).update(dives=False)
    assert pairability(dive)["pairability"] is None
