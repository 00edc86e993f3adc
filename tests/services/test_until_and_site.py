"""A certification's last day and the kind of site, from a sheet or a page to the question that pairing answers."""

from __future__ import annotations

from datetime import date

import pytest

from teamdive.logbook.imports import PAST_DIVES
from teamdive.logbook.models import LoggedDive
from teamdive.logbook.selectors import experience
from teamdive.logbook.services import log_dive
from teamdive.people import exports, imports, selectors, services
from teamdive.people.models import Certification, Club, Diver
from teamdive.trips import services as trips
from teamdive.trips.bodies import demands

from .people_fixtures import NOW

pytestmark = pytest.mark.django_db
ON = date(2026, 11, 25)


@pytest.fixture
def club() -> Club:
    return services.add_club(name="Varrow Bay divers", time_zone="Atlantic/Azores")


def certify(diver: Diver, name: str, metres: int, until: date | None) -> None:
    services.record_certification(
        diver=diver, name=name, depth_hundredths=metres * 100, depth_unit="m", until=until
    )


@pytest.mark.parametrize(
    ("held", "expected"),
    [
        ([(30, None)], (3000, None)),
        ([(30, date(2026, 11, 25))], (3000, date(2026, 11, 25))),
        # What has run out counts no more where something else is good: shallower, and nothing bars its diver.
        ([(30, date(2026, 11, 24)), (18, None)], (1800, None)),
        # Where all have run out the deepest says since when: pairing names the day.
        ([(30, date(2026, 11, 24)), (18, date(2026, 1, 1))], (3000, date(2026, 11, 24))),
        ([(30, date(2026, 12, 1)), (30, date(2027, 5, 1))], (3000, date(2027, 5, 1))),
        ([], (None, None)),
    ],
    ids=["does not run out", "its last day", "the other counts", "all ran out", "the longer", "none"],
)
def test_the_certification_that_counts_on_a_day(club, held, expected):
    diver = services.add_diver(club=club, name="Noor Haddow")
    for n, (metres, until) in enumerate(held):
        certify(diver, f"paper {n}", metres, until)
    assert selectors.certified(diver, "m", ON) == expected


def test_a_roster_brings_the_last_day_and_gives_it_back(club):
    sheet = b"Name;Certification;Cert depth (m);Cert expires\nIda Moe;Deep;30;2027-03-31\n"
    roster = imports.start_import(club=club, content=sheet, file_name="one.csv", by=None, now=NOW)
    roster = imports.change_import(roster=roster, confirm_all=True)
    imports.apply_import(roster=roster, now=NOW)
    assert Certification.objects.get().until == date(2027, 3, 31)
    again = imports.start_import(
        club=club, content=exports.roster(club, "csv"), file_name="again.csv", by=None, now=NOW
    )
    preview = imports.preview(roster=imports.change_import(roster=again, confirm_all=True), now=NOW)
    assert [row["action"] for row in preview["rows"]] == ["same"]


def test_a_sheet_of_past_dives_brings_the_kind_of_site_and_twice_changes_nothing(club):
    diver = services.add_diver(club=club, name="Kit Lavery")
    sheet = b"Diver;Date;Depth (m);Kind of site\nKit Lavery;2026-05-12;18;Wreck, wall\n"
    for expected in (1, 1):
        brought = imports.start_import(
            club=club, content=sheet, file_name="dives.csv", by=None, now=NOW, sheet=PAST_DIVES
        )
        brought = imports.change_import(roster=brought, confirm_all=True, sheet=PAST_DIVES)
        imports.apply_import(roster=brought, now=NOW, sheet=PAST_DIVES)
        assert LoggedDive.objects.count() == expected
    (done,) = experience(diver, on=ON, depth_unit="m")["done"]
    assert done["site_kind"] == ["wall", "wreck"]


def test_what_a_dive_asks_and_what_was_done_are_compared_word_for_word(club):
    diver = services.add_diver(club=club, name="Kit Lavery")
    log_dive(diver=diver, on=ON, depth_hundredths=1800, depth_unit="m", site_kind=[" WRECK ", "wreck"])
    trip = trips.add_trip(club=club, name="A day out", starts_at=NOW)
    dive = trips.add_dive(
        trip=trip, depth_hundredths=1800, depth_unit="m", bottom_time_s=1200, site_kind=["wreck"]
    )
    assert demands(dive)["site_kind"] == experience(diver, on=ON, depth_unit="m")["done"][0]["site_kind"]
    trips.change_dive(dive=dive, site_kind=[])
    assert "site_kind" not in demands(dive)
