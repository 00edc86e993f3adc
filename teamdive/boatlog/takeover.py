"""Another phone takes the deck over because the one that kept it gives nothing any more.

Nobody is aboard until named again. Whoever does not stand here and has a team is taken to be in the water, since an
interval: what somebody on deck remembers, else since they were last met. Due times and bottom times count from its
earliest end.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from teamdive.boatlog import deckwatch
from teamdive.boatlog.facts import Facts, facts
from teamdive.boatlog.fold import State
from teamdive.boatlog.plan import Team, next_dive_of

# "About ten to eleven" from memory, in sight of a watch: our own choice.
ABOUT_MS = 3 * 60 * 1000


@dataclass(frozen=True)
class Heard:
    """What somebody on deck says of a team's descent: about when (ms), or that it was after another team's."""

    about: int | None = None
    after: str | None = None


@dataclass(frozen=True)
class Missing:
    """Somebody to call by name: where this phone last knew them, since when (ms), and their team there or next."""

    person: str
    state: str
    since: int | None
    team: str | None


@dataclass(frozen=True)
class Gone:
    """A team taken to be in the water since `earliest`..`latest` (ms). `known`: an entry on this phone says so."""

    team: str
    dive: str
    members: tuple[str, ...]
    earliest: int
    latest: int
    known: bool


@dataclass(frozen=True)
class Draft:
    """An entry to be written, in this order, by this phone."""

    kind: str
    subject: str
    at: int
    data: Mapping[str, Any]


def to_call(state: State, boat: str | None = None, known: Facts | None = None) -> tuple[Missing, ...]:
    """Everyone to be called by name, by id: after a phone was lost nobody is aboard until met again.

    `boat`: whose phone it was, where several go; whoever cannot be on it stays what they were.
    """
    known = facts(state) if known is None else known
    return tuple(
        Missing(person, where.state, where.since, _team_of(state, known, person)[0])
        for person, where in known.where.items()
        if _is_on(known, person, boat)
    )


def gone(
    state: State,
    here: Collection[str],
    heard: Mapping[str, Heard],
    lost_at: int,
    boat: str | None = None,
    known: Facts | None = None,
) -> tuple[Gone, ...]:
    """The teams in the water when the phone was lost at `lost_at` (ms), by id; `here`: who stands here.

    `boat` as for `to_call`. What is heard of a team named after itself, or after one that is not in the water, tells
    nothing.
    """
    known = facts(state) if known is None else known
    found: dict[str, Gone] = {}
    absent: dict[tuple[str, str], list[str]] = {}
    for person in known.people:
        open_ones = [attempt for attempt in known.attempts[person] if attempt.is_open]
        team, dive = _team_of(state, known, person)
        if person in here or team is None or dive is None or not _is_on(known, person, boat):
            continue
        if open_ones:
            low, high = open_ones[0].down
            there = found.get(team)
            members = (*(there.members if there is not None else ()), person)
            if there is not None:
                low, high = min(low, there.earliest), max(high, there.latest)
            found[team] = Gone(team, dive, members, low, high, True)
        else:
            absent.setdefault((team, dive), []).append(person)
    spans = {team: (each.earliest, each.latest) for team, each in found.items()}
    open_teams = {team: members for (team, _), members in absent.items() if team not in found}
    for (team, dive), others in sorted(absent.items()):
        if team in found:
            # One of the team is known to be down: so is who went with them.
            there = found[team]
            found[team] = Gone(
                team, dive, tuple(sorted({*there.members, *others})), there.earliest, there.latest, False
            )
            continue
        low, high = _span(state, known, team, open_teams, heard, lost_at, spans, frozenset())
        found[team] = Gone(team, dive, tuple(others), low, high, False)
    return tuple(found[team] for team in sorted(found))


def drafts(
    state: State,
    taker: str,
    here: Collection[str],
    lost: Collection[Gone],
    now: int,
    count: str,
    boat: str | None = None,
) -> tuple[Draft, ...]:
    """What taking over writes at `now` (ms): phone lost, deck accepted, a roll call of who is here, who is down."""
    of = {} if boat is None else {"boat": boat}
    found = [
        Draft("phone_lost", state.snapshot.trip, now, of),
        Draft("deck_accepted", taker, now, {**deckwatch.accepting(state, boat), **of}),
        Draft(
            "roll_call_taken",
            state.snapshot.trip,
            now,
            {"count": count, "seen": sorted({*here, taker}), "method": "answered", **of},
        ),
    ]
    for each in sorted((each for each in lost if not each.known), key=lambda g: (g.earliest, g.team)):
        middle = (each.earliest + each.latest) // 2
        said = {"dive": each.dive, "members": list(each.members), "source": "told"}
        data = {**said, "earliest": each.earliest, "latest": each.latest}
        found.append(Draft("down", each.team, middle, data))
    return tuple(found)


def _is_on(known: Facts, person: str, boat: str | None) -> bool:
    return boat is None or boat in known.afloat.now.get(person, (boat,))


def _team_of(state: State, known: Facts, person: str) -> tuple[str | None, str | None]:
    """The team and dive a person is under water with, or is to dive with next; Nones: neither."""
    for attempt in known.attempts[person]:
        if attempt.is_open:
            return attempt.teams[0], attempt.dive
    coming = next_dive_of(state, person, {attempt.dive for attempt in known.attempts[person]})
    if coming is None:
        return None, None
    team: Team = coming[1]
    return team.id, team.dive


def _span(
    state: State,
    known: Facts,
    team: str,
    absent: Mapping[str, Collection[str]],
    heard: Mapping[str, Heard],
    lost_at: int,
    spans: Mapping[str, tuple[int, int]],
    asked: frozenset[str],
) -> tuple[int, int]:
    said = heard.get(team, Heard())
    if said.about is not None:
        high = min(said.about + ABOUT_MS, lost_at)
        return min(said.about - ABOUT_MS, high), high
    if said.after is not None and said.after not in asked | {team}:
        if said.after in spans:
            return min(spans[said.after][1], lost_at), lost_at
        # Of a team of which nobody knows when it went, what came after it tells nothing.
        if said.after in absent and heard.get(said.after, Heard()) != Heard():
            _, high = _span(state, known, said.after, absent, heard, lost_at, spans, asked | {team})
            return high, lost_at
    met = [
        where.since if where.accounted_for and where.since is not None else state.snapshot.starts_at
        for where in (known.where[person] for person in absent[team])
    ]
    return min([*met, lost_at]), lost_at
