"""Past dives brought by the sheet: the file of the invented club, the dirt such files have, and the way to teams."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime
from decimal import Decimal

import openpyxl
import pytest

from teamdive.logbook.imports import PAST_DIVES
from teamdive.logbook.models import LoggedDive
from teamdive.logbook.selectors import experience
from teamdive.people import imports, services
from teamdive.people.imports import UnableToApplyImport, UnableToChangeImport
from teamdive.people.models import Club, Diver, ImportedSheet
from teamdive.trips import services as trip_services
from teamdive.trips import services_teams
from teamdive.trips.models import TeamMember

from .people_fixtures import FIXTURES, NOW
from .test_people_imports import import_forty

FILE = FIXTURES / "imports" / "past_dives.csv"


@pytest.fixture
def club(db) -> Club:
    return services.add_club(name="Varrow Bay divers", time_zone="Atlantic/Azores")


@pytest.fixture
def small(club) -> Club:
    services.add_diver(club=club, name="Ida Moe", email="ida@v.example", member_number="7")
    services.add_diver(club=club, name="Per Moe")
    return club


def start(club: Club, content: bytes, name: str = "dives.csv", by=None) -> ImportedSheet:
    return imports.start_import(club=club, content=content, file_name=name, by=by, now=NOW, sheet=PAST_DIVES)


def csv(*lines: str) -> bytes:
    return "\n".join(lines).encode()


def seen(brought: ImportedSheet) -> dict:
    brought.refresh_from_db()
    return imports.preview(roster=brought, now=NOW, sheet=PAST_DIVES)


def row_of(brought: ImportedSheet, row: int) -> dict:
    return next(r for r in seen(brought)["rows"] if r["row"] == row)


def codes(brought: ImportedSheet, row: int) -> set[tuple[str, str | None, str]]:
    return {(p["level"], p["field"], p["code"]) for p in row_of(brought, row)["problems"]}


def change(brought: ImportedSheet, **asked) -> ImportedSheet:
    return imports.change_import(roster=brought, sheet=PAST_DIVES, **asked)


def apply(brought: ImportedSheet) -> dict:
    return imports.apply_import(roster=brought, now=NOW, sheet=PAST_DIVES)


def bring(club: Club, content: bytes, choices: dict | None = None, name: str = "dives.csv") -> dict:
    brought = start(club, content, name)
    change(brought, choices=choices, confirm_all=True)
    return apply(brought)


def answers(club: Club) -> dict:
    """What the secretary says to the questions of the file; Ana's row and the two without a home are left out."""
    ids = {d.member_number or d.name: str(d.pk) for d in club.divers.all()}
    return {
        "leave_out": [19, 29, 30, 34, 35],
        "cells": {
            "23": {"task_level": "3"},
            "26": {"depth": "60 ft"},
            "31": {"depth": "22 m"},
            "32": {"night": "no"},
            "33": {"task_level": "3"},
            "36": {"on": "2026-09-30"},
        },
        "people": {"20": ids["115"], "21": ids["116"], "22": ids["101"]},
    }


def bring_file(club: Club) -> dict:
    return bring(club, FILE.read_bytes(), answers(club))


def everything() -> list:
    return sorted(LoggedDive.objects.values_list(), key=str)


# --- the file of the club


def test_the_file_is_read_with_its_dirt(club):
    import_forty(club)
    preview = seen(start(club, FILE.read_bytes()))
    assert preview["sheet"] == "past_dives" and preview["read"]["header_row"] == 2
    columns = {c["header"]: (c["field"], c["unit"] or c["dates"]) for c in preview["columns"]}
    assert columns == {
        "Diver": ("diver", None),
        "Date": ("on", "day_first"),
        "Depth (m)": ("depth", "m"),
        "Current (kn)": ("current", "kn"),
        "Vis (m)": ("visibility", "m"),
        "Temp (°C)": ("water_temp", "C"),
        "Night?": ("night", None),
        "Task": ("task_kind", None),
        "Level": ("task_level", None),
        "Dives": ("count", None),
        "Beside": (None, None),
        "Remarks": (None, None),
    }
    stand_in_the_way = {
        r["row"]: {(p["field"], p["code"]) for p in r["problems"] if p["level"] != "note"}
        for r in preview["rows"]
    }
    assert {row: found for row, found in stand_in_the_way.items() if found} == {
        19: {("person", "which_of_them")},
        20: {("person", "which_of_them")},
        21: {("person", "which_of_them")},
        22: {("person", "diver_not_known")},
        23: {("task_level", "level_missing")},
        26: {("depth", "unit_unclear")},
        29: {("count", "twice_in_the_file")},
        30: {("on", "in_the_future")},
        31: {("depth", "depth_missing")},
        32: {("night", "yes_or_no")},
        33: {("task_level", "not_a_level")},
        34: {(None, "too_many_cells"), ("diver", "diver_not_known")},
        35: {("diver", "diver_not_known")},
        36: {("on", "not_a_date")},
    }
    assert all(p["message"] and p["remedy"] for r in preview["rows"] for p in r["problems"])
    assert not preview["can_apply"] and not LoggedDive.objects.exists()


def test_the_dives_arrive_as_the_file_says_and_never_harder(club):
    import_forty(club)
    result = bring_file(club)
    assert (result["new"], result["same"], result["dives"], result["divers"]) == (29, 0, 82, 23)
    assert [one["row"] for one in result["left_out"]] == [19, 29, 30, 34, 35]

    def held(number: str) -> list[LoggedDive]:
        return list(LoggedDive.objects.filter(diver__member_number=number).order_by("on"))

    assert {row.evidence for row in LoggedDive.objects.all()} == {"said"}
    # By name, e-mail address, member number and an initial: all four are Marta's.
    assert [(r.on, r.depth_hundredths, r.count) for r in held("101")] == [
        (date(2026, 7, 1), 2000, 2),
        (date(2026, 8, 14), 2400, 3),
        (date(2026, 10, 10), 3800, 2),
        (date(2026, 10, 22), 2800, 4),
    ]
    bo = held("102")
    assert (bo[0].depth_hundredths, bo[0].depth_unit, bo[0].water_temp_c) == (12000, "ft", 10)
    assert bo[1].task_kind == "survey" and bo[1].task_level == 4 and bo[1].current_kn == Decimal("0.8")
    assert held("103")[0].on == date(2026, 6, 1), "a month alone is as long ago as it can be"
    # NIST SP 811 (2008), B.8: 1 ft = 0.3048 m, so 20 ft = 6.096 m; clearer, never murkier.
    assert held("104")[0].visibility_m == Decimal("6.1") and held("104")[0].task_level == 4
    assert held("105")[0].visibility_m == 8, "of 6-8 m the clearer end"
    # SI brochure, table 8: 1 kn = 1852/3600 m/s, so 0.4 m/s = 0.7775 kn; weaker, never stronger.
    assert held("106")[0].current_kn == Decimal("0.77")
    assert held("107")[0].night is True and held("115")[0].count == 2 and held("116")[0].count == 4
    assert (held("124")[0].depth_hundredths, held("124")[0].depth_unit) == (6000, "ft")
    assert held("132")[0].task_level == 3
    assert not LoggedDive.objects.filter(depth_hundredths=3300).exists(), "the row that was left out"


def test_the_same_file_twice_changes_nothing(club):
    import_forty(club)
    bring_file(club)
    before = everything()
    again = start(club, FILE.read_bytes())
    assert ("question", "count", "twice_in_the_file") in codes(again, 29), "left out once, it is asked again"
    assert codes(again, 20) == set(), "settled once by the log itself, a namesake is not asked about again"
    result = bring_file(club)
    assert (result["new"], result["same"], result["dives"]) == (0, 29, 0)
    assert everything() == before


def test_the_same_dives_from_a_spreadsheet_change_nothing(small):
    bring(small, csv("Diver;Date;Depth (m);Vis (m)", "Ida Moe;12.05.2026;18,5;6"))
    book = openpyxl.Workbook()
    book.active.append(["Diver", "Date", "Depth", "Vis"])
    book.active.append(["Ida Moe", datetime(2026, 5, 12), "18.5 m", "6 m"])  # noqa: DTZ001  (as a cell holds it)
    file = io.BytesIO()
    book.save(file)
    result = bring(small, file.getvalue(), name="dives.xlsx")
    assert (result["new"], result["same"]) == (0, 1)


def test_nothing_is_half_imported(small, monkeypatch):
    brought = start(small, csv("Diver;Date;Depth (m)", "Ida Moe;2026-05-12;18", "Per Moe;2026-05-12;x"))
    change(brought, confirm_all=True)
    with pytest.raises(UnableToApplyImport) as refused:
        apply(brought)
    assert refused.value.errors[0]["pointer"] == "/rows/3/depth" and not LoggedDive.objects.exists()
    change(brought, choices={"leave_out": [3]})
    monkeypatch.setattr(ImportedSheet, "save", lambda *a, **k: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        apply(brought)
    assert not LoggedDive.objects.exists()


# --- columns


@pytest.mark.parametrize(
    ("header", "cells", "unit"),
    [
        ("Depth", ["60", "90", "100"], "ft"),
        ("Depth", ["18", "27", "30"], None),  # 30 ft would become 30 m: asked, not guessed
        ("Depth (m)", ["18"], "m"),
        ("Current", ["0.5"], None),
        ("Current m/s", ["0.5"], "m/s"),
        ("Vis [ft]", ["20"], "ft"),
        ("Water temp", ["50", "54"], "F"),
        ("Water temp", ["10", "14"], "C"),
    ],
)
def test_a_unit_is_guessed_only_where_it_leaves_no_doubt(small, header, cells, unit):
    lines = [f"Ida Moe;2026-05-12;{cell}" for cell in cells]
    column = seen(start(small, csv(f"Diver;Date;{header}", *lines)))["columns"][2]
    assert column["unit"] == unit
    assert (column["question"] or {}).get("code") == (None if unit else "unit_not_chosen")


def test_a_sheet_without_its_needed_columns_is_refused_as_a_whole(small):
    brought = start(small, csv("Diver;Date;How deep it went", "Ida Moe;2026-05-12;18 m"))
    with pytest.raises(UnableToChangeImport) as refused:
        change(brought, confirm_all=True)
    assert refused.value.code == "column_missing" and "Depth" in refused.value.message
    change(brought, columns=[{"index": 2, "field": "depth", "unit": None}])
    change(brought, confirm_all=True)
    assert apply(brought)["dives"] == 1


def test_a_roster_is_no_sheet_of_dives(small):
    brought = start(small, csv("Diver;Date;Depth (m)", "Ida Moe;2026-05-12;18"))
    with pytest.raises(ImportedSheet.DoesNotExist):
        imports.apply_import(roster=brought, now=NOW)
    with pytest.raises(UnableToChangeImport) as refused:
        change(brought, choices={"people": {"2": "new"}})
    assert refused.value.code == "diver_not_known", "past dives add nobody to the roster"


@pytest.mark.parametrize(
    ("header", "cell", "field", "value"),
    [
        ("Depth (m)", "90 ft", "depth_unit", "ft"),
        ("Depth (m)", "18-20", "depth_hundredths", 1800),
        ("Depth (m)", "24.999", "depth_hundredths", 2499),
        ("Depth (m)", "~25", "depth_hundredths", 2500),
        ("Current (kn)", "1 m/s", "current_kn", Decimal("1.94")),
        ("Current (kn)", "0.5-1", "current_kn", Decimal("0.5")),
        ("Current (kn)", "?", "current_kn", None),
        ("Vis (m)", "5-8 m", "visibility_m", Decimal(8)),
        ("Vis (m)", "33 ft", "visibility_m", Decimal("10.1")),
        # 50 °F is 10 °C exactly; 55 °F is 12.78 °C.
        ("Temp (C)", "50 F", "water_temp_c", Decimal(10)),
        ("Temp (C)", "55°F", "water_temp_c", Decimal("12.8")),
        ("Temp (C)", "-1", "water_temp_c", Decimal(-1)),
        ("Night", "Y", "night", True),
        ("Night", "day", "night", False),
        ("Night", "", "night", None),
        ("Task", "Survey (4)", "task_level", 4),
        ("Task", "survey level 2", "task_level", 2),
        ("Task", "fun dive", "task_kind", ""),
        ("Task", "survey 0", "task_kind", ""),
        ("How many", "x3", "count", 3),
        ("How many", "", "count", 1),
        ("Date", "May 2026", "on", date(2026, 5, 1)),
        ("Date", "2025", "on", date(2025, 1, 1)),
    ],
)
def test_cells_in_the_usual_forms(small, header, cell, field, value):
    cells = {"Diver": "Ida Moe", "Date": "2026-05-12", "Depth (m)": "18"} | {header: cell}
    bring(small, csv(";".join(cells), ";".join(cells.values())))
    assert getattr(LoggedDive.objects.get(), field) == value


@pytest.mark.parametrize(
    ("header", "cell", "problem"),
    [
        ("Depth (m)", "60", ("question", "depth", "unit_unclear")),
        ("Depth (m)", "900", ("question", "depth", "unit_unclear")),
        ("Depth (m)", "900 m", ("error", "depth", "out_of_range")),
        ("Depth (m)", "", ("error", "depth", "depth_missing")),
        ("Depth (m)", "deep", ("error", "depth", "not_a_number")),
        ("Current (kn)", "strong", ("error", "current", "not_a_number")),
        ("Temp (C)", "50", ("question", "water_temp", "unit_unclear")),
        ("Task", "survey", ("question", "task_level", "level_missing")),
        ("Level", "3", ("error", "task_kind", "task_missing")),
        ("Level", "6", ("error", "task_level", "not_a_level")),
        ("How many", "0", ("error", "count", "not_a_count")),
        ("How many", "-2", ("error", "count", "not_a_count")),
        ("Date", "", ("error", "on", "on_missing")),
        ("Date", "2026-12-01", ("error", "on", "in_the_future")),
        ("Date", "03/04/2026", ("question", "on", "date_order")),
        ("Diver", "", ("error", "diver", "diver_missing")),
        ("Diver", "Nobody Known", ("error", "diver", "diver_not_known")),
        ("Diver", "99", ("error", "diver", "diver_not_known")),
        ("Diver", "Ida Mo", ("question", "person", "diver_not_known")),
    ],
)
def test_what_cannot_be_told_stops_the_row_with_a_remedy(small, header, cell, problem):
    cells = {"Diver": "Ida Moe", "Date": "2026-05-12", "Depth (m)": "18"} | {header: cell}
    brought = start(small, csv(";".join(cells), ";".join(cells.values())))
    assert problem in codes(brought, 2) and row_of(brought, 2)["action"] == "blocked"
    assert all(p["remedy"] for p in row_of(brought, 2)["problems"])


# --- whose dives


def test_two_of_one_name_are_asked_and_never_merged(small):
    born = services.add_diver(club=small, name="Ida Moe", member_number="8")
    header = "Diver;Member no;Date;Depth (m)"
    brought = start(
        small, csv(header, "Ida Moe;;2026-05-12;18", "Ida Moe;8;2026-05-12;19", "IDA MOE;7;2026-05-12;20")
    )
    assert codes(brought, 2) == {("question", "person", "which_of_them")}
    options = row_of(brought, 2)["problems"][0]["options"]
    assert len(options) == 3 and options[-1]["value"] == "leave_out"
    assert not codes(brought, 3) and not codes(brought, 4)
    change(brought, confirm_all=True, choices={"people": {"2": str(born.pk)}})
    assert apply(brought)["divers"] == 2
    assert sorted(born.logged_dives.values_list("depth_hundredths", flat=True)) == [1800, 1900]


def test_a_name_beside_another_number_or_address_is_asked(small):
    brought = start(
        small,
        csv(
            "Diver;E-mail;Date;Depth (m)",
            "Ida Moe;other@v.example;2026-05-12;18",
            "Lars Holt;ida@v.example;2026-05-12;18",
            "Per Moe;per@v.example;2026-05-12;18",
        ),
    )
    assert ("question", "person", "number_differs") in codes(brought, 2)
    assert ("question", "person", "name_differs") in codes(brought, 3)
    assert not codes(brought, 4), "the roster knows no address of Per: nothing speaks against it"


def test_a_leader_does_not_vouch_for_themselves(small):
    ida = Diver.objects.get(name="Ida Moe")
    leader = services.add_member(club=small, email="ida@v.example", role="leader", diver=ida)
    lines = csv("Diver;Date;Depth (m)", "Ida Moe;2026-05-12;38", "Per Moe;2026-05-12;18")
    brought = start(small, lines, by=leader)
    assert ("error", "person", "own_dives") in codes(brought, 2) and not codes(brought, 3)
    organiser = services.add_member(club=small, email="org@v.example", role="organiser")
    assert not codes(start(small, lines, by=organiser), 2)


# --- the same dive, and one more


def test_equal_rows_are_two_dives_once_each(small):
    lines = csv("Diver;Date;Depth (m)", "Ida Moe;2026-05-12;18", "Ida Moe;2026-05-12;18")
    assert ("note", None, "twice_in_the_file") in codes(start(small, lines), 3)
    assert bring(small, lines)["new"] == 2
    assert bring(small, lines)["same"] == 2 and LoggedDive.objects.count() == 2
    assert bring(small, lines + b"\nIda Moe;2026-05-12;18")["new"] == 1


def test_a_band_that_may_hold_what_is_logged_is_asked(small):
    head = "Diver;Date;Depth (m);How many"
    bring(small, csv(head, "Ida Moe;2026-05-12;18;5"))
    brought = start(small, csv(head, "Ida Moe;2026-09-12;18;8", "Per Moe;2026-09-12;18;8"))
    assert codes(brought, 2) == {("question", "count", "logged_already")} and not codes(brought, 3)
    assert [o["value"] for o in row_of(brought, 2)["problems"][0]["options"]] == ["3", "8", "leave_out"]
    change(brought, confirm_all=True, choices={"cells": {"2": {"count": "3"}}})
    apply(brought)
    ida = Diver.objects.get(name="Ida Moe")
    assert experience(ida, on=NOW.date(), depth_unit="m")["dives"] == 8
    # A single later dive cannot be among dives whose latest was before it.
    assert not codes(start(small, csv(head, "Ida Moe;2026-10-01;18;1")), 2)


# --- from an empty club to teams, without a dive typed by hand


def test_from_an_empty_club_to_teams(club):
    services.change_club(
        club=club,
        overdue_after_min=10,
        gas={
            "gas_margin_percent": 15,
            "stressed_rmv_l_min": 30,
            "delay_at_depth_min": 1,
            "surface_reserve": 50,
            "regulator_minimum": 10,
        },
    )
    import_forty(club)
    at = datetime(2026, 12, 5, 9, 0, tzinfo=UTC)
    trip = trip_services.add_trip(club=club, name="The Teeth", starts_at=at)
    numbers = ("101", "102", "103", "104", "106", "109", "111", "112", "126", "128")
    booked = [
        trip_services.add_booking(
            trip=trip,
            diver=diver,
            role="leader" if diver.can_lead else "diver",
            earlier_dives=[],
        )
        for diver in Diver.objects.filter(member_number__in=numbers).order_by("member_number")
    ]
    dive = trip_services.add_dive(
        trip=trip,
        planned_at=at,
        depth_hundredths=2700,
        depth_unit="m",
        bottom_time_s=17 * 60,
        current_kn=Decimal("0.5"),
        visibility_m=Decimal(8),
        water_temp_c=Decimal(13),
        task_kind="survey",
        task_level=3,
    )
    for booking in booked:
        usual = booking.diver.cylinders.get(label="main")
        services_teams.check_gas(
            booking=booking,
            dive=dive,
            cylinder=f"{booking.diver.member_number}-1",
            volume=usual.volume,
            volume_unit=usual.volume_unit,
            working_pressure=usual.working_pressure,
            pressure_unit=usual.pressure_unit,
            start_pressure=205 if usual.pressure_unit == "bar" else 2980,
            analysed_o2_pm=210,
            analysed_by=booking,
            now=NOW,
        )
    before = services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW).answer
    assert before.get("teams", []) == []
    assert len(before["not_placed"]) == len(numbers)
    for one in before["not_placed"]:
        assert "experience_not_known" in {reason["code"] for reason in one["reasons"]}

    bring_file(club)
    proposal = services_teams.solve_teams(dive=dive, asked={}, by=None, now=NOW)
    answer = proposal.answer
    assert answer["status"] == "optimal" and answer["not_placed"] == []
    assert sorted(id for team in answer["teams"] for id in team["divers"]) == sorted(
        str(b.pk) for b in booked
    )
    assert all(len(team["divers"]) == 2 and 0 < team["limit_min"] <= 17 for team in answer["teams"])
    services_teams.announce_teams(
        dive=dive,
        chosen=[(team["divers"], team["lead"]) for team in answer["teams"]],
        by=None,
        now=NOW,
        proposal=proposal,
    )
    assert TeamMember.objects.filter(dive=dive).count() == len(numbers)
