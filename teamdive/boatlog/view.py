"""What the deck shows: view(fold(snapshot, entries), now). Equal state and now give an equal view."""

from typing import Any

from teamdive.boatlog import deckwatch, emergency
from teamdive.boatlog.claims import decided, readings
from teamdive.boatlog.counting import Count
from teamdive.boatlog.dives import Attempt
from teamdive.boatlog.facts import Facts, departures, facts, last_surfaced, open_attempt
from teamdive.boatlog.fold import State, about
from teamdive.boatlog.holds import fit_said
from teamdive.boatlog.lost import conditions_at
from teamdive.boatlog.order import told
from teamdive.boatlog.plan import dive_plan
from teamdive.boatlog.rollcall import Departure, RollCall, departure, departure_of_all, ended_at
from teamdive.boatlog.teamview import marker_seen_at, team_view


def view(state: State, now: int, known: Facts | None = None) -> dict[str, Any]:
    """The deck at `now` (ms since 1970), as JSON. `known`: the facts of this state, if at hand."""
    known = facts(state) if known is None else known
    shown = {person: _person(state, known, person, now) for person in known.people}
    missing = [person for person, presence in known.where.items() if not presence.accounted_for]
    call = known.roll_call
    by_boat = departures(state, known)
    all_of_them = departure_of_all(missing, call, by_boat.values())
    leaving = all_of_them if by_boat else departure(state, call, missing)
    overdue = _overdue(known, now)
    return {
        "at": now,
        **_deck(state, None, call, leaving),
        "boats": {boat: _deck(state, boat, known.calls[boat], by_boat[boat]) for boat in known.afloat.boats},
        "people": shown,
        "teams": {team: team_view(state, known, team, now) for team in known.teams},
        "dives": {dive.id: _dive(state, dive.id) for dive in state.snapshot.dives},
        "ended_at": ended_at(state, call),
        "emergency": emergency.is_running(state),
        "emergency_page": emergency.page(state, known.holds, known.calls.values() or (call,), overdue),
        "procedure": emergency.procedure(state, overdue, now),
        "conditions": conditions_at(state),
        "not_ready": ["overdue_after_min"] if state.snapshot.settings.overdue_after_min is None else [],
        "questions": [
            {"code": q.code, "entries": list(q.entries), "people": list(q.people), "subject": q.subject}
            for q in known.questions
        ],
        "unknown_kinds": len(state.aside.get("unknown_kind", ())),
    }


def _deck(state: State, boat: str | None, call: RollCall, leaving: Departure) -> dict[str, Any]:
    """Who has the deck of a boat (None: of any), how far its count is and whether it may leave."""
    offer = deckwatch.handover(state, boat)
    return {
        "deck_holder": deckwatch.holder(state, boat),
        "handover": None if offer is None else {"from": offer.giver, "to": offer.to, "entry": offer.entry},
        "roll_call": _roll_call(call),
        "departure": {
            "blocked": leaving.blocked,
            "not_accounted_for": list(leaving.missing),
            "roll_call_missing": list(leaving.not_counted),
            "overridden": leaving.overridden,
        },
    }


def _person(state: State, known: Facts, person: str, now: int) -> dict[str, Any]:
    role, dives = known.people[person]
    where, attempts = known.where[person], known.attempts[person]
    under = open_attempt(attempts, where)
    due = known.due.get(person)
    last = last_surfaced(attempts)
    marker = None if under is None else marker_seen_at(state, under.teams, under.down[0])
    separated = under is not None and any(
        entry.kind == "separated" and person in entry.data["people"] and readings(state, entry).claims
        for team in under.teams
        for entry in about(state, team)
    )
    out = sorted({c.data["dive"] or "all" for c in decided(state, "sits_out") if c.entry.subject == person})
    return {
        "role": role,
        "dives": dives,
        "state": "marker_seen" if marker is not None else where.state,
        "accounted_for": where.accounted_for,
        "since": where.since,
        "team": None if under is None else under.teams[0],
        "dive": None if under is None else under.dive,
        "due_at": None if due is None else due.due_at,
        "overdue_at": None if due is None else due.overdue_at,
        "alone_clock": due is not None and due.alone,
        "last_seen_at": None if due is None or due.together is None else due.together.at,
        "separated": separated,
        "held": known.held[person],
        "held_why": sorted({hold.why for hold in known.holds.get(person, ())}),
        "on_oxygen": _on_oxygen(state, person),
        "fit_said": fit_said(state, person),
        "ask_symptoms_at": _ask_symptoms_at(state, person, attempts),
        "sits_out": out,
        "boats": sorted(known.afloat.now.get(person, ())),
        "surfaced_at": None if last is None else list(last),
        "interval_s": None if last is None or under is not None else max(0, (now - last[1]) // 1000),
        "dives_done": [_attempt(attempt) for attempt in attempts],
    }


def _on_oxygen(state: State, person: str) -> bool:
    said = [*decided(state, "oxygen_started"), *decided(state, "oxygen_stopped")]
    own = [claim for claim in said if claim.entry.subject == person]
    last = max(own, key=lambda claim: told(claim.at, claim.entry), default=None)
    return last is not None and last.entry.kind == "oxygen_started"


def _ask_symptoms_at(state: State, person: str, attempts: list[Attempt]) -> int | None:
    """When (ms) to ask next how they feel: 10 minutes and an hour after the last surfacing, our own choice."""
    ended = [attempt for attempt in attempts if attempt.surfaced is not None]
    if not ended or len(ended) < len(attempts):
        return None
    last = max(ended, key=lambda attempt: (attempt.surfaced or attempt.down, attempt.dive))
    asked = {
        claim.data["after_min"]
        for claim in decided(state, "symptoms_asked")
        if claim.entry.subject == person
        and claim.data["dive"] == last.dive
        and claim.data["said"] != "no_answer"
    }
    # Asked at the hour, the ten minutes are past.
    waiting = [
        minutes for minutes in (10, 60) if minutes not in asked and not (minutes == 10 and 60 in asked)
    ]
    return (last.surfaced or last.down)[0] + waiting[0] * 60_000 if waiting else None


def _overdue(known: Facts, now: int) -> dict[str, int]:
    late = {person: due.overdue_at for person, due in known.due.items()}
    return {person: since for person, since in late.items() if since is not None and now >= since}


def _roll_call(call: RollCall) -> dict[str, Any]:
    return {
        "complete": call.complete,
        "since": call.since,
        "named": list(call.named),
        "missing": list(call.missing),
        "counts": [_count(count) for count in call.counts],
        "needed": call.needed,
        "alone": call.alone,
        "stage": call.compared.stage,
        "compared": list(call.compared.counts),
        "differ": list(call.compared.differ),
    }


def _count(count: Count) -> dict[str, Any]:
    return {
        "count": count.count,
        "by": list(count.by),
        "active": count.active,
        "seen": list(count.seen),
        "missing": list(count.missing),
        "methods": list(count.methods),
        "finished_at": count.finished_at,
        "counter": count.counter,
        "heads": count.heads,
        "agrees": count.agrees,
    }


def _dive(state: State, dive: str) -> dict[str, Any]:
    cover = [c for c in decided(state, "surface_cover_confirmed") if c.entry.subject == dive]
    heard = [c for c in decided(state, "briefed") if c.entry.subject == dive]
    plan = dive_plan(state, dive)
    return {
        "called_off": plan is not None and plan.called_off,
        "briefed": sorted({person for claim in heard for person in claim.data["people"]}),
        "cover": None if not cover else {name: cover[-1].data.get(name) for name in _COVER},
    }


_COVER = ("boat_handler", "lookout", "oxygen", "standby", "flag_up", "engine_off")


def _attempt(attempt: Attempt) -> dict[str, Any]:
    spans = {name: getattr(attempt, name) for name in ("down", "left_bottom", "surfaced", "bottom_time_s")}
    return {
        "dive": attempt.dive,
        "team": attempt.teams[0],
        **{name: None if span is None else list(span) for name, span in spans.items()},
        "depth": None if attempt.depth is None else dict(attempt.depth),
        "entries": list(attempt.entries),
    }
