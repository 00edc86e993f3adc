"""Cases of fixtures/vectors/boatlog.json: canonical bytes, entries, and whole days of a boat log."""

from __future__ import annotations

from random import Random
from typing import Any

from teamdive.boatlog import canonical, clock, entries, offsets
from teamdive.boatlog.clock import Clock
from teamdive.boatlog.offsets import Offset
from tests.boat_disputes import NOW, dispute
from tests.boat_histories import history, snapshot_body
from tests.boat_scene import DAY_MS, Phone, trip_body, uid
from tests.parity.boat_days import case, day, days
from tests.parity.two_boats import day_of_two, days_of_two_boats

HISTORIES = 110
DISPUTES = 24


def cases() -> list[dict[str, Any]]:
    made = [*_canonical(), *_entries(), *_clocks(), *_met(), *_stepped(), *days(), *_random_days()]
    return [*made, *(dispute_day(f"dispute-{seed}", Random(seed)) for seed in range(DISPUTES))]


def _canonical() -> list[dict[str, Any]]:
    # The strings and the sorting of RFC 8785, sections 3.2.2.2 and 3.2.3, as far as keys are ASCII.
    values: list[tuple[str, Any]] = [
        ("literals", [None, True, False]),
        ("numbers", [0, -1, 9007199254740991, -9007199254740991, 10]),
        ("strings", {"string": '\u20ac$\u000f\nA\'B"\\\\"/'}),
        ("escapes", "\b\t\n\f\r\u0000\u001f\u007f\u0080/"),
        ("keys", {"b": 1, "a": 2, "\r": 3, "1": 4, "A": 5, "": 6, "ab": 7}),
        ("astral", "\U0001f600 \u05d3 \ufb33"),
        ("nested", {"a": [{"b": [[]]}, {}]}),
        ("fraction", {"depth": 18.5}),
        ("too_big", 9007199254740992),
        ("key_not_ascii", {"\u00e9": 1}),
    ]
    made = []
    for name, value in values:
        try:
            out: dict[str, Any] = {"text": canonical.canonical(value), "sha256": canonical.digest(value)}
            flags: tuple[str, ...] = ()
        except canonical.NotCanonical as error:
            out, flags = {"refused": error.pointer}, ("refused",)
        made.append(
            case(
                f"canonical-{name}",
                "RFC 8785, integers only",
                {"ask": "canonical", "value": value},
                out,
                *flags,
            )
        )
    return made


def _entries() -> list[dict[str, Any]]:
    phone = Phone("p1")
    good = entries.body(phone.down("10:00"))
    without = {name: value for name, value in good.items() if name != "seq"}
    values: list[tuple[str, str, Any]] = [
        ("good", "one team down", good),
        ("no_seq", "a field of the envelope is missing", without),
        ("not_object", "not an object", [1]),
        ("bad_id", "an id in capital letters", {**good, "id": good["id"].upper()}),
        ("flag_as_number", "true is not 1", {**good, "seq": True}),
        ("no_members", "a team of nobody", {**good, "data": {"dive": uid("d1"), "members": []}}),
        (
            "twice",
            "somebody named twice",
            {**good, "data": {"dive": uid("d1"), "members": [uid("a"), uid("a")]}},
        ),
        ("late_start", "earliest after at", {**good, "data": {**good["data"], "earliest": good["at"] + 1}}),
        ("newer_kind", "a kind from a newer phone", {**good, "kind": "seal_seen", "data": {"n": 1}}),
        ("newer_field", "a field from a newer phone", {**good, "weather": {"wind_kn": 12}}),
        (
            "corrects_nothing",
            "a correction of nothing",
            {**good, "kind": "correction", "data": {"reason": "other", "void": True}},
        ),
        ("fraction", "a fraction in the data", {**good, "data": {**good["data"], "depth": 1.5}}),
    ]
    made = []
    for name, why, value in values:
        out = [{"pointer": trouble.pointer, "code": trouble.code} for trouble in entries.problems(value)]
        made.append(case(f"entry-{name}", why, {"ask": "entry", "value": value}, out))
    made.append(
        case(
            "entry-hash",
            "hash and text hash",
            {"ask": "hash", "value": good, "salt": "00112233445566778899aabbccddeeff", "text": "Größe 3 ☂"},
            {
                "hash": entries.hash_of(good),
                "text_hash": entries.text_hash("00112233445566778899aabbccddeeff", "Größe 3 ☂"),
                "uuid7": entries.uuid7(1_645_557_742_000, bytes(range(240, 250))),
            },
        )
    )
    return made


def _clocks() -> list[dict[str, Any]]:
    steps: list[tuple[Clock | None, Clock, int]] = [
        (None, Clock(5000, 2), 6000),
        (Clock(5000, 2), Clock(5000, 1), 4000),
        (Clock(5000, 2), Clock(5001, 0), 4000),
        (Clock(5000, 2), Clock(400_000, 0), 90_000),
        (Clock(5000, 2), Clock(390_000, 0), 90_000),
    ]
    made = []
    for index, (last, seen, wall) in enumerate(steps):
        after = clock.receive(last, seen, wall)
        next_one = clock.tick(after, wall)
        asked = {"ask": "clock", "last": _shown(last), "seen": _shown(seen), "wall": wall}
        made.append(case(f"clock-{index}", "receive, then tick", asked, [_shown(after), _shown(next_one)]))
    return made


def _met() -> list[dict[str, Any]]:
    """Two phones of which one reads the other's clock, or an entry of it, off its screen."""
    right, slow, rough = Offset(0, 40), Offset(3_600_000, 40), Offset(0, 90_000)
    asked: list[tuple[str, Offset | None, Offset | None, int, int, int | None]] = [
        ("neither knows: the one that is read is taken as right", None, None, 7_200_000, 3_600_000, 2000),
        ("they were compared, I was not", None, right, 7_200_000, 3_600_000, 2000),
        ("I was compared, they were not", right, None, 7_200_000, 3_600_000, 2000),
        ("we agree: nothing new", slow, right, 7_200_500, 3_600_000, 2000),
        ("mine was rough, theirs is good", rough, right, 3_600_000, 3_600_010, 2000),
        ("a little narrower is not worth an entry", Offset(0, 1500), right, 3_600_000, 3_600_000, 2000),
        ("they are an hour ahead of what I know", right, right, 7_200_000, 3_600_000, 2000),
        ("they are an hour behind what I know", right, right, 3_600_000, 7_200_000, 2000),
        ("read before it was written: one of us was moved", right, right, 7_200_000, 3_600_000, None),
        ("an entry long written tells nothing", right, right, 3_600_000, 7_200_000, None),
        ("an entry from what is the future to me, never compared", None, right, 7_200_000, 3_600_000, None),
        ("an odd sum, below nothing", None, Offset(-5, 2), 0, 1, 2),
        ("further off than a day", right, right, 900_000_000, 0, 2000),
    ]
    made = []
    for index, (why, mine, theirs, shown, read, shown_for) in enumerate(asked):
        out = offsets.met(mine, theirs, shown, read, shown_for)
        question = {
            "ask": "met",
            "mine": _known(mine),
            "theirs": _known(theirs),
            "shown_ms": shown,
            "read_ms": read,
            "shown_for_ms": shown_for,
        }
        made.append(case(f"met-{index}", why, question, _known(out)))
    return made


def _stepped() -> list[dict[str, Any]]:
    steps = [(None, -3_600_000), (Offset(-7_000, 41), -61_001), (None, 3_600_000), (Offset(500, 3), 90_001)]
    return [
        case(
            f"stepped-{index}-{awake}",
            "a clock that jumped",
            {"ask": "stepped", "known": _known(known), "step_ms": step, "awake": awake},
            _known(offsets.stepped(known, step, awake)),
        )
        for index, (known, step) in enumerate(steps)
        for awake in (True, False)
    ]


def _known(offset: Offset | None) -> dict[str, int] | None:
    return None if offset is None else {"offset_ms": offset.offset_ms, "error_ms": offset.error_ms}


def _shown(stamp: Clock | None) -> dict[str, int] | None:
    return None if stamp is None else {"ms": stamp.ms, "n": stamp.n}


def random_day(id: str, rng: Random, most: int, several: bool = False) -> dict[str, Any]:
    """A random history of a random trip, as it looks at its end or some time after; `several`: on two boats."""
    body, log = day_of_two(rng, most) if several else (snapshot_body(rng), history(rng, most))
    now = max(DAY_MS, *(entry.at for entry in log)) + rng.choice([0, 600_000, 3_000_000])
    return day(id, "a random history, out of order", body, log, now)


def dispute_day(id: str, rng: Random) -> dict[str, Any]:
    """A dive of which several people correct a few entries, each other's corrections included."""
    log = dispute(rng)
    rng.shuffle(log)
    return day(id, "several people correct the same entries", trip_body(), log, NOW + 3_600_000)


def _random_days() -> list[dict[str, Any]]:
    one = [random_day(f"random-{seed}", Random(seed), 14) for seed in range(HISTORIES)]
    two = [random_day(f"random-boats-{seed}", Random(seed), 20, True) for seed in range(OF_TWO_BOATS)]
    return [*one, *two, *days_of_two_boats()]


OF_TWO_BOATS = 40
