"""What the deck shows: view(fold(snapshot, entries), now). Equal state and now give an equal view."""

from typing import Any

from teamdive.boatlog import deckwatch
from teamdive.boatlog.claims import decided, readings
from teamdive.boatlog.dives import Attempt
from teamdive.boatlog.facts import Facts, facts, last_surfaced, open_attempt
from teamdive.boatlog.fold import State, about
from teamdive.boatlog.order import told
from teamdive.boatlog.plan import dive_plan
from teamdive.boatlog.rollcall import overridden


def view(state: State, now: int, known: Facts | None = None) -> dict[str, Any]:
    """The deck at `now` (ms since 1970), as JSON. `known`: the facts of this state, if at hand."""
    known = facts(state) if known is None else known
    offer = deckwatch.handover(state)
    shown = {person: _person(state, known, person, now) for person in known.people}
    missing = [person for person, presence in known.where.items() if not presence.accounted_for]
    call = known.roll_call
    return {
        "at": now,
        "deck_holder": deckwatch.holder(state),
        "handover": None if offer is None else {"from": offer.giver, "to": offer.to, "entry": offer.entry},
        "people": shown,
        "teams": {team: _team(state, known, team, now) for team in known.teams},
        "roll_call": {
            "complete": call.complete,
            "since": call.since,
            "named": list(call.named),
            "missing": list(call.missing),
            "counts": [
                {"count": c.count, "by": list(c.by), "active": c.active, "seen": list(c.seen)}
                for c in call.counts
            ],
        },
        "departure": {
            "blocked": (bool(missing) or not call.complete) and not overridden(state, call.since),
            "not_accounted_for": missing,
            "roll_call_missing": list(call.missing),
            "overridden": overridden(state, call.since),
        },
        "emergency": _emergency(state),
        "not_ready": ["overdue_after_min"] if state.snapshot.settings.overdue_after_min is None else [],
        "questions": [
            {"code": q.code, "entries": list(q.entries), "people": list(q.people), "subject": q.subject}
            for q in known.questions
        ],
        "unknown_kinds": len(state.aside.get("unknown_kind", ())),
    }


def _person(state: State, known: Facts, person: str, now: int) -> dict[str, Any]:
    role, dives = known.people[person]
    where, attempts = known.where[person], known.attempts[person]
    under = open_attempt(attempts, where)
    due = known.due.get(person)
    last = last_surfaced(attempts)
    marker = None if under is None else _marker(state, under.teams, under.down[0])
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
        "last_seen_at": None if due is None else due.last_seen_at,
        "separated": separated,
        "held": known.held[person],
        "sits_out": out,
        "surfaced_at": None if last is None else list(last),
        "interval_s": None if last is None or under is not None else max(0, (now - last[1]) // 1000),
        "dives_done": [_attempt(attempt) for attempt in attempts],
    }


def _attempt(attempt: Attempt) -> dict[str, Any]:
    spans = {name: getattr(attempt, name) for name in ("down", "left_bottom", "surfaced", "bottom_time_s")}
    return {
        "dive": attempt.dive,
        "team": attempt.teams[0],
        **{name: None if span is None else list(span) for name, span in spans.items()},
        "depth": None if attempt.depth is None else dict(attempt.depth),
        "entries": list(attempt.entries),
    }


def _team(state: State, known: Facts, team: str, now: int) -> dict[str, Any]:
    standing = known.teams[team]
    own = {
        person: attempt
        for person, attempts in known.attempts.items()
        for attempt in attempts
        if team in attempt.teams and person in known.where
    }
    under = {person: open_attempt(known.attempts[person], known.where[person]) for person in own}
    in_water = sorted(
        person for person, attempt in under.items() if attempt is not None and team in attempt.teams
    )
    up = sorted(p for p in own if known.where[p].state == "up" and p not in in_water)
    dues = [known.due[p] for p in in_water]
    due_at = min((due.due_at for due in dues if due.due_at is not None), default=None)
    overdue_at = min((due.overdue_at for due in dues if due.overdue_at is not None), default=None)
    downs = [own[person].down for person in own]
    down = (min(low for low, _ in downs), max(high for _, high in downs)) if downs else None
    plan = dive_plan(state, standing.dive)
    if in_water:
        late = overdue_at is not None and now >= overdue_at
        status = "overdue" if late else "due" if due_at is not None and now >= due_at else "down"
    elif own:
        status = "up" if any(not known.where[person].accounted_for for person in own) else "aboard"
    elif not standing.members:
        status = "dissolved"
    else:
        status = "called_off" if plan is not None and plan.called_off else "ready"
    quiet = [
        claim.data["until"] for claim in decided(state, "overdue_quieted") if claim.entry.subject == team
    ]
    return {
        "dive": standing.dive,
        "members": sorted(own) if own else list(standing.members),
        "lead": standing.lead,
        "status": status,
        "in_water": in_water,
        "up": up,
        "down": None if down is None else list(down),
        "due_at": due_at,
        "overdue_at": overdue_at,
        "marker_seen_at": None if down is None else _marker(state, (team,), down[0]),
        "quiet_until": quiet[-1] if quiet else None,
        "checked": any(claim.entry.subject == team for claim in decided(state, "team_check_done")),
    }


def _marker(state: State, teams: tuple[str, ...], since: int) -> int | None:
    """When the marker of a team was last seen after it went down (ms)."""
    seen = [
        claim.at
        for entry in state.by_kind.get("marker_seen", ())
        if entry.subject in teams
        for claim in readings(state, entry).claims
        if claim.latest >= since
    ]
    return max(seen, default=None)


def _emergency(state: State) -> bool:
    signs = [*decided(state, "emergency_started"), *decided(state, "emergency_ended")]
    last = max(signs, key=lambda claim: told(claim.at, claim.entry), default=None)
    return last is not None and last.entry.kind == "emergency_started"
