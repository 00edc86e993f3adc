"""When a diver is due at the surface.

Due is the earliest descent plus the run time planned for the team: the dive's, or less where the team was
announced with a limit shorter than the dive's bottom time. One diver up alone starts the clock of the
one still down: last seen together, plus search, ascent and stop, plus a minute; where that is
earlier it replaces the planned time. Whole seconds, rounded to the earlier instant.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from teamdive.boatlog.claims import Claim, Question, readings
from teamdive.boatlog.dives import Attempt
from teamdive.boatlog.fold import State, about
from teamdive.boatlog.plan import DivePlan, depth_cm, dive_plan, planned_bottom_time_s, teams

# From the surface marker or the swim until the deck can know them: our own choice of a minute.
SEEN_AFTER_S = 60


@dataclass(frozen=True, order=True)
class Together:
    """The earliest instant (ms) at which a diver may have been last seen with the team.

    `guessed`: nobody told it, so it is the instant at which one came up or the team was said to be apart. `unsure_ms`:
    how wide the clock leaves it.
    """

    at: int
    guessed: bool
    unsure_ms: int


@dataclass(frozen=True)
class Due:
    """Instants in ms; None: not known. `alone`: the clock of a diver whose team came up or lost them."""

    due_at: int | None
    overdue_at: int | None
    alone: bool
    together: Together | None


def due_of(state: State, attempt: Attempt, others: Mapping[str, list[Attempt]]) -> tuple[Due, list[Question]]:
    """When the diver of an open attempt is due; `others` are all attempts by person."""
    # What was announced between the ends of the descent may or may not have reached them: the shorter time counts.
    plans = [dive_plan(state, attempt.dive, instant) for instant in sorted(set(attempt.down))]
    plan = plans[0]
    runs = [_run_time_s(state, each, attempt) for each in plans if each is not None]
    planned = attempt.down[0] + min(runs) * 1000 if runs else None
    seen, questions = _last_together(state, attempt, others)
    if planned is None:
        # A dive that nobody planned has no run time: without one nobody can be late, and that must be said.
        entries = tuple(sorted({claim.entry.id for claim in attempt.downs}))
        questions.append(Question("run_time_not_known", entries, (attempt.person,), attempt.dive))
    alone = None
    if seen is not None:
        depth = attempt.depth if attempt.depth is not None or plan is None else plan.depth
        settings = state.snapshot.settings
        up_s = 0 if depth is None else depth_cm(depth) * 60 // settings.ascent_cm_min
        alone = seen.at + (settings.search_min * 60 + up_s + settings.safety_stop_s + SEEN_AFTER_S) * 1000
    known = [instant for instant in (planned, alone) if instant is not None]
    due_at = min(known) if known else None
    after = state.snapshot.settings.overdue_after_min
    overdue_at = None if due_at is None or after is None else due_at + after * 60_000
    return Due(due_at, overdue_at, alone is not None and alone == due_at, seen), questions


def _run_time_s(state: State, plan: DivePlan, attempt: Attempt) -> int:
    """The dive's run time, shortened by what the team's limit takes off its bottom time; the shortest of several."""
    known = teams(state)
    bottoms = [planned_bottom_time_s(state, plan, known.get(team)) for team in attempt.teams]
    return plan.run_time_s - plan.bottom_time_s + min(bottoms, default=plan.bottom_time_s)


def _last_together(
    state: State, attempt: Attempt, others: Mapping[str, list[Attempt]]
) -> tuple[Together | None, list[Question]]:
    """When this diver may have been last seen with the team, at the earliest; None: no sign of parting."""
    still = [
        mate
        for mate in attempt.mates
        if any(_same(attempt, other) and other.is_open for other in others.get(mate, []))
    ]
    signs: list[Together] = []
    questions: list[Question] = []
    for mate in attempt.mates:
        for other in others.get(mate, []):
            if not _same(attempt, other):
                continue
            for up in other.ups or ((other.met,) if other.met is not None else ()):
                # Two of three may stay down together by plan; a head that came up unplanned counts for both.
                if still and up.entry.kind != "surfaced_alone":
                    continue
                signs.append(_parted(up))
                if signs[-1].guessed:
                    questions.append(
                        Question("last_seen_not_known", (up.entry.id,), (attempt.person,), up.entry.subject)
                    )
    for team in attempt.teams:
        for entry in about(state, team):
            if entry.kind != "separated" or entry.subject != team:
                continue
            for claim in readings(state, entry).claims:
                if claim.latest >= attempt.down[0]:
                    signs.append(_parted(claim))
    return min(signs, default=None), questions


def _parted(claim: Claim) -> Together:
    """What an entry says of when they were last together: it was no later than the entry itself."""
    said = claim.data.get("last_seen_at")
    at = claim.earliest if said is None else min(said + claim.shift, claim.earliest)
    return Together(at, said is None, claim.latest - claim.earliest)


def _same(attempt: Attempt, other: Attempt) -> bool:
    """Whether a team-mate's attempt is the same dive of the same team, and not over before this began."""
    if other.dive != attempt.dive or not set(other.teams) & set(attempt.teams):
        return False
    return other.is_open or other.surfaced is None or other.surfaced[1] >= attempt.down[0]
