"""Questions to `teams` about the dives of one day: random groups with waves, boats and a wish between the dives."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from tests.parity.team_bodies import ROLES, Body, group

DIVE_FIELDS = (
    "wishes",
    "announced",
    "out_of_water",
    "overrides",
    "locked",
    "forbidden",
    "guided",
    "surface_cover",
)
ONE_DIVE = ("why_not", "alternatives", "drop_outs", "robust", "remedies", "facts", "find", "candidates")


def questions() -> Iterator[tuple[str, str, list[str], Body]]:
    """Those that the vectors keep."""
    random = Random(404)
    for n in range(40):
        yield f"several-{n}", "random dives of one day", ["random"], several(random, 9, rare=n >= 20)
    for n in range(2):
        yield (
            f"several-many-{n}",
            "more divers than are solved exactly",
            ["random"],
            several(random, 18, dives=2),
        )


def several(random: Random, most: int = 8, rare: bool = False, dives: int | None = None) -> Body:
    """A random group for one dive, and one to three dives of it in place of the one."""
    body = group(random, most, rare)
    names = [one["id"] for one in body["divers"]]
    for name in ONE_DIVE:
        body.pop(name, None)
    first = {name: body.pop(name) for name in ("dive", *DIVE_FIELDS) if name in body}
    items = [first]
    for _ in range((dives or random.choice([1, 2, 2, 2, 3])) - 1):
        items.append(_later(random, first, names))
    body["dives"] = items
    if random.random() < 0.3:
        _boats(random, body, names)
    for item in items:
        if random.random() < 0.4:
            _waves(random, item, body, names)
    if random.random() < 0.7:
        between: Body = {"partners": random.choice(["keep", "change", "either"])}
        if random.random() < 0.4:
            between["cost_s"] = random.choice([0, 30, 600])
        if random.random() < 0.2 and len(names) > 3:
            mixed = random.sample([*names, "gone"], 4)
            between["teams_before"] = [mixed[:2], mixed[2:]]
        body["between_dives"] = between
    return body


def _later(random: Random, first: Body, names: list[str]) -> Body:
    dive = first["dive"] | {
        "depth": random.choice([9, 12, 12, 15, 18, 22]),
        "bottom_time_min": random.choice([12, 20, 30]),
    }
    item: Body = {"dive": dive, "surface_interval_min": random.choice([60, 90, 120, 240])}
    for name in ("wishes", "forbidden", "overrides"):
        if name in first and random.random() < 0.5:
            item[name] = first[name]
    if random.random() < 0.2:
        item["out_of_water"] = [random.choice(names)]
    if random.random() < 0.15 and len(names) > 3:
        item["locked"] = [random.sample(names, 2)]
    if random.random() < 0.2 and len(names) > 3:
        mixed = random.sample(names, 4)
        item["announced"] = [mixed[:2], mixed[2:]]
    if random.random() < 0.2:
        item["divers"] = [
            {
                "id": name,
                "cylinders": [
                    {"id": "e", "volume": 12, "working_pressure": 232, "start_pressure": 190, "use": "main"}
                ],
                "gas": {
                    "o2_fraction": 0.21,
                    "analysis": {
                        "o2_fraction": 0.21,
                        "by": name,
                        "at": "2027-06-12T11:00:00Z",
                        "cylinder": "e",
                    },
                },
            }
            for name in random.sample(names, random.randint(1, len(names)))
        ]
    return item


def _cover(random: Random, names: list[str]) -> list[Body]:
    return [{"role": random.choice(ROLES), "person": random.choice([*names, "skipper"])}]


def _waves(random: Random, item: Body, body: Body, names: list[str]) -> None:
    boats = [one["id"] for one in body.get("boats", [])]
    made = []
    for number in range(random.choice([1, 2, 2, 3])):
        wave: Body = {"id": f"w{number}", "divers": random.choice([2, 3, 4, 6, 12])}
        if boats:
            wave["boat"] = boats[number % len(boats)]
        if random.random() < 0.3:
            wave["leader_needed"] = False
        if random.random() < 0.3:
            wave["surface_cover"] = _cover(random, names)
        made.append(wave)
    item["waves"] = made


def _boats(random: Random, body: Body, names: list[str]) -> None:
    free = [*names]
    random.shuffle(free)
    body["boats"] = []
    for number in range(random.choice([1, 2, 2])):
        boat: Body = {
            "id": f"boat{number}",
            random.choice(["persons", "divers"]): random.choice([3, 4, 6, 10]),
        }
        if random.random() < 0.4 and free:
            boat["aboard"] = [free.pop(), *(["skipper"] if number == 0 else [])]
        if random.random() < 0.2 and free:
            boat["surface_cover"] = [{"role": "lookout", "person": free.pop()}]
        body["boats"].append(boat)
