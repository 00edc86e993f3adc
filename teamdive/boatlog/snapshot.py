"""The trip snapshot: roster, plan and settings that a boat log starts from.

Immutable and named by the hash of its canonical bytes. It holds no names. After it, only entries
change anything.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from teamdive.boatlog import schema
from teamdive.boatlog.canonical import NotCanonical, canonical
from teamdive.boatlog.schema import Trouble

Quantity = Mapping[str, Any]  # {"unit", "hundredths"} of a depth, {"unit", "value"} of a pressure


class NotASnapshot(ValueError):
    """The value is not a trip snapshot; `problems` names every field that is wrong."""

    def __init__(self, problems: list[Trouble]) -> None:
        super().__init__("; ".join(f"{trouble.pointer}: {trouble.message}" for trouble in problems))
        self.problems = problems


@dataclass(frozen=True)
class Settings:
    """The club's settings as they were when the snapshot was made; units in the names."""

    overdue_after_min: int | None
    method: str
    gf_low_pm: int
    gf_high_pm: int
    descent_cm_min: int
    ascent_cm_min: int
    least_surface_interval_min: int | None
    search_min: int
    safety_stop_cm: int
    safety_stop_s: int
    ascent_to_altitude_ft: int
    beyond_40_m_enabled: bool
    no_fly_wait_min: int | None = None
    counts_needed: int | None = None
    due_soon_min: int | None = None
    quiet_min: int | None = None
    club_wait_beyond_limit_min: int | None = None
    club_wait_other_gas_min: int | None = None
    rest_after_beyond_limit_min: int | None = None


@dataclass(frozen=True)
class EarlierDive:
    """A dive made before the trip that may still count."""

    depth: Quantity
    bottom_time_s: int
    o2_pm: int
    surfaced_at: int


@dataclass(frozen=True)
class Person:
    """Someone on the trip, by an id of this trip alone. `earlier_dives` None: not known. `boat`: where several go."""

    id: str
    role: str
    dives: bool
    can_lead: bool
    earlier_dives: tuple[EarlierDive, ...] | None
    boat: str | None = None


@dataclass(frozen=True)
class TeamDiver:
    """What one diver of a planned team breathes and when they turn; None: not known."""

    id: str
    minimum_gas: Quantity | None
    turn_pressure: Quantity | None
    o2_pm: int | None
    cylinder_dl: int | None = None
    rmv_low_dl_min: int | None = None


@dataclass(frozen=True)
class PlannedTeam:
    """A team of a planned dive, with the limit that binds, whose it is, and what binds next."""

    id: str
    members: tuple[str, ...]
    lead: str | None
    limit_s: int | None
    limited_by: str | None
    limiting_diver: str | None
    next_limit_s: int | None
    next_limited_by: str | None
    divers: tuple[TeamDiver, ...]


@dataclass(frozen=True)
class PlannedDive:
    """One scheduled dive of the whole boat."""

    id: str
    number: int
    planned_at: int | None
    depth: Quantity
    bottom_time_s: int
    run_time_s: int
    teams: tuple[PlannedTeam, ...]


@dataclass(frozen=True)
class ProcedureStep:
    """One step of the club's lost-diver procedure. `within_s`: after overdue; None: no time set."""

    step: str
    say: str
    within_s: int | None


@dataclass(frozen=True)
class Snapshot:
    """All of it. Instants in ms since 1970 UTC."""

    trip: str
    made_at: int
    starts_at: int
    time_zone: str
    units: Mapping[str, str]
    settings: Settings
    boat: str | None
    people: tuple[Person, ...]
    dives: tuple[PlannedDive, ...]
    hash: str
    lost_diver: tuple[ProcedureStep, ...] = ()


def boats_of_trip(snapshot: Snapshot) -> tuple[str, ...]:
    """The boats of the trip by id; empty where fewer than two go: then nothing is said by boat."""
    found = sorted({person.boat for person in snapshot.people if person.boat is not None})
    return tuple(found) if len(found) > 1 else ()


def make(value: Any) -> tuple[str, str]:
    """The canonical text of a snapshot and its SHA-256. Raises NotASnapshot, naming all that is wrong."""
    found = schema.problems(schema.SNAPSHOT, value, schema.SNAPSHOT)
    if not found:
        try:
            text = canonical(value)
        except NotCanonical as error:
            found = [Trouble(error.pointer, "not_canonical", error.message)]
        else:
            return text, sha256(text.encode()).hexdigest()
    raise NotASnapshot(found)


def read(value: Any) -> Snapshot:
    """The snapshot in a parsed JSON value. Fields not known here are left aside. Raises NotASnapshot."""
    _, made = make(value)
    return Snapshot(
        hash=made,
        people=tuple(_person(person) for person in value["people"]),
        dives=tuple(_dive(dive) for dive in value["dives"]),
        settings=_only(Settings, value["settings"]),
        lost_diver=tuple(_only(ProcedureStep, step) for step in value.get("lost_diver", ())),
        **{name: value[name] for name in ("trip", "made_at", "starts_at", "time_zone", "units", "boat")},
    )


def _only(kind: Any, value: Mapping[str, Any], **instead: Any) -> Any:
    """A frozen dataclass from the fields it knows."""
    known = {name: value[name] for name in kind.__dataclass_fields__ if name in value}
    return kind(**{**known, **instead})


def _person(value: Mapping[str, Any]) -> Person:
    earlier = value["earlier_dives"]
    dives = None if earlier is None else tuple(_only(EarlierDive, dive) for dive in earlier)
    person: Person = _only(Person, value, earlier_dives=dives)
    return person


def _dive(value: Mapping[str, Any]) -> PlannedDive:
    dive: PlannedDive = _only(PlannedDive, value, teams=tuple(_team(team) for team in value["teams"]))
    return dive


def _team(value: Mapping[str, Any]) -> PlannedTeam:
    divers = tuple(_only(TeamDiver, diver) for diver in value["divers"])
    team: PlannedTeam = _only(PlannedTeam, value, members=tuple(value["members"]), divers=divers)
    return team
