"""Cases of fixtures/vectors/boatlog.json: canonical bytes, entries, and whole days of a boat log."""

from __future__ import annotations

from dataclasses import asdict
from random import Random
from typing import Any

from teamdive.boatlog import canonical, chain, clock, entries, snapshot
from teamdive.boatlog.alarm import must_sound
from teamdive.boatlog.clock import Clock
from teamdive.boatlog.facts import Facts, facts
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.lost import lost_card
from teamdive.boatlog.nitrogen import after_last_dive, next_dive, no_fly
from teamdive.boatlog.presence import IN_WATER
from teamdive.boatlog.questions import due, may_depart, may_go_down
from teamdive.boatlog.radio import radio_words
from teamdive.boatlog.record import roll_call_record
from teamdive.boatlog.view import view
from teamdive.boatlog.waiting import next_steps
from tests.boat_histories import history, snapshot_body
from tests.boat_scene import DAY_MS, Phone, at, metres, trip_body, uid

HISTORIES = 110


def cases() -> list[dict[str, Any]]:
    return [*_canonical(), *_entries(), *_clocks(), *_days(), *_random_days()]


def case(id: str, why: str, asked: dict[str, Any], out: Any, *flags: str) -> dict[str, Any]:
    return {"id": id, "why": why, "flags": list(flags), "in": asked, "out": out}


def answer_day(body: dict[str, Any], log: list[entries.Entry], now: int) -> dict[str, Any]:
    """All that the kernel says of a day: what the phone shows and the server projects."""
    start = snapshot.read(body)
    state = fold(start, log)
    known = facts(state)
    devices = sorted(state.by_device)
    shown = view(state, now, known)
    lost = [person for person, where in known.where.items() if where.state in IN_WATER]
    return {
        "snapshot_hash": start.hash,
        "view": shown,
        "record": [asdict(line) for line in roll_call_record(state, known)],
        "lost": {person: _lost(state, known, shown, person, now) for person in lost},
        "sounds": {
            team: [must_sound(shown, team, device, now) for device in devices] for team in known.teams
        },
        "next_dive": {person: next_dive(state, person, now, known=known) for person in known.people},
        "next_steps": {
            id: next_steps(state, team.members, team.dive, now, known) for id, team in known.teams.items()
        },
        "after_last_dive": {person: after_last_dive(state, person, known) for person in known.people},
        "no_fly": {person: no_fly(state, person, known) for person in known.people},
        "due": [
            {"kind": d.kind, "person": d.person, "subject": d.subject, "due_at": d.due_at, "why": list(d.why)}
            for d in due(start, state, now, known)
        ],
        "may_go_down": {
            team: [
                {"code": refusal.code, "people": list(refusal.people)}
                for refusal in may_go_down(state, team, known)
            ]
            for team in known.teams
        },
        "may_depart": [
            {"code": refusal.code, "people": list(refusal.people)} for refusal in may_depart(state, known)
        ],
        "chains": [
            {"code": t.code, "device": t.device, "seq": t.seq, "entries": list(t.entries)}
            for device in devices
            for t in chain.check(state.by_device[device])
        ],
    }


def _lost(state: State, known: Facts, shown: dict[str, Any], person: str, now: int) -> dict[str, Any]:
    card = lost_card(state, known, person, now)
    return {"card": card, "words": radio_words(card, shown, "Maré")}


def day(
    id: str, why: str, body: dict[str, Any], log: list[entries.Entry], now: int, *flags: str
) -> dict[str, Any]:
    asked = {"ask": "day", "snapshot": body, "entries": [entries.body(entry) for entry in log], "now": now}
    return case(id, why, asked, answer_day(body, log, now), *flags)


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


def _shown(stamp: Clock | None) -> dict[str, int] | None:
    return None if stamp is None else {"ms": stamp.ms, "n": stamp.n}


def _days() -> list[dict[str, Any]]:
    first, second = Phone("p1"), Phone("p2")
    first.holds("09:00", "s")
    first.down("09:40")
    second.down("09:40")
    first.up("10:05")
    second.up("10:09")
    first.depth("10:12", "a", 18)
    both = first.entries + second.entries
    return [
        day("two-phones", "two phones, one ascent, four minutes apart", trip_body(), both, at("10:58")),
        day("two-phones-wait", "the same, four minutes later", trip_body(), both, at("11:02")),
        day("empty", "nothing entered yet", trip_body(overdue_after_min=None), [], at("08:00")),
        _right_number_wrong_people(),
        _phone_lost(),
        _corrected_on_monday(),
        _one_up_alone(),
        _holder_went_down(),
        _counted_by_eye(),
    ]


def _right_number_wrong_people() -> dict[str, Any]:
    teams = [["a", "b"], ["c", "d"], ["e", "f"], ["g", "h"], ["i", "j"], ["k", "l"]]
    first, second = Phone("p1"), Phone("p2")
    for name in "abcdefghijklst":
        first.write("aboard", name, "08:00")
    first.write("transferred", "k", "12:05", to="vessel")
    first.write("joined", "v", "12:30", role="visitor", dives=False, can_lead=False)
    first.write("aboard", "v", "12:31")
    first.met("13:40", "abcdefghijlstv")
    second.write("aboard", "k", "13:20")
    second.write("person_went_in", "k", "13:31", why="swim")
    first.write("departed", "trip", "13:45", place="site")
    body = trip_body(teams=teams, others=("s", "t"))
    return day(
        "right-number",
        "the count is right, the people are not",
        body,
        second.entries + first.entries,
        at("13:46"),
    )


def _phone_lost() -> dict[str, Any]:
    second = Phone("p2")
    second.met("10:30", "abcdefs")
    second.down("10:41", team="t1", members="ab")
    second.write("phone_lost", "trip", "11:05")
    second.holds("11:05:10", "s")
    second.met("11:06", "s", count="c2")
    second.down("10:50", team="t2", members="cd", earliest=at("10:47"), latest=at("10:53"), wall="11:06:20")
    second.down("10:59", team="t3", members="ef", earliest=at("10:53"), latest=at("11:05"), wall="11:06:40")
    second.up("11:24", team="t2", people="cd")
    second.depth("11:30", "c", 20)
    teams = [["a", "b"], ["c", "d"], ["e", "f"]]
    body = trip_body(teams=teams, depths=(20, 15), bottom_min=(28, 40), run_min=(38, 48))
    return day("phone-lost", "the deck phone drowned; times as told", body, second.entries, at("11:40"))


def _corrected_on_monday() -> dict[str, Any]:
    phone, keeper = Phone("p1"), Phone("p9", by="k")
    phone.holds("09:00", "s")
    phone.down("09:40")
    phone.up("10:00")
    deep = phone.depth("10:12", "a", 34)
    phone.depth("10:13", "b", 33)
    said = {"corrects": deep.id, "reason": "mistyped", "void": False, "data": {"depth": metres(30)}}
    keeper.write("correction", "a", "18:00", **said)
    wrong = phone.down("10:40", team="t2", members="cd")
    phone.write("correction", "t2", "10:40:06", corrects=wrong.id, reason="mistyped", void=True)
    log = phone.entries + keeper.entries
    return day(
        "corrected",
        "a depth lowered by one person; a mistap taken back at once",
        trip_body(),
        log,
        at("18:30"),
    )


def _one_up_alone() -> dict[str, Any]:
    phone = Phone("p1")
    phone.holds("09:00", "s")
    phone.down("10:00")
    phone.depth("10:12", "a", 22)
    phone.up("10:12", people="a", last_seen_at=at("10:10"))
    phone.write(
        "marker_seen", "t1", "10:15", fix={"lat_e6": 38_600_000, "lon_e6": -28_700_000, "accuracy_m": 12}
    )
    return day(
        "one-up-alone", "the partner's own clock", trip_body(depths=(22, 15)), phone.entries, at("10:18")
    )


def _holder_went_down() -> dict[str, Any]:
    phone = Phone("p1")
    phone.holds("09:00", "a")
    phone.write("deck_handed_over", "s", "09:30", from_="a")
    phone.down("09:40")
    return day("holder-down", "the deck holder was marked down", trip_body(), phone.entries, at("09:41"))


def _counted_by_eye() -> dict[str, Any]:
    phone = Phone("p1")
    phone.down("09:40", team="t2", members="cd")
    phone.write("phone_lost", "trip", "10:00")
    phone.met("10:30", "c", method="seen")
    phone.met("11:00", "c")
    return day(
        "counted-by-eye", "a count by eye after the phone was lost", trip_body(), phone.entries, at("11:10")
    )


def random_day(id: str, rng: Random, most: int) -> dict[str, Any]:
    """A random history of a random trip, as it looks at its end or some time after."""
    body = snapshot_body(rng)
    log = history(rng, most)
    now = max(DAY_MS, *(entry.at for entry in log)) + rng.choice([0, 600_000, 3_000_000])
    return day(id, "a random history, out of order", body, log, now)


def _random_days() -> list[dict[str, Any]]:
    return [random_day(f"random-{seed}", Random(seed), 14) for seed in range(HISTORIES)]
