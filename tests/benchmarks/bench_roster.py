"""How long a roster and a sheet of past dives of 2,000 rows take from file to records, on SQLite in a temporary folder.

Run by itself: `python -m tests.benchmarks.bench_roster`.
"""

import csv
import io
import json
import os
import random
import tempfile
import time
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

HEADER = (
    "Name;E-mail;Member no;Born;Certification;Cert depth;Dives;Last dive;Deepest;RMV;Cylinder;WP;"
    "Medical valid until;Emergency contact;Leader;Notes"
)


def roster(rows: int, seed: int) -> bytes:
    """A CSV of invented divers with mixed units and dates in several forms."""
    draw = random.Random(seed)
    file = io.StringIO()
    out = csv.writer(file, delimiter=";")
    file.write(HEADER + "\r\n")
    for n in range(rows):
        born = date(1950, 1, 1) + timedelta(days=draw.randrange(20_000))
        last = date(2024, 1, 1) + timedelta(days=draw.randrange(800))
        out.writerow(
            [
                f"Person {draw.choice('ABCDEFGHIJ')} Number{n}",
                f"person{n}@v.example",
                n,
                born.isoformat() if draw.random() < 0.5 else f"{born:%d.%m.%Y}",
                draw.choice(["Open water", "Advanced", "Deep", "Adv."]),
                draw.choice(["18", "30", "60 ft", "40 m", "18,5"]),
                draw.randrange(5, 900),
                last.isoformat() if draw.random() < 0.7 else f"{last:%d %b %Y}",
                draw.choice(["18", "33", "100 ft"]),
                draw.choice(["15", "18,5", "22"]),
                draw.choice(["12", "15 l", "80 cuft 3000 psi"]),
                "232",
                f"{date(2027, 1, 1) + timedelta(days=n % 400):%d/%m/%Y}",
                f"Somebody 555 {n}",
                draw.choice(["yes", "no", ""]),
                "",
            ]
        )
    return file.getvalue().encode()


def past_dives(rows: int, divers: int, seed: int) -> bytes:
    """A CSV of past dives of the divers of `roster`, with mixed units and dates in several forms."""
    draw = random.Random(seed)
    file = io.StringIO()
    out = csv.writer(file, delimiter=";")
    file.write("Member no;Date;Depth (m);Current (kn);Vis (m);Temp (C);Night;Task;Level;How many\r\n")
    for n in range(rows):
        on = date(2024, 1, 1) + timedelta(days=draw.randrange(500))
        out.writerow(
            [
                draw.randrange(divers),
                on.isoformat() if draw.random() < 0.5 else f"{on:%d %b %Y}",
                draw.choice(["18", "27,5", "90 ft", "30 m", "20-25"]),
                draw.choice(["0.5", "0.4 m/s", ""]),
                draw.choice(["6", "5-8", "20 ft"]),
                draw.choice(["12", "50 F", ""]),
                draw.choice(["yes", "no", ""]),
                *draw.choice([("survey", 3), ("", 0), ("survey 4", "")]),
                draw.choice([1, 1, 3, n % 7 + 1]),
            ]
        )
    return file.getvalue().encode()


def run(quick: bool) -> Iterator[dict[str, Any]]:
    """Of each sheet: seconds from file to preview, preview to records, and the same file a second time."""
    from django.utils import timezone

    from teamdive.logbook.imports import PAST_DIVES
    from teamdive.people import imports, services

    many = 400 if quick else 2_000
    now = timezone.now()
    club = services.add_club(name="Benchmark")

    def timed(name: str, case: str, work: Any) -> tuple[dict[str, Any], Any]:
        began = time.perf_counter()
        result = work()
        seconds = round(time.perf_counter() - began, 2)
        return {"name": name, "n": many, "case": case, "value": seconds, "unit": "s"}, result

    sheets = (
        ("roster import", imports.ROSTER, roster(many, 7)),
        ("past dives import", PAST_DIVES, past_dives(many, many // 5, 8)),
    )
    for name, sheet, content in sheets:

        def start(sheet: Any = sheet, content: bytes = content) -> Any:
            made = imports.start_import(
                club=club, content=content, file_name="r.csv", by=None, now=now, sheet=sheet
            )
            made = imports.change_import(roster=made, confirm_all=True, sheet=sheet)
            # What the draw makes ask a question is left out: the time is that of the rows.
            rows = imports.preview(roster=made, now=now, sheet=sheet)["rows"]
            left = [row["row"] for row in rows if row["action"] == "blocked"]
            return imports.change_import(roster=made, choices={"leave_out": left}, sheet=sheet)

        for case in ("first", "again"):
            row, made = timed(name, f"{case}: file to table, questions left out", start)
            yield row
            row, preview = timed(
                name,
                f"{case}: preview",
                lambda r=made, s=sheet: imports.preview(roster=r, now=now, sheet=s),
            )
            yield row | {"blocked": preview["counts"]["blocked"], "left_out": preview["counts"]["leave_out"]}
            row, result = timed(
                name,
                f"{case}: apply",
                lambda r=made, s=sheet: imports.apply_import(roster=r, now=now, sheet=s),
            )
            yield row | {"result": {k: v for k, v in result.items() if k != "left_out"}}


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(prefix="teamdive-bench-") as folder:
        os.environ |= {"TEAMDIVE_DATA": folder, "DJANGO_SETTINGS_MODULE": "teamdive.config.settings"}
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0)
        for line in run(quick=False):
            print(json.dumps(line), flush=True)
