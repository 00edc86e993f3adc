"""How long a roster of 2,000 rows takes from file to records, on SQLite in a temporary folder.

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


def run(quick: bool) -> Iterator[dict[str, Any]]:
    """Rows: seconds from file to preview, preview to records, and the same file a second time."""
    from django.utils import timezone

    from teamdive.people import imports, services

    many = 400 if quick else 2_000
    content, now = roster(many, 7), timezone.now()
    club = services.add_club(name="Benchmark")

    def timed(case: str, work: Any) -> tuple[dict[str, Any], Any]:
        began = time.perf_counter()
        result = work()
        seconds = round(time.perf_counter() - began, 2)
        return {"name": "roster import", "n": many, "case": case, "value": seconds, "unit": "s"}, result

    def start() -> Any:
        made = imports.start_import(club=club, content=content, file_name="r.csv", by=None, now=now)
        return imports.change_import(roster=made, confirm_all=True)

    for case in ("first", "again"):
        row, roster_import = timed(f"{case}: file to table", start)
        yield row
        row, preview = timed(f"{case}: preview", lambda r=roster_import: imports.preview(roster=r, now=now))
        yield row | {"blocked": preview["counts"]["blocked"]}
        row, result = timed(f"{case}: apply", lambda r=roster_import: imports.apply_import(roster=r, now=now))
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
