"""Whether the emergency page is open and why, and how far the club's procedure is.

The default steps are general ones, to be replaced by the club's own; the coastguard's word comes first.
"""

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from teamdive.boatlog.claims import Claim, decided, readings
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import State
from teamdive.boatlog.holds import Hold
from teamdive.boatlog.order import Key, told
from teamdive.boatlog.rollcall import RollCall
from teamdive.boatlog.snapshot import ProcedureStep, Snapshot

_DEFAULT = json.loads((Path(__file__).parent / "data" / "lost_diver.json").read_text(encoding="utf-8"))
DEFAULT_STEPS = tuple(ProcedureStep(**step) for step in _DEFAULT["steps"])

Reason = tuple[str, int, tuple[str, ...]]


def steps(snapshot: Snapshot) -> tuple[ProcedureStep, ...]:
    """The club's steps for a lost diver, or the general ones."""
    return snapshot.lost_diver or DEFAULT_STEPS


@dataclass(frozen=True)
class _Ends:
    """What the ends of the plan answer: the entries they name, and of those that name none all that happened before."""

    named: frozenset[str]
    last: tuple[int, Key] | None

    def leaves(self, at: int, entry: Entry) -> bool:
        """Whether what this entry says happened at `at` is not answered."""
        return entry.id not in self.named and (self.last is None or told(at, entry) > self.last)


def is_running(state: State) -> bool:
    """Whether the emergency plan was started and not ended."""
    return bool(_started(state))


def page(
    state: State,
    holds: Mapping[str, tuple[Hold, ...]],
    calls: Collection[RollCall],
    overdue: Mapping[str, int],
) -> dict[str, Any]:
    """Whether the emergency page is open, why, for whom and since when (ms). `overdue`: since when, by person.

    `emergency_ended` closes what it names (see `ending`); who is overdue keeps it open.
    """
    reasons: list[Reason] = [reason for _, reason in _open(state, holds)]
    for call in calls:
        if call.needed > 1 and call.compared.stage == "emergency":
            last = max(count.finished_at or 0 for count in call.counts)
            reasons.append(("counts_differ", last, call.compared.differ))
    reasons.extend(("overdue", since, (person,)) for person, since in overdue.items())
    return {
        "open": bool(reasons),
        "why": sorted({why for why, _, _ in reasons}),
        "people": sorted({person for _, _, people in reasons for person in people}),
        "since": min((since for _, since, _ in reasons), default=None),
    }


def ending(state: State, holds: Mapping[str, tuple[Hold, ...]]) -> dict[str, Any]:
    """What whoever ends the plan now writes: the entries that it answers. One not known on this phone stays open."""
    return {"of": sorted({entry.id for entry, _ in _open(state, holds)})}


def procedure(state: State, overdue: Mapping[str, int], now: int) -> dict[str, Any] | None:
    """The steps of the procedure since the plan was started, with what is done and late; None: not started.

    Their minutes count from overdue (`overdue`: since when, by person), or from the start where that came first.
    """
    begun = _started(state)
    if not begun:
        return None
    first = min(begun, key=lambda claim: told(claim.at, claim.entry))
    since = min([first.at, *overdue.values()])
    done: dict[str, Claim] = {}
    for claim in decided(state, "procedure_step_done"):
        if claim.at >= first.at:
            known = done.get(claim.data["step"])
            if known is None or told(claim.at, claim.entry) < told(known.at, known.entry):
                done[claim.data["step"]] = claim
    return {
        "started_at": first.at,
        "counts_from": since,
        "own": bool(state.snapshot.lost_diver),
        "steps": [_step(step, since, done.get(step.step), now) for step in steps(state.snapshot)],
    }


def _step(step: ProcedureStep, since: int, done: Claim | None, now: int) -> dict[str, Any]:
    due_at = None if step.within_s is None else since + step.within_s * 1000
    return {
        "step": step.step,
        "say": step.say,
        "due_at": due_at,
        "done_at": None if done is None else done.at,
        "by": None if done is None else done.entry.by,
        "late": done is None and due_at is not None and now > due_at,
    }


def _ends(state: State) -> _Ends:
    ends = decided(state, "emergency_ended")
    return _Ends(
        frozenset(name for claim in ends for name in claim.data.get("of", ())),
        max((told(claim.at, claim.entry) for claim in ends if "of" not in claim.data), default=None),
    )


def _started(state: State) -> list[Claim]:
    """The starts of the plan that no end answered. One person's doubt does not undo a start."""
    return _left(state, "emergency_started", _ends(state))


def _left(state: State, kind: str, ends: _Ends) -> list[Claim]:
    return [
        claim
        for entry in state.by_kind.get(kind, ())
        for claim in readings(state, entry).claims
        if ends.leaves(claim.at, entry)
    ]


def _open(state: State, holds: Mapping[str, tuple[Hold, ...]]) -> list[tuple[Entry, Reason]]:
    """What was entered that opens the page and that no end answered."""
    ends = _ends(state)
    found = [
        (claim.entry, (why, claim.at, tuple(claim.data.get("people", ()))))
        for kind, why in (("emergency_started", "started"), ("distress_call_made", "distress_call"))
        for claim in _left(state, kind, ends)
    ]
    for person, held in holds.items():
        for hold in held:
            entry = state.by_id[hold.entry][0]
            if hold.urgent and ends.leaves(hold.since, entry):
                found.append((entry, (hold.why, hold.since, (person,))))
    return found
