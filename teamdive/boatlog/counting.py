"""Two counts compared, by the published practice: written, independent, by name, one of them active at least.

Source: Queensland regulator, head counts page, and its Recreational Water Activities Regulation 2024, s 14-16: two
people count before leaving port and a site; with one crew member alone two methods; counts that differ are taken
again; if they still differ the emergency plan starts. Here one alone needs two active methods, the stricter reading.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from teamdive.boatlog.claims import Claim
from teamdive.boatlog.order import Key, told

NOT_FINISHED: tuple[int, Key] = (-1, (-1, 0, "", 0, "", ""))


@dataclass(frozen=True)
class Count:
    """One count: who named people in it, whether every naming was active, whom it named since it was opened.

    `finished_at` and `counter`: when (ms) and by whom it was ended; None: still going. `heads`: the number said.
    """

    count: str
    by: tuple[str, ...]
    active: bool
    seen: tuple[str, ...]
    missing: tuple[str, ...]
    methods: tuple[str, ...]
    finished_at: int | None
    counter: str | None
    heads: int | None
    agrees: bool
    entry: str | None
    finished: tuple[int, Key]


@dataclass(frozen=True)
class Compared:
    """How far it is: counting, agree, recount or emergency; the last two counts compared and who differs."""

    stage: str
    counts: tuple[str, ...]
    entries: tuple[str, ...]
    differ: tuple[str, ...]


@dataclass(frozen=True)
class Among:
    """Of a count of all boats, judged for one: who may be on that one, and all who ought to be counted anywhere."""

    people: Collection[str]
    wanted: Collection[str]


def count_of(
    count: str,
    namings: Sequence[Claim],
    ends: Sequence[Claim],
    wanted: Collection[str],
    of_all: Among | None = None,
) -> Count:
    """One count from the claims that name people in it and those that end it; `of_all`: where it is of all boats."""
    end = max(ends, key=lambda claim: told(claim.at, claim.entry), default=None)
    by = {claim.entry.by for claim in namings if claim.entry.by is not None}
    named = {person for claim in namings for person in claim.data["seen"]}
    seen = named if of_all is None else named & set(of_all.people)
    methods = {claim.data["method"] for claim in namings} | ({end.data["method"]} if end else set())
    heads = end.data["heads"] if end else None
    # A number alone stands against the number of those who ought to be here; names are compared one by one.
    number = heads is None or heads == len(named or set(wanted if of_all is None else of_all.wanted))
    complete = not set(wanted) - seen if seen else heads is not None
    counter = end.entry.by if end else None
    # Whoever ends a count that somebody else named people in did not count on their own.
    own = counter is not None and by <= {counter}
    return Count(
        count,
        by=tuple(sorted(by)),
        active="seen" not in methods and (bool(seen) or end is None),
        seen=tuple(sorted(seen)),
        missing=tuple(sorted(set(wanted) - seen)),
        methods=tuple(sorted(methods)),
        finished_at=end.at if end else None,
        counter=counter if own else None,
        heads=heads,
        agrees=own and number and complete,
        entry=end.entry.id if end else None,
        finished=told(end.at, end.entry) if end else NOT_FINISHED,
    )


def compare(counts: Sequence[Count], alone: bool) -> Compared:
    """The counts that were ended, two by two in order of their ends. `alone`: one crew member counts twice."""
    waiting: Count | None = None
    pairs: list[tuple[Count, Count]] = []
    ended = [each for each in counts if each.finished_at is not None and each.counter is not None]
    for count in sorted(ended, key=lambda each: (each.finished, each.count)):
        if waiting is not None and _independent(waiting, count, alone):
            pairs.append((waiting, count))
            waiting = None
        else:
            waiting = count
    failed = sum(1 for pair in pairs if not _agree(*pair))
    good = bool(pairs) and _agree(*pairs[-1])
    if good and (waiting is None or waiting.agrees):
        stage = "agree"
    elif failed > 1:
        stage = "emergency"
    else:
        stage = "recount" if failed or good else "counting"
    if not pairs:
        return Compared(stage, (), (), ())
    last = pairs[-1]
    named = [set(each.seen) for each in last if each.seen]
    differ = {person for each in last if each.seen for person in each.missing}
    if len(named) == 2:
        differ |= named[0] ^ named[1]
    entries = tuple(sorted({each.entry for each in last if each.entry is not None}))
    return Compared(stage, tuple(each.count for each in last), entries, tuple(sorted(differ)))


def _independent(first: Count, second: Count, alone: bool) -> bool:
    if first.counter != second.counter:
        return True
    return alone and first.active and second.active and not set(first.methods) & set(second.methods)


def _agree(first: Count, second: Count) -> bool:
    same = not first.seen or not second.seen or first.seen == second.seen
    return first.agrees and second.agrees and same and (first.active or second.active)
