"""What to know of a diver who is late, separated or out of sight. Nothing here is a reason to wait."""

from typing import Any

from teamdive.boatlog.claims import Claim, decided, readings
from teamdive.boatlog.dives import Attempt
from teamdive.boatlog.due import Due
from teamdive.boatlog.facts import Facts, open_attempt
from teamdive.boatlog.fold import State, about
from teamdive.boatlog.order import told
from teamdive.boatlog.plan import dive_plan
from teamdive.boatlog.sums import drift, gas_ends_at, pressure_mbar, visible_for_s

_SEEN = frozenset({"down", "surfaced", "surfaced_alone", "marker_seen", "lost_from_sight", "seen_at_surface"})
_LISTS = {"down": "members", "surfaced": "people"}
_PRESSURES = ("gas_checked", "pressure_reported", "team_check_done")


def lost_card(state: State, known: Facts, person: str, now: int) -> dict[str, Any]:
    """The facts about one person for whoever searches: instants in ms, null for what nobody entered.

    `unsure_ms`: how wide clocks and corrections leave the instant beside it. `last_seen_told` false: nobody said when,
    and it was before the instant at which a team-mate came up or the team was said to be apart.
    """
    attempts = known.attempts.get(person, [])
    # Whoever is no longer down is looked for from the dive they last made.
    attempt = open_attempt(attempts, known.where[person]) or (attempts[-1] if attempts else None)
    due = known.due.get(person)
    seen, unsure_ms, told_when = _last_seen(state, person, attempt, due)
    marker = None if attempt is None else _last_claim(state, attempt.person, attempt, marker=True)
    place = _last_place(state, person, attempt)
    conditions = conditions_at(state)
    current = None if conditions is None else conditions["current_tenths_kn"]
    plan = None if attempt is None else dive_plan(state, attempt.dive, attempt.down[0])
    drifting = None if place is None or current is None else drift(current, max(0, now - place["at"]) // 1000)
    toward = None if conditions is None else conditions["current_toward_deg"]
    where = known.where[person]
    return {
        "person": person,
        "state": where.state,
        "with": [] if attempt is None else list(attempt.mates),
        "dive": None if attempt is None else attempt.dive,
        "down": None if attempt is None else list(attempt.down),
        "due_at": None if due is None else due.due_at,
        "overdue_at": None if due is None else due.overdue_at,
        "last_seen_at": seen,
        "last_seen_unsure_ms": unsure_ms,
        "last_seen_told": told_when,
        "place": place,
        "boat_place": _place(_newest_fix(state)),
        "marker_seen_at": None if marker is None else marker.at,
        "marker_seen_unsure_ms": 0 if marker is None else _unsure_ms(marker),
        "depth": None if attempt is None or attempt.depth is None else dict(attempt.depth),
        "planned_depth": None if plan is None else dict(plan.depth),
        "conditions": conditions,
        "drift": None if drifting is None else {"toward_deg": toward, **drifting},
        "visible_for_s": None if current is None else visible_for_s(current),
        "gas": _gas(state, person, attempt, attempts),
    }


def conditions_at(state: State) -> dict[str, Any] | None:
    """The conditions as last found, each quantity as last measured; None: nobody entered any."""
    found = sorted(decided(state, "conditions_found"), key=lambda claim: told(claim.at, claim.entry))
    if not found:
        return None
    merged: dict[str, Any] = dict.fromkeys(_CONDITIONS)
    for claim in found:
        merged.update({name: claim.data[name] for name in _CONDITIONS if claim.data.get(name) is not None})
    return {"at": found[-1].at, **merged}


_CONDITIONS = (
    "current_tenths_kn",
    "current_toward_deg",
    "wind_kn",
    "wind_from_deg",
    "wave_cm",
    "visibility_cm",
    "water_tenths_c",
)


def _claims_about(state: State, person: str, attempt: Attempt | None) -> list[Claim]:
    """What was entered about the person, or about their team on this dive, that may have happened since it began."""
    entries = list(about(state, person))
    for team in () if attempt is None else attempt.teams:
        entries.extend(entry for entry in about(state, team) if entry.kind == "marker_seen")
    return [
        claim
        for entry in entries
        if entry.kind in _SEEN
        for claim in readings(state, entry).claims
        if _is_of(claim, person, attempt) and (attempt is None or claim.latest >= attempt.down[0])
    ]


def _is_of(claim: Claim, person: str, attempt: Attempt | None) -> bool:
    """Whether a reading is of this person: another name in the entry at first must not place a search."""
    if claim.entry.kind == "marker_seen":
        return attempt is not None and claim.subject in attempt.teams
    listed = _LISTS.get(claim.entry.kind)
    return claim.subject == person if listed is None else person in claim.data[listed]


def _last_seen(
    state: State, person: str, attempt: Attempt | None, due: Due | None
) -> tuple[int | None, int, bool]:
    """When the person was last seen (ms; None: not known), how far that is unsure (ms), whether somebody told it."""
    if due is not None and due.together is not None:
        return due.together.at, due.together.unsure_ms, not due.together.guessed
    last = _last_claim(state, person, attempt, marker=False)
    return (None, 0, True) if last is None else (last.at, _unsure_ms(last), True)


def _last_claim(state: State, person: str, attempt: Attempt | None, *, marker: bool) -> Claim | None:
    claims = [c for c in _claims_about(state, person, attempt) if (c.entry.kind == "marker_seen") is marker]
    return max(claims, key=lambda claim: told(claim.at, claim.entry), default=None)


def _unsure_ms(claim: Claim) -> int:
    return claim.latest - claim.earliest


def _last_place(state: State, person: str, attempt: Attempt | None) -> dict[str, Any] | None:
    fixes = [c for c in _claims_about(state, person, attempt) if c.data.get("fix") is not None]
    return _place(max(fixes, key=lambda claim: told(claim.at, claim.entry), default=None))


def _newest_fix(state: State) -> Claim | None:
    fixes = [
        claim
        for kind in (*sorted(_SEEN), "overdue_reached", "conditions_found", "distress_call_made")
        for entry in state.by_kind.get(kind, ())
        for claim in readings(state, entry).claims
        if claim.data.get("fix") is not None
    ]
    return max(fixes, key=lambda claim: told(claim.at, claim.entry), default=None)


def _place(claim: Claim | None) -> dict[str, Any] | None:
    if claim is None:
        return None
    fix = claim.data["fix"]
    return {
        "lat_e6": fix["lat_e6"],
        "lon_e6": fix["lon_e6"],
        "accuracy_m": fix["accuracy_m"],
        # Where the phone was when it last knew: before the tap by the age of the fix.
        "at": claim.at - fix.get("age_s", 0) * 1000,
        "unsure_ms": _unsure_ms(claim),
        "from": claim.entry.kind,
        "entry": claim.entry.id,
    }


def _gas(
    state: State, person: str, attempt: Attempt | None, attempts: list[Attempt]
) -> dict[str, Any] | None:
    """The last pressure known, and until when at the very longest it can have been breathed; null: not known."""
    if attempt is None:
        return None
    # What was read before the diver last came up is of another cylinder, or of another filling.
    ends = [each.surfaced[1] for each in attempts if each.surfaced is not None and each.down < attempt.down]
    since = max(ends, default=0)
    read: list[tuple[Claim, dict[str, Any]]] = []
    for kind in _PRESSURES:
        for claim in decided(state, kind):
            if claim.at < since:
                continue
            if kind != "team_check_done":
                if claim.entry.subject == person:
                    read.append((claim, dict(claim.data["pressure"])))
            else:
                read.extend(
                    (claim, dict(each["pressure"]))
                    for each in claim.data["pressures"]
                    if each["person"] == person
                )
    if not read:
        return None
    claim, pressure = max(read, key=lambda item: told(item[0].at, item[0].entry))
    diver = next(
        (
            each
            for dive in state.snapshot.dives
            for team in dive.teams
            for each in team.divers
            if dive.id == attempt.dive and each.id == person
        ),
        None,
    )
    # A pressure read before the dive counts from the latest descent that is claimed.
    start = max(claim.latest, attempt.down[1])
    end = None
    if diver is not None and diver.cylinder_dl is not None and diver.rmv_low_dl_min is not None:
        end = gas_ends_at(start, diver.cylinder_dl, pressure_mbar(pressure), diver.rmv_low_dl_min)
    return {
        "pressure": pressure,
        "at": claim.at,
        "unsure_ms": _unsure_ms(claim),
        "cannot_breathe_after": end,
    }
