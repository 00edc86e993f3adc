"""The dives of each person, as the entries claim them: between which instants, how deep.

People are the unit and teams a view: each diver keeps their own descent, surfacing and depth.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from teamdive.boatlog.claims import DISPUTE_MS, Claim, Question, Readings, readings, together
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import State, about
from teamdive.boatlog.order import Key, key, told
from teamdive.boatlog.plan import Team, deeper
from teamdive.boatlog.snapshot import Quantity

Span = tuple[int, int]
Event = tuple[tuple[int, Key], str, Claim]
MET = frozenset({"back_aboard", "aboard", "ashore", "roll_call_taken"})


@dataclass(frozen=True)
class Attempt:
    """One person's time under water on one dive.

    `ups` are sightings at the surface, `late_ups` those that one person doubts: they may lengthen
    the dive, never end it. `met`: the person was met on board though no surfacing was entered.
    """

    person: str
    dive: str
    teams: tuple[str, ...]
    mates: tuple[str, ...]
    downs: tuple[Claim, ...]
    ups: tuple[Claim, ...] = ()
    late_ups: tuple[Claim, ...] = ()
    left: tuple[Claim, ...] = ()
    met: Claim | None = None
    depth: Quantity | None = None

    @property
    def is_open(self) -> bool:
        """Whether nobody has seen this diver since."""
        return not self.ups and self.met is None

    @property
    def down(self) -> Span:
        """Earliest and latest instant of leaving the surface."""
        return hull(self.downs)

    @property
    def surfaced(self) -> Span | None:
        """Earliest and latest instant of surfacing; None while not seen."""
        if self.ups:
            low, high = hull(self.ups)
            return low, max([high, *(claim.latest for claim in self.late_ups)])
        if self.met is not None:
            return min(self.down[1], self.met.latest), max(
                [self.met.latest, *(up.latest for up in self.late_ups)]
            )
        return None

    @property
    def left_bottom(self) -> Span | None:
        """Earliest and latest instant of starting the final ascent; None: not reported."""
        return hull(self.left) if self.left else None

    @property
    def bottom_time_s(self) -> Span | None:
        """Least and most seconds of bottom time: to the surface, unless leaving the bottom was reported."""
        end = self.surfaced
        if end is None:
            return None
        if self.left_bottom is not None:
            end = min(self.left_bottom[0], end[0]), min(self.left_bottom[1], end[1])
        least = max(0, (end[0] - self.down[1]) // 1000)
        return least, max(0, -((self.down[0] - end[1]) // 1000))

    @property
    def entries(self) -> tuple[str, ...]:
        """Ids of the entries that this is made from."""
        claims = [*self.downs, *self.ups, *self.late_ups, *self.left, *([self.met] if self.met else [])]
        return tuple(sorted({claim.entry.id for claim in claims}))


def hull(claims: Iterable[Claim]) -> Span:
    """From the earliest to the latest instant that any of the claims allows."""
    spans = [(claim.earliest, claim.latest) for claim in claims]
    return min(low for low, _ in spans), max(high for _, high in spans)


def attempts_of(
    state: State, person: str, teams: dict[str, Team]
) -> tuple[list[Attempt], list[Claim], list[Question]]:
    """All dives of one person in order, the surfacings that belong to none, and the questions."""
    lines: dict[str, dict[Key, list[tuple[str, Claim]]]] = {}
    met: list[Event] = []
    own_teams: set[str] = set()
    for entry in about(state, person):
        if entry.kind == "down":
            own_teams.update({entry.subject, *(claim.subject for claim in readings(state, entry).claims)})
        for word, claim in _events(state, entry, person):
            if word == "met":
                met.append((told(claim.at, entry), word, claim))
            else:
                line = lines.setdefault(_dive_of(claim, teams), {})
                line.setdefault(key(entry), []).append((word, claim))
    found: list[Attempt] = []
    orphans: list[Claim] = []
    for dive in sorted(lines):
        made, lost = _split(person, dive, _in_order(list(lines[dive].values()), met))
        found.extend(made)
        orphans.extend(lost)
    left = {
        key(entry): read
        for team in own_teams
        for entry in about(state, team)
        if entry.kind == "left_bottom" and not (read := readings(state, entry)).doubted
    }
    found = [_with_left(attempt, [left[place].claims for place in sorted(left)]) for attempt in found]
    found.sort(key=lambda attempt: (attempt.down, attempt.dive))
    return found, orphans, _asked(person, found, orphans)


def _events(state: State, entry: Entry, person: str) -> list[tuple[str, Claim]]:
    """What an entry says of a person: down, up, late_up (one person doubts it) or met."""
    if entry.kind not in MET and entry.kind not in ("down", "surfaced", "surfaced_alone"):
        return []
    read = readings(state, entry)
    if entry.kind == "down":
        # One person's word is enough to say that a team did not go: they are then unknown until met.
        return [] if read.doubted else [("down", c) for c in read.claims if person in c.data["members"]]
    if entry.kind in ("surfaced", "surfaced_alone"):
        alone = entry.kind == "surfaced_alone"
        named = [
            claim
            for claim in read.claims
            if (claim.subject == person if alone else person in claim.data["people"])
        ]
        sure = not read.doubted and len(named) == len(read.claims)
        return [("up" if sure else "late_up", claim) for claim in named]
    if entry.kind == "roll_call_taken" and entry.data["method"] == "seen":
        return []
    return [("met", together(read))] if met_in_all(read, person) else []


def met_in_all(read: Readings, person: str) -> bool:
    """Whether every reading of an entry says that this person was met: one correction accounts for nobody."""
    return (
        bool(read.claims)
        and not read.doubted
        and all(
            person in claim.data["seen"] if claim.entry.kind == "roll_call_taken" else claim.subject == person
            for claim in read.claims
        )
    )


def _dive_of(claim: Claim, teams: dict[str, Team]) -> str:
    dive = claim.data.get("dive")
    team = teams.get(claim.data.get("team", claim.subject))
    return dive if isinstance(dive, str) else team.dive if team is not None else ""


def _in_order(line: list[list[tuple[str, Claim]]], met: list[Event]) -> list[Event]:
    """The claims of one dive in order of time, the readings of each entry beside each other.

    A descent stands at its earliest reading and a surfacing at its latest: one hand that moves both ends must not cut a
    dive in two. After an earlier descent an entry stands where it was first entered, or where the diver is longer down
    if another end lies between its readings: one hand must not end a dive that may have begun since.
    """
    spans = [(said[0][0] == "down", [claim.at for _, claim in said]) for said in line]
    ends = [*spans, *((False, [at[0]]) for at, _, _ in met)]
    begun = [times[0] for is_down, times in spans if is_down]
    events = list(met)
    for said, (is_down, times) in zip(line, spans, strict=True):
        first, last = min(times), max(times)
        between = any(
            other is not is_down and first < min(others) and max(others) < last for other, others in ends
        )
        if between and any(down < (times[0] if is_down else first) for down in begun):
            at = last if is_down else first
        elif any(down < times[0] for down in begun):
            at = times[0]
        else:
            at = first if is_down else last
        events.extend((told(at, claim.entry), word, claim) for word, claim in said)
    return sorted(events, key=lambda event: event[:2])


def _split(person: str, dive: str, events: list[Event]) -> tuple[list[Attempt], list[Claim]]:
    """Cuts the claims about one person and one dive, in order of time, into separate times under water."""
    made: list[Attempt] = []
    orphans: list[Claim] = []
    for _, word, claim in events:
        now = made[-1] if made else None
        if word == "down":
            members = tuple(sorted(set(claim.data["members"]) - {person}))
            if now is None or not now.is_open:
                made.append(Attempt(person, dive, (claim.subject,), members, (claim,)))
            else:
                made[-1] = replace(
                    now,
                    downs=(*now.downs, claim),
                    teams=tuple(sorted({*now.teams, claim.subject})),
                    mates=tuple(sorted({*now.mates, *members})),
                )
        elif word == "met":
            if now is not None and now.is_open:
                made[-1] = replace(now, met=claim)
        elif now is None:
            orphans.append(claim)
        elif word == "up":
            made[-1] = replace(now, ups=(*now.ups, claim))
        else:
            made[-1] = replace(now, late_ups=(*now.late_ups, claim))
    return made, orphans


def _with_left(attempt: Attempt, left: list[tuple[Claim, ...]]) -> Attempt:
    """Leaving the bottom shortens this dive only where all that is said of it is of this diver and dive."""
    own = [claim for claims in left if all(_left_on(attempt, claim) for claim in claims) for claim in claims]
    return replace(attempt, left=tuple(own)) if own else attempt


def _left_on(attempt: Attempt, claim: Claim) -> bool:
    return (
        claim.subject in attempt.teams
        and attempt.person in claim.data.get("people", [attempt.person])
        and claim.latest >= attempt.down[0]
        and (attempt.surfaced is None or claim.earliest <= attempt.surfaced[1])
    )


def with_depths(state: State, attempts: dict[str, list[Attempt]]) -> dict[str, list[Attempt]]:
    """Gives every diver the deepest depth reported by anyone of the team on that dive."""
    reported: dict[tuple[str, str], Quantity | None] = {}
    for entry in state.by_kind.get("depth_reported", ()):
        for claim in readings(state, entry).claims:
            place = (claim.subject, claim.data["dive"])
            reported[place] = deeper(reported.get(place), claim.data["depth"])
    found: dict[str, list[Attempt]] = {}
    for person, dives in attempts.items():
        found[person] = []
        for attempt in dives:
            depth: Quantity | None = None
            for mate in (person, *attempt.mates):
                depth = deeper(depth, reported.get((mate, attempt.dive)))
            found[person].append(replace(attempt, depth=depth))
    return found


def _asked(person: str, attempts: list[Attempt], orphans: list[Claim]) -> list[Question]:
    found: list[Question] = []
    for claim in orphans:
        later = any(attempt.dive == claim.data.get("dive") for attempt in attempts)
        code = "up_before_down" if later else "up_without_down"
        found.append(Question(code, (claim.entry.id,), (person,), claim.entry.subject))
    for index, attempt in enumerate(attempts):
        subject = attempt.teams[0]
        named = attempt.entries
        if len(attempt.teams) > 1:
            found.append(Question("two_teams", named, (person,), attempt.dive))
        for code, claims in (
            ("down_times_differ", attempt.downs),
            ("up_times_differ", (*attempt.ups, *attempt.late_ups)),
        ):
            if _disputed(claims):
                disputed = tuple(sorted({claim.entry.id for claim in claims}))
                found.append(Question(code, disputed, (person,), subject))
        if not attempt.ups and attempt.met is not None:
            found.append(Question("up_not_recorded", named, (person,), subject))
        if index and attempts[index - 1].dive == attempt.dive:
            found.append(Question("down_again", (*attempts[index - 1].entries, *named), (person,), subject))
        before = attempts[index - 1].surfaced if index else None
        if index and (before is None or before[1] > attempt.down[0]):
            found.append(
                Question("dives_overlap", (*attempts[index - 1].entries, *named), (person,), subject)
            )
    return found


def _disputed(claims: tuple[Claim, ...]) -> bool:
    """Whether two claims, not one claim with its own span, say times a minute or more apart."""
    return len(claims) > 1 and max(c.at for c in claims) - min(c.at for c in claims) >= DISPUTE_MS
