"""Decisions about people, from plain values: who may do what by role, and what may be shown of fitness."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any, cast

from teamdive.physics.no_fly import MORE_MIN
from teamdive.physics.units import Depth, DepthUnit, shallower_in

ORGANISER, LEADER, DIVER = "organiser", "leader", "diver"
ROLES = (ORGANISER, LEADER, DIVER)

# The club's own waits end within the four days whose dives are known; the consensus of 2002 says "substantially longer
# than 18 h" after a dive beyond its limit.
LONGEST_OWN_WAIT_MIN = 4 * 1440
LEAST_WAIT_BEYOND_LIMIT_MIN = MORE_MIN + 1
LEAST_REST_MIN = 1440
# Our own choice, within what the trip snapshot takes: quiet for longer, or due soon so early, would no longer be heard.
MOST_QUIET_MIN = 15
# Two bank cylinders of 50 L at 200 bar: more is no set that a boat carries.
MOST_OXYGEN_L = 20_000
MOST_DUE_SOON_MIN = 60
# Our own choice: an alarm that calls more seldom, or waits longer for one person, is none.
MOST_CALL_EVERY_MIN = 60
MOST_CALLS_BEFORE_NEXT = 20
MOST_STEPS = 40
LONGEST_STEP = 400
LATEST_STEP_MIN = 1440

# What each role may do in its own club. A diver's own record is judged beside this, by who they are.
MAY: dict[str, frozenset[str]] = {
    ORGANISER: frozenset(
        {
            "read_divers",
            "change_divers",
            "import_roster",
            "manage_club",
            "manage_accounts",
            "plan_trips",
            "keep_wishes",
        }
    ),
    LEADER: frozenset({"read_divers", "plan_trips"}),
    DIVER: frozenset(),
}


@dataclass(frozen=True)
class StepTrouble:
    """What is wrong with one step of a club's procedure, with where it stands and what mends it."""

    pointer: str
    code: str
    message: str


def steps_trouble(steps: Any) -> list[StepTrouble]:
    """What keeps `[{"say", "after_min"}]` from being a procedure; minutes are from overdue, None: no time."""
    if not isinstance(steps, list):
        return [StepTrouble("/lost_diver", "not_a_list", "The steps are a list, first step first.")]
    if len(steps) > MOST_STEPS:
        said = f"{len(steps)} steps are too many to follow. Keep {MOST_STEPS} or fewer."
        return [StepTrouble("/lost_diver", "too_many_steps", said)]
    found: list[StepTrouble] = []
    latest, latest_at = 0, 0
    for number, step in enumerate(steps, 1):
        at = f"/lost_diver/{number - 1}"
        say = step.get("say") if isinstance(step, dict) else None
        if not isinstance(say, str) or not say.strip():
            found.append(
                StepTrouble(f"{at}/say", "required", f"Step {number} says nothing. Write it, or remove it.")
            )
        elif len(say) > LONGEST_STEP:
            said = f"Step {number} has {len(say)} letters; {LONGEST_STEP} fit. Make it shorter, or two steps."
            found.append(StepTrouble(f"{at}/say", "too_long", said))
        after = step.get("after_min") if isinstance(step, dict) else None
        if after is None:
            continue
        if isinstance(after, bool) or not isinstance(after, int) or not 0 <= after <= LATEST_STEP_MIN:
            said = f"Step {number} needs whole minutes from 0 to {LATEST_STEP_MIN}, or none."
            found.append(StepTrouble(f"{at}/after_min", "not_minutes", said))
        elif after < latest:
            said = f"Step {number} is due before step {latest_at}. Move it up, or give it more minutes."
            found.append(StepTrouble(f"{at}/after_min", "out_of_order", said))
        else:
            latest, latest_at = after, number
    return found


def role_may(role: str | None, what: str) -> bool:
    """Whether a role (None: no member) may do `what`; an unknown role may nothing."""
    return what in MAY.get(role or "", frozenset())


def leaves_no_organiser(before: str | None, after: str | None, organisers: int) -> bool:
    """Whether a change from one role to another (None: no member) would leave the club without an organiser."""
    return before == ORGANISER and after != ORGANISER and organisers <= 1


def may_make_password(*, clubs: int, keeps_installation: bool) -> bool:
    """Whether a club may make a new password for an account: only one that is this club's alone.

    An account that also belongs to another club, or that keeps the installation, is more than this club's to open.
    """
    return clubs <= 1 and not keeps_installation


def name_key(name: str) -> str:
    """The name as compared: no accents, no case, single spaces.

    >>> name_key("  Zoë  O'Hara ")
    "zoe o'hara"
    """
    plain = "".join(c for c in unicodedata.normalize("NFKD", name) if not unicodedata.combining(c))
    return " ".join(plain.casefold().split())


def fitness_state(*, in_date_until: date | None, restricted: bool, on: date) -> str | None:
    """`in_date`, `restricted` or `out_of_date` on a day; None where it is not known."""
    if in_date_until is None:
        return None
    if in_date_until < on:
        return "out_of_date"
    return "restricted" if restricted else "in_date"


def fitness_shown(state: str | None) -> str:
    """All that anyone but the diver is shown: `in date`, `restricted` or `ask the diver`.

    A declaration that is not known or has run out is never taken as in date.
    """
    return {"in_date": "in date", "restricted": "restricted"}.get(state or "", "ask the diver")


FULL_QUALIFICATIONS_M_FT = ((1800, 6000), (3000, 10000), (4000, 13000))


def certified_in(depth_hundredths: int, unit: str, wanted: str) -> int:
    """A certified depth in the wanted unit, in hundredths.

    18 m and 60 ft, 30 m and 100 ft, 40 m and 130 ft are one qualification under two names; any other
    depth is converted as the gauge depth it is and rounded down.
    """
    if unit == wanted:
        return depth_hundredths
    for metres, feet in FULL_QUALIFICATIONS_M_FT:
        if depth_hundredths == (metres if unit == "m" else feet):
            return feet if wanted == "ft" else metres
    return shallower_in(Depth(depth_hundredths, cast(DepthUnit, unit)), cast(DepthUnit, wanted)).hundredths


def deepest_certified(depths: Iterable[tuple[int, str]], wanted: str) -> int | None:
    """The deepest of several certified depths (hundredths, unit) in the wanted unit; None of none."""
    return max((certified_in(depth, unit, wanted) for depth, unit in depths), default=None)
