"""Several boats: who goes on which is kept with the trip, judged before it leaves, and on the phones."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from teamdive.reminders import selectors_shore, words_shore
from teamdive.trips import (
    rules_boats,
    selectors,
    services,
    services_ready,
    services_teams,
    services_whole_day,
    shown,
)
from teamdive.trips.models import Boat, Team
from teamdive.trips.rules_boats import Carrier, DiveTeams, Seat

from .people_fixtures import NOW
from .test_trips_whole_day import solve
from .trips_demo import first, person, second, solve_and_announce, trip  # noqa: F401


@pytest.fixture
def boats(trip):  # noqa: F811
    """Two boats that carry all between them, crew and guests on the first."""
    crew = [str(b.pk) for b in trip.bookings.filter(dives=False, cancelled_at=None)]
    made = [
        Boat.objects.create(club=trip.club, name=name, most_persons=most)
        for name, most in (("Large", 9), ("Small", 7))
    ]
    return [{"boat": made[0].pk, "aboard": crew}, {"boat": made[1].pk, "aboard": []}]


def chosen(trip, answer):  # noqa: F811
    dives = trip.dives.order_by("number")
    return [
        services_whole_day.ChosenDive(
            dive=dive,
            teams=[(team["divers"], team["lead"]) for team in part["teams"]],
            boats=[team["boat"] for team in part["teams"]],
        )
        for dive, part in zip(dives, answer["dives"], strict=True)
    ]


def announced(trip, boats):  # noqa: F811
    """Everyone seated: those the answer leaves without a team go on the second boat."""
    answer = solve(trip, boats=boats)
    on = {name for boat in answer["boats"] for name in boat["divers"]} | rules_boats.named_on(boats)
    boats[1]["aboard"] = [str(b.pk) for b in trip.bookings.filter(cancelled_at=None) if str(b.pk) not in on]
    picked = chosen(trip, answer)
    services_whole_day.announce_day(trip=trip, chosen=picked, by=None, now=NOW, boats=boats)
    return picked


def codes(trip):  # noqa: F811
    return {reason.code for reason in selectors.not_ready(selectors.trip(trip.pk))}


def refused(work):
    with pytest.raises(services_teams.UnableToAnnounceTeams) as found:
        work()
    return found.value


def test_each_keeps_the_boat_of_their_teams_and_the_phones_are_told(trip, boats):  # noqa: F811
    picked = announced(trip, boats)
    on = {str(b.pk): b.boat_id for b in trip.bookings.filter(cancelled_at=None)}
    assert None not in on.values()
    for dive in picked:
        for (members, _), boat in zip(dive.teams, dive.boats, strict=True):
            assert {str(on[member]) for member in members} == {boat}
    assert not codes(trip)
    kept = services_ready.make_ready(trip=trip, by=None, now=NOW)
    assert {p["id"]: p["boat"] for p in json.loads(kept.canonical)["people"]} == {
        p: str(b) for p, b in on.items()
    }
    assert set(kept.labels["boats"].values()) == {"Large", "Small"}
    page = shown.trip_page(selectors.trip(trip.pk), shown.Reader(frozenset(), False))
    assert set(page["boats"].values()) == {"Large", "Small"}
    assert {str(one["id"]): one["boat"] for one in page["bookings"]} == on


def test_another_boat_than_the_trips_own_carries_everybody(trip, boats):  # noqa: F811
    picked = announced(trip, boats)
    on_one = [replace(one, boats=[boats[0]["boat"]] * len(one.teams)) for one in picked]
    alone = [{"boat": boats[0]["boat"]}]
    full = refused(
        lambda: services_whole_day.announce_day(trip=trip, chosen=on_one, by=None, now=NOW, boats=alone)
    )
    assert full.code == "too_many_persons"
    Boat.objects.filter(pk=boats[0]["boat"]).update(most_persons=40)
    assert services_whole_day.announce_day(trip=trip, chosen=on_one, by=None, now=NOW, boats=alone)
    assert {b.boat_id for b in trip.bookings.filter(cancelled_at=None)} == {boats[0]["boat"]}


def test_a_trip_of_one_dive_goes_on_two_boats_as_well(trip, boats):  # noqa: F811
    second(trip).delete()
    announced(trip, boats)
    assert {str(b.boat_id) for b in trip.bookings.filter(cancelled_at=None)} == {
        str(b["boat"]) for b in boats
    }
    assert not codes(trip)


def test_those_ashore_read_which_boats_go_and_who_is_on_which(trip, boats):  # noqa: F811
    alone = selectors_shore.page(trip, trip.float_plan, NOW)
    assert alone.boat == trip.boat.name and not any("(" in name for name in alone.people)
    announced(trip, boats)
    page = selectors_shore.page(trip, trip.float_plan, NOW)
    assert page.boat == "Large and Small"
    on = {b.display_name: b.boat.name for b in trip.bookings.filter(cancelled_at=None)}
    assert set(page.people) == {f"{name} ({boat})" for name, boat in on.items()}
    assert "Large and Small" in words_shore.subject_of("back_by_passed", page)


def test_one_boat_is_in_no_snapshot_and_takes_the_seats_back(trip, boats):  # noqa: F811
    picked = announced(trip, boats)
    bare = [replace(one, boats=()) for one in picked]
    services_whole_day.announce_day(trip=trip, chosen=bare, by=None, now=NOW)
    assert not trip.bookings.exclude(boat=None).exists()
    kept = services_ready.make_ready(trip=trip, by=None, now=NOW)
    assert all("boat" not in one for one in json.loads(kept.canonical)["people"])
    assert "boats" not in kept.labels
    assert shown.trip_page(selectors.trip(trip.pk), shown.Reader(frozenset(), False))["boats"] == {}


def test_nobody_is_announced_onto_no_boat_two_boats_or_a_full_one(trip, boats):  # noqa: F811
    picked = announced(trip, boats)
    Team.objects.all().delete()

    def again(boats, picked=picked):
        return services_whole_day.announce_day(trip=trip, chosen=picked, by=None, now=NOW, boats=boats)

    someone = services.add_booking(trip=trip, name="Ida Crew", role="crew")
    assert refused(lambda: again(boats)).code == "person_on_no_boat"
    boats[1]["aboard"] = [*boats[1]["aboard"], str(someone.pk)]
    assert again(boats)
    member = str(picked[0].teams[0][0][0])
    other = next(boat for boat in boats if str(boat["boat"]) != picked[0].boats[0])
    assert refused(
        lambda: again([{**b, "aboard": [*b["aboard"], member]} if b is other else b for b in boats])
    ).code == ("person_on_two_boats")
    Boat.objects.filter(pk=boats[1]["boat"]).update(most_persons=1)
    over = refused(lambda: again(boats))
    assert (over.code, "Small may carry 1 person and" in str(over)) == ("too_many_persons", True)
    Boat.objects.filter(pk=boats[1]["boat"]).update(most_persons=None)
    assert refused(lambda: again(boats)).code == "boat_capacity_not_known"
    assert refused(lambda: again(boats[:1])).code == "boat_not_known"


def test_waves_of_a_dive_go_from_the_boat_they_name(trip, boats):  # noqa: F811
    names = [str(boat["boat"]) for boat in boats]
    waves = [{"id": "1", "divers": 4, "boat": names[0]}, {"id": "2", "divers": 4, "boat": names[1]}]
    answer = solve(trip, boats=boats, dives=[{"dive": first(trip).pk, "waves": waves}])
    dived = {wave["boat"]: set(wave["divers"]) for wave in answer["dives"][0]["waves"]}
    told = {boat["id"]: set(boat["divers"]) for boat in answer["boats"]}
    assert set(dived) == set(names) and any(dived.values())
    assert all(len(divers) <= 4 and divers <= told[boat] for boat, divers in dived.items())


def test_a_change_of_boat_is_judged_before_the_trip_leaves(trip, boats):  # noqa: F811
    picked = announced(trip, boats)
    member = trip.bookings.get(pk=picked[0].teams[0][0][0])
    other = next(boat["boat"] for boat in boats if boat["boat"] != member.boat_id)
    services.change_booking(booking=member, boat=Boat.objects.get(pk=other))
    assert "team_on_two_boats" in codes(trip)
    services.change_booking(booking=member, boat=None)
    assert "person_on_no_boat" in codes(trip)
    # A dive announced by itself afterwards is judged by the same seats.
    assert refused(lambda: solve_and_announce(first(trip))).code == "person_on_no_boat"


def test_each_boat_with_divers_has_its_own_people_at_the_surface(trip, boats):  # noqa: F811
    trip.club.policy = {
        "surface_cover": "required",
        "cover_roles_combined": [["boat_handler", "lookout"], ["oxygen", "standby"]],
    }
    trip.club.save()
    crew = [services.add_booking(trip=trip, name=f"Crew {n}", role="crew") for n in range(4)]
    roles = ("boat_handler", "lookout", "oxygen", "standby")
    for boat, (one, two) in zip(boats, (crew[:2], crew[2:]), strict=True):
        Boat.objects.filter(pk=boat["boat"]).update(most_persons=12)
        boat["surface_cover"] = [
            {"role": role, "person": str((one, two)[at // 2].pk)} for at, role in enumerate(roles)
        ]
    picked = announced(trip, boats)
    assert len({boat for one in picked for boat in one.boats}) == 2
    # The same roles, all on one boat: the other one has nobody.
    every = [*boats[0]["surface_cover"]]
    alone = [
        boats[0],
        {**boats[1], "surface_cover": [], "aboard": [*boats[1]["aboard"], *(str(c.pk) for c in crew[2:])]},
    ]
    with_dive = [replace(one, cover=every) for one in picked]
    missing = refused(
        lambda: services_whole_day.announce_day(trip=trip, chosen=with_dive, by=None, now=NOW, boats=alone)
    )
    assert missing.code == "surface_cover_missing"


def test_the_rules_of_seats():
    large, small = Carrier("l", "Large", 3), Carrier("s", "Small", 2)
    every = {"l": large, "s": small}
    teams = [DiveTeams("d", 1, [("a", "b")])]

    def codes_of(seats, own=large, teams=teams):
        return [one.code for one in rules_boats.troubles(own, every, seats, teams)]

    def seats(*on, leads="a"):
        return [Seat(name, name.upper(), boat, name == leads) for name, boat in zip("abcd", on, strict=False)]

    assert codes_of(seats(None, None, None)) == []
    assert codes_of(seats(None, None, None, None)) == ["too_many_persons"]
    assert codes_of(seats(None, None, None, None), own=None) == []
    assert codes_of(seats("l", "l", "s")) == []
    assert codes_of(seats("l", "l", None)) == ["person_on_no_boat"]
    assert codes_of(seats("l", "s", "s")) == ["boat_without_leader", "team_on_two_boats"]
    assert codes_of(seats("s", "s", "s")) == ["too_many_persons"]
    # Nobody dives from the small one: it needs no leader.
    assert codes_of(seats("l", "l", "s", leads="b")) == []
