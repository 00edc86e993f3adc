"""Making a trip ready whose contacts nothing reaches: a decision of somebody, by name, kept in the trip's record."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from teamdive.people.models import Club, Diver, Membership, User
from teamdive.trips import selectors_shore, services, services_ready, services_shore
from teamdive.trips.models import FloatPlan, ShoreSaid, Trip
from teamdive.trips.rules_shore import SAYINGS

from .people_fixtures import NOW
from .trips_demo import first, second, solve_and_announce, trip  # noqa: F401

MAIL_ONLY = [{"name": "Bryn Tal", "email": "bryn.tal@varrow.example"}]


def change(of: Trip, contacts: list[dict[str, Any]], **more: Any) -> FloatPlan:
    return services_shore.change_float_plan(
        trip=of,
        back_by=of.starts_at + timedelta(hours=8),
        if_not_heard="",
        contacts=contacts,
        positions={},
        now=NOW,
        **more,
    )


def announced(of: Trip) -> None:
    for dive in (first(of), second(of)):
        solve_and_announce(dive)


def refused(of: Trip) -> list[tuple[str, str]]:
    with pytest.raises(services_ready.UnableToMakeReady) as error:
        services_ready.make_ready(trip=of, by=None, now=NOW)
    return [(one["code"], one["pointer"]) for one in error.value.errors]


def test_nobody_reached_keeps_the_trip_from_leaving_until_somebody_decides_by_name(trip):  # noqa: F811
    announced(trip)
    change(trip, MAIL_ONLY)
    assert refused(trip) == [("nobody_reached", "/float_plan/told_otherwise")]
    assert selectors_shore.labels(trip.pk)["told_otherwise"] is True
    plan = change(trip, MAIL_ONLY, told_otherwise_by="Oda Fell")
    assert plan.told_otherwise_by == "Oda Fell"
    said = ShoreSaid.objects.get(plan=plan, by="Oda Fell")
    # The demo's leader said it of the contacts before, at that very moment.
    assert (said.what, said.at) == ("told_otherwise", NOW + timedelta(microseconds=1))
    services_ready.make_ready(trip=trip, by=None, now=NOW)
    assert Trip.objects.get(pk=trip.pk).state == "ready"


def test_the_decision_is_about_the_people_of_that_plan(trip):  # noqa: F811
    announced(trip)
    change(trip, MAIL_ONLY, told_otherwise_by="Oda Fell")
    plan = change(trip, [*MAIL_ONLY, {"name": "Edda Lorn", "email": "edda.lorn@varrow.example"}])
    assert plan.told_otherwise_by == ""
    assert refused(trip) == [("nobody_reached", "/float_plan/told_otherwise")]
    # What was decided before stays in the record.
    assert ShoreSaid.objects.filter(plan=plan, what="told_otherwise", by="Oda Fell").exists()


def test_one_who_is_reached_needs_no_decision_and_none_is_kept(trip):  # noqa: F811
    announced(trip)
    ShoreSaid.objects.all().delete()
    user = User.objects.create(email="edda.lorn@varrow.example")
    Membership.objects.create(club=trip.club, user=user, role="diver")
    edda = Diver.objects.create(club=trip.club, user=user, name="Edda Lorn")
    plan = change(trip, [*MAIL_ONLY, {"diver": edda}], told_otherwise_by="Oda Fell")
    assert plan.told_otherwise_by == "" and ShoreSaid.objects.count() == 0
    assert "told_otherwise" not in selectors_shore.labels(trip.pk)
    services_ready.make_ready(trip=trip, by=None, now=NOW)


def test_the_demo_says_who_tells_those_ashore(demo, db):
    club = Club.objects.get()
    plan = FloatPlan.objects.get()
    assert club.divers.filter(name=plan.told_otherwise_by, member_number="101").exists()
    assert plan.said.get().what == "told_otherwise"


def test_a_contact_who_is_booked_afterwards_waits_on_the_boat(trip):  # noqa: F811
    announced(trip)
    user = User.objects.create(email="edda.lorn@varrow.example")
    Membership.objects.create(club=trip.club, user=user, role="diver")
    edda = Diver.objects.create(club=trip.club, user=user, name="Edda Lorn")
    change(trip, [*MAIL_ONLY, {"diver": edda}])
    booking = services.add_booking(trip=trip, diver=edda, role="crew")
    assert ("on_the_boat", "/float_plan/contacts/1") in refused(trip)
    services.cancel_booking(booking=booking, now=NOW)
    services_ready.make_ready(trip=trip, by=None, now=NOW)


@pytest.mark.parametrize("what", SAYINGS)
def test_what_is_said_before_the_trip_is_ready_cannot_stand_while_it_is_out(trip, what):  # noqa: F811
    plan = change(trip, MAIL_ONLY)
    before = ShoreSaid.objects.count()
    with pytest.raises(services.UnableToKeepTrip) as error:
        services_shore.say(plan=plan, what=what, by="Oda Fell", now=NOW)
    assert [(one["code"], one["pointer"]) for one in error.value.errors] == [("trip_not_ready", "/what")]
    assert ShoreSaid.objects.count() == before
