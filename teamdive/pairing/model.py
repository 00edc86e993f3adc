"""What pairing knows of a dive and of a diver: integers and short words only.

Depths are hundredths of the unit asked in (m or ft), currents thousandths of a knot, visibility
centimetres, temperatures tenths of a degree Celsius, weights of past dives quarters of a dive,
times whole seconds, days integers as in `days`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

# The dimensions of a dive that a diver can be new to, in the order in which they are said.
DIMENSIONS = ("depth", "current", "visibility", "cold", "night", "task", "site")
LAY_OFF = "lay_off"
EQUIPMENT = "equipment"

# Who has to be out of the water while anybody dives, in the order in which they are said.
COVER_ROLES = ("boat_handler", "lookout", "oxygen", "standby")


@dataclass(frozen=True)
class Task:
    """`level`: 1 watched, 2 helped, 3 supervised, 4 alone in easy conditions, 5 leads others."""

    kind: str
    level: int


@dataclass(frozen=True)
class Demands:
    """What a dive asks of a diver. None where the dive makes no such demand."""

    unit: str
    depth: int
    current: int | None = None
    visibility: int | None = None
    water_temp: int | None = None
    night: bool = False
    task: Task | None = None
    site: tuple[str, ...] = ()

    def dimensions(self) -> tuple[str, ...]:
        asked = (
            True,
            self.current is not None,
            self.visibility is not None,
            self.water_temp is not None,
            self.night,
            self.task is not None,
            bool(self.site),
        )
        return tuple(name for name, wanted in zip(DIMENSIONS, asked, strict=True) if wanted)


@dataclass(frozen=True)
class Done:
    """`count` past dives that were alike, the latest on `on`. None: not told, taken as the easiest."""

    depth: int
    on: int
    current: int | None = None
    visibility: int | None = None
    water_temp: int | None = None
    night: bool = False
    task: Task | None = None
    count: int = 1
    site: tuple[str, ...] = ()


@dataclass(frozen=True)
class Experience:
    """`done` None: the log is not known. `last_dive` None: not known."""

    last_dive: int | None
    done: tuple[Done, ...] | None
    dives_last_year: int | None = None


@dataclass(frozen=True)
class Override:
    """Somebody else's decision, kept with its reason, that a rule does not hold this diver back."""

    rule: str
    diver: str
    by: str
    reason: str


@dataclass(frozen=True)
class Wish:
    """`private`: kept like a must short of anybody's dive, and never told."""

    kind: str  # together | apart
    divers: tuple[str, ...]
    strength: str  # must | prefer
    private: bool = False


@dataclass(frozen=True)
class Policy:
    """The numbers a club may set; the defaults are our own choice. None: the rule is off."""

    threes: str = "only_when_odd"  # only_when_odd | free | never
    leader_needed: str = "every_team"  # every_team | when_stretched: practised equals need none
    stretches_allowed: int = 1
    lay_off_days: int = 180
    visibility_edges: tuple[int, ...] = (300, 600, 1000, 2000)
    visibility_tolerance: int = 1
    current_tolerance: int = 250
    water_temp_tolerance: int = 30
    fresh_months: tuple[int, int, int] = (6, 12, 24)
    covered_weight: int = 1
    lead_weight: int = 3
    wish_s: int = 120
    both_tasks_s: int = 120
    first_together_s: int = 60
    mentor_debt_s: int = 60
    other_mix_s: int = 0
    deeper_beside_certified: bool = False
    oxygen_margin: int | None = None  # None: 3 m or 10 ft
    most_days_since_dive: int | None = None
    least_dives_last_year: int | None = None
    guided_ratio: int = 4
    guardian_may_lead: bool = False
    one_band_at_a_time: bool = False
    repeats_before_next: int | None = None
    first_exposure_s: int | None = None
    three_visibility: int | None = None
    wave_interval_s: int = 3600
    surface_cover: str = "shown"  # shown | warn | required
    cover_combined: tuple[tuple[str, ...], ...] = (("boat_handler", "oxygen"), ("lookout", "oxygen"))


@dataclass(frozen=True)
class Person:
    """One diver as pairing sees them. Limits in seconds: None unlimited or not known (see `unknown_limits`)."""

    id: str
    leader: bool | None = None  # a dive leader; None: not stated, judged by what they have done
    supervised: bool = False
    certified_depth: int | None = None
    born: int | None = None
    guardians: tuple[str, ...] = ()
    guardian_consent: bool | None = None
    fitness: str | None = None  # in_date | out_of_date | restricted | unfit | None: not known
    experience: Experience | None = None
    own_task: bool = False
    certified_until: int | None = None
    new_equipment: tuple[str, ...] = ()
    shares_gas_by: tuple[str, ...] | None = None
    signals: tuple[str, ...] | None = None
    dived_with: tuple[str, ...] | None = None
    mentor_debt: int = 0
    gas: GasFacts | None = None


@dataclass(frozen=True)
class GasFacts:
    """What the physics said of one diver alone on this dive.

    `own_s`: the bottom time this diver could have, with a partner who breathes at the stated stressed
    rate; None when it cannot be known. `not_known`: (limit, what is missing) for each limit without a
    number. `zero`: (limit, why) for each limit of no time at all. `mod` in hundredths of the unit asked in.
    """

    own_s: int | None
    not_known: tuple[tuple[str, tuple[str, ...]], ...] = ()
    zero: tuple[tuple[str, str], ...] = ()
    mod: int | None = None
    o2_e4: int | None = None


@dataclass(frozen=True)
class TeamGas:
    """What the physics said of one candidate team.

    `limit_s` None: not known, `not_known` says why. `short`: divers whose gas cannot bring two up.
    """

    limit_s: int | None
    limited_by: str | None = None
    limiting_diver: str | None = None
    next_s: int | None = None
    next_by: str | None = None
    next_diver: str | None = None
    not_known: tuple[str, ...] = ()
    short: tuple[str, ...] = ()


@dataclass(frozen=True)
class Reason:
    """Why something is so, as data: a stable code, whose it is, what it counts, and a sentence."""

    code: str
    divers: tuple[str, ...]
    message: str
    safety: int = 0
    seconds: int = 0
    what: tuple[str, ...] = field(default=())


def depth_text(hundredths: int, unit: str) -> str:
    """27 m, 27.5 m, 120 ft."""
    return f"{decimal(hundredths, 2)} {unit}"


def decimal(value: int, places: int) -> str:
    """An integer of 10^-places as the shortest decimal."""
    scale = 10**places
    sign = "-" if value < 0 else ""
    whole, rest = divmod(abs(value), scale)
    tail = f"{rest:0{places}d}".rstrip("0")
    return f"{sign}{whole}.{tail}" if tail else f"{sign}{whole}"


def listed(names: tuple[str, ...] | list[str]) -> str:
    """a; a and b; a, b and c."""
    if len(names) < 2:
        return "".join(names)
    return ", ".join(names[:-1]) + " and " + names[-1]
