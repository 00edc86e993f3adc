"""From the gas at the dock to the frozen snapshot, on the demo club loaded through the real services."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from hashlib import sha256

import pytest

from teamdive.people.models import Club, Diver, ImportedSheet, User
from teamdive.people.services import record_fitness
from teamdive.trips import rules, selectors, services, services_ready, services_teams
from teamdive.trips.demo import load_demo
from teamdive.trips.models import Booking, Dive, GasCheck, Snapshot, Team, Trip

from .conftest import PASSWORDS
from .people_fixtures import NOW
from .trips_demo import first, person, second, solve_and_announce, trip  # noqa: F401


def test_the_demo_is_ready_for_the_boat_and_loading_it_again_changes_nothing(demo, db):
    assert {s.role: s.password for s in demo} == PASSWORDS
    for sign_in in demo:
        assert User.objects.get(email=sign_in.email).check_password(PASSWORDS[sign_in.role])
    trip = Trip.objects.get()  # noqa: F811
    assert trip.state == "ready" and trip.bookings.filter(dives=True).count() == 12
    kept = selectors.snapshot_of(trip.pk)
    counts = [model.objects.count() for model in (User, Diver, Booking, Team, GasCheck, ImportedSheet)]
    again = load_demo(now=NOW + timedelta(hours=2))
    assert [s.password for s in again] == [None, None, None]
    assert [
        model.objects.count() for model in (User, Diver, Booking, Team, GasCheck, ImportedSheet)
    ] == counts
    assert selectors.snapshot_of(trip.pk) == kept
    load_demo(now=NOW + timedelta(days=1))
    assert Trip.objects.count() == 2 and Club.objects.count() == 1


@pytest.mark.parametrize(
    "at", [datetime(2025, 1, 15, 23, 50, tzinfo=UTC), datetime(2031, 2, 28, 0, 5, tzinfo=UTC)], ids=str
)
def test_the_demo_loads_at_any_hour_of_any_day(at, demo, db):
    """Beside what an earlier day left: a demo opened again after years still has its divers in practice."""
    load_demo(now=at, passwords=PASSWORDS)
    snapshot = selectors.snapshot_of(Trip.objects.get(starts_at__year=at.year).pk)["snapshot"]
    assert [len(dive["teams"]) for dive in snapshot["dives"]] == [6, 6]
    assert snapshot["dives"][1]["planned_at"] - snapshot["dives"][0]["planned_at"] > 80 * 60_000


def test_new_accounts_get_their_own_random_passwords(demo, db):
    User.objects.all().delete()
    one = load_demo(now=NOW)
    assert len({s.password for s in one}) == 3 and all(len(s.password or "") >= 12 for s in one)


def test_another_cylinder_voids_the_analysis(trip):  # noqa: F811
    noor, dive = person(trip, "111"), first(trip)
    check = GasCheck.objects.get(booking=noor, dive=dive)
    same = {
        "booking": noor,
        "dive": dive,
        "volume": check.volume,
        "volume_unit": check.volume_unit,
        "working_pressure": check.working_pressure,
        "pressure_unit": check.pressure_unit,
        "analysed_o2_pm": 210,
        "analysed_by": noor,
        "now": NOW + timedelta(minutes=5),
    }
    kept = services_teams.check_gas(**same, cylinder=check.cylinder, start_pressure=200)
    assert kept.analysed_at == check.analysed_at, "less gas is the same gas"
    refilled = services_teams.check_gas(**same, cylinder=check.cylinder, start_pressure=230)
    assert refilled.analysed_o2_pm is None
    anew = services_teams.check_gas(**same, cylinder=check.cylinder, start_pressure=230)
    assert anew.analysed_at == NOW + timedelta(minutes=5)
    swapped = services_teams.check_gas(**same, cylinder="other", start_pressure=230)
    assert swapped.analysed_o2_pm is None


def test_teams_are_drafted_before_anyone_stands_at_the_dock(trip):  # noqa: F811
    dive = first(trip)
    dive.gas_checks.all().delete()
    bare = services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW).answer
    assert not bare["teams"] and all(
        {"gas_not_known", "gas_not_analysed"} & {r["code"] for r in one["reasons"]}
        for one in bare["not_placed"]
    )
    asked = {"expect_gas": {"unit": "bar", "value": 200}}
    proposal = services_teams.solve_teams(dive=dive, asked=asked, by=None, now=NOW)
    assert len(proposal.answer["teams"]) == 6
    warning = next(w for w in proposal.answer["warnings"] if w["code"] == "gas_expected")
    assert len(warning["divers"]) == 12
    announced = services_teams.announce_teams(
        dive=dive,
        chosen=[(team["divers"], team["lead"]) for team in proposal.answer["teams"]],
        by=None,
        now=NOW,
        proposal=proposal,
    )
    assert all("not_known" in t.plan["team"]["limits"]["gas"]["min"] for t in announced), (
        "no plan rests on it"
    )
    assert not GasCheck.objects.filter(dive=dive).exists()


def test_a_gas_check_redoes_the_plans_that_rest_on_it(trip):  # noqa: F811
    solve_and_announce(first(trip))
    noor = person(trip, "111")
    check = GasCheck.objects.get(booking=noor, dive=first(trip))
    services_teams.check_gas(
        booking=noor,
        dive=first(trip),
        cylinder=check.cylinder,
        volume=check.volume,
        volume_unit=check.volume_unit,
        working_pressure=check.working_pressure,
        pressure_unit=check.pressure_unit,
        start_pressure=150,
        analysed_o2_pm=210,
        analysed_by=noor,
        now=NOW,
    )
    team = Team.objects.get(members__booking=noor)
    assert team.plan["team"]["limited_by"] == "gas" and team.plan["team"]["limiting_diver"] == str(noor.pk)


def test_every_reason_that_keeps_a_trip_from_leaving_is_named(trip):  # noqa: F811
    Club.objects.update(overdue_after_min=None)
    trip.boat.most_persons = 10
    trip.boat.save()
    Dive.objects.filter(number=2).update(planned_at=None)
    with pytest.raises(services_ready.UnableToMakeReady) as refused:
        services_ready.make_ready(trip=trip, by=None, now=NOW)
    assert {(e["code"], e["pointer"].rsplit("/", 1)[-1]) for e in refused.value.errors} == {
        ("overdue_minutes_not_set", "overdue_after_min"),
        ("too_many_persons", "bookings"),
        ("teams_missing", "teams"),
        ("dive_time_not_set", "planned_at"),
    }
    assert all(e["remedy"] for e in refused.value.errors) and not Snapshot.objects.exists()


def test_a_team_that_facts_now_forbid_keeps_the_trip_ashore(trip):  # noqa: F811
    solve_and_announce(first(trip))
    solve_and_announce(second(trip))
    record_fitness(diver=person(trip, "111").diver, in_date_until=NOW.date() - timedelta(days=1))
    with pytest.raises(services_ready.UnableToMakeReady) as refused:
        services_ready.make_ready(trip=trip, by=None, now=NOW)
    assert {e["code"] for e in refused.value.errors} == {"fitness_out_of_date"} and len(
        refused.value.errors
    ) == 2


def test_somebody_holds_the_deck(trip):  # noqa: F811
    trip.bookings.filter(dives=False).update(cancelled_at=NOW)
    solve_and_announce(first(trip))
    solve_and_announce(second(trip))
    with pytest.raises(services_ready.UnableToMakeReady) as refused:
        services_ready.make_ready(trip=trip, by=None, now=NOW)
    assert {e["code"] for e in refused.value.errors} == {"nobody_holds_the_deck"}


def test_the_snapshot_is_named_by_its_bytes_and_holds_no_name(trip):  # noqa: F811
    solve_and_announce(first(trip))
    solve_and_announce(second(trip))
    kept = services_ready.make_ready(trip=trip, by=None, now=NOW)
    assert sha256(kept.canonical.encode()).hexdigest() == kept.hash
    for diver in Diver.objects.all():
        for word in diver.name.split():
            assert word not in kept.canonical
    shown = selectors.snapshot_of(trip.pk)
    snapshot = shown["snapshot"]
    assert set(shown["names"]) == {p["id"] for p in snapshot["people"]} and len(snapshot["people"]) == 14
    assert snapshot["settings"]["overdue_after_min"] == 10
    team = snapshot["dives"][0]["teams"][0]
    assert team["limit_s"] and team["limited_by"] and team["lead"] in team["members"]
    assert all(d["minimum_gas"]["unit"] == "bar" and d["o2_pm"] == 210 for d in team["divers"])
    # For the rescue service: the size of each cylinder, and how little its diver may breathe, below the working mean.
    for each in team["divers"]:
        diver = Booking.objects.get(pk=each["id"]).diver
        assert 50 <= each["cylinder_dl"] <= 200
        assert 10 <= each["rmv_low_dl_min"] < diver.rmv_l_min * 10
    assert shown["labels"] == {
        "club": "Varrow Bay divers",
        "trip": "Two dives at the Teeth",
        "boat": "Grey Petrel",
        "sites": {snapshot["dives"][0]["id"]: "The Teeth", snapshot["dives"][1]["id"]: "Kelp Garden"},
    }


def test_water_volumes_and_the_least_breathing():
    """An aluminium cylinder called 80, 77.4 ft3 at 3000 psi, holds 11.1 L (common practice, its usual data sheet)."""
    assert rules.cylinder_dl(Decimal("12"), "l", 232, "bar") == 120
    assert 107 <= rules.cylinder_dl(Decimal("77.4"), "cuft", 3000, "psi") <= 112
    assert rules.rmv_low_dl_min(Decimal(18), Decimal(3)) == 120
    assert rules.rmv_low_dl_min(Decimal(20), None) == 120
    assert rules.rmv_low_dl_min(Decimal(18), Decimal(9)) == 60
    assert rules.rmv_low_dl_min(None, None) is None


def test_after_the_snapshot_only_entries_change_the_plan(demo, db):
    trip = Trip.objects.get()  # noqa: F811
    dive, booking = first(trip), person(trip, "111")
    check = GasCheck.objects.get(booking=booking, dive=dive)
    gas = {
        n: getattr(check, n)
        for n in ("cylinder", "volume", "volume_unit", "working_pressure", "pressure_unit")
    }
    attempts = [
        lambda: services.change_trip(trip=trip, name="Another"),
        lambda: services.add_booking(trip=trip, name="A guest", role="guest"),
        lambda: services.change_booking(booking=booking, role="leader"),
        lambda: services.cancel_booking(booking=booking, now=NOW),
        lambda: services.add_dive(trip=trip, depth_hundredths=1000, depth_unit="m", bottom_time_s=600),
        lambda: services.change_dive(dive=dive, bottom_time_s=600),
        lambda: services_teams.check_gas(booking=booking, dive=dive, now=NOW, **gas),
        lambda: services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW),
        lambda: services_teams.announce_teams(dive=dive, chosen=[], by=None, now=NOW),
        lambda: services_ready.make_ready(trip=trip, by=None, now=NOW),
    ]
    before = Snapshot.objects.values().get()
    for attempt in attempts:
        with pytest.raises(services.UnableToChangeTrip) as refused:
            attempt()
        assert refused.value.code == "trip_is_ready" and "deck page" in refused.value.message
    assert Snapshot.objects.values().get() == before
