"""A trip from its first booking to the frozen snapshot, on the demo club loaded through the real services."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from hashlib import sha256

import pytest
from django.db import transaction

from teamdive.calculations.day import day
from teamdive.people.models import Certification, Club, Diver, ImportedSheet, User
from teamdive.people.services import UnableToChangeDiver, change_record, record_fitness
from teamdive.trips import rules, selectors, services, services_ready, services_teams
from teamdive.trips.bodies import plan_body, pressure, teams_body, volume
from teamdive.trips.demo import load_demo
from teamdive.trips.models import Booking, Dive, GasCheck, Snapshot, Team, TeamMember, Trip

from .people_fixtures import NOW

PASSWORDS = {"organiser": "tern-and-tide-1", "leader": "tern-and-tide-2", "diver": "tern-and-tide-3"}


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    """The demo club, loaded once for this file; each test works on a savepoint within."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield load_demo(now=NOW, passwords=PASSWORDS)
        transaction.set_rollback(True)


@pytest.fixture
def trip(demo, db) -> Trip:
    """The demo trip with its plan open again: no snapshot, nothing announced."""
    Snapshot.objects.all().delete()
    TeamMember.objects.all().delete()
    Team.objects.all().delete()
    Trip.objects.update(state="planned")
    return Trip.objects.get()


def first(trip: Trip) -> Dive:
    return trip.dives.get(number=1)


def second(trip: Trip) -> Dive:
    return trip.dives.get(number=2)


def person(trip: Trip, member_number: str) -> Booking:
    return trip.bookings.get(diver__member_number=member_number)


def solve_and_announce(dive: Dive, **asked) -> list[Team]:
    proposal = services_teams.solve_teams(dive=dive, asked=asked, by=None, now=NOW)
    return services_teams.announce_teams(
        dive=dive,
        chosen=[(team["divers"], team["lead"]) for team in proposal.answer["teams"]],
        by=None,
        now=NOW,
        proposal=proposal,
    )


# --- the demo


def test_the_demo_is_ready_for_the_boat_and_loading_it_again_changes_nothing(demo, db):
    assert {s.role: s.password for s in demo} == PASSWORDS
    for sign_in in demo:
        assert User.objects.get(email=sign_in.email).check_password(PASSWORDS[sign_in.role])
    trip = Trip.objects.get()
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


# --- what the calculations are asked


def test_the_body_of_teams_holds_what_the_records_know_and_no_more(trip):
    dive = first(trip)
    divers = selectors.booked_divers(dive)
    assert len(divers) == 12
    body = teams_body(dive, selectors.facts(dive, divers), {})
    assert body["dive"]["depth"] == 27 and body["dive"]["bottom_time_min"] == 17
    assert body["dive"]["demands"]["task"] == {"kind": "survey", "level": 3}
    assert {d["id"] for d in body["divers"]} == {str(b.pk) for b in divers}
    noor = next(d for d in body["divers"] if d["id"] == str(person(trip, "111").pk))
    assert noor["certified_depth"] == 30 and noor["rmv_l_min"] == 18.5 and noor["fitness"] == "in_date"
    assert noor["experience"]["done"] == [
        {
            "depth": 30.0,
            "current_kn": 0.6,
            "visibility_m": 6.0,
            "water_temp_c": 12.0,
            "night": False,
            "count": 3,
            "on": "2026-10-22",
            "task": {"kind": "survey", "level": 3},
        }
    ]
    assert noor["earlier_dives"] == []
    assert noor["cylinders"][0]["start_pressure"] == 210
    person(trip, "111").gas_checks.all().delete()
    Booking.objects.filter(pk=person(trip, "111").pk).update(earlier_dives=None)
    body = teams_body(dive, selectors.facts(dive, selectors.booked_divers(dive)), {})
    noor = next(d for d in body["divers"] if d["id"] == str(person(trip, "111").pk))
    assert "earlier_dives" not in noor and "start_pressure" not in noor["cylinders"][0]
    assert "analysis" not in noor["gas"]


def test_conversions_go_to_the_careful_side():
    # NIST SP 811 (2008), B.8: 1 psi = 6.894757 kPa, so 3000 psi = 206.84 bar and 200 bar = 2900.75 psi.
    assert pressure(Decimal(3000), "psi", "bar", "ROUND_DOWN") == 206.8
    assert pressure(Decimal(200), "bar", "psi", "ROUND_DOWN") == 2900.7
    # NIST SP 811: 1 cubic foot = 28.31685 l. 80 cuft at 206.84 bar: 80 x 28.31685 / 206.84 = 10.952 l of water.
    assert volume(Decimal(80), "cuft", Decimal(3000), "psi", "l") == 10.95
    assert (
        volume(Decimal("11.1"), "l", Decimal(207), "bar", "cuft") == 81.14
    )  # 11.1 x 207 / 28.31685 = 81.143


def test_the_time_of_a_dive_from_surface_to_surface():
    # 27 m at 9 m a minute is 3 min; with a stop of 3 min a bottom time of 17 min ends at 23 min.
    assert rules.run_time_s(2700, "m", 17 * 60) == 23 * 60
    assert rules.depth_cm(6000, "ft") == 1839  # US Navy Diving Manual: 1 fsw = 0.30643 msw; 60 of them 18.386


# --- teams


def test_the_proposal_is_optimal_and_every_announced_team_says_whose_limit(trip):
    announced = solve_and_announce(first(trip))
    assert len(announced) == 6
    for team in announced:
        assert team.lead is not None and team.lead.can_lead
        assert (
            team.plan["team"]["limited_by"] and team.plan["what_if"] and team.plan["pressure_unit"] == "bar"
        )
        assert team.reasons
    dirk = TeamMember.objects.get(booking=person(trip, "108")).team
    assert dirk.plan["team"]["limiting_diver"] == str(person(trip, "108").pk)
    assert dirk.plan["team"]["limited_by"] == "gas", "ten litres and 24 l/min end this pair's dive"


def test_two_who_are_both_new_to_it_are_refused_by_rule(trip):
    hana, dirk = person(trip, "107"), person(trip, "108")
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        services_teams.announce_teams(dive=first(trip), chosen=[([hana.pk, dirk.pk], None)], by=None, now=NOW)
    assert refused.value.code == "team_not_permitted"
    assert all(e["pointer"] == "/teams/0" and e["message"] for e in refused.value.errors)
    assert not Team.objects.exists()


@pytest.mark.parametrize(
    ("members", "lead", "code"),
    [
        (["101"], None, "team_size"),
        (["101", "102", "103", "104"], None, "team_size"),
        (["101", "128"], None, "does_not_dive"),
        (["101", "101"], None, "in_two_teams"),
        (["101", "102"], "103", "lead_not_in_team"),
    ],
)
def test_a_team_that_cannot_be_is_refused_by_name(trip, members, lead, code):
    chosen = [([person(trip, m).pk for m in members], person(trip, lead).pk if lead else None)]
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        services_teams.announce_teams(dive=first(trip), chosen=chosen, by=None, now=NOW)
    assert code in {e["code"] for e in refused.value.errors}


def test_a_plan_says_what_the_next_dive_waits_and_when_to_be_out_for_a_flight(trip):
    solve_and_announce(first(trip))
    solve_and_announce(second(trip))
    booking = person(trip, "101")
    plans = [
        Team.objects.get(dive=dive, members__booking=booking).plan for dive in (first(trip), second(trip))
    ]
    # 27 m for 17 min, then 15 m for 30 min: ten minutes are enough by both methods (tests/published/test_intervals.py).
    assert plans[0]["next_dive"]["surface_interval"]["min"] == 10
    assert "interval_steps" in plans[1]
    # Where the gas of whoever dives beside them does not last the plan, no interval helps, and the plan says so.
    found = plans[1]["surface_interval"]
    assert found["min"] == 10 if "min" in found else "gas" in found["none"]
    assert not any("flight" in d for d in plans[1]["divers"])
    flies_at = second(trip).planned_at + timedelta(hours=20)
    services_teams.change_booking(booking=booking, flies_at=flies_at)
    plan = Team.objects.get(dive=second(trip), members__booking=booking).plan
    own = next(d for d in plan["divers"] if d["id"] == str(booking.pk))["flight"]
    # 18 h after more than one dive (workshop of 2002): two hours after the descent at the latest.
    assert (own["wait_min"], own["latest_surfacing_min"]) == (1080, 120)
    services_teams.change_booking(booking=booking, flies_at=None)
    plan = Team.objects.get(dive=second(trip), members__booking=booking).plan
    assert not any("flight" in d for d in plan["divers"])


def test_the_second_dive_rests_on_the_first_as_announced(trip):
    with pytest.raises(services_teams.UnableToSolveTeams) as refused:
        services_teams.solve_teams(dive=second(trip), asked={}, by=None, now=NOW)
    assert refused.value.code == "earlier_teams_missing"
    solve_and_announce(first(trip))
    team = Team.objects.get(members__booking=person(trip, "101"))
    members = [m.booking for m in team.members.select_related("booking__diver")]
    body = plan_body(second(trip), selectors.facts(second(trip), members))
    before = body["divers"][0]["earlier_dives"]
    limit_min = -(-selectors.limit_s(team.plan) // 60)
    assert before == [
        {
            "depth": 27.0,
            "bottom_time_min": limit_min,
            "o2_fraction": 0.21,
            "surfaced_min_before_descent": before[0]["surfaced_min_before_descent"],
        }
    ]
    over = first(trip).planned_at + timedelta(seconds=limit_min * 60 + 6 * 60)
    gap = (second(trip).planned_at - over).total_seconds() / 60
    assert before[0]["surfaced_min_before_descent"] == pytest.approx(gap, abs=1.01)
    announced = solve_and_announce(second(trip))
    # The table limit of the plan is the one that the day of the same two dives gives.
    own = next(d for t in announced for d in t.plan["divers"] if d["id"] == body["divers"][0]["id"])
    answer = day(
        {
            "depth_unit": "m",
            "method": "shorter",
            "gf": [0.4, 0.8],
            "site_altitude_m": 0,
            "dives": [
                {"depth": 27, "bottom_time_min": limit_min, "o2_fraction": 0.21},
                {
                    "surface_interval_min": before[0]["surfaced_min_before_descent"],
                    "depth": 15,
                    "bottom_time_min": 5,
                    "o2_fraction": 0.21,
                },
            ],
        }
    )
    assert own["limits"]["table_no_stop"]["min"] == answer["dives"][1]["adjusted_no_stop_limit_min"]


def test_dives_that_overlap_are_refused(trip):
    solve_and_announce(first(trip))
    Dive.objects.filter(number=2).update(planned_at=first(trip).planned_at + timedelta(minutes=25))
    with pytest.raises(services_teams.UnableToSolveTeams) as refused:
        services_teams.solve_teams(dive=second(trip), asked={}, by=None, now=NOW)
    assert refused.value.code == "dives_overlap"


def test_who_is_left_out_is_not_placed_and_no_reason_is_kept(trip):
    noor = person(trip, "111")
    services.change_dive(dive=first(trip), left_out=[noor.pk])
    proposal = services_teams.solve_teams(dive=first(trip), asked={}, by=None, now=NOW)
    assert str(noor.pk) not in json.dumps(proposal.answer)


def test_a_drop_out_withdraws_what_rested_on_them_and_changes_few(trip):
    solve_and_announce(first(trip))
    solve_and_announce(second(trip))
    before = {frozenset(team) for team in first(trip).last_announced}
    services.cancel_booking(booking=person(trip, "111"), now=NOW)
    assert not Team.objects.exists()
    after = services_teams.solve_teams(dive=first(trip), asked={}, by=None, now=NOW).answer
    kept = before & {frozenset(team["divers"]) for team in after["teams"]}
    assert len(kept) >= 4, "one diver fewer leaves most announced pairs together"


def test_a_proposal_is_stale_once_its_facts_have_changed(trip):
    proposal = services_teams.solve_teams(dive=first(trip), asked={}, by=None, now=NOW)
    assert not selectors.is_stale(proposal)
    solve_and_announce(first(trip))
    assert not selectors.is_stale(proposal), "what is announced is no fact about anyone"
    record_fitness(diver=person(trip, "111").diver, in_date_until=None)
    assert selectors.is_stale(proposal)


def test_an_override_is_signed_and_never_for_oneself(trip):
    leader = User.objects.get(email="marta.quill@varrow.example")
    marta = person(trip, "101")
    asked = {"overrides": [{"rule": "stretches", "diver": str(marta.pk), "reason": "paper seen"}]}
    proposal = services_teams.solve_teams(dive=first(trip), asked=asked, by=leader, now=NOW)
    assert proposal.asked["overrides"][0]["by"] == str(marta.pk)
    assert "override_refused" in {w["code"] for w in proposal.answer["warnings"]}


# --- gas


def test_another_cylinder_voids_the_analysis(trip):
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


def test_teams_are_drafted_before_anyone_stands_at_the_dock(trip):
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


def test_a_gas_check_redoes_the_plans_that_rest_on_it(trip):
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


# --- ready


def test_every_reason_that_keeps_a_trip_from_leaving_is_named(trip):
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


def test_a_team_that_facts_now_forbid_keeps_the_trip_ashore(trip):
    solve_and_announce(first(trip))
    solve_and_announce(second(trip))
    record_fitness(diver=person(trip, "111").diver, in_date_until=NOW.date() - timedelta(days=1))
    with pytest.raises(services_ready.UnableToMakeReady) as refused:
        services_ready.make_ready(trip=trip, by=None, now=NOW)
    assert {e["code"] for e in refused.value.errors} == {"fitness_out_of_date"} and len(
        refused.value.errors
    ) == 2


def test_an_override_stays_in_the_record_with_its_reason(trip):
    leader = User.objects.get(email="marta.quill@varrow.example")
    noor, sten = person(trip, "111"), person(trip, "104")
    record_fitness(diver=noor.diver, in_date_until=NOW.date() - timedelta(days=1))
    chosen = [([sten.pk, noor.pk], sten.pk)]
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        services_teams.announce_teams(dive=first(trip), chosen=chosen, by=leader, now=NOW)
    rule = refused.value.errors[0]
    assert rule["code"] == "fitness_out_of_date" and rule["overridable"] and "reason" in rule["remedy"]
    override = {"rule": rule["code"], "diver": str(noor.pk), "reason": "new paper seen this morning"}
    announced = services_teams.announce_teams(
        dive=first(trip), chosen=chosen, by=leader, now=NOW, overrides=[override]
    )
    assert first(trip).overrides == [{**override, "by": str(person(trip, "101").pk)}]
    assert "override" in {reason["code"] for reason in announced[0].reasons}


def test_a_certified_depth_set_aside_does_not_end_the_plan_and_stays_in_it(trip):
    """Floor of design.md, safety rule 7: what remains (gas, oxygen, no-stop) still ends the dive."""
    leader = User.objects.get(email="marta.quill@varrow.example")
    noor, sten, dive = person(trip, "111"), person(trip, "104"), first(trip)
    chosen = [([sten.pk, noor.pk], sten.pk)]
    usual = services_teams.announce_teams(dive=dive, chosen=chosen, by=leader, now=NOW)[0].plan
    Certification.objects.filter(diver=noor.diver).update(depth_hundredths=1000, depth_unit="m")
    override = {"rule": "certified_depth", "diver": str(noor.pk), "reason": "course dive, signed off"}
    said = {"overrides": [override]}
    services_teams.announce_teams(dive=dive, chosen=chosen, by=leader, now=NOW, **said)
    services_teams.replan(trip, 1)
    plan = Team.objects.get().plan
    assert plan["overrides"] == [{**override, "by": str(person(trip, "101").pk)}]
    assert plan["team"]["limit_min"] == usual["team"]["limit_min"] > 0
    hers = next(one for one in plan["divers"] if one["id"] == str(noor.pk))
    assert "signed off" in hers["limits"]["certified_depth"]["reason"]
    # Signed for oneself it lifts nothing.
    own = [{**override, "by": str(noor.pk)}]
    assert rules.depth_set_aside(own, {str(noor.pk): 1000}, 2500) == []


def test_a_juniors_depth_is_set_aside_by_nobody(trip):
    leader = User.objects.get(email="marta.quill@varrow.example")
    noor, sten = person(trip, "111"), person(trip, "104")
    Diver.objects.filter(pk=noor.diver_id).update(born=NOW.date() - timedelta(days=13 * 365))
    Certification.objects.filter(diver=noor.diver).update(depth_hundredths=1000, depth_unit="m")
    overrides = [
        {"rule": rule, "diver": str(noor.pk), "reason": "keen"}
        for rule in ("certified_depth", "junior_depth")
    ]
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        chosen = [([sten.pk, noor.pk], sten.pk)]
        services_teams.announce_teams(
            dive=first(trip), chosen=chosen, by=leader, now=NOW, overrides=overrides
        )
    assert "junior_depth" in {one["code"] for one in refused.value.errors if not one["overridable"]}


def test_nobody_is_offered_to_set_a_rule_aside_for_themselves(trip):
    noor, sten = person(trip, "111"), person(trip, "104")
    record_fitness(diver=noor.diver, in_date_until=NOW.date() - timedelta(days=1))
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        services_teams.announce_teams(
            dive=first(trip), chosen=[([sten.pk, noor.pk], sten.pk)], by=noor.diver.user, now=NOW
        )
    rule = refused.value.errors[0]
    assert rule["code"] == "fitness_out_of_date" and not rule["overridable"]
    assert "someone else" in rule["remedy"]


@pytest.mark.parametrize(
    ("rule", "signed", "leads", "overridable"),
    [
        ({"divers": ["a"], "overridable": False}, "x", [], False),
        ({"divers": ["a"], "overridable": True}, "x", [], True),
        ({"divers": ["a", "b"], "overridable": True}, "b", ["b"], False),
        ({"divers": ["a"], "overridable": True}, "b", [], False),
        ({"divers": ["a"], "overridable": True}, "b", ["b"], True),
    ],
)
def test_who_may_set_a_rule_aside(rule, signed, leads, overridable):
    said = rules.may_set_aside(rule, signed, ["a", "b"], leads)
    assert said["overridable"] is overridable and said["remedy"].startswith("Change the team")


def test_somebody_holds_the_deck(trip):
    trip.bookings.filter(dives=False).update(cancelled_at=NOW)
    solve_and_announce(first(trip))
    solve_and_announce(second(trip))
    with pytest.raises(services_ready.UnableToMakeReady) as refused:
        services_ready.make_ready(trip=trip, by=None, now=NOW)
    assert {e["code"] for e in refused.value.errors} == {"nobody_holds_the_deck"}


def test_the_snapshot_is_named_by_its_bytes_and_holds_no_name(trip):
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
    trip = Trip.objects.get()
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


def test_changing_a_dive_withdraws_it_and_what_follows(trip):
    solve_and_announce(first(trip))
    solve_and_announce(second(trip))
    services.change_dive(dive=second(trip), bottom_time_s=1500)
    assert first(trip).teams.exists() and not second(trip).teams.exists()
    services.change_dive(dive=first(trip), depth_hundredths=2400)
    assert not first(trip).teams.exists()


def test_how_a_team_turns_on_a_dive_is_in_its_plan(trip):
    dive = first(trip)

    def turns(**fields) -> tuple[dict, dict]:
        services.change_dive(dive=dive, **fields)
        plan = solve_and_announce(dive)[0].plan
        return plan["team"], plan["divers"][0]

    usual = {"return_to": "same_point", "current_kn": Decimal("0.3"), "task_unit_min": 3}
    _, halves = turns(**usual)
    team, thirds = turns(turn_rule="thirds")
    _, along = turns(turn_rule="", along_current="with", swim_kn=Decimal("0.8"))
    assert (halves["turn_rule"], thirds["turn_rule"], along["turn_rule"]) == ("halves", "thirds", "halves")
    # A third out, or less against a current on the way back, leaves more in the cylinder than a half.
    assert thirds["turn_pressure"] > halves["turn_pressure"] < along["turn_pressure"]
    assert team["last_start_min"] < team["limit_min"] - 3
    assert team["first_to_turn"]["diver"] in {str(booking.pk) for booking in trip.bookings.all()}
    with pytest.raises(services.UnableToKeepTrip):
        services.change_dive(dive=dive, along_current="with", swim_kn=None)


def test_beyond_40_m_is_refused_unless_the_keeper_enabled_it(trip):
    with pytest.raises(services.UnableToKeepTrip) as refused:
        services.change_dive(dive=first(trip), depth_hundredths=4001)
    assert refused.value.code == "beyond_40_m"
    Club.objects.update(beyond_40_m_enabled=True)
    assert services.change_dive(dive=first(trip), depth_hundredths=4001).depth_hundredths == 4001


def test_a_junior_is_placed_once_the_consent_is_on_file(trip):
    """ISO 24803:2017 4.1: written consent of a parent or guardian; unknown bars, and is never set aside."""
    dive = second(trip)
    solve_and_announce(first(trip))
    junior = person(trip, "111")
    born = NOW.date() - timedelta(days=16 * 366)
    Diver.objects.filter(pk=junior.diver_id).update(born=born)

    def barred() -> set[str]:
        answer = services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW).answer
        return {
            r["code"] for one in answer["not_placed"] if one["id"] == str(junior.pk) for r in one["reasons"]
        }

    assert "guardian_consent_not_known" in barred()
    change_record(diver=junior.diver, fields={"guardian_consent": False})
    assert "guardian_consent" in barred()
    change_record(diver=junior.diver, fields={"guardian_consent": True})
    assert not {"guardian_consent", "guardian_consent_not_known"} & barred()


def test_whoever_covers_the_surface_is_in_no_team_and_a_club_may_require_the_names(trip):
    Club.objects.update(policy={"surface_cover": "required"})
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        solve_and_announce(first(trip))
    assert refused.value.code == "surface_cover_missing"
    dry = [str(b.pk) for b in trip.bookings.filter(dives=False).order_by("pk")][:2]
    ashore = str(person(trip, "101").pk)
    roles = zip(
        ("boat_handler", "lookout", "oxygen", "standby"), (dry[0], dry[1], dry[1], ashore), strict=True
    )
    announced = solve_and_announce(
        first(trip), surface_cover=[{"role": role, "person": who} for role, who in roles]
    )
    in_water = {str(m) for team in announced for m in team.members.values_list("booking_id", flat=True)}
    assert announced and ashore not in in_water


def test_a_first_time_is_announced_no_longer_than_the_club_allows(trip):
    Club.objects.update(policy={"first_exposure_min": 8})
    for team in solve_and_announce(first(trip)):
        limit = team.plan["team"]["limit_min"]
        assert limit <= 8 if team.plan["stretched"] else limit > 8


def test_a_step_past_the_certified_depth_is_planned_where_the_club_allows_it(trip):
    """AAUS 4.40 (from memory): one step deeper beside a diver holding that depth; 18 m to 30 m."""
    mate = person(trip, "111")
    Certification.objects.filter(diver=mate.diver).update(depth_hundredths=1800, depth_unit="m")
    answer = services_teams.solve_teams(dive=first(trip), asked={}, by=None, now=NOW).answer
    assert "certified_depth" in {r["code"] for one in answer["not_placed"] for r in one["reasons"]}
    Club.objects.update(policy={"deeper_beside_certified": True})
    teams = [t for t in solve_and_announce(first(trip)) if t.members.filter(booking=mate).exists()]
    assert teams[0].plan["team"]["limit_min"] > 0


def test_guardians_on_the_trip_are_named_to_pairing(trip):
    junior, guardian = person(trip, "111"), person(trip, "101")
    change_record(diver=junior.diver, fields={}, guardians=[guardian.diver_id])
    body, _ = selectors.question(first(trip), {})
    (known,) = [one for one in body["divers"] if one["id"] == str(junior.pk)]
    assert known["guardians"] == [str(guardian.pk)]
    with pytest.raises(UnableToChangeDiver) as refused:
        change_record(diver=junior.diver, fields={}, guardians=[junior.diver_id])
    assert refused.value.errors[0]["pointer"] == "/guardians"


def test_what_is_decided_of_a_three_is_announced_with_it(trip):
    answer = services_teams.solve_teams(
        dive=first(trip), asked={"out_of_water": [str(person(trip, "112").pk)]}, by=None, now=NOW
    ).answer
    three = next(team for team in answer["teams"] if team["kind"] == "three")
    services_teams.announce_teams(
        dive=first(trip), chosen=[(three["divers"], three["lead"])], by=None, now=NOW
    )
    said = [reason["code"] for reason in Team.objects.get().reasons]
    assert said.count("split") == 3 and said.count("ring") == 1
    assert answer["instead_of_three"][0]["offers"]
