"""What a club allows and what somebody decides otherwise, on the demo trip."""

from __future__ import annotations

from datetime import timedelta

import pytest

from teamdive.people.models import Certification, Club, Diver, User
from teamdive.people.services import UnableToChangeDiver, change_record, record_fitness
from teamdive.trips import rules, selectors, services, services_teams
from teamdive.trips.models import Proposal, Team

from .people_fixtures import NOW
from .trips_demo import first, person, second, solve_and_announce, trip  # noqa: F401


def test_an_override_is_signed_and_never_for_oneself(trip):  # noqa: F811
    leader = User.objects.get(email="marta.quill@varrow.example")
    marta = person(trip, "101")
    asked = {"overrides": [{"rule": "stretches", "diver": str(marta.pk), "reason": "paper seen"}]}
    proposal = services_teams.solve_teams(dive=first(trip), asked=asked, by=leader, now=NOW)
    assert proposal.asked["overrides"][0]["by"] == str(marta.pk)
    assert "override_refused" in {w["code"] for w in proposal.answer["warnings"]}


def test_an_override_stays_in_the_record_with_its_reason(trip):  # noqa: F811
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


def test_a_certified_depth_set_aside_does_not_end_the_plan_and_stays_in_it(trip):  # noqa: F811
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


def test_a_juniors_depth_is_set_aside_by_nobody(trip):  # noqa: F811
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


def test_nobody_is_offered_to_set_a_rule_aside_for_themselves(trip):  # noqa: F811
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


def test_beyond_40_m_is_refused_unless_the_keeper_enabled_it(trip):  # noqa: F811
    with pytest.raises(services.UnableToKeepTrip) as refused:
        services.change_dive(dive=first(trip), depth_hundredths=4001)
    assert refused.value.code == "beyond_40_m"
    Club.objects.update(beyond_40_m_enabled=True)
    assert services.change_dive(dive=first(trip), depth_hundredths=4001).depth_hundredths == 4001


def test_a_junior_is_placed_once_the_consent_is_on_file(trip):  # noqa: F811
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


def test_whoever_covers_the_surface_is_in_no_team_and_a_club_may_require_the_names(trip):  # noqa: F811
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
    # Teams changed by hand after they were found are held to the names as well.
    teams = [[str(m) for m in team.members.values_list("booking_id", flat=True)] for team in announced]
    teams[0][1] = ashore
    proposal = Proposal.objects.get(dive=first(trip), asked__has_key="surface_cover")
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        services_teams.announce_teams(
            dive=first(trip), chosen=[(team, None) for team in teams], by=None, now=NOW, proposal=proposal
        )
    assert refused.value.code == "surface_cover_dives"


def test_a_first_time_is_announced_no_longer_than_the_club_allows(trip):  # noqa: F811
    Club.objects.update(policy={"first_exposure_min": 8})
    for team in solve_and_announce(first(trip)):
        limit = team.plan["team"]["limit_min"]
        assert limit <= 8 if team.plan["stretched"] else limit > 8


def test_a_step_past_the_certified_depth_is_planned_where_the_club_allows_it(trip):  # noqa: F811
    """AAUS 4.40 (from memory): one step deeper beside a diver holding that depth; 18 m to 30 m."""
    mate = person(trip, "111")
    Certification.objects.filter(diver=mate.diver).update(depth_hundredths=1800, depth_unit="m")
    answer = services_teams.solve_teams(dive=first(trip), asked={}, by=None, now=NOW).answer
    assert "certified_depth" in {r["code"] for one in answer["not_placed"] for r in one["reasons"]}
    Club.objects.update(policy={"deeper_beside_certified": True})
    teams = [t for t in solve_and_announce(first(trip)) if t.members.filter(booking=mate).exists()]
    assert teams[0].plan["team"]["limit_min"] > 0


def test_guardians_on_the_trip_are_named_to_pairing(trip):  # noqa: F811
    junior, guardian = person(trip, "111"), person(trip, "101")
    change_record(diver=junior.diver, fields={}, guardians=[guardian.diver_id])
    body, _ = selectors.question(first(trip), {})
    (known,) = [one for one in body["divers"] if one["id"] == str(junior.pk)]
    assert known["guardians"] == [str(guardian.pk)]
    with pytest.raises(UnableToChangeDiver) as refused:
        change_record(diver=junior.diver, fields={}, guardians=[junior.diver_id])
    assert refused.value.errors[0]["pointer"] == "/guardians"
