"""The plan as it stands: the snapshot's dives and teams, changed by what was entered since."""

from dataclasses import dataclass

from teamdive.boatlog.claims import decided, standing
from teamdive.boatlog.corrections import OF_A_PERSON
from teamdive.boatlog.fold import PEOPLE_LISTS, State, roots
from teamdive.boatlog.snapshot import PlannedDive, PlannedTeam, Quantity
from teamdive.physics.units import Depth, shallower_in


@dataclass(frozen=True)
class Team:
    """Who dives together on which dive. `planned` None: made up on board, so its limits are not known."""

    id: str
    dive: str
    members: tuple[str, ...]
    lead: str | None
    planned: PlannedTeam | None


@dataclass(frozen=True)
class DivePlan:
    """Depth and times of a dive as announced; seconds."""

    dive: str
    number: int
    depth: Quantity
    bottom_time_s: int
    run_time_s: int
    called_off: bool


_NAMING = (
    "aboard",
    "back_aboard",
    "person_went_in",
    "transferred",
    "surfaced_alone",
    "seen_at_surface",
    "lost_from_sight",
)


def people(state: State) -> dict[str, tuple[str, bool]]:
    """Everyone to bring home, by id: (role, dives). Whoever an entry names counts, on the list or not."""
    found = {person.id: (person.role, person.dives) for person in state.snapshot.people}
    for entry in state.by_kind.get("joined", ()):
        found.setdefault(entry.subject, (entry.data["role"], entry.data["dives"]))
    for kind, name in (("down", "members"), ("surfaced", "people"), ("roll_call_taken", "seen")):
        for entry in state.by_kind.get(kind, ()):
            for person in entry.data[name]:
                found.setdefault(person, ("not_on_list", kind == "down"))
    for kind in _NAMING:
        for entry in state.by_kind.get(kind, ()):
            found.setdefault(entry.subject, ("not_on_list", kind == "surfaced_alone"))
    for correction in state.by_kind.get("correction", ()):
        for name in PEOPLE_LISTS:
            listed = correction.data.get("data", {}).get(name)
            for person in listed if isinstance(listed, list) else ():
                if isinstance(person, str):
                    found.setdefault(person, ("not_on_list", name == "members"))
        another = correction.data.get("subject")
        if another is not None and any(entry.kind in OF_A_PERSON for entry in roots(state, correction)):
            found.setdefault(another, ("not_on_list", False))
    return dict(sorted(found.items()))


def teams(state: State) -> dict[str, Team]:
    """Every team that was announced, changed or went down, as it stands now."""
    found: dict[str, Team] = {}
    for dive in state.snapshot.dives:
        for team in dive.teams:
            found[team.id] = Team(team.id, dive.id, team.members, team.lead, team)
    for claim in decided(state, "team_changed"):
        entry = claim.entry
        known = found.get(entry.subject)
        members = tuple(claim.data["members"])
        same = known is not None and known.planned is not None and set(members) == set(known.planned.members)
        planned = known.planned if known is not None and same else None
        found[entry.subject] = Team(entry.subject, claim.data["dive"], members, claim.data["lead"], planned)
    for entry in state.by_kind.get("down", ()):
        if entry.subject not in found:
            members = tuple(entry.data["members"])
            found[entry.subject] = Team(entry.subject, entry.data["dive"], members, None, None)
    return dict(sorted(found.items()))


def dive_plan(state: State, dive: str, before_ms: int | None = None) -> DivePlan | None:
    """The plan of a dive, or of what was announced up to `before_ms`: a change cannot reach those already down."""
    planned: PlannedDive | None = next((each for each in state.snapshot.dives if each.id == dive), None)
    number, depth, bottom, run = (
        (0, None, 0, 0)
        if planned is None
        else (planned.number, planned.depth, planned.bottom_time_s, planned.run_time_s)
    )
    called_off = False
    for entry in state.about.get(dive, ()):
        claim = standing(state, entry)
        if claim is None or entry.subject != dive or (before_ms is not None and claim.at > before_ms):
            continue
        if entry.kind == "plan_changed":
            depth, bottom, run = claim.data["depth"], claim.data["bottom_time_s"], claim.data["run_time_s"]
            called_off = False
        elif entry.kind == "dive_called_off":
            called_off = True
    return None if depth is None else DivePlan(dive, number, depth, bottom, run, called_off)


def next_dive_of(state: State, person: str, done: set[str]) -> tuple[DivePlan, Team] | None:
    """The next planned dive that this person is to take part in and has not begun, with their team; None: none."""
    order = {dive.id: dive.number for dive in state.snapshot.dives}
    last = max((order.get(dive, 0) for dive in done), default=0)
    out = {claim.data["dive"] for claim in decided(state, "sits_out") if claim.entry.subject == person}
    for dive in sorted(state.snapshot.dives, key=lambda each: (each.number, each.id)):
        if dive.number <= last or dive.id in done or dive.id in out or None in out:
            continue
        plan = dive_plan(state, dive.id)
        team = team_on(state, person, dive.id)
        if plan is not None and not plan.called_off and team is not None:
            return plan, team
    return None


def team_on(state: State, person: str, dive: str) -> Team | None:
    """The team that this person is in on a dive, as it stands now."""
    return next(
        (each for each in teams(state).values() if each.dive == dive and person in each.members), None
    )


def planned_bottom_time_s(state: State, plan: DivePlan, team: Team | None) -> int:
    """The bottom time a team plans: the dive's, or the limit it was announced with where that is shorter.

    A limit was worked out for the plan of the snapshot. A new plan no shallower than that can only have a shorter
    one, so it stays; of a shallower one, or of another team, it says nothing.
    """
    announced = next((dive for dive in state.snapshot.dives if dive.id == plan.dive), None)
    limit_s = None if team is None or team.planned is None else team.planned.limit_s
    if announced is None or not limit_s:
        return plan.bottom_time_s
    shallower = _exact(plan.depth) < _exact(announced.depth)
    return plan.bottom_time_s if shallower else min(plan.bottom_time_s, limit_s)


def depth_cm(depth: Quantity) -> int:
    """Whole centimetres of a depth, rounded down; exact where it was typed in metres."""
    return shallower_in(Depth(depth["hundredths"], depth["unit"]), "m").hundredths


def deeper(left: Quantity | None, right: Quantity | None) -> Quantity | None:
    """The deeper of two depths, compared exactly as typed; None is not known."""
    if left is None or right is None:
        return right if left is None else left
    return right if _exact(right) > _exact(left) else left


def _exact(depth: Quantity) -> int:
    return Depth(depth["hundredths"], depth["unit"]).msw_e7
