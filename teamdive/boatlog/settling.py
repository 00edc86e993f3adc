"""Who settles what: two named, different people, and never the diver alone with a team-mate.

A hold, an override and what says where somebody is are for two others: neither is the one it is about. Of a dive's own
record (when, how deep, with whom) the diver's word may be one of the two, beside somebody whom it is not about: common
practice, no source; a leader and the diver settle a depth.
"""

from collections.abc import Collection

from teamdive.boatlog.entries import Entry

RECORD = frozenset({"down", "left_bottom", "surfaced", "surfaced_alone", "depth_reported"})


def two_others(named: Collection[str | None], about: Collection[str]) -> bool:
    """Whether two different named people said it who are not among those it is about."""
    return len(set(named) - {None, *about}) > 1


def concerned(entry: Entry) -> frozenset[str]:
    """Whom an entry is about: its subject, and of a dive's record everyone of the team that it names."""
    found = {entry.subject}
    if entry.kind in RECORD:
        for name in ("members", "people"):
            listed = entry.data.get(name)
            if isinstance(listed, list):
                found.update(person for person in listed if isinstance(person, str))
    return frozenset(found)


def settles(entry: Entry, named: Collection[str | None], also: Collection[str] = ()) -> bool:
    """Whether those who say the same of an entry are enough to settle it; `also`: whom that brings into it."""
    about = concerned(entry) | set(also)
    if entry.kind not in RECORD:
        return two_others(named, about)
    people = set(named) - {None}
    return len(people) > 1 and bool(people - about)


def may_settle(entry: Entry, person: str, before: Collection[str] = (), also: Collection[str] = ()) -> bool:
    """Whether this person's word counts; `before`: who said the same already, `also` as for `settles`."""
    if person in before:
        return False
    about = concerned(entry) | set(also)
    return person not in about or (entry.kind in RECORD and not about & set(before))
