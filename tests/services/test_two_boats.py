"""Two boats, ten phones, three days: what each phone hands in, whenever it can, ends as one log for all."""

from __future__ import annotations

from datetime import timedelta
from random import Random
from typing import Any

import pytest

from teamdive.boatlog import snapshot
from teamdive.boatlog.entries import body, read
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import fold
from teamdive.deck import record, selectors, services
from tests.boat_scene import Phone, at, trip_body, uid
from tests.services.deck_cast import NOW, at_sea, enrolled

pytestmark = pytest.mark.django_db
DAY, HOUR = 86_400_000, 3_600_000
TEAMS = [["a", "b"], ["c", "d"], ["e", "f"], ["g", "h"]]
BOATS = (("t1", "t2"), ("t3", "t4"))


def a_day_on_deck(rng: Random, phone: Phone, boat: int, day: int, wrong: int) -> None:
    """What one phone notes of the dives of its boat; `wrong`: ms by which its clock is off."""
    for team in BOATS[boat]:
        members = TEAMS[int(team[1]) - 1]
        start = at("09:30") + day * DAY + rng.randrange(3600) * 1000 + wrong
        phone.write("down", team, start, dive="d1", members=members)
        phone.write("surfaced", team, start + 25 * 60_000, dive="d1", people=members)
        for person in members:
            phone.write("back_aboard", person, start + 30 * 60_000)


def test_ten_phones_of_two_boats_end_with_one_log(cast_seed: int = 5) -> None:
    rng = Random(cast_seed)
    cast = at_sea(teams=TEAMS, others=("s", "y"))
    phones = [Phone(f"p{number}") for number in range(10)]
    devices = [enrolled(cast, phone)[0] for phone in phones]
    handed: dict[str, int] = {phone.name: 0 for phone in phones}
    acknowledged: set[str] = set()

    def hand_in(phone: Phone, day: int) -> None:
        """In batches of any size, now and then twice or from further back, and now and then cut off."""
        while (place := handed[phone.name]) < len(phone.entries):
            size, back = rng.randint(1, 9), rng.randint(0, 3)
            batch = [body(entry) for entry in phone.entries[max(0, place - back) : place + size]]
            rng.shuffle(batch)
            stored = services.store(trip=cast.trip, bodies=batch, now=NOW + timedelta(days=day))
            if rng.random() < 0.2:
                continue  # the answer was lost: the same again
            acknowledged.update(stored.accepted)
            handed[phone.name] = min(len(phone.entries), place + size)
            if rng.random() < 0.05:
                return

    for day in range(3):
        for number, phone in enumerate(phones):
            a_day_on_deck(rng, phone, number % 2, day, HOUR if number == 3 else 0)
        # The second boat lies where there is no network until the last evening; one phone is then lost for good.
        for number in rng.sample(range(10), 10):
            if number % 2 == 0 or day == 2:
                hand_in(phones[number], day)
        if day == 1:
            services.revoke(device=devices[4], now=NOW + timedelta(days=1, hours=1))
    for phone in phones:
        hand_in(phone, 3)
        while handed[phone.name] < len(phone.entries):
            hand_in(phone, 3)

    everything = {entry.id: body(entry) for phone in phones for entry in phone.entries}
    pages: list[dict[str, Any]] = []
    while page := selectors.page(cast.trip.pk, pages[-1]["position"] if pages else 0, 50).entries:
        pages.extend(page)
    assert [item["position"] for item in pages] == list(range(1, len(everything) + 1))
    assert {item["entry"]["id"]: item["entry"] for item in pages} == everything
    assert acknowledged == set(everything)
    # Only what the phone that was taken off handed in afterwards is marked; all chains are whole.
    marked = {item["entry"]["device"] for item in pages if item["trouble"]}
    assert marked == {uid("p4")}
    assert all(item["trouble"] in ([], ["device_revoked"]) for item in pages)
    assert all(phone.trouble == [] for phone in record.chains(cast.trip.pk))
    # Any phone, whatever the order in which it read, is at the same state as the server.
    shuffled = [read(item["entry"]) for item in rng.sample(pages, len(pages))]
    state = selectors.state_of(cast.trip.pk)
    assert state is not None and len(state.entries) == len(everything)
    start = snapshot.read(trip_body(teams=TEAMS, others=("s", "y")))
    assert facts(fold(start, shuffled)) == facts(state)
