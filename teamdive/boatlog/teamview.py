"""One team as the deck shows it."""

from typing import Any

from teamdive.boatlog.alarm import due_soon_ms, quiet_until, quieted
from teamdive.boatlog.claims import decided, readings
from teamdive.boatlog.facts import Facts, open_attempt
from teamdive.boatlog.fold import State
from teamdive.boatlog.plan import dive_plan


def team_view(state: State, known: Facts, team: str, now: int) -> dict[str, Any]:
    """One team as the deck shows it at `now` (ms since 1970)."""
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
        quiet_until(state, claim)
        for claim in decided(state, "overdue_quieted")
        if claim.entry.subject == team
    ]
    since = None if down is None else down[0]
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
        "marker_seen_at": None if down is None else marker_seen_at(state, (team,), down[0]),
        "quiet_until": quiet[-1] if quiet else None,
        "quieted": quieted(state, team),
        "due_soon": status == "down" and due_at is not None and now >= due_at - due_soon_ms(state),
        "recalled_at": _last_at(state, "recall_given", team, since),
        "recall_acknowledged_at": _last_at(state, "recall_acknowledged", team, since),
        "turned_at": _last_at(state, "turned", team, since),
        "checked": any(claim.entry.subject == team for claim in decided(state, "team_check_done")),
    }


def marker_seen_at(state: State, teams: tuple[str, ...], since: int) -> int | None:
    """When the marker of a team was last seen after it went down (ms)."""
    seen = [
        claim.at
        for entry in state.by_kind.get("marker_seen", ())
        for claim in readings(state, entry).claims
        if claim.subject in teams and claim.latest >= since
    ]
    return max(seen, default=None)


def _last_at(state: State, kind: str, team: str, since: int | None) -> int | None:
    """When (ms) something was last entered of the team since it went down; None: not since then."""
    found = [
        claim.at
        for entry in (() if since is None else state.by_kind.get(kind, ()))
        if entry.subject == team or team in entry.data.get("teams", ())
        for claim in readings(state, entry).claims
        if claim.latest >= (since or 0)
    ]
    return max(found, default=None)
