"""Random disputes: a few entries of a day that several people correct, agree on, take back and correct again."""

from __future__ import annotations

from random import Random
from typing import Any

from teamdive.boatlog.claims import Claim, Readings
from teamdive.boatlog.entries import Entry
from tests.boat_scene import DAY_MS, Phone, metres, uid

NOW = DAY_MS + 12 * 3_600_000
VOICES = "abcdst"
# What may be wrong in an entry, field by field, with few values each so that people agree by chance.
_WHEN: list[dict[str, Any]] = [{"at": -240_000}, {"at": 300_000}, {"at": 300_000, "latest": 360_000}]
_WHO: dict[str, list[dict[str, Any]]] = {
    "down": [{"data": {"members": ["a", "c"]}}, {"subject_": "t2", "data": {"members": ["c", "d"]}}],
    "surfaced": [{"data": {"people": ["a"]}}, {"subject_": "t2", "data": {"people": ["c", "d"]}}],
    "back_aboard": [{"subject_": "b"}, {"subject_": "c"}],
    "depth_reported": [{"subject_": "b"}],
    "roll_call_taken": [{"data": {"seen": ["a", "b", "c"]}}, {"data": {"seen": ["a", "b", "s"]}}],
    "plan_changed": [],
}
_ITEM: dict[str, list[dict[str, Any]]] = {
    "depth_reported": [{"depth": metres(34)}, {"depth": metres(12)}, {"depth": "deep"}],
    "plan_changed": [{"depth": metres(21)}, {"bottom_time_s": 900}, {"bottom_time_s": 1500}],
    "down": [{"dive": "d2"}],
    "surfaced": [{"last_seen_at": DAY_MS + 36_000_000}],
}


def day(rng: Random) -> tuple[list[Phone], list[Entry]]:
    """A deck phone and two others, and the entries that are about to be disputed."""
    phones = [Phone(f"p{n}") for n in range(3)]
    deck = phones[0]
    deck.holds("09:00", "s")
    plan = {"depth": metres(18), "bottom_time_s": 1200, "run_time_s": 1800}
    made = [
        deck.write("plan_changed", "d1", "09:10", **plan),
        deck.down("09:40"),
        deck.up("10:05"),
        deck.depth("10:12", "a", 18),
        deck.back("10:15", "a"),
        deck.met("10:20", "abcds"),
    ]
    return phones, rng.sample(made, rng.randint(1, 2))


def said(rng: Random, wrong: Entry) -> dict[str, Any]:
    """What a correction may say of an entry: of one field or two, or that it did not happen."""
    if rng.random() < 0.15:
        return {"void": True}
    found: dict[str, Any] = {"void": False}
    parts = [_WHEN, _WHO[wrong.kind], [{"data": item} for item in _ITEM.get(wrong.kind, [])]]
    for part in rng.sample(
        [part for part in parts if part], rng.choice([1, 1, 2]) if wrong.kind != "back_aboard" else 1
    ):
        one = rng.choice(part)
        found["data"] = {**found.get("data", {}), **one.get("data", {})}
        found |= {name: value for name, value in one.items() if name != "data"}
    for name in ("at", "latest"):
        if name in found:
            found[name] += wrong.at
    if "subject_" in found:
        found |= {"subject_": uid(found["subject_"]), "void": True}
    for name in ("members", "people", "seen"):
        if name in found["data"]:
            found["data"][name] = [uid(person) for person in found["data"][name]]
    if "dive" in found["data"]:
        found["data"]["dive"] = uid(found["data"]["dive"])
    if not found["data"]:
        del found["data"]
    return found


def corrected(rng: Random, phones: list[Phone], wrong: Entry, made: list[Entry], when: int) -> Entry:
    """One more voice on an entry, or on what somebody said of it; sometimes at once on the same phone."""
    before = [entry for entry in made if entry.kind == "correction"]
    target, words = wrong, said(rng, wrong)
    if before and rng.random() < 0.3:
        target = rng.choice(before)
        words = {"void": True} if rng.random() < 0.6 else words
    phone, by = rng.choice(phones[1:]), rng.choice(VOICES)
    if rng.random() < 0.1 and target.device == uid("p0"):
        phone, by, when = phones[0], "s", target.clock.ms + 20_000
    return phone.write("correction", "x", when, by=by, corrects=target.id, reason="other", **words)


def dispute(rng: Random, most: int = 12) -> list[Entry]:
    """A day with some corrections, in order of writing."""
    phones, wrong = day(rng)
    made: dict[str, list[Entry]] = {entry.id: [] for entry in wrong}
    for n in range(rng.randint(1, most)):
        entry = rng.choice(wrong)
        made[entry.id].append(corrected(rng, phones, entry, made[entry.id], NOW + n * 100_000))
    return [entry for phone in phones for entry in phone.entries]


def values(read: Readings) -> dict[str, set[str]]:
    """All that the readings of an entry allow, by field."""
    found: dict[str, set[str]] = {}
    for claim in read.claims:
        for field, value in _fields(claim).items():
            found.setdefault(field, set()).add(repr(value))
    return found


def _fields(claim: Claim) -> dict[str, Any]:
    naming = ("members", "people", "seen", "lead", "team")
    items = {f"data {name}": value for name, value in claim.data.items() if name not in naming}
    who = (claim.subject, [(name, claim.data[name]) for name in naming if name in claim.data])
    return {"when": (claim.earliest, claim.at, claim.latest), "who": who, **items}
