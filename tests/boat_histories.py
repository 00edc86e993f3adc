"""Random histories of a boat's day: what phones with wrong clocks and wet hands may write, sense or nonsense."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from typing import Any

from teamdive.boatlog import chain, schema
from teamdive.boatlog.entries import Entry, body, hash_of, read
from tests.boat_edges import EDGES, FIX, at_the_edge, homecoming
from tests.boat_scene import DAY_MS, Phone, metres, trip_body, uid

PEOPLE = "abcde"
TEAMS = {
    "t1": ("d1", "ab"),
    "t2": ("d1", "cde"),
    "t1b": ("d2", "ab"),
    "t2b": ("d2", "cde"),
    "t9": ("d2", "ae"),
}


def snapshot_body(rng: Random) -> dict[str, Any]:
    earlier = rng.choice(
        [
            [],
            [],
            [
                {
                    "depth": metres(20),
                    "bottom_time_s": 1500,
                    "o2_pm": 320,
                    "surfaced_at": DAY_MS - 8 * 3_600_000,
                }
            ],
        ]
    )
    body = trip_body(
        teams=[["a", "b"], ["c", "d", "e"]],
        overdue_after_min=rng.choice([10, 10, 15, None]),
        earlier=earlier,
    )
    if rng.random() < 0.2:
        body["people"][0]["earlier_dives"] = None
    for dive in body["dives"]:
        for team in dive["teams"]:
            team["limit_s"] = rng.choice([None, 0, 660, dive["bottom_time_s"]])
    body["settings"]["method"] = rng.choice(["shorter", "shorter", "table", "tissue"])
    if rng.random() < 0.6:
        body["settings"]["counts_needed"] = rng.choice([1, 2, 2])
        body["settings"] |= {"due_soon_min": rng.randint(0, 9), "quiet_min": 1}
        body["people"][0]["role"] = "leader"
    if rng.random() < 0.3:
        body["lost_diver"] = [
            {"step": "club_step", "say": "Ask the shore.", "within_s": rng.choice([None, 60])}
        ]
    for dive in body["dives"]:
        for team in dive["teams"]:
            for diver in team["divers"]:
                diver |= {"cylinder_dl": rng.choice([None, 120]), "rmv_low_dl_min": 120}
    body["settings"]["least_surface_interval_min"] = rng.choice([None, None, 60])
    body["settings"]["no_fly_wait_min"] = rng.choice([None, None, 1440])
    body["settings"]["club_wait_beyond_limit_min"] = rng.choice([None, 1500, 2880])
    body["settings"]["club_wait_other_gas_min"] = rng.choice([None, 720, 2000])
    body["settings"]["rest_after_beyond_limit_min"] = rng.choice([None, None, 1440, 2880])
    return body


def on_two_boats(rng: Random, body: dict[str, Any]) -> dict[str, Any]:
    """The same trip on two boats: most know theirs, some do not."""
    for person in body["people"]:
        boat = rng.choice(["l", "s", "l" if person["id"] in (uid("a"), uid("b")) else "s", None])
        if boat is not None:
            person["boat"] = uid(boat)
    body["people"][0]["boat"], body["people"][-1]["boat"] = uid("l"), uid("s")
    return body


@dataclass
class BoatPhone(Phone):
    """A phone of one of two boats, which mostly says so."""

    luck: Random = field(default_factory=Random)

    def write(self, kind: str, subject: str, clock: str | int, **data: Any) -> Entry:
        own = "ls"[int(self.name[1:]) % 2]
        if kind in OF_A_BOAT and self.luck.random() < 0.85:
            data["boat"] = self.luck.choice([own, own, own, own, own, "l", "s", "elsewhere"])
        if kind == "transferred" and self.luck.random() < 0.5:
            data["stays"] = True
        if kind == "correction" and not data["void"] and self.luck.random() < 0.4:
            data["data"] = {"boat": uid(self.luck.choice("ls"))}
        return super().write(kind, subject, clock, **data)


OF_A_BOAT = frozenset(
    kind for kind in schema.KINDS if "boat" in schema.ENTRY["$defs"][kind].get("properties", ())
)


def day_of(rng: Random, most: int, several: bool) -> tuple[dict[str, Any], list[Entry]]:
    """A random snapshot and history; `several`: of two boats."""
    body = snapshot_body(rng)
    if not several:
        return body, history(rng, most)
    on_two_boats(rng, body)
    return body, history(rng, most, lambda name, by: BoatPhone(name, by=by, luck=rng))


def history(
    rng: Random, most: int = 40, phone: Callable[[str, str], Phone] = lambda name, by: Phone(name, by=by)
) -> list[Entry]:
    """Entries of one to three phones over a day, in no order."""
    phones = [phone(f"p{index}", rng.choice("abs")) for index in range(rng.randint(1, 3))]
    wrong = [rng.choice([0, 0, 0, 1500, -240_000, 3_600_000]) for _ in phones]
    now = DAY_MS + 8 * 3_600_000
    written: list[Entry] = []
    for _ in range(rng.randint(1, most)):
        now += rng.choice([0, 1000, 20_000, 180_000, 900_000, 1_800_000])
        index = rng.randrange(len(phones))
        written.append(_one(rng, phones[index], now + wrong[index], wrong[index], written))
    if rng.random() < 0.5:
        written.extend(homecoming(rng, phones[0], now + wrong[0] + 900_000, PEOPLE + "s"))
    if rng.random() < 0.15:
        written.append(_altered(rng.choice(written)))
    if rng.random() < 0.15:
        written.append(_forked(rng, phones[0]))
    rng.shuffle(written)
    return written


def _one(rng: Random, phone: Phone, when: int, wrong: int, written: list[Entry]) -> Entry:
    team, (dive, members) = rng.choice(list(TEAMS.items()))
    person = rng.choice(PEOPLE)
    some = rng.sample(members, rng.randint(1, len(members)))
    span = rng.choice([{}, {}, {}, {"earliest": when - 180_000, "latest": when + rng.choice([0, 180_000])}])
    tail: dict[str, Any] = {
        "by": rng.choice(["a", "b", "s", None]),
        "wall": when + rng.choice([0, 0, 0, 600_000]),
    }
    seen = rng.choice([{}, {"last_seen_at": when - 120_000}])
    kind = rng.choice(WEIGHTED)
    if kind == "down":
        return phone.write(
            "down",
            team,
            when,
            dive=dive,
            members=list(members if rng.random() < 0.8 else some),
            **span,
            **tail,
        )
    if kind == "surfaced":
        known = {"dive": dive} if rng.random() < 0.8 else {}
        return phone.write("surfaced", team, when, people=some, **known, **seen, **span, **tail)
    if kind == "surfaced_alone":
        return phone.write(kind, some[0], when, team=team, dive=dive, **seen, **span, **tail)
    if kind in ("back_aboard", "aboard", "ashore", "person_went_in"):
        return phone.write(kind, person, when, **span, **tail)
    if kind == "transferred":
        home = {"vessel": "v1", "stays": True, "text_hash": "cd" * 32} if rng.random() < 0.5 else {}
        return phone.write(kind, person, when, to="vessel", **home, **span, **tail)
    if kind == "roll_call_taken":
        crew = rng.sample(PEOPLE + "s", rng.randint(1, 6))
        method = rng.choice(["answered", "answered", "signed", "seen"])
        if rng.random() < 0.6:
            crew, span = list(PEOPLE + "s"), {}
        return phone.write(
            kind, "trip", when, count=rng.choice(["c1", "c2"]), seen=crew, method=method, **span, **tail
        )
    if kind == "count_finished":
        heads = rng.choice([None, None, 6, 5])
        return phone.write(
            kind,
            "trip",
            when,
            count=rng.choice(["c1", "c2", "c3"]),
            heads=heads,
            method=rng.choice(["answered", "signed", "seen"]),
            **tail,
        )
    if kind == "depth_reported":
        unit = rng.choice([metres(rng.randint(3, 32)), {"unit": "ft", "hundredths": rng.randint(1000, 9000)}])
        return phone.write(kind, person, when, dive=dive, depth=unit, **tail)
    if kind == "left_bottom":
        people = {} if rng.random() < 0.5 else {"people": some}
        return phone.write(kind, team, when, **people, **span, **tail)
    if kind == "separated":
        return phone.write(kind, team, when, people=some, **seen, **tail)
    if kind == "team_changed":
        return phone.write(kind, team, when, dive=dive, members=some, lead=None, **tail)
    if kind == "plan_changed":
        return phone.write(
            kind, dive, when, depth=metres(rng.randint(8, 30)), bottom_time_s=1200, run_time_s=1800, **tail
        )
    if kind == "sits_out":
        return phone.write(kind, person, when, dive=rng.choice([None, dive]), **tail)
    if kind == "held_from_diving":
        because = rng.choice([{}, {"because": "other"}, {"because": "symptoms"}])
        free = rng.random() < 0.5
        more = {"with": rng.choice(PEOPLE)} if free and rng.random() < 0.7 else {}
        if free and written and rng.random() < 0.3:
            more["of"] = [rng.choice(written).id]
        return phone.write(kind, person, when, released=free, **because, **more, **tail)
    if kind == "gas_checked":
        reading = {
            "cylinder": "c1",
            "pressure": {"unit": "bar", "value": 200},
            "o2_pm": rng.choice([None, 210, 320]),
        }
        return phone.write(kind, person, when, analysed_by=rng.choice([None, person]), **reading, **tail)
    if kind in ("deck_accepted", "deck_handed_over"):
        more = _of(rng, written, kind) if kind == "deck_accepted" else {}
        taken_from = rng.choice([None, "s", "a"])
        return phone.write(kind, rng.choice(PEOPLE + "s"), when, from_=taken_from, **more, **tail)
    if kind == "clock_compared":
        return phone.write(kind, phone.name, when, offset_ms=-wrong, error_ms=800, **tail)
    if kind == "correction" and written:
        corrections = [entry for entry in written if entry.kind == "correction"]
        mistaken = corrections if corrections and rng.random() < 0.4 else written
        return _correction(rng, phone, rng.choice(mistaken), when, tail)
    if kind == "override":
        return phone.write(
            kind, "trip", when, rule="departure", with_=rng.choice([None, "a"]), text_hash="ab" * 32, **tail
        )
    if kind == "overdue_quieted":
        return phone.write(kind, team, when, until=when + 120_000, **tail)
    if kind == "departed":
        return phone.write(kind, "trip", when, place="site", **span, **tail)
    if kind == "fit_to_dive_said":
        said = rng.choice(["yes", "no", "declined"])
        return phone.write(kind, person, when, said=said, **_of(rng, written, kind), **tail)
    made = at_the_edge(rng, phone, kind, when, dive, team, members, person, span, tail)
    if made is not None:
        return made
    if kind in ("phone_lost", "emergency_started"):
        return phone.write(kind, "trip", when, **tail)
    if kind == "emergency_ended":
        return phone.write(kind, "trip", when, **_of(rng, written, kind), **tail)
    if kind == "joined":
        return phone.write(kind, "v", when, role="visitor", dives=False, can_lead=False, **tail)
    if kind == "marker_seen":
        return phone.write(kind, team, when, fix=rng.choice([None, FIX]), **span, **tail)
    if kind == "not_understood":
        return phone.write("down", team, when, dive=dive, members=[], **tail)
    if kind == "dive_called_off":
        return phone.write(kind, dive, when, **tail)
    if kind == "other_trip":
        stranger = Phone("p8", trip=uid("other"))
        return stranger.write("note", "trip", when)
    return phone.write("a_newer_kind", team, when, colour="grey", deep=[1, {"x": None}], **tail)


# What an entry may say that it follows.
_FOLLOWS = {
    "deck_accepted": ("deck_accepted", "deck_handed_over"),
    "emergency_ended": ("emergency_started", "distress_call_made", "symptoms_asked", "oxygen_started"),
    "fit_to_dive_said": ("fit_to_dive_said",),
}


def _of(rng: Random, written: list[Entry], kind: str) -> dict[str, list[str]]:
    """Some phones do not say it yet; the others name what they know, or only some of it."""
    known = sorted({entry.id for entry in written if entry.kind in _FOLLOWS[kind]})
    chance = rng.random()
    if chance < 0.4:
        return {}
    return {"of": known if chance < 0.8 else rng.sample(known, len(known) // 2)}


def _correction(rng: Random, phone: Phone, entry: Entry, when: int, tail: dict[str, Any]) -> Entry:
    said: dict[str, Any] = rng.choice(
        [
            {"void": True},
            {
                "void": True,
                "subject_": uid(rng.choice(PEOPLE) if rng.random() < 0.6 else rng.choice(list(TEAMS))),
            },
            {"void": False, "at": entry.at - 240_000},
            {"void": False, "at": entry.at + 300_000, "latest": entry.at + 360_000},
            {"void": False, "data": {"depth": metres(12)}},
            {"void": False, "data": {"members": [uid("a"), uid("e")], "people": [uid("a")]}},
            {"void": False, "data": {"depth": "deep"}},
            {"void": False, "data": {"last_seen_at": entry.at - 60_000}},
        ]
    )
    said["reason"] = rng.choice(["mistyped", "settled"])
    if rng.random() < 0.3:
        when = entry.clock.ms + 5000
        tail = {**tail, "wall": when}
    subject = entry.subject
    made = phone.write("correction", "x", when, corrects=entry.id, **said, **tail)
    return made if subject == uid("x") else _about(phone, made, subject)


def _about(phone: Phone, made: Entry, subject: str) -> Entry:
    value = body(made)
    value["subject"] = subject
    value["hash"] = hash_of(value)
    again = read(value)
    phone.entries[-1] = again
    return again


def _altered(entry: Entry) -> Entry:
    """The same entry as somebody would have it who can write to the file."""
    return read({**body(entry), "at": entry.at - 600_000})


def _forked(rng: Random, phone: Phone) -> Entry:
    """A second entry in the place of the phone's first."""
    draft = {"trip": phone.trip, "device": uid(phone.name), "by": None, "at": DAY_MS, "kind": "note"}
    return chain.append(
        None,
        None,
        DAY_MS + rng.randint(1, 9),
        bytes(rng.randrange(256) for _ in range(10)),
        {**draft, "subject": phone.trip, "data": {}},
    )


WEIGHTED = (
    ["down"] * 8
    + ["surfaced"] * 8
    + ["back_aboard"] * 6
    + ["roll_call_taken"] * 5
    + ["depth_reported"] * 4
    + ["correction"] * 6
    + ["count_finished"] * 4
    + EDGES
    + [
        "surfaced_alone",
        "surfaced_alone",
        "aboard",
        "ashore",
        "person_went_in",
        "transferred",
        "left_bottom",
        "left_bottom",
        "separated",
        "team_changed",
        "plan_changed",
        "sits_out",
        "held_from_diving",
        "gas_checked",
        "deck_accepted",
        "deck_accepted",
        "deck_handed_over",
        "clock_compared",
        "clock_compared",
        "override",
        "overdue_quieted",
        "departed",
        "departed",
        "phone_lost",
        "emergency_started",
        "emergency_ended",
        "joined",
        "marker_seen",
        "marker_seen",
        "marker_seen",
        "not_understood",
        "dive_called_off",
        "other_trip",
        "a_newer_kind",
    ]
)
