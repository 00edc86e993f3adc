"""The roster import on the file of forty invented divers, and on the dirt such files have, piece by piece."""

from __future__ import annotations

import io
from datetime import date, timedelta
from decimal import Decimal

import openpyxl
import pytest

from teamdive.people import exports, imports, services
from teamdive.people.imports import UnableToApplyImport, UnableToChangeImport, UnableToReadRoster
from teamdive.people.models import Certification, Club, Cylinder, Diver, Fitness, ImportedSheet

from .people_fixtures import FIXTURES, NOW

ANSWERS = {
    "leave_out": [40],  # a semicolon inside a cell has moved the rest of this row
    "cells": {
        "25": {"certified_depth": "130 ft"},
        "28": {"email": "nico.vahl@varrow.example"},
        "29": {"leader": "yes"},
        "32": {"born": "1985-03-02"},
    },
    "people": {"15": "new"},
}


@pytest.fixture
def club(db) -> Club:
    return services.add_club(name="Varrow Bay divers", time_zone="Atlantic/Azores")


def start(club: Club, content: bytes, name: str = "roster.csv") -> ImportedSheet:
    return imports.start_import(club=club, content=content, file_name=name, by=None, now=NOW)


def csv(*lines: str) -> bytes:
    return "\n".join(lines).encode()


def shown(roster: ImportedSheet, row: int) -> dict:
    roster.refresh_from_db()
    return next(r for r in imports.preview(roster=roster, now=NOW)["rows"] if r["row"] == row)


def codes(roster: ImportedSheet, row: int) -> set[tuple[str, str]]:
    return {(p["level"], p["code"]) for p in shown(roster, row)["problems"]}


def apply_all(club: Club, content: bytes, choices: dict | None = None, name: str = "roster.csv") -> dict:
    roster = start(club, content, name)
    imports.change_import(roster=roster, choices=choices, confirm_all=True)
    return imports.apply_import(roster=roster, now=NOW)


def import_forty(club: Club) -> dict:
    return apply_all(club, (FIXTURES / "imports" / "roster.csv").read_bytes(), ANSWERS)


def rows_of_everything() -> list:
    return [
        sorted(model.objects.values_list(), key=str) for model in (Diver, Certification, Fitness, Cylinder)
    ]


# --- the file of forty


def test_the_forty_are_read_with_their_dirt(club):
    preview = imports.preview(roster=start(club, (FIXTURES / "imports" / "roster.csv").read_bytes()), now=NOW)
    assert preview["read"]["encoding"] == "cp1252" and preview["read"]["delimiter"] == ";"
    assert {c["header"]: c["field"] for c in preview["columns"]} == {
        "Name": "name",
        "E-mail": "email",
        "Member no": "member_number",
        "Date of birth": "born",
        "Certification": "certification",
        "Cert depth (m)": "certified_depth",
        "Certified on": "certified_on",
        "Dives": "dives",
        "Last dive": "last_dive",
        "Deepest": "deepest",
        "RMV (l/min)": "rmv",
        "Cylinder": "cylinder",
        "WP (bar)": "working_pressure",
        "Medical valid until": "fitness_until",
        "Emergency contact": "emergency_contact",
        "Leader?": "leader",
        "Notes": "notes",
    }
    assert preview["counts"]["rows"] == 40 and preview["counts"]["blocked"] == 6
    open_rows = {
        r["row"]: {p["code"] for p in r["problems"] if p["level"] != "note"} for r in preview["rows"]
    }
    assert {row: found for row, found in open_rows.items() if found} == {
        15: {"two_people_or_one"},
        25: {"unit_unclear"},
        28: {"not_an_email"},
        29: {"yes_or_no"},
        32: {"not_a_date"},
        40: {"too_many_cells"},
    }
    assert all(p["remedy"] and p["message"] for r in preview["rows"] for p in r["problems"])
    assert not preview["can_apply"]


def test_the_forty_arrive_as_the_file_says(club):
    assert import_forty(club) == {
        "new": 39,
        "changed": 0,
        "same": 0,
        "left_out": [{"row": 40, "name": "Anton Reeve"}],
    }
    ines = Diver.objects.get(email="ines.farrow@varrow.example")
    assert (
        ines.name == "Inês Farrow" and ines.born == date(1990, 7, 27) and ines.rmv_l_min == Decimal("16.50")
    )
    assert Diver.objects.get(email="sigrid.moe@varrow.example").stated_last_dive == date(2023, 12, 5)
    sten = Diver.objects.get(member_number="104")
    certified = sten.certifications.get()
    assert (certified.depth_hundredths, certified.depth_unit) == (13000, "ft") and sten.can_lead
    assert Certification.objects.get(diver__member_number="120").depth_hundredths == 1850
    assert Certification.objects.get(diver__member_number="124").depth_unit == "ft"
    kit = Cylinder.objects.get(diver__member_number="112")
    assert (kit.volume, kit.volume_unit, kit.working_pressure, kit.pressure_unit) == (80, "cuft", 3000, "psi")
    assert Cylinder.objects.get(diver__member_number="121").volume == 14
    ludo = Diver.objects.get(member_number="117")
    assert ludo.stated_last_dive == date(2023, 5, 1), "a month alone makes the lay-off as long as it can be"
    assert ludo.born == date(1985, 12, 31), "a year alone makes the diver as young as can be"
    assert Diver.objects.filter(name="Ana Roque").count() == 2
    assert Diver.objects.get(name="Tamsin Brill")
    assert Diver.objects.filter(born=None).count() == 1
    noor = Diver.objects.get(member_number="111")
    assert (noor.stated_deepest_hundredths, noor.stated_deepest_unit) == (10000, "ft")


def test_the_same_file_twice_changes_nothing(club):
    import_forty(club)
    before = rows_of_everything()
    again = start(club, (FIXTURES / "imports" / "roster.csv").read_bytes())
    assert ("question", "two_people_or_one") not in codes(again, 15), "settled once, it is not asked again"
    assert import_forty(club) == {
        "new": 0,
        "changed": 0,
        "same": 39,
        "left_out": [{"row": 40, "name": "Anton Reeve"}],
    }
    assert rows_of_everything() == before


def test_the_spreadsheet_of_the_same_forty_adds_only_who_was_left_out(club):
    import_forty(club)
    content = (FIXTURES / "imports" / "roster.xlsx").read_bytes()
    roster = start(club, content, "roster.xlsx")
    assert imports.preview(roster=roster, now=NOW)["read"] == {
        "format": "xlsx",
        "encoding": None,
        "delimiter": None,
        "sheet": "Members",
        "header_row": 3,
    }
    moved = {str(int(row) + 2 + (int(row) > 21)): cells for row, cells in ANSWERS["cells"].items()}
    roster = imports.change_import(roster=roster, choices={"cells": moved}, confirm_all=True)
    changed = [
        r for r in imports.preview(roster=roster, now=NOW)["rows"] if r["action"] not in {"same", "new"}
    ]
    assert [(r["name"], r["changes"], r["problems"]) for r in changed] == []
    assert imports.apply_import(roster=roster, now=NOW)["new"] == 1


def test_what_leaves_comes_back_unchanged_and_runs_as_no_formula(club):
    import_forty(club)
    before = rows_of_everything()
    for kind in ("csv", "xlsx"):
        content = exports.roster(club, kind)
        result = apply_all(club, content, name=f"roster.{kind}")
        assert (result["new"], result["changed"], result["same"]) == (0, 0, 39)
    assert rows_of_everything() == before
    services.change_diver(diver=Diver.objects.get(member_number="140"), notes="=1+1", phone="+351 21 0140")
    book = openpyxl.load_workbook(io.BytesIO(exports.roster(club, "xlsx")))
    cells = [cell for row in book.active.iter_rows(values_only=True) for cell in row if isinstance(cell, str)]
    assert "'=1+1" in cells and "'+351 21 0140" in cells
    assert not [cell for cell in cells if cell[0] in "=+-@"]


def test_who_dives_under_supervision_only_is_in_the_roster(club):
    apply_all(club, csv("Name;Supervised;Born", "Ida Moe;yes;2010-03-01", "Per Moe;no;1980-01-02"))
    assert dict(Diver.objects.values_list("name", "supervised")) == {"Ida Moe": True, "Per Moe": False}
    apply_all(club, csv("Name;Dives under supervision only;Born", "Ida Moe;no;2010-03-01"))
    assert not Diver.objects.filter(supervised=True).exists()


def test_nothing_is_half_imported(club, monkeypatch):
    roster = start(club, (FIXTURES / "imports" / "roster.csv").read_bytes())
    imports.change_import(roster=roster, choices=ANSWERS, confirm_all=True)
    monkeypatch.setattr(Cylinder.objects, "bulk_create", lambda *a, **k: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        imports.apply_import(roster=roster, now=NOW)
    assert not Diver.objects.exists() and not Certification.objects.exists()
    roster.refresh_from_db()
    assert roster.state == "preview"


# --- what stands in the way is named


def test_columns_are_confirmed_by_a_person(club):
    roster = start(club, csv("Name,E-mail,Cert depth (m)", "Una Torvald,una@varrow.example,30"))
    with pytest.raises(UnableToApplyImport) as refused:
        imports.apply_import(roster=roster, now=NOW)
    assert refused.value.code == "columns_not_confirmed"
    assert [e["pointer"] for e in refused.value.errors] == ["/columns/0", "/columns/1", "/columns/2"]


def test_rows_with_errors_are_left_out_only_by_name(club):
    roster = start(club, csv("Name,Born", "Una Torvald,soon", "Per Moe,1980-01-02"))
    imports.change_import(roster=roster, confirm_all=True)
    with pytest.raises(UnableToApplyImport) as refused:
        imports.apply_import(roster=roster, now=NOW)
    assert refused.value.code == "errors_left" and refused.value.errors[0]["pointer"] == "/rows/2/born"
    assert not Diver.objects.exists()
    imports.change_import(roster=roster, choices={"leave_out": [2]})
    assert imports.apply_import(roster=roster, now=NOW)["left_out"] == [{"row": 2, "name": "Una Torvald"}]
    assert [d.name for d in Diver.objects.all()] == ["Per Moe"]
    with pytest.raises(UnableToApplyImport) as refused:
        imports.apply_import(roster=roster, now=NOW)
    assert refused.value.code == "already_applied"


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"columns": [{"index": 9, "field": "name"}]}, "column_not_known"),
        ({"columns": [{"index": 0, "field": "shoe_size"}]}, "field_not_known"),
        ({"columns": [{"index": 1, "field": "name"}]}, "field_twice"),
        ({"columns": [{"index": 1, "field": "deepest", "unit": "bar"}]}, "unit_not_known"),
        ({"columns": [{"index": 1, "field": "born", "dates": "year_first"}]}, "order_not_known"),
        ({"choices": {"leave_out": [99]}}, "row_not_known"),
        ({"choices": {"people": {"2": "someone"}}}, "diver_not_known"),
        ({"choices": {"cells": {"2": {"shoe_size": "44"}}}}, "cell_not_known"),
        ({"choices": {"skip": True}}, "unknown_field"),
        ({"choices": {"leave_out": {"2": 1}}}, "wrong_type"),
    ],
)
def test_a_choice_that_cannot_be_is_refused_by_name(club, change, code):
    roster = start(club, csv("Name,Born", "Una Torvald,1980-01-02"))
    with pytest.raises(UnableToChangeImport) as refused:
        imports.change_import(roster=roster, **change)
    assert refused.value.code == code
    roster.refresh_from_db()
    assert not roster.choices and not any(c["confirmed"] for c in roster.columns)


# --- units, numbers and dates


@pytest.mark.parametrize(
    ("header", "cells", "unit"),
    [
        ("Certified depth", ["18", "30", "40"], "m"),
        ("Certified depth", ["60", "100", "130"], "ft"),
        ("Certified depth", ["60", "40", "100"], "ft"),
        ("Certified depth", ["60"], "ft"),
        ("Certified depth", ["40", "40"], None),
        ("Certified depth (ft)", ["40", "40"], "ft"),
        ("Working pressure", ["232", "200"], "bar"),
        ("Working pressure", ["3000", "2640"], "psi"),
        ("Cylinder", ["12", "15"], "l"),
        ("Cylinder", ["80", "100"], "cuft"),
        ("RMV", ["15", "21,5"], "l/min"),
        ("SAC", ["0.6", "0.75"], "cuft/min"),
    ],
)
def test_the_unit_of_a_column_is_guessed_from_header_and_values(club, header, cells, unit):
    roster = start(club, csv(f"Name;{header}", *[f"Person {n};{cell}" for n, cell in enumerate(cells)]))
    column = imports.preview(roster=roster, now=NOW)["columns"][1]
    assert column["unit"] == unit
    assert (column["question"] or {}).get("code") == (None if unit else "unit_not_chosen")


def test_a_unit_in_the_cell_goes_before_the_columns(club):
    roster = start(
        club, csv("Name;Cert depth (m)", "A Moe;60 ft", "B Moe;18m", "C Moe;18,5", "D Moe;130", "E Moe;60")
    )
    assert codes(roster, 5) >= {("question", "unit_unclear")}
    assert codes(roster, 6) >= {("question", "unit_unclear")}, "60 in a column of metres is hardly 60 m"
    imports.change_import(
        roster=roster,
        confirm_all=True,
        choices={"leave_out": [6], "cells": {"5": {"certified_depth": "130 ft"}}},
    )
    imports.apply_import(roster=roster, now=NOW)
    held = Certification.objects.order_by("diver__name").values_list("depth_hundredths", "depth_unit")
    assert list(held) == [(6000, "ft"), (1800, "m"), (1850, "m"), (13000, "ft")]


def test_cubic_feet_a_minute_become_litres_rounded_up(club):
    # NIST SP 811 (2008), B.8: 1 cubic foot = 0.02831685 m3 (28.31685 l); 0.6 x 28.31685 = 16.990 l/min.
    apply_all(club, csv("Name;SAC (cuft/min)", "Ida Moe;0.6"))
    assert Diver.objects.get().rmv_l_min == Decimal("17.00")


# The serial number of a day in spreadsheets: ECMA-376 part 1, 18.17.4.1 (the 1900 date system), whose
# example is 2008-01-01 = 39448.
@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-05-12", date(2026, 5, 12)),
        ("2026/5/12", date(2026, 5, 12)),
        ("12.05.2026", date(2026, 5, 12)),
        ("12.5.26", date(2026, 5, 12)),
        ("25/05/2026", date(2026, 5, 25)),
        ("05/25/2026", date(2026, 5, 25)),
        ("12 May 2026", date(2026, 5, 12)),
        ("12-May-26", date(2026, 5, 12)),
        ("12th May, 2026", date(2026, 5, 12)),
        ("May 12, 2026", date(2026, 5, 12)),
        ("39448", date(2008, 1, 1)),
        ("May 2025", date(2025, 5, 1)),
        ("05/2025", date(2025, 5, 1)),
        ("2025", date(2025, 1, 1)),
    ],
)
def test_dates_in_the_usual_forms(club, text, day):
    apply_all(club, f"Name;Last dive\nIda Moe;{text}\n".encode())
    assert Diver.objects.get().stated_last_dive == day


def test_a_date_that_reads_two_ways_is_a_question(club):
    roster = start(club, csv("Name;Last dive", "Ida Moe;05/11/2026", "Per Moe;03/04/2026"))
    column = imports.preview(roster=roster, now=NOW)["columns"][1]
    assert column["dates"] is None and column["question"]["code"] == "date_order_not_chosen"
    problem = next(p for p in shown(roster, 2)["problems"] if p["code"] == "date_order")
    assert [o["value"] for o in problem["options"]] == ["2026-11-05", "2026-05-11"]
    imports.change_import(roster=roster, columns=[{"index": 1, "field": "last_dive", "dates": "month_first"}])
    imports.change_import(roster=roster, confirm_all=True)
    imports.apply_import(roster=roster, now=NOW)
    assert Diver.objects.get(name="Ida Moe").stated_last_dive == date(2026, 5, 11)


def test_one_cell_settles_the_order_of_its_column(club):
    roster = start(club, csv("Name;Last dive", "Ida Moe;05/11/2026", "Per Moe;25/04/2026"))
    assert imports.preview(roster=roster, now=NOW)["columns"][1]["dates"] == "day_first"


def test_dates_that_cannot_be_are_errors(club):
    lines = [
        "Ida Moe;2027-01-01;1990-01-01",
        "Per Moe;30/02/2026;1990-01-01",
        "Una Moe;2026-01-01;1890-01-01",
    ]
    roster = start(club, csv("Name;Last dive;Born", *lines))
    assert ("error", "in_the_future") in codes(roster, 2)
    assert ("error", "not_a_date") in codes(roster, 3)
    assert ("error", "unlikely_birth_date") in codes(roster, 4)


@pytest.mark.parametrize(
    ("text", "many"), [("200", 200), ("1,200", 1200), ("1.200", 1200), ("~150", 150), ("300+", 300)]
)
def test_counts(club, text, many):
    apply_all(club, f"Name;Dives\nIda Moe;{text}\n".encode())
    assert Diver.objects.get().stated_dives == many


# --- who is who


def test_two_people_of_one_name_are_asked_about(club):
    apply_all(club, csv("Name;Dives", "Ana Roque;10"))
    roster = start(club, csv("Name;Dives", "Ana  ROQUE;25"))
    problem = next(p for p in shown(roster, 2)["problems"] if p["field"] == "person")
    assert problem["level"] == "question" and problem["remedy"]
    known = str(Diver.objects.get().pk)
    assert [o["value"] for o in problem["options"]] == [known, "new", "leave_out"]
    imports.change_import(roster=roster, confirm_all=True)
    with pytest.raises(UnableToApplyImport) as refused:
        imports.apply_import(roster=roster, now=NOW)
    assert refused.value.code == "questions_open"
    imports.change_import(roster=roster, choices={"people": {"2": known}})
    assert imports.apply_import(roster=roster, now=NOW)["changed"] == 1
    assert Diver.objects.get().stated_dives == 25


def test_matched_by_email_then_number_then_name_and_birth_date(club):
    header = "Name;E-mail;Member no;Born;Dives"
    apply_all(club, csv(header, "Ida Moe;ida@v.example;1;;5", "Per Moe;;2;;5", "Una Moe;;;1990-01-02;5"))
    ids = set(Diver.objects.values_list("pk", flat=True))
    result = apply_all(
        club, csv(header, "Ida Moe;IDA@V.EXAMPLE;;;6", "Per Moe;;2;;6", "Una Moe;;;02.01.1990;6")
    )
    assert result["changed"] == 3 and set(Diver.objects.values_list("pk", flat=True)) == ids
    assert set(Diver.objects.values_list("stated_dives", flat=True)) == {6}


def test_one_email_for_two_names_is_a_question_or_an_error(club):
    apply_all(club, csv("Name;E-mail", "Ida Moe;family@v.example"))
    roster = start(
        club, csv("Name;E-mail", "Lars Holt;family@v.example", "Bo Berg;b@v.example", "Eva Dahl;b@v.example")
    )
    assert ("question", "name_differs") in codes(roster, 2)
    assert ("error", "twice_in_the_file") in codes(roster, 4)
    imports.change_import(roster=roster, choices={"people": {"2": "new"}})
    assert ("error", "belongs_to_another") in codes(roster, 2)


def test_one_person_twice_in_the_file_is_taken_once(club):
    header = "Name;E-mail;Dives"
    apply_all(club, csv(header, "Ida Moe;ida@v.example;5"))
    roster = start(club, csv(header, "Ida Moe;ida@v.example;6", "Ida Moe;ida@v.example;7"))
    assert ("question", "twice_in_the_file") in codes(roster, 3)
    imports.change_import(roster=roster, confirm_all=True, choices={"leave_out": [3]})
    imports.apply_import(roster=roster, now=NOW)
    assert Diver.objects.get().stated_dives == 6


def test_an_empty_cell_erases_nothing_and_a_seen_paper_stands(club):
    apply_all(club, csv("Name;E-mail;Dives;Certification;Cert depth (m)", "Ida Moe;ida@v.example;5;Deep;40"))
    Certification.objects.update(evidence="shown")
    roster = start(
        club, csv("Name;E-mail;Dives;Certification;Cert depth (m)", "Ida Moe;ida@v.example;;Deep;30")
    )
    assert ("note", "seen_paper_stands") in codes(roster, 2)
    assert shown(roster, 2)["action"] == "same"
    imports.change_import(roster=roster, confirm_all=True)
    imports.apply_import(roster=roster, now=NOW)
    assert Diver.objects.get().stated_dives == 5 and Certification.objects.get().depth_hundredths == 4000


def test_ragged_and_blank_rows(club):
    roster = start(club, b"Name,Dives,Notes\r\nIda Moe\r\n,,\r\nPer Moe,5,a,b\r\n,7,\r\n")
    assert ("note", "row_ends_early") in codes(roster, 2)
    assert ("error", "too_many_cells") in codes(roster, 4)
    assert ("error", "name_missing") in codes(roster, 5)


def test_a_delimiter_in_quotes_and_a_line_break_keep_the_row_numbers(club):
    roster = start(club, b'Name;Notes\r\n"Moe; Ida";"two\r\nlines"\r\nPer Moe;x\r\n')
    assert [r["row"] for r in imports.preview(roster=roster, now=NOW)["rows"]] == [2, 4]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_encodings_and_delimiters(club, encoding, delimiter):
    text = (
        delimiter.join(["Name", "Born", "Dives"]) + "\r\n" + delimiter.join(["Zoë Müller", "1990-01-02", "7"])
    )
    apply_all(club, text.encode(encoding))
    assert Diver.objects.get().name == "Zoë Müller"


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "empty_file"),
        (b"Name;Dives\r\n", "no_rows"),
        (b"PK\x03\x04 not a spreadsheet", "not_a_table"),
        (b"\xd0\xcf\x11\xe0 an old one", "old_spreadsheet"),
        (b"\x89PNG\r\n\x00\x00\x00", "not_a_table"),
        (b"Name;Dives\n" + b"A;1\n" * 5001, "too_many_rows"),
        (b";".join(b"c%d" % n for n in range(61)) + b"\nA;1\n", "too_many_columns"),
        (b"Name;Dives\nA;" + b"1" * 4001, "cell_too_long"),
        (b"Name;Dives\n" + b"A" * (5 * 1024 * 1024), "file_too_large"),
    ],
)
def test_a_file_that_cannot_be_read_says_what_to_do(club, content, code):
    with pytest.raises(UnableToReadRoster) as refused:
        start(club, content)
    assert refused.value.code == code and refused.value.errors[0]["pointer"] == "/file"


def test_a_sheet_whose_only_cell_is_in_its_last_corner_ends_at_once(club):
    book = openpyxl.Workbook()
    book.active["A1"], book.active["B1"], book.active["A2"] = "Name", "Dives", "Ida Moe"
    book.active["XFD1048576"] = "x"
    file = io.BytesIO()
    book.save(file)
    assert imports.preview(roster=start(club, file.getvalue(), "far.xlsx"), now=NOW)["counts"]["rows"] == 1


def test_the_kept_cells_go_once_they_are_in_the_records(club):
    roster = start(club, csv("Name;Born", "Ida Moe;1990-01-02"))
    imports.change_import(roster=roster, confirm_all=True)
    imports.apply_import(roster=roster, now=NOW + timedelta(days=1))
    roster.refresh_from_db()
    assert roster.table["rows"] == [] and roster.choices == {} and roster.result["new"] == 1
