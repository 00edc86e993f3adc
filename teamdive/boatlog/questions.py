"""What the deck asks of the log: may this team go down, may the boat leave, what is due for whom.

`due` is the one rule for the calls that the phone rings and the server sends.
"""

from dataclasses import dataclass
from itertools import chain
from typing import Any

from teamdive.boatlog import deckwatch
from teamdive.boatlog.boats import together_on
from teamdive.boatlog.facts import Facts, departures, facts
from teamdive.boatlog.fold import State
from teamdive.boatlog.holds import not_fit
from teamdive.boatlog.nitrogen import next_dive, no_fly
from teamdive.boatlog.plan import dive_plan
from teamdive.boatlog.presence import ASHORE, IN_WATER, TRANSFERRED
from teamdive.boatlog.rollcall import Departure, RollCall, departure
from teamdive.boatlog.snapshot import Snapshot


@dataclass(frozen=True)
class Refusal:
    """Why not: a stable code and whom it concerns."""

    code: str
    people: tuple[str, ...] = ()


@dataclass(frozen=True)
class Duty:
    """A call that ought to be made: what, for whom, about which dive or trip, when (ms), and why."""

    kind: str
    person: str
    subject: str
    due_at: int
    why: tuple[dict[str, Any], ...]


def may_go_down(state: State, team: str, known: Facts | None = None) -> tuple[Refusal, ...]:
    """Why this team cannot be marked down now; empty: it can. The deck holder must hand over first.

    Whoever swims, is up or lost from sight is not aboard; whom nobody has met yet is no reason: going down is seen.
    """
    known = facts(state) if known is None else known
    standing = known.teams.get(team)
    if standing is None or not standing.members:
        return (Refusal("team_unknown"),)
    boats: tuple[str | None, ...] = known.afloat.boats or (None,)
    holders = {boat: deckwatch.holders(state, boat) for boat in boats}
    found: list[Refusal] = []
    going = together_on([known.afloat.now[p] for p in standing.members]) if known.afloat.boats else boats
    if not any(holders[boat] for boat in going):
        found.append(Refusal("no_deck_holder"))
    # Of whichever boat they hold the deck: nobody down watches one.
    down = tuple(sorted(frozenset(standing.members).intersection(chain.from_iterable(holders.values()))))
    if down:
        found.append(Refusal("deck_holder_in_team", down))
    under = tuple(sorted(p for p in standing.members if any(a.is_open for a in known.attempts.get(p, []))))
    if under:
        found.append(Refusal("already_down", under))
    ashore = tuple(sorted(p for p in standing.members if known.where[p].state == ASHORE))
    if ashore:
        found.append(Refusal("ashore", ashore))
    away = tuple(sorted(p for p in standing.members if known.where[p].state == TRANSFERRED))
    if away:
        found.append(Refusal("with_others", away))
    afloat = tuple(sorted(p for p in standing.members if known.where[p].state in IN_WATER and p not in under))
    if afloat:
        found.append(Refusal("not_aboard", afloat))
    held = tuple(sorted(p for p in standing.members if known.held.get(p, False)))
    if held:
        found.append(Refusal("held_from_diving", held))
    unfit = tuple(sorted(p for p in standing.members if not_fit(state, p)))
    if unfit:
        found.append(Refusal("not_fit_to_dive_said", unfit))
    plan = dive_plan(state, standing.dive)
    if plan is not None and plan.called_off:
        found.append(Refusal("dive_called_off"))
    return tuple(found)


def may_depart(state: State, known: Facts | None = None, boat: str | None = None) -> tuple[Refusal, ...]:
    """Why the boat (None: any of them) cannot be declared leaving; empty: it can. Two may override, on record."""
    known = facts(state) if known is None else known
    if boat is None and not known.calls:
        missing = tuple(person for person, where in known.where.items() if not where.accounted_for)
        return _refusals(known.roll_call, departure(state, known.roll_call, missing))
    people: dict[str, set[str]] = {}
    for each, left in departures(state, known).items():
        for refusal in _refusals(known.calls[each], left) if boat in (None, each) else ():
            people.setdefault(refusal.code, set()).update(refusal.people)
    return tuple(Refusal(code, tuple(sorted(people[code]))) for code in _LEAVING if code in people)


_LEAVING = ("not_accounted_for", "roll_call_not_complete", "counts_differ")


def _refusals(call: RollCall, left: Departure) -> tuple[Refusal, ...]:
    if left.overridden:
        return ()
    found = [Refusal("not_accounted_for", left.missing)] if left.missing else []
    if not call.complete:
        found.append(Refusal("roll_call_not_complete", call.missing))
        if call.needed > 1 and call.compared.stage in ("recount", "emergency"):
            found.append(Refusal("counts_differ", call.compared.differ))
    return tuple(found)


def due(snapshot: Snapshot, state: State, now: int, known: Facts | None = None) -> tuple[Duty, ...]:
    """The calls of this trip whose instant is known, past ones included, in order of their instants.

    Interval reached for the planned next dive; waiting time before flying passed. A fact that
    changes the instant changes the duty; a diver under water has none.
    """
    known = facts(state) if known is None else known
    found: list[Duty] = []
    for person in known.people:
        if not known.attempts[person]:
            continue
        coming = next_dive(state, person, now, known=known)
        if coming is not None and isinstance(coming["ready_at"], int):
            why = {
                "code": "planned_bottom_time_fits",
                "number": coming["number"],
                "depth": coming["depth"],
                "planned_bottom_time_s": coming["planned_bottom_time_s"],
            }
            found.append(Duty("surface_interval_reached", person, coming["dive"], coming["ready_at"], (why,)))
        flying = no_fly(state, person, known)
        if flying is not None and isinstance(flying["until"], int):
            reason = {
                "code": "waiting_time_passed",
                "wait_min": flying["wait_min"],
                "rule": flying["rule"],
                "to_altitude_ft": snapshot.settings.ascent_to_altitude_ft,
            }
            found.append(Duty("no_fly_passed", person, snapshot.trip, flying["until"], (reason,)))
    return tuple(sorted(found, key=lambda duty: (duty.due_at, duty.kind, duty.person, duty.subject)))
