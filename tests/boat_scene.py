"""A trip at sea for tests: an invented roster, phones that write entries, and clock times as read aloud."""

from __future__ import annotations

import copy
from dataclasses import dataclass, field
from typing import Any

from teamdive.boatlog import chain, snapshot
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.view import view

DAY_MS = 1_812_758_400_000  # 2027-06-12 00:00 UTC


def uid(text: str) -> str:
    """A readable made-up UUID: the letters of `text` as hex."""
    return "00000000-0000-4000-8000-" + text.encode().hex()[:12].rjust(12, "0")


def at(clock: str) -> int:
    """ms of a clock time of the day, `hh:mm` or `hh:mm:ss`."""
    parts = [int(part) for part in clock.split(":")] + [0]
    return DAY_MS + (parts[0] * 3600 + parts[1] * 60 + parts[2]) * 1000


def metres(depth: int) -> dict[str, Any]:
    return {"unit": "m", "hundredths": depth * 100}


def trip_body(
    teams: list[list[str]] | None = None,
    others: tuple[str, ...] = ("s",),
    depths: tuple[int, ...] = (18, 15),
    bottom_min: tuple[int, ...] = (30, 40),
    run_min: tuple[int, ...] = (38, 48),
    overdue_after_min: int | None = 10,
    earlier: list[dict[str, Any]] | None = None,
) -> dict[str, Any]:
    """A snapshot: the same teams on every dive (`t1`, `t2`... on the first, `t1b`... on the second)."""
    teams = [["a", "b"], ["c", "d"]] if teams is None else teams
    divers = [person for team in teams for person in team]
    people = [
        {
            "id": uid(person),
            "role": "diver" if person in divers else "crew",
            "dives": person in divers,
            "can_lead": person == divers[0],
            "earlier_dives": copy.deepcopy(earlier if earlier is not None else []),
        }
        for person in [*divers, *others]
    ]
    dives = [
        {
            "id": uid(f"d{number}"),
            "number": number,
            "planned_at": None,
            "depth": metres(depths[number - 1]),
            "bottom_time_s": bottom_min[number - 1] * 60,
            "run_time_s": run_min[number - 1] * 60,
            "teams": [
                {
                    "id": uid(f"t{index}" + ("" if number == 1 else "b" * (number - 1))),
                    "members": [uid(person) for person in team],
                    "lead": uid(team[0]),
                    "limit_s": bottom_min[number - 1] * 60,
                    "limited_by": "planned",
                    "limiting_diver": uid(team[0]),
                    "next_limit_s": None,
                    "next_limited_by": None,
                    "divers": [
                        {"id": uid(person), "minimum_gas": None, "turn_pressure": None, "o2_pm": 210}
                        for person in team
                    ],
                }
                for index, team in enumerate(teams, start=1)
            ],
        }
        for number in range(1, len(depths) + 1)
    ]
    return {
        "v": 1,
        "trip": uid("trip"),
        "made_at": at("07:00"),
        "starts_at": at("08:00"),
        "time_zone": "Atlantic/Azores",
        "units": {"depth": "m", "pressure": "bar"},
        "settings": {
            "overdue_after_min": overdue_after_min,
            "method": "shorter",
            "gf_low_pm": 400,
            "gf_high_pm": 800,
            "descent_cm_min": 1800,
            "ascent_cm_min": 900,
            "least_surface_interval_min": None,
            "search_min": 1,
            "safety_stop_cm": 500,
            "safety_stop_s": 180,
            "ascent_to_altitude_ft": 8000,
            "beyond_40_m_enabled": False,
        },
        "boat": None,
        "people": people,
        "dives": dives,
    }


def trip(**kwargs: Any) -> snapshot.Snapshot:
    return snapshot.read(trip_body(**kwargs))


@dataclass
class Phone:
    """One device: its chain, and everything it wrote."""

    name: str
    by: str | None = "s"
    trip: str = uid("trip")
    entries: list[Entry] = field(default_factory=list)

    def write(self, kind: str, subject: str, clock: str | int, **data: Any) -> Entry:
        """One entry at a clock time. `text_hash`, `corrects` and `by` go to the top; `wall` is when it was written."""
        when = clock if isinstance(clock, int) else at(clock)
        wall = data.pop("wall", when)
        by = data.pop("by", self.by)
        top = {name: data.pop(name) for name in ("text_hash", "corrects") if name in data}
        last = self.entries[-1] if self.entries else None
        head = None if last is None else chain.Head(last.seq, last.hash)
        random = (f"{self.name}{len(self.entries)}".encode() * 10)[:10]
        entry = chain.append(
            head,
            None if last is None else last.clock,
            wall if isinstance(wall, int) else at(wall),
            random,
            {
                "trip": self.trip,
                "device": uid(self.name),
                "by": None if by is None else uid(by),
                "at": when,
                "kind": kind,
                "subject": uid(subject),
                "data": {
                    name: [uid(item) if isinstance(item, str) else item for item in value]
                    if name in ("members", "people", "seen", "teams")
                    else uid(value)
                    if name in ("dive", "team", "count", "from", "with", "analysed_by", "vessel", "boat")
                    and isinstance(value, str)
                    and value not in ("instrument", "said", "partner")
                    else value
                    for name, value in ((key.rstrip("_"), value) for key, value in data.items())
                },
                **top,
            },
        )
        self.entries.append(entry)
        return entry

    def down(self, clock: str, team: str = "t1", members: str = "ab", dive: str = "d1", **more: Any) -> Entry:
        return self.write("down", team, clock, dive=dive, members=list(members), **more)

    def up(self, clock: str, team: str = "t1", people: str = "ab", dive: str = "d1", **more: Any) -> Entry:
        return self.write("surfaced", team, clock, dive=dive, people=list(people), **more)

    def back(self, clock: str, person: str, **more: Any) -> Entry:
        return self.write("back_aboard", person, clock, **more)

    def depth(self, clock: str, person: str, depth: int, dive: str = "d1", **more: Any) -> Entry:
        return self.write("depth_reported", person, clock, dive=dive, depth=metres(depth), **more)

    def holds(self, clock: str, person: str, before: str | None = None) -> Entry:
        return self.write("deck_accepted", person, clock, from_=before)

    def met(
        self, clock: str | int, people: str, count: str = "c1", method: str = "answered", **more: Any
    ) -> Entry:
        return self.write(
            "roll_call_taken", "trip", clock, count=count, seen=list(people), method=method, **more
        )


def state(*phones: Phone, **kwargs: Any) -> State:
    return fold(trip(**kwargs), [entry for phone in phones for entry in phone.entries])


def codes(told: State, clock: str = "12:00") -> set[str]:
    return {question["code"] for question in view(told, at(clock))["questions"]}


def one_dive(up: str = "10:05", depth: int | None = 18) -> Phone:
    phone = Phone("p1")
    phone.holds("09:00", "s")
    phone.down("09:40")
    phone.up(up)
    if depth is not None:
        phone.depth("10:12", "a", depth)
    return phone
