"""Cases of fixtures/vectors/handover.json: frames, taking over the deck, and the log as known at a past moment."""

from __future__ import annotations

from dataclasses import asdict
from random import Random
from typing import Any

from teamdive.boatlog import entries, frames, snapshot
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.past import known_at, set_hash
from teamdive.boatlog.takeover import Heard, drafts, gone, to_call
from teamdive.boatlog.view import view
from tests.boat_histories import day_of, history, snapshot_body
from tests.boat_scene import DAY_MS, Phone, at, trip_body, uid
from tests.parity.two_boats import large, small, two_boat_body

TEAMS = [["a", "b"], ["c", "d"], ["e", "f"]]


def lost_trip() -> dict[str, Any]:
    """20 m, run 38 min, three teams and a deck hand; a club that lets the table govern."""
    body = trip_body(teams=TEAMS, depths=(20, 15), bottom_min=(28, 40), run_min=(38, 48))
    body["settings"]["method"] = "table"
    return body


def second_phone() -> Phone:
    """What another phone knows when the deck phone drowns at 11:05: the count of 10:30, team 1 down at 10:41."""
    phone = Phone("p2")
    phone.met("10:30", "abcdefs")
    phone.down("10:41", team="t1", members="ab")
    return phone


SAID = {"t2": Heard(about=at("10:50")), "t3": Heard(after=uid("t2"))}


def cases() -> list[dict[str, Any]]:
    return [*_frames(), *_takeovers(), *_pasts()]


def _case(id: str, why: str, asked: dict[str, Any], out: Any, *flags: str) -> dict[str, Any]:
    return {"id": id, "why": why, "flags": list(flags), "in": asked, "out": out}


def _frames() -> list[dict[str, Any]]:
    made = []
    for size, length in ((1, 0), (1, 1), (7, 20), (7, 21), (400, 1203)):
        data = bytes(Random(length).randrange(256) for _ in range(length))
        asked = {"ask": "frames", "data": data.hex(), "size": size}
        out = {"frames": list(frames.cut(data, size)), "crc32": frames.crc32(data)}
        made.append(_case(f"frames-{length}-{size}", "cut and join", asked, out))
    good = frames.cut(b"seal seen", 4)
    bad = {"empty": "", "letter": "ab", "odd": "0000", "too_large": ":::", "short": good[0][:20]}
    bad["read_wrongly"] = good[0][:30] + ("0" if good[0][30] != "0" else "1") + good[0][31:]
    for name, text in bad.items():
        try:
            frames.read_frame(text)
            raise AssertionError(name)
        except frames.NotAFrame as error:
            out_text = str(error)
        made.append(
            _case(
                f"frame-{name}",
                "not a frame",
                {"ask": "frame", "text": text},
                {"refused": out_text},
                "refused",
            )
        )
    return made


def answer_takeover(
    state: State, here: list[str], heard: dict[str, Heard], lost_at: int, count: str, boat: str | None
) -> dict[str, Any]:
    lost = gone(state, set(here), heard, lost_at, boat)
    return {
        "to_call": [asdict(each) for each in to_call(state, boat)],
        "gone": [{**asdict(each), "members": list(each.members)} for each in lost],
        "drafts": [asdict(each) for each in drafts(state, here[0], here, lost, lost_at, count, boat)],
    }


def _takeovers() -> list[dict[str, Any]]:
    start = lost_trip()
    phone = second_phone()
    chain = {**SAID, "t1": Heard(after=uid("t3"))}
    round_ = {"t2": Heard(after=uid("t3")), "t3": Heard(after=uid("t2"))}
    made = [
        _takeover("told", "times as told on deck", start, phone.entries, ["s"], SAID, at("11:05")),
        _takeover("nothing-told", "nobody remembers", start, phone.entries, ["s", "e"], {}, at("11:05")),
        _takeover("nothing-known", "only the snapshot", start, [], ["s"], chain, at("11:05")),
        _takeover("in-a-circle", "each after the other", start, phone.entries, ["s"], round_, at("11:05")),
    ]
    for seed in range(30):
        rng = Random(seed)
        body = snapshot_body(rng)
        log = history(rng, 20)
        lost_at = max(DAY_MS, *(entry.at for entry in log)) + 60_000
        here = rng.sample("abcdes", rng.randint(1, 4))
        heard = {
            team: rng.choice(
                [Heard(about=lost_at - 900_000), Heard(after=uid(rng.choice(["t1", "t2b"]))), Heard()]
            )
            for team in rng.sample(["t1", "t2", "t1b", "t2b"], 2)
        }
        made.append(_takeover(f"random-{seed}", "a random history", body, log, here, heard, lost_at))
    for seed in range(10):
        rng = Random(seed)
        body, log = day_of(rng, 20, several=True)
        lost_at = max(DAY_MS, *(entry.at for entry in log)) + 60_000
        here = rng.sample("abcdes", 2)
        why = "a random history of two boats, one of whose phones is gone"
        made.append(_takeover(f"boat-{seed}", why, body, log, here, {}, lost_at, uid(rng.choice("ls"))))
    lost = two_boat_body()
    both = [*large().entries, *small().entries]
    why = "the small boat's phone is gone: the large one's people stay what they were"
    made.append(_takeover("of-one-boat", why, lost, both, ["y"], {}, at("11:05"), uid("s")))
    return made


def _takeover(
    name: str,
    why: str,
    body: dict[str, Any],
    log: list[entries.Entry],
    here: list[str],
    heard: dict[str, Heard],
    lost_at: int,
    boat: str | None = None,
) -> dict[str, Any]:
    state = fold(snapshot.read(body), log)
    people = [uid(person) for person in here]
    told = {uid(team): said for team, said in heard.items()}
    asked = {
        "ask": "takeover",
        "snapshot": body,
        "entries": [entries.body(entry) for entry in log],
        "here": people,
        "heard": {team: asdict(said) for team, said in told.items()},
        "lost_at": lost_at,
        "count": uid("c9"),
        **({} if boat is None else {"boat": boat}),
    }
    return _case(
        f"takeover-{name}", why, asked, answer_takeover(state, people, told, lost_at, uid("c9"), boat)
    )


def _pasts() -> list[dict[str, Any]]:
    made = []
    for seed in range(8):
        rng = Random(1000 + seed)
        body = snapshot_body(rng)
        received = [(entry.at + rng.choice([0, 60_000, 7_200_000]), entry) for entry in history(rng, 16)]
        moment = rng.choice([instant for instant, _ in received])
        state = known_at(snapshot.read(body), received, moment)
        asked = {
            "ask": "past",
            "snapshot": body,
            "received": [[instant, entries.body(entry)] for instant, entry in received],
            "moment": moment,
        }
        out = {"held": set_hash(state), "view": view(state, moment)}
        made.append(_case(f"past-{seed}", "as known at a past moment", asked, out))
    return made
