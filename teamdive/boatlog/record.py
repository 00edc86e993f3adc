"""The written record of the counts, as lines to print: who counted whom, how, what differed, who let the boat leave.

Names, times and an identifier of each entry stand for signatures (Queensland Regulation 2011, s 6(2)(d), as quoted;
copies are kept a year by the same regulator's page: other places ask for other things, local law stands).
"""

from dataclasses import dataclass, replace

from teamdive.boatlog.boats import about_boats
from teamdive.boatlog.claims import Claim, decided
from teamdive.boatlog.counting import Count
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.facts import Facts, crowd, missing_on, where_at
from teamdive.boatlog.fold import State
from teamdive.boatlog.order import told
from teamdive.boatlog.rollcall import RollCall, overrides, roll_call


@dataclass(frozen=True)
class Line:
    """One line: what, when (ms), by whom, about whom, how many heads, how, the entry that says so, and of which boat.

    `boat` None: of the only one, or of all.
    `what`: counted, agreed, differed, came, went, not_accounted_for, overridden, left, not_left.
    """

    what: str
    at: int | None
    by: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    heads: int | None = None
    how: tuple[str, ...] = ()
    entry: str | None = None
    boat: str | None = None


def roll_call_record(state: State, known: Facts) -> tuple[Line, ...]:
    """The lines of every departure in order, then those of the count that is open."""
    lines: list[Line] = []
    # Whom the last count before a departure named, of each boat; None: of the only one, or of all.
    before: dict[str | None, set[str]] = {}
    left = sorted(decided(state, "departed"), key=lambda claim: told(claim.at, claim.entry))
    for claim in left:
        boats = about_boats(known.afloat, claim)
        boat = min(boats) if len(boats) == 1 else None
        lines.extend(replace(line, boat=boat) for line in _departure(state, known, claim, before, boat))
    missing = tuple(person for person, place in known.where.items() if not place.accounted_for)
    going: list[tuple[str | None, RollCall]] = [*known.calls.items()] or [(None, known.roll_call)]
    for boat, call in going:
        own = missing if boat is None else missing_on(known, boat)
        made = _counts(call, own, before.get(boat))
        if call.counts:
            made.append(Line("not_left", None))
        lines.extend(replace(line, boat=boat) for line in made)
    return tuple(lines)


def _departure(
    state: State, known: Facts, left: Claim, before: dict[str | None, set[str]], boat: str | None
) -> list[Line]:
    entry: Entry = left.entry
    where = where_at(known, left.at)
    of = None if boat is None else crowd(known.afloat, boat, left.at)
    call = roll_call(state, where, known.people, leaving=entry, of=of)
    missing = tuple(
        person
        for person, place in where.items()
        if not place.accounted_for and (of is None or person in of.people)
    )
    lines = _counts(call, missing, before.get(boat))
    for claim in overrides(state, call.since, boat):
        if told(claim.at, claim.entry) < told(left.at, entry):
            names = (claim.entry.by, claim.data["with"])
            by = tuple(sorted(person for person in names if person is not None))
            lines.append(Line("overridden", claim.at, by, missing, entry=claim.entry.id))
    by = () if entry.by is None else (entry.by,)
    lines.append(Line("left", left.at, by, how=(left.data["place"],), entry=entry.id))
    if call.named:
        before[boat] = set(call.named)
    return lines


def _counts(call: RollCall, missing: tuple[str, ...], before: set[str] | None) -> list[Line]:
    lines = [_counted(count) for count in call.counts]
    if call.compared.counts:
        lines.append(
            Line(
                "differed" if call.compared.differ or call.compared.stage != "agree" else "agreed",
                None,
                people=call.compared.differ,
            )
        )
    if before is not None and call.named:
        now = set(call.named)
        for what, people in (("came", now - before), ("went", before - now)):
            if people:
                lines.append(Line(what, None, people=tuple(sorted(people))))
    if missing:
        lines.append(Line("not_accounted_for", None, people=missing))
    return lines


def _counted(count: Count) -> Line:
    by = count.by if count.counter is None else (count.counter,)
    return Line("counted", count.finished_at, by, count.seen, count.heads, count.methods, count.entry)
