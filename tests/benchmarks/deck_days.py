"""A boat's ordinary days: twelve pairs, two dives a day, two phones, two people counting three times a dive."""

from __future__ import annotations

import copy
from typing import Any

from teamdive.boatlog.entries import Entry
from tests.boat_scene import DAY_MS, Phone, trip_body, uid

PAIRS = [(f"p{n}", f"q{n}") for n in range(12)]
MINUTE = 60_000
# By two people each: before leaving port, before leaving the site, and once more.
COUNTS = 6


def ordinary_days(count: int) -> tuple[dict[str, Any], list[Entry]]:
    """The snapshot as JSON, and `count` entries of as many dives as they take, in order of writing."""
    body = trip_body(teams=[list(pair) for pair in PAIRS], depths=(18,), bottom_min=(30,), run_min=(38,))
    people = [*(person for pair in PAIRS for person in pair), "s"]
    first = body["dives"].pop()
    phones = [Phone("deck"), Phone("bow")]
    made = [phones[0].holds("07:00", "s")]
    while len(made) < count:
        number = len(body["dives"]) + 1
        body["dives"].append(_dive(first, number))
        made += _written(phones, people, number)
    return body, made[:count]


def _dive(first: dict[str, Any], number: int) -> dict[str, Any]:
    dive = copy.deepcopy(first) | {"id": uid(f"d{number}"), "number": number}
    for at, team in enumerate(dive["teams"]):
        team["id"] = uid(f"{number}-{at}")
    return dive


def _written(phones: list[Phone], people: list[str], number: int) -> list[Entry]:
    """Each pair: down, a depth, both up after half an hour, each aboard. Then everybody answers, by name."""
    deck, bow = phones
    start = DAY_MS + ((number - 1) // 2 * 24 + 8 + (number - 1) % 2 * 3) * 60 * MINUTE
    dive = f"d{number}"
    made = [
        deck.write("down", f"{number}-{at}", start + at * MINUTE, dive=dive, members=list(pair))
        for at, pair in enumerate(PAIRS)
    ]
    for at, pair in enumerate(PAIRS):
        team, up = f"{number}-{at}", start + (33 + at) * MINUTE
        made.append(deck.write("surfaced", team, up, dive=dive, people=list(pair)))
        made += [bow.write("back_aboard", person, up + 2 * MINUTE) for person in pair]
        depth = {"unit": "m", "hundredths": 1700}
        made.append(bow.write("depth_reported", pair[0], up + 4 * MINUTE, dive=dive, depth=depth))
    for count in range(COUNTS):
        phone, called = phones[count % 2], start + (55 + count) * MINUTE
        made += [
            phone.write(
                "roll_call_taken",
                "trip",
                called + at * 1000,
                count=f"{number}.{count}",
                seen=[person],
                method="answered",
            )
            for at, person in enumerate(people)
        ]
    return made
