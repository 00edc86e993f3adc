"""The written record of the counts, as lines to print: who counted whom, how, what differed, who let the boat leave.

Names, times and an identifier of each entry stand for signatures (Queensland Regulation 2011, s 6(2)(d), as quoted;
copies are kept a year by the same regulator's page: other places ask for other things, local law stands).
"""

from dataclasses import dataclass

from teamdive.boatlog.claims import Claim, decided
from teamdive.boatlog.counting import Count
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.facts import Facts, where_at
from teamdive.boatlog.fold import State
from teamdive.boatlog.order import told
from teamdive.boatlog.rollcall import RollCall, overrides, roll_call


@dataclass(frozen=True)
class Line:
    """One line: what, when (ms), by whom, about whom, how many heads, how, and the entry that says so.

    `what`: counted, agreed, differed, came, went, not_accounted_for, overridden, left, not_left.
    """

    what: str
    at: int | None
    by: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    heads: int | None = None
    how: tuple[str, ...] = ()
    entry: str | None = None


def roll_call_record(state: State, known: Facts) -> tuple[Line, ...]:
    """The lines of every departure in order, then those of the count that is open."""
    lines: list[Line] = []
    before: set[str] | None = None
    left = sorted(decided(state, "departed"), key=lambda claim: told(claim.at, claim.entry))
    for claim in left:
        made, before = _departure(state, known, claim, before)
        lines.extend(made)
    missing = tuple(person for person, place in known.where.items() if not place.accounted_for)
    lines.extend(_counts(known.roll_call, missing, before))
    if known.roll_call.counts:
        lines.append(Line("not_left", None))
    return tuple(lines)


def _departure(
    state: State, known: Facts, left: Claim, before: set[str] | None
) -> tuple[list[Line], set[str] | None]:
    entry: Entry = left.entry
    where = where_at(known, left.at)
    call = roll_call(state, where, known.people, leaving=entry)
    missing = tuple(person for person, place in where.items() if not place.accounted_for)
    lines = _counts(call, missing, before)
    for claim in overrides(state, call.since):
        if told(claim.at, claim.entry) < told(left.at, entry):
            names = (claim.entry.by, claim.data["with"])
            by = tuple(sorted(person for person in names if person is not None))
            lines.append(Line("overridden", claim.at, by, missing, entry=claim.entry.id))
    by = () if entry.by is None else (entry.by,)
    lines.append(Line("left", left.at, by, how=(left.data["place"],), entry=entry.id))
    return lines, set(call.named) if call.named else before


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
