"""Seats on a trip's boats: everyone who is booked goes to sea and takes one, in the water or not. Pure.

With one boat nobody need be seated by name. As soon as somebody is, several boats go, and everyone has a seat on one of
them all day: whoever has none would stand on the quay, whatever the counts say.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from teamdive.pairing.model import listed

from .rules import Reason


@dataclass(frozen=True)
class Carrier:
    """A boat, and how many persons it may carry; None: not known."""

    id: str
    name: str
    most: int | None


@dataclass(frozen=True)
class Seat:
    """A person booked, and the boat they go on; None: none is named."""

    person: str
    name: str
    boat: str | None
    leads: bool


@dataclass(frozen=True)
class DiveTeams:
    """The teams of one dive by their members' ids; `id`: the dive's, for the pointer."""

    id: str
    number: int
    teams: Sequence[Collection[str]]


def several(seats: Iterable[Seat]) -> bool:
    """Whether people are seated by name, so that more than the trip's own boat may go."""
    return any(seat.boat is not None for seat in seats)


def troubles(
    own: Carrier | None, boats: Mapping[str, Carrier], seats: Sequence[Seat], dives: Sequence[DiveTeams]
) -> list[Reason]:
    """Why these people cannot go on these boats as they are seated; an empty list: they can. `own`: the trip's boat."""
    if not several(seats):
        return [] if own is None else list(_fits(own, [seat.name for seat in seats]))
    found: list[Reason] = []
    nowhere = [seat.name for seat in seats if seat.boat is None]
    if nowhere:
        found.append(
            Reason(
                "person_on_no_boat",
                f"No boat is named for {listed(sorted(nowhere))}.",
                "Say which boat they go on: each takes a seat.",
                "/bookings",
            )
        )
    for boat in _used(boats, seats):
        aboard = [seat for seat in seats if seat.boat == boat.id]
        found.extend(_fits(boat, [seat.name for seat in aboard]))
        if boat.most is None:
            found.append(
                Reason(
                    "boat_capacity_not_known",
                    f"How many persons {boat.name} may carry is not known.",
                    "Enter it with the boat.",
                    "/boats",
                )
            )
        diving = {person for dive in dives for team in dive.teams for person in team}
        if diving & {seat.person for seat in aboard} and not any(seat.leads for seat in aboard):
            found.append(
                Reason(
                    "boat_without_leader",
                    f"Divers go on {boat.name} and nobody on it may lead.",
                    "Give it a leader, or put all on one boat.",
                    "/boats",
                )
            )
    found.extend(_parted(seats, dives))
    return found


def _fits(boat: Carrier, people: Sequence[str]) -> Iterable[Reason]:
    if boat.most is not None and len(people) > boat.most:
        yield Reason(
            "too_many_persons",
            f"{boat.name} may carry {boat.most} person{'' if boat.most == 1 else 's'} and {len(people)} are on it: "
            f"{listed(sorted(people))}.",
            "Take people off, or take a larger boat.",
            "/bookings",
        )


def _used(boats: Mapping[str, Carrier], seats: Iterable[Seat]) -> list[Carrier]:
    named = {seat.boat for seat in seats}
    return sorted((boat for boat in boats.values() if boat.id in named), key=lambda boat: boat.name)


def _parted(seats: Iterable[Seat], dives: Iterable[DiveTeams]) -> Iterable[Reason]:
    """Teams whose members go on different boats."""
    seat_of = {seat.person: seat for seat in seats}
    for dive in dives:
        for number, team in enumerate(dive.teams, 1):
            placed = [seat_of[person] for person in team if person in seat_of]
            if len({seat.boat for seat in placed if seat.boat is not None}) > 1:
                who = listed(sorted(seat.name for seat in placed))
                yield Reason(
                    "team_on_two_boats",
                    f"Dive {dive.number}, team {number}: {who} go on different boats.",
                    "Put them on one boat, or find the teams of all dives together.",
                    f"/dives/{dive.id}/teams",
                )


def named_on(boats: Sequence[Mapping[str, Any]]) -> set[str]:
    """Whoever has a seat on one of these boats by name: aboard, or covering it from the surface."""
    covering = {one["person"] for boat in boats for one in boat.get("surface_cover", ())}
    return covering | {person for boat in boats for person in boat.get("aboard", ())}


def seated(
    boats: Sequence[Mapping[str, Any]], teams: Iterable[tuple[Collection[str], str | None]]
) -> dict[str, set[str]]:
    """On which boats each person is named: `boats` as `{"boat", aboard, surface_cover}`, teams with their boat."""
    found: dict[str, set[str]] = {}
    for boat in boats:
        for person in named_on([boat]):
            found.setdefault(person, set()).add(str(boat["boat"]))
    for members, on in teams:
        for person in members:
            if on is not None:
                found.setdefault(person, set()).add(on)
    return found
