"""The dives of a trip solved together from its records, and each announced from the preview."""

from __future__ import annotations

from dataclasses import replace

import pytest
from django.test import Client

from teamdive.people.models import User
from teamdive.trips import services_teams, services_whole_day
from teamdive.trips.models import Boat, GasCheck, Proposal, Team

from .people_fixtures import NOW
from .trips_demo import first, second, trip  # noqa: F401

pytestmark = pytest.mark.django_db
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


def solve(trip, **asked):  # noqa: F811
    return services_whole_day.solve_day(trip=trip, asked=asked, by=None)


def pairs(answer, at):
    return {frozenset(team["divers"]) for team in answer["dives"][at]["teams"]}


def test_both_dives_are_worked_out_and_nothing_is_kept(trip):  # noqa: F811
    kept = Proposal.objects.count(), Team.objects.count()
    answer = solve(trip)
    assert answer["status"] in ("optimal", "feasible")
    assert [dive["total"]["placed"] > 1 for dive in answer["dives"]] == [True, True]
    assert (Proposal.objects.count(), Team.objects.count()) == kept


def test_partners_are_kept_or_changed_as_asked_and_nobody_loses_a_place_by_it(trip):  # noqa: F811
    either, keep, change = (solve(trip, partners=one, cost_s=3600) for one in ("either", "keep", "change"))
    assert either["total"]["placed"] == keep["total"]["placed"] == change["total"]["placed"]
    assert len(pairs(keep, 0) & pairs(keep, 1)) >= len(pairs(change, 0) & pairs(change, 1))
    assert keep["between_dives"]["partners"] == "keep"


def test_a_preview_can_be_announced_dive_by_dive(trip):  # noqa: F811
    answer = solve(trip, partners="change")
    for dive, found in zip((first(trip), second(trip)), answer["dives"], strict=True):
        announced = services_teams.announce_teams(
            dive=dive, chosen=[(team["divers"], team["lead"]) for team in found["teams"]], by=None, now=NOW
        )
        assert len(announced) == len(found["teams"])


def test_air_read_as_a_little_under_21_per_cent_is_air_for_the_next_dive(trip):  # noqa: F811
    GasCheck.objects.filter(booking__trip=trip, analysed_o2_pm=210).update(analysed_o2_pm=209)
    services_whole_day.announce_day(trip=trip, chosen=chosen_of(trip, solve(trip)), by=None, now=NOW)
    assert Team.objects.filter(dive=second(trip)).exists()


def chosen_of(trip, answer):  # noqa: F811
    return [
        services_whole_day.ChosenDive(dive, [(team["divers"], team["lead"]) for team in found["teams"]])
        for dive, found in zip((first(trip), second(trip)), answer["dives"], strict=True)
    ]


def test_a_whole_day_is_announced_at_once_or_not_at_all(trip):  # noqa: F811
    answer = solve(trip, partners="keep")
    chosen = chosen_of(trip, answer)
    # Told in any order, the later dive rests on the earlier one.
    services_whole_day.announce_day(trip=trip, chosen=chosen[::-1], by=None, now=NOW)
    for one in chosen:
        kept = {frozenset(str(m.booking_id) for m in t.members.all()) for t in one.dive.teams.all()}
        assert kept == {frozenset(members) for members, _ in one.teams}
    before = set(Team.objects.values_list("pk", flat=True))
    alone = services_whole_day.ChosenDive(second(trip), [([chosen[1].teams[0][0][0]], None)])
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        services_whole_day.announce_day(trip=trip, chosen=[chosen[0], alone], by=None, now=NOW)
    assert refused.value.errors[0]["pointer"].startswith("/dives/1/teams/0")
    assert set(Team.objects.values_list("pk", flat=True)) == before, "nothing of the refused day is kept"


def test_a_club_that_requires_cover_at_the_surface_has_it_for_each_dive_of_the_day(trip):  # noqa: F811
    trip.club.policy = {**trip.club.policy, "surface_cover": "required"}
    trip.club.save()
    ashore = [str(b.pk) for b in trip.bookings.filter(dives=False)] or [
        str(b.pk) for b in trip.bookings.order_by("pk")[:2]
    ]
    cover = [
        {"role": role, "person": ashore[at % len(ashore)]}
        for at, role in enumerate(("boat_handler", "lookout", "oxygen", "standby"))
    ]
    combined = [["boat_handler", "lookout", "oxygen", "standby"]]
    trip.club.policy["cover_roles_combined"] = combined
    trip.club.save()
    asked = [{"dive": dive.pk, "surface_cover": cover} for dive in (first(trip), second(trip))]
    chosen = chosen_of(trip, solve(trip, dives=asked))
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        services_whole_day.announce_day(trip=trip, chosen=chosen, by=None, now=NOW)
    assert refused.value.code == "surface_cover_missing"
    covered = [replace(one, cover=cover) for one in chosen]
    assert services_whole_day.announce_day(trip=trip, chosen=covered, by=None, now=NOW)
    diver = str(chosen[0].teams[0][0][0])
    wet = [replace(chosen[0], cover=[{"role": "standby", "person": diver}, *cover]), covered[1]]
    with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
        services_whole_day.announce_day(trip=trip, chosen=wet, by=None, now=NOW)
    assert refused.value.code == "surface_cover_dives"


def test_who_is_left_out_of_one_dive_is_out_of_that_one_alone(trip):  # noqa: F811
    answer = solve(trip)
    someone = answer["dives"][1]["teams"][0]["divers"][0]
    second(trip).left_out.add(someone)
    again = solve(trip)
    assert someone not in {name for team in again["dives"][1]["teams"] for name in team["divers"]}
    assert [one["reasons"][0]["code"] for one in again["dives"][1]["not_placed"] if one["id"] == someone] == [
        "out_of_water"
    ]


def test_waves_hold_no_more_than_they_take(trip):  # noqa: F811
    waves = [{"id": "1", "divers": 4}, {"id": "2", "divers": 4}]
    answer = solve(trip, dives=[{"dive": first(trip).pk, "waves": waves}])
    assert all(len(wave["divers"]) <= 4 for wave in answer["dives"][0]["waves"])


def test_with_two_boats_everybody_is_told_theirs_and_none_carries_too_many(trip):  # noqa: F811
    large, small = (
        Boat.objects.create(club=trip.club, name=name, most_persons=most)
        for name, most in (("Large", 9), ("Small", 5))
    )
    crew = [str(b.pk) for b in trip.bookings.filter(dives=False, cancelled_at=None)]
    divers = trip.bookings.filter(dives=True).order_by("pk")
    handler = crew[0] if crew else str(divers.last().pk)
    named = [{"role": "boat_handler", "person": handler}]
    boats = [{"boat": large.pk, "surface_cover": named, "aboard": crew}, {"boat": small.pk}]
    answer = solve(trip, boats=boats)
    told = {one["id"]: one for one in answer["boats"]}
    assert set(told) == {str(large.pk), str(small.pk)}
    for boat in (large, small):
        assert told[str(boat.pk)]["seats_left"] >= 0
    for dive in answer["dives"]:
        for team in dive["teams"]:
            assert set(team["divers"]) <= set(told[team["boat"]]["divers"])
            assert handler not in team["divers"] or team["boat"] != str(large.pk)
        for wave in dive["waves"]:
            assert wave["lead"] is not None or not wave["divers"], "a leader on each boat"
            roles = [role["person"] for role in wave["surface_cover"]["roles"]]
            assert (handler in roles) == (wave["boat"] == str(large.pk))
    unknown = Boat.objects.create(club=trip.club, name="Unknown")
    with pytest.raises(services_teams.UnableToSolveTeams) as refused:
        solve(trip, boats=[{"boat": unknown.pk}])
    assert refused.value.code == "boat_capacity_not_known"


def test_with_two_boats_whoever_does_not_dive_has_a_seat_by_name_too(trip):  # noqa: F811
    boats = [
        {"boat": Boat.objects.create(club=trip.club, name=name, most_persons=9).pk}
        for name in ("Large", "Small")
    ]
    crew = trip.bookings.create(name="Ida Crew", role="crew", dives=False)
    sitting = trip.bookings.filter(dives=True).order_by("pk").first()
    first(trip).left_out.add(sitting)
    second(trip).left_out.add(sitting)
    ashore = trip.bookings.filter(dives=False).exclude(pk=crew.pk)
    boats[0]["aboard"] = [str(one.pk) for one in ashore]
    with pytest.raises(services_teams.UnableToSolveTeams) as refused:
        solve(trip, boats=boats)
    assert refused.value.code == "person_on_no_boat"
    assert "Ida Crew" in str(refused.value) and sitting.display_name in str(refused.value)
    boats[0]["aboard"].append(str(crew.pk))
    boats[1]["surface_cover"] = [{"role": "lookout", "person": str(sitting.pk)}]
    assert solve(trip, boats=boats)["status"] != "impossible"
    # One boat is theirs without a word: they take their seats on it.
    most = trip.bookings.filter(cancelled_at=None).count()
    one = Boat.objects.create(club=trip.club, name="One", most_persons=most - 1)
    assert solve(trip, boats=[{"boat": one.pk}])["boats"][0]["seats_left"] >= 0
    placed = {
        name
        for dive in solve(trip, boats=[{"boat": one.pk}])["dives"]
        for team in dive["teams"]
        for name in team["divers"]
    }
    assert len(placed) + trip.bookings.filter(dives=False, cancelled_at=None).count() + 1 <= most - 1
    with pytest.raises(services_teams.UnableToSolveTeams) as refused:
        solve(trip, boats=[{"boat": one.pk, "aboard": [str(trip.pk)]}])
    assert refused.value.code == "person_not_known"


def test_whoever_has_no_team_and_no_boat_is_told_with_what_was_found(trip):  # noqa: F811
    crew = [str(b.pk) for b in trip.bookings.filter(dives=False, cancelled_at=None)]
    boats = [
        {"boat": Boat.objects.create(club=trip.club, name=name, most_persons=most).pk, "aboard": aboard}
        for name, most, aboard in (("Small", 4, []), ("Smaller", 3 + len(crew), crew))
    ]
    answer = solve(trip, boats=boats)
    seated = {name for boat in answer["boats"] for name in boat["divers"]}
    left = {str(b.pk) for b in trip.bookings.filter(dives=True, cancelled_at=None)} - seated
    told = [one for one in answer["warnings"] if one["code"] == "person_on_no_boat"]
    assert left and {name for one in told for name in one["divers"]} == left


def test_teams_are_not_announced_for_more_than_the_boat_may_carry(trip):  # noqa: F811
    chosen = chosen_of(trip, solve(trip))
    booked = trip.bookings.filter(cancelled_at=None).count()
    trip.boat.most_persons = booked - 1
    trip.boat.save()
    announce = {
        "day": lambda: services_whole_day.announce_day(trip=trip, chosen=chosen, by=None, now=NOW),
        "dive": lambda: services_teams.announce_teams(
            dive=first(trip), chosen=chosen[0].teams, by=None, now=NOW
        ),
    }
    for way in announce.values():
        with pytest.raises(services_teams.UnableToAnnounceTeams) as refused:
            way()
        assert refused.value.code == "too_many_persons"
        assert all(b.display_name in str(refused.value) for b in trip.bookings.filter(cancelled_at=None))
        assert trip.boat.name in str(refused.value) and not Team.objects.exists()
    trip.boat.most_persons = booked
    trip.boat.save()
    assert all(way() for way in announce.values())


@pytest.mark.parametrize(("minutes", "code"), [(None, "dive_time_not_set"), (1, "dives_overlap")])
def test_dives_without_a_time_between_them_are_refused(trip, minutes, code):  # noqa: F811
    later, start = second(trip), first(trip).planned_at
    later.planned_at = None if minutes is None else start.replace(minute=start.minute)
    later.save(update_fields=["planned_at"])
    with pytest.raises(services_teams.UnableToSolveTeams) as refused:
        solve(trip)
    assert refused.value.code == code


def test_the_door_takes_what_it_gave(trip):  # noqa: F811
    """The page's two requests: the answer of the POST is what the PUT takes."""
    client = Client()
    client.force_login(User.objects.get(memberships__role="organiser"), backend=BACKEND)
    found = client.post(
        f"/api/trips/{trip.pk}/teams", {"partners": "change"}, content_type="application/json"
    ).json()
    dives = [
        {
            "dive": one,
            "teams": [{"members": team["divers"], "lead": team["lead"]} for team in dive["teams"]],
            "overrides": [],
            "surface_cover": [],
        }
        for one, dive in zip(found["dives"], found["answer"]["dives"], strict=True)
    ]
    url = f"/api/trips/{trip.pk}/teams"
    taken = client.put(url, {"dives": dives}, content_type="application/json")
    assert taken.status_code == 200, taken.content
    assert [len(dive["teams"]) for dive in taken.json()["dives_planned"]] == [len(d["teams"]) for d in dives]
    wrong = client.put(url, {"dives": [dives[0] | {"dive": str(trip.pk)}]}, content_type="application/json")
    assert wrong.json()["errors"][0]["pointer"] == "/dives/0/dive"
