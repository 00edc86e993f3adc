"""Hard rules about one diver: each a small function that answers with a reason, or with nothing when it holds."""

from __future__ import annotations

from collections.abc import Callable

from teamdive.pairing.case import ADULT, Case
from teamdive.pairing.days import age
from teamdive.pairing.experience import Standing
from teamdive.pairing.model import LAY_OFF, Person, Policy, Reason, depth_text, listed

# Depth limits of juniors by unit: ages 10-11, 12-14, and 12-14 after further training.
JUNIOR_DEPTH = {"m": (1200, 1800, 2100), "ft": (4000, 6000, 7000)}
LEAST_AGE = 10
YOUNGER_JUNIOR_UNTIL = 12
JUNIOR_UNTIL = 15

FITNESS = {
    None: (
        "fitness_not_known",
        "Whether {id} is fit to dive is not known: ask for the date of the last medical.",
    ),
    "out_of_date": ("fitness_out_of_date", "{id}'s medical is out of date."),
    "restricted": ("fitness_restricted", "{id}'s medical holds a restriction: ask {id} before placing them."),
    "unfit": ("unfit", "{id} is declared unfit to dive."),
}


def certified_depth(person: Person, case: Case) -> Reason | None:
    planned = depth_text(case.demands.depth, case.demands.unit)
    if person.certified_depth is None:
        message = f"The depth {person.id} is certified to is not known."
        return Reason("certified_depth_not_known", (person.id,), message, what=("certified_depth",))
    if person.certified_depth < case.demands.depth:
        own = depth_text(person.certified_depth, case.demands.unit)
        message = f"{person.id} is certified to {own}; the dive is planned to {planned}."
        return Reason("certified_depth", (person.id,), message)
    return None


def junior(person: Person, case: Case) -> Reason | None:
    if person.born is None:
        message = f"{person.id}'s age is not known, so limits for juniors cannot be ruled out."
        return Reason("age_not_known", (person.id,), message, what=("born",))
    years = age(person.born, case.on)
    if years < LEAST_AGE:
        return Reason(
            "junior_age", (person.id,), f"{person.id} is {years}: under {LEAST_AGE}, no dive of this kind."
        )
    if years >= JUNIOR_UNTIL:
        return None
    younger, older, trained = JUNIOR_DEPTH[case.demands.unit]
    limit = younger
    if years >= YOUNGER_JUNIOR_UNTIL:
        limit = trained if (person.certified_depth or 0) >= trained else older
    if case.demands.depth <= limit:
        return None
    message = f"{person.id} is {years}: not deeper than {depth_text(limit, case.demands.unit)}."
    return Reason("junior_depth", (person.id,), message)


def consent(person: Person, case: Case) -> Reason | None:
    minor = person.born is not None and age(person.born, case.on) < ADULT
    if minor and person.guardian_consent is False:
        return Reason(
            "guardian_consent", (person.id,), f"A guardian's written consent for {person.id} is not on file."
        )
    return None


def fitness(person: Person, case: Case) -> Reason | None:
    if person.fitness == "in_date":
        return None
    code, message = FITNESS[person.fitness]
    what = ("fitness",) if person.fitness is None else ()
    return Reason(code, (person.id,), message.format(id=person.id), what=what)


GAS_NOT_KNOWN = {
    "oxygen": ("gas_not_analysed", "{id}'s gas cannot be held against its oxygen limit: missing {what}."),
    # The gas is analysed; what earlier dives used of the oxygen limit is what is missing.
    "oxygen_used": ("earlier_dives_not_known", "{id}'s no-stop limit is not known: missing {what}."),
    "gas": ("gas_not_known", "How long {id}'s gas lasts is not known: missing {what}."),
    "table_no_stop": ("earlier_dives_not_known", "{id}'s no-stop limit is not known: missing {what}."),
    "tissue_no_stop": ("earlier_dives_not_known", "{id}'s no-stop limit is not known: missing {what}."),
}
NO_TIME = {
    "oxygen": "oxygen_limit",
    "gas": "minimum_gas",
    "table_no_stop": "no_time_left",
    "tissue_no_stop": "no_time_left",
}


def gas(person: Person, case: Case) -> list[Reason]:
    """What the diver's own limits leave: oxygen, minimum gas, residual nitrogen, or what is missing."""
    found: list[Reason] = []
    facts = person.gas
    if facts is None:
        return found
    for limit, what in facts.not_known:
        if limit in GAS_NOT_KNOWN:
            code, message = GAS_NOT_KNOWN[limit]
            text = message.format(id=person.id, what=listed(what))
            found.append(Reason(code, (person.id,), text, what=what))
    for limit, why in facts.zero:
        if limit in NO_TIME:
            found.append(Reason(NO_TIME[limit], (person.id,), f"{person.id} has no time on this dive: {why}"))
    return _once(found)


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


def stretches(person: Person, case: Case) -> Reason | None:
    now = case.standings[person.id]
    if not now.log_known or now.stretches <= case.policy.stretches_allowed:
        return None
    text = f"{person.id} {stretch_text(now)}: {allowed_text(case.policy)}."
    return Reason("stretches", (person.id,), text, what=now.dimensions)


def allowed_text(policy: Policy) -> str:
    count = policy.stretches_allowed
    return "none is allowed" if count == 0 else "one at a time" if count == 1 else f"{count} are allowed"


NAMES = {
    "depth": "depth",
    "current": "current",
    "visibility": "visibility",
    "cold": "cold",
    "night": "night",
    "task": "task",
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


PERSONAL: tuple[Callable[[Person, Case], Reason | None], ...] = (
    certified_depth,
    junior,
    consent,
    fitness,
    log,
    last_dive,
    stretches,
)


def personal(person: Person, case: Case) -> list[Reason]:
    """Every rule that bars this diver from the dive, overridden or not."""
    found = [reason for rule in PERSONAL if (reason := rule(person, case)) is not None]
    return found + gas(person, case)


def _once(reasons: list[Reason]) -> list[Reason]:
    kept: list[Reason] = []
    for reason in reasons:
        same = [one for one in kept if one.code == reason.code]
        if not same:
            kept.append(reason)
        elif reason.what:
            at = kept.index(same[0])
            what = same[0].what + tuple(name for name in reason.what if name not in same[0].what)
            kept[at] = Reason(reason.code, reason.divers, same[0].message, what=what)
    return kept
