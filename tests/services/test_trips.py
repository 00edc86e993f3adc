"""A trip's teams from the records: asked, proposed, announced, withdrawn."""

from __future__ import annotations

import json
from datetime import timedelta
from decimal import Decimal

import pytest

from teamdive.calculations.day import day
from teamdive.people.services import record_fitness
from teamdive.trips import rules, selectors, services, services_teams
from teamdive.trips.bodies import plan_body, teams_body
from teamdive.trips.cylinders import pressure, volume
from teamdive.trips.models import Booking, Dive, Team, TeamMember

from .people_fixtures import NOW
from .trips_demo import first, person, second, solve_and_announce, trip  # noqa: F401


def test_the_body_of_teams_holds_what_the_records_know_and_no_more(trip):  # noqa: F811
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


def test_the_proposal_is_optimal_and_every_announced_team_says_whose_limit(trip):  # noqa: F811
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


def test_two_who_are_both_new_to_it_are_refused_by_rule(trip):  # noqa: F811
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
def test_a_team_that_cannot_be_is_refused_by_name(trip, members, lead, code):  # noqa: F811
    chosen = [([person(trip, m).pk for m in members], person(trip, lead).pk if lead else None)]
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        services_teams.announce_teams(dive=first(trip), chosen=chosen, by=None, now=NOW)
    assert code in {e["code"] for e in refused.value.errors}


def test_a_plan_says_what_the_next_dive_waits_and_when_to_be_out_for_a_flight(trip):  # noqa: F811
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


def test_the_second_dive_rests_on_the_first_as_announced(trip):  # noqa: F811
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


def test_dives_that_overlap_are_refused(trip):  # noqa: F811
    solve_and_announce(first(trip))
    Dive.objects.filter(number=2).update(planned_at=first(trip).planned_at + timedelta(minutes=25))
    with pytest.raises(services_teams.UnableToSolveTeams) as refused:
        services_teams.solve_teams(dive=second(trip), asked={}, by=None, now=NOW)
    assert refused.value.code == "dives_overlap"


def test_who_is_left_out_is_not_placed_and_no_reason_is_kept(trip):  # noqa: F811
    noor = person(trip, "111")
    services.change_dive(dive=first(trip), left_out=[noor.pk])
    proposal = services_teams.solve_teams(dive=first(trip), asked={}, by=None, now=NOW)
    assert str(noor.pk) not in json.dumps(proposal.answer)


def test_a_drop_out_withdraws_what_rested_on_them_and_changes_few(trip):  # noqa: F811
    solve_and_announce(first(trip))
    solve_and_announce(second(trip))
    before = {frozenset(team) for team in first(trip).last_announced}
    services.cancel_booking(booking=person(trip, "111"), now=NOW)
    assert not Team.objects.exists()
    after = services_teams.solve_teams(dive=first(trip), asked={}, by=None, now=NOW).answer
    kept = before & {frozenset(team["divers"]) for team in after["teams"]}
    assert len(kept) >= 4, "one diver fewer leaves most announced pairs together"


def test_a_proposal_is_stale_once_its_facts_have_changed(trip):  # noqa: F811
    proposal = services_teams.solve_teams(dive=first(trip), asked={}, by=None, now=NOW)
    assert not selectors.is_stale(proposal)
    solve_and_announce(first(trip))
    assert not selectors.is_stale(proposal), "what is announced is no fact about anyone"
    record_fitness(diver=person(trip, "111").diver, in_date_until=None)
    assert selectors.is_stale(proposal)


def test_changing_a_dive_withdraws_it_and_what_follows(trip):  # noqa: F811
    solve_and_announce(first(trip))
    solve_and_announce(second(trip))
    services.change_dive(dive=second(trip), bottom_time_s=1500)
    assert first(trip).teams.exists() and not second(trip).teams.exists()
    services.change_dive(dive=first(trip), depth_hundredths=2400)
    assert not first(trip).teams.exists()


def test_how_a_team_turns_on_a_dive_is_in_its_plan(trip):  # noqa: F811
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


def test_what_is_decided_of_a_three_is_announced_with_it(trip):  # noqa: F811
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
