"""What the entries of a state amount to, whatever the time is."""

from dataclasses import dataclass

from teamdive.boatlog import boats, deckwatch, rollcall
from teamdive.boatlog.boats import Afloat, afloat_of
from teamdive.boatlog.claims import Question, happened, readings
from teamdive.boatlog.dives import Attempt, Span, attempts_of, with_depths
from teamdive.boatlog.due import Due, due_of
from teamdive.boatlog.fold import State, acted_on
from teamdive.boatlog.holds import Hold, holds
from teamdive.boatlog.looked_at import looked_at
from teamdive.boatlog.plan import Team, people, teams
from teamdive.boatlog.presence import IN_WATER, Presence, Sign, named_only, presence, signs_of
from teamdive.boatlog.rollcall import Crowd, Departure, RollCall, departure, of_all, roll_call


@dataclass(frozen=True)
class Facts:
    """What the entries amount to, whatever the time is: worked out once for a state.

    `came`: the earliest instant (ms) at which somebody who was not on the list may have come along. `calls`: the roll
    call of each boat where several go; `roll_call`: that of all.
    """

    people: dict[str, tuple[str, bool]]
    teams: dict[str, Team]
    attempts: dict[str, list[Attempt]]
    signs: dict[str, list[Sign]]
    where: dict[str, Presence]
    afloat: Afloat
    came: dict[str, int]
    due: dict[str, Due]
    held: dict[str, bool]
    holds: dict[str, tuple[Hold, ...]]
    roll_call: RollCall
    calls: dict[str, RollCall]
    questions: tuple[Question, ...]


def facts(state: State) -> Facts:
    """Dives, presence, due times, roll call and questions of a state."""
    everyone = people(state)
    standing = teams(state)
    asked: list[Question] = []
    attempts: dict[str, list[Attempt]] = {}
    signs: dict[str, list[Sign]] = {}
    for person in everyone:
        attempts[person], orphans, questions = attempts_of(state, person, standing)
        signs[person] = signs_of(state, person, orphans)
        asked.extend(questions)
        asked.extend(named_only(person, signs[person], attempts[person]))
    attempts = with_depths(state, attempts)
    afloat = afloat_of(state, everyone, signs)
    if afloat.boats:
        signs = {person: boats.own_signs(afloat, person, listed) for person, listed in signs.items()}
    where = {person: presence(signs[person], attempts[person]) for person in everyone}
    due: dict[str, Due] = {}
    for person in everyone:
        under = open_attempt(attempts[person], where[person])
        if under is not None:
            due[person], questions = due_of(state, under, attempts)
            asked.extend(questions)
    came = _came(state, signs, attempts)
    missing_at: dict[str, tuple[str, ...]] = {}
    for entry in (each for kind in rollcall.LEAVING for each in state.by_kind.get(kind, ())):
        instant = happened(state, entry)
        missing = [
            person
            for person in everyone
            if came.get(person, 0) <= instant
            and not presence(signs[person], attempts[person], until=instant).accounted_for
        ]
        missing_at[entry.id] = tuple(boats.left_behind(afloat, state, entry, instant, missing))
    call = roll_call(state, where, everyone)
    calls = {boat: roll_call(state, where, everyone, of=crowd(afloat, boat)) for boat in afloat.boats}
    call = of_all(call, calls) if calls else call
    asked.extend(rollcall.asked(state, calls.values() or (call,), missing_at))
    asked.extend(boats.asked(afloat, where))
    in_water = {person for person, place in where.items() if place.state in IN_WATER}
    asked.extend(deckwatch.asked(state, in_water, afloat))
    asked.extend(_entry_questions(state))
    held = holds(state)
    return Facts(
        people=everyone,
        teams=standing,
        attempts=attempts,
        signs=signs,
        where=where,
        afloat=afloat,
        came=came,
        due=due,
        held={person: bool(held.get(person)) for person in everyone},
        holds=held,
        roll_call=call,
        calls=calls,
        questions=tuple(question for question in _each_once(asked) if not looked_at(state, question)),
    )


def crowd(afloat: Afloat, boat: str, instant: int | None = None) -> Crowd:
    """Whoever may be on a boat now, or may have been at that instant (ms)."""
    on = afloat.now if instant is None else boats.at_instant(afloat, instant)
    return Crowd(boat, frozenset(person for person, may in on.items() if boat in may), afloat)


def missing_on(known: Facts, boat: str) -> tuple[str, ...]:
    """Who is not accounted for and may be on that boat."""
    return tuple(
        person
        for person, place in known.where.items()
        if not place.accounted_for and boat in known.afloat.now[person]
    )


def departures(state: State, known: Facts) -> dict[str, Departure]:
    """Whether each boat may leave, where several go."""
    return {boat: departure(state, call, missing_on(known, boat), boat) for boat, call in known.calls.items()}


def _came(state: State, signs: dict[str, list[Sign]], attempts: dict[str, list[Attempt]]) -> dict[str, int]:
    """Since when those who joined on the way may have been here: nobody is missed before."""
    listed = {person.id for person in state.snapshot.people}
    found: dict[str, int] = {}
    for entry in state.by_kind.get("joined", ()):
        person = entry.subject
        if person in listed or person not in signs:
            continue
        seen = [claim.earliest for claim in readings(state, entry).claims]
        seen += [sign.claim.earliest for sign in signs[person]] + [each.down[0] for each in attempts[person]]
        if seen:
            found[person] = min([*seen, found.get(person, seen[0])])
    return found


def _each_once(asked: list[Question]) -> tuple[Question, ...]:
    """One question for all whom the same entries concern."""
    people_of: dict[tuple[str, tuple[str, ...], str], set[str]] = {}
    for question in asked:
        people_of.setdefault((question.code, question.entries, question.subject or ""), set()).update(
            question.people
        )
    return tuple(
        Question(code, entries, tuple(sorted(people_of[code, entries, subject])), subject or None)
        for code, entries, subject in sorted(people_of)
    )


def last_surfaced(attempts: list[Attempt]) -> Span | None:
    """Earliest and latest instant of a diver's last surfacing; None: not dived, or under water."""
    spans = [attempt.surfaced for attempt in attempts if attempt.surfaced is not None]
    return max(spans, key=lambda span: (span[1], span[0])) if spans else None


def open_attempt(attempts: list[Attempt], where: Presence) -> Attempt | None:
    """The attempt a person is under water on: the earliest one that nobody has seen the end of."""
    if where.state != "down":
        return None
    return min((each for each in attempts if each.is_open), key=lambda each: (each.down, each.dive))


def where_at(known: Facts, instant: int) -> dict[str, Presence]:
    """Where everyone was at that instant (ms), by all that is known now; not who came along only later."""
    return {
        person: presence(known.signs[person], known.attempts[person], until=instant)
        for person in known.people
        if known.came.get(person, instant) <= instant
    }


def _entry_questions(state: State) -> list[Question]:
    """What is wrong with entries themselves: altered, forked, corrected two ways, decided for oneself."""
    found: list[Question] = []
    for code in ("altered", "not_understood", "other_trip"):
        found.extend(Question(code, (entry.id,), (), entry.device) for entry in state.aside.get(code, ()))
    for device, line in state.by_device.items():
        places: dict[int, list[str]] = {}
        for entry in line:
            places.setdefault(entry.seq, []).append(entry.id)
        found.extend(
            Question("forked", tuple(sorted(ids)), (), device) for ids in places.values() if len(ids) > 1
        )
    for corrected in state.corrections:
        for entry in state.by_id.get(corrected, ()):
            if entry.kind != "correction" and acted_on(state, entry):
                found.extend(readings(state, entry).questions)
    for entry in state.by_kind.get("override", ()):
        concerned = {entry.subject, *entry.data.get("people", ())}
        if entry.by is not None and entry.by in concerned:
            found.append(Question("override_for_oneself", (entry.id,), (entry.by,), entry.subject))
    return found
