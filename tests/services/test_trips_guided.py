"""Divers under supervision and guided groups, from the record to the boat; the day that a drop-out disturbs least."""

from __future__ import annotations

import pytest

from teamdive.people.services import change_diver
from teamdive.trips import selectors, services_ready, services_teams
from teamdive.trips.models import Team

from .people_fixtures import NOW
from .trips_demo import first, person, second, solve_and_announce, trip  # noqa: F401

pytestmark = pytest.mark.django_db


def supervised(booking) -> str:
    change_diver(diver=booking.diver, supervised=True)
    return str(booking.pk)


@pytest.fixture
def group(trip):  # noqa: F811
    """A leader and three in their care. EN 14153-1 / ISO 24801-1: up to four for a leader who can reach them."""
    dive = first(trip)
    answer = services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW).answer
    lead, *others = [team["divers"] for team in answer["teams"]]
    leader = next(team["lead"] for team in answer["teams"] if team["lead"] in lead)
    stretches = {one["id"]: one["stretches"] for one in answer["divers"]}
    steady = [one for pair in others for one in pair if stretches[one] == 0]
    cared = [one for one in steady if not trip.bookings.get(pk=one).can_lead][:2]
    for one in cared:
        supervised(trip.bookings.get(pk=one))
    return [leader, *cared]


def test_a_supervised_diver_never_counts_as_the_one_who_shares(trip):  # noqa: F811
    """Contract: in `plan` and in `teams`; and leads nobody, whatever else the record says."""
    dive, noor, sten = first(trip), person(trip, "111"), person(trip, "104")
    supervised(noor)
    noor.refresh_from_db()
    assert not noor.can_lead
    body, _ = selectors.question(dive, {})
    assert [one["supervised"] for one in body["divers"] if one["id"] == str(noor.pk)] == [True]
    assert not any("supervised" in one for one in body["divers"] if one["id"] != str(noor.pk))
    chosen = [([sten.pk, noor.pk], sten.pk)]
    plan = services_teams.announce_teams(dive=dive, chosen=chosen, by=None, now=NOW)[0].plan
    assert [w for w in plan["warnings"] if str(sten.pk) in w["message"] and "supervised" in w["message"]]


def test_a_guided_group_is_announced_as_one_and_goes_to_the_boat(trip, group):  # noqa: F811
    dive = first(trip)
    proposal = services_teams.solve_teams(dive=dive, asked={"guided": [group]}, by=None, now=NOW)
    kinds = {frozenset(team["divers"]): team["kind"] for team in proposal.answer["teams"]}
    assert kinds[frozenset(group)] == "guided"
    chosen = [(team["divers"], team["lead"]) for team in proposal.answer["teams"]]
    services_teams.announce_teams(dive=dive, chosen=chosen, by=None, now=NOW, proposal=proposal)
    kept = Team.objects.get(guided=True)
    assert str(kept.lead_id) == group[0] and kept.members.count() == len(group)
    # The least limit of all.
    limits = [one["limit_min"] for one in kept.plan["divers"]]
    assert kept.plan["team"]["limit_min"] == min(limits)
    solve_and_announce(second(trip))
    ready = services_ready.make_ready(trip=trip, by=None, now=NOW)
    assert str(kept.pk) in ready.canonical


def test_a_guided_group_over_the_ratio_is_refused_by_name(trip, group):  # noqa: F811
    trip.club.policy = {**trip.club.policy, "guided_ratio": 1}
    trip.club.save()
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        services_teams.announce_teams(
            dive=first(trip), chosen=[(group, group[0])], by=None, now=NOW, guided=[group]
        )
    assert "supervision_ratio" in {one["code"] for one in refused.value.errors}
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        services_teams.announce_teams(
            dive=first(trip), chosen=[(group, None)], by=None, now=NOW, guided=[group]
        )
    assert refused.value.code == "lead_missing"


def test_the_day_a_drop_out_disturbs_least_is_as_good_as_the_first(trip):  # noqa: F811
    usual = services_teams.solve_teams(dive=first(trip), asked={}, by=None, now=NOW).answer
    sturdy = services_teams.solve_teams(dive=first(trip), asked={"robust": True}, by=None, now=NOW)
    assert sturdy.answer["total"] == usual["total"] and sturdy.asked["robust"] is True
    assert sturdy.answer["robust"]["days_compared"] >= 1
