"""The dives of a trip solved together from its records, and each announced from the preview."""

from __future__ import annotations

import pytest

from teamdive.trips import services_teams, services_whole_day
from teamdive.trips.models import Proposal, Team

from .people_fixtures import NOW
from .test_trips import demo, first, second, trip  # noqa: F401

pytestmark = pytest.mark.django_db


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


@pytest.mark.parametrize(("minutes", "code"), [(None, "dive_time_not_set"), (1, "dives_overlap")])
def test_dives_without_a_time_between_them_are_refused(trip, minutes, code):  # noqa: F811
    later, start = second(trip), first(trip).planned_at
    later.planned_at = None if minutes is None else start.replace(minute=start.minute)
    later.save(update_fields=["planned_at"])
    with pytest.raises(services_teams.UnableToSolveTeams) as refused:
        solve(trip)
    assert refused.value.code == code
