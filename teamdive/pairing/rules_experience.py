"""Hard rules about what a diver has done: known, recent, one step at a time."""

from __future__ import annotations

from teamdive.pairing.case import Case
from teamdive.pairing.experience import BAND_EDGES, QUARTERS, Standing, band_edge, quarters, record_of
from teamdive.pairing.model import EQUIPMENT, LAY_OFF, Person, Policy, Reason, decimal, depth_text, listed

NAMES = {
    "depth": "depth",
    "current": "current",
    "visibility": "visibility",
    "cold": "cold",
    "night": "night",
    "task": "task",
    "site": "kind of site",
    EQUIPMENT: "new equipment",
    LAY_OFF: "lay-off",
}
KINDS = {
    "new": "",
    "combination": ", done before but not together with the rest of this dive",
    "not_recent": ", done before but not lately",
    LAY_OFF: "",
    "none": "",
}


def stretch_text(now: Standing) -> str:
    """takes 1 stretch (task, done before but not together with the rest of this dive)"""
    names = listed([NAMES[name] for name in now.dimensions])
    word = "stretch" if now.stretches == 1 else "stretches"
    since = f", last dive {now.days_since} days ago" if LAY_OFF in now.dimensions else ""
    return f"takes {now.stretches} {word} ({names}{KINDS[now.kind]}{since})"


def log(person: Person, case: Case) -> Reason | None:
    if case.standings[person.id].log_known:
        return None
    message = f"What {person.id} has done before is not known, so it covers nothing."
    return Reason("experience_not_known", (person.id,), message, what=("experience.done",))


def last_dive(person: Person, case: Case) -> Reason | None:
    if case.standings[person.id].lay_off_known:
        return None
    message = f"When {person.id} last dived is not known."
    return Reason("last_dive_not_known", (person.id,), message, what=("experience.last_dive",))


def days_since_dive(person: Person, case: Case) -> Reason | None:
    """The club's own number, beside the lay-off that counts as a stretch. Unknown is `last_dive`'s to say."""
    most, since = case.policy.most_days_since_dive, case.standings[person.id].days_since
    if most is None or since is None or since <= most:
        return None
    message = f"{person.id} last dived {since} days ago; the club asks for a dive within {most} days."
    return Reason("currency", (person.id,), message)


def dives_last_year(person: Person, case: Case) -> Reason | None:
    """AAUS 4.50 asks for 12 a year; off until a club sets its number."""
    least = case.policy.least_dives_last_year
    if least is None:
        return None
    had = None if person.experience is None else person.experience.dives_last_year
    if had is None:
        message = (
            f"How often {person.id} dived in the last year is not known; the club asks for {least} dives."
        )
        return Reason(
            "dives_last_year_not_known", (person.id,), message, what=("experience.dives_last_year",)
        )
    if had >= least:
        return None
    message = f"{person.id} made {had} dives in the last year; the club asks for {least}."
    return Reason("dives_last_year", (person.id,), message)


def stretches(person: Person, case: Case) -> Reason | None:
    now = case.standings[person.id]
    if not now.log_known or now.stretches <= case.policy.stretches_allowed:
        return None
    text = f"{person.id} {stretch_text(now)}: {allowed_text(case.policy)}."
    return Reason("stretches", (person.id,), text, what=now.dimensions)


def deep_and_task(person: Person, case: Case) -> Reason | None:
    """New to the depth and to the task on one dive: also where the club allows two stretches."""
    now = case.standings[person.id]
    new_to_both = "depth" in now.dimensions and "task" in now.dimensions
    if not now.log_known or not new_to_both or now.stretches > case.policy.stretches_allowed:
        return None
    message = f"{person.id} is new to this depth and to this task: one of them at a time."
    return Reason("deep_and_task", (person.id,), message, what=now.dimensions)


def depth_step(person: Person, case: Case) -> Reason | None:
    """One depth band at a time: the last band done, with the club's setting (AAUS 4.40: band by band)."""
    if not case.policy.one_band_at_a_time or "depth" not in case.standings[person.id].dimensions:
        return None
    unit = case.demands.unit
    reached = deepest_band(person, case)
    following = next((edge for edge in BAND_EDGES[unit] if edge > reached), None)
    if following is None or case.demands.depth <= following:
        return None
    had = f"has dived to {depth_text(reached, unit)} lately" if reached else "has no depth of late"
    message = f"{person.id} {had}: next is not deeper than {depth_text(following, unit)}."
    return Reason("depth_step", (person.id,), message)


def deepest_band(person: Person, case: Case) -> int:
    """The deep edge of the deepest band in which past dives weigh one together; 0 for none."""
    done = () if person.experience is None else person.experience.done or ()
    unit, months = case.demands.unit, case.policy.fresh_months
    total = 0
    for one in sorted(done, key=lambda one: -one.depth):
        total += one.count * quarters(one.on, case.on, months)
        if total >= QUARTERS * case.policy.covered_weight:
            return band_edge(one.depth, unit)
    return 0


def repeats(person: Person, case: Case) -> Reason | None:
    """So many dives with all the rest of this one before the next step (club's number)."""
    needed, now = case.policy.repeats_before_next, case.standings[person.id]
    struck = [name for name in now.dimensions if name not in (LAY_OFF, EQUIPMENT)]
    if needed is None or not now.log_known or not struck or now.stretches > case.policy.stretches_allowed:
        return None
    record = record_of(person.experience, case.demands, case.on, case.policy)
    weight = sum(weight for _, lacking, weight in record if all(name in struck for name in lacking))
    if weight >= QUARTERS * needed:
        return None
    names = listed([NAMES[name] for name in struck])
    message = (
        f"{person.id} has made all the rest of this dive {decimal(weight * 25, 2)} times lately, in full weight; "
        f"the club asks for {needed} before a step in {names}."
    )
    return Reason("repeats", (person.id,), message)


def allowed_text(policy: Policy) -> str:
    count = policy.stretches_allowed
    return "none is allowed" if count == 0 else "one at a time" if count == 1 else f"{count} are allowed"
