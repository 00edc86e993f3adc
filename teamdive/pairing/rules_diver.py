"""Hard rules about one diver: each a small function that answers with a reason, or with nothing when it holds."""

from __future__ import annotations

from collections.abc import Callable

from teamdive.pairing.case import ADULT, Case, one_step_deeper
from teamdive.pairing.cover import surface_cover
from teamdive.pairing.days import age, text
from teamdive.pairing.model import Person, Reason, depth_text, listed
from teamdive.pairing.rules_experience import (
    days_since_dive,
    deep_and_task,
    depth_step,
    dives_last_year,
    last_dive,
    log,
    repeats,
    stretches,
)

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
    if person.certified_depth < case.demands.depth and not one_step_deeper(person, case):
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
    if person.born is None or age(person.born, case.on) >= ADULT or person.guardian_consent is True:
        return None
    if person.guardian_consent is False:
        message = f"A guardian's written consent for {person.id} is not on file."
        return Reason("guardian_consent", (person.id,), message)
    message = f"Whether a guardian's written consent for {person.id} is on file is not known."
    return Reason("guardian_consent_not_known", (person.id,), message, what=("guardian_consent",))


def fitness(person: Person, case: Case) -> Reason | None:
    if person.fitness == "in_date":
        return None
    code, message = FITNESS[person.fitness]
    what = ("fitness",) if person.fitness is None else ()
    return Reason(code, (person.id,), message.format(id=person.id), what=what)


def certification_in_date(person: Person, case: Case) -> Reason | None:
    """A card without an end date does not run out."""
    if person.certified_until is None or person.certified_until >= case.on:
        return None
    message = f"{person.id}'s certification ran out on {text(person.certified_until)}."
    return Reason("certification_out_of_date", (person.id,), message)


# How much deeper than planned a gas must still be within its oxygen limit, where the club sets no number.
OXYGEN_MARGIN = {"m": 300, "ft": 1000}


def oxygen_margin(person: Person, case: Case) -> Reason | None:
    """A dive goes deeper than planned sooner than shallower. The limit itself is `oxygen_limit`."""
    unit, planned = case.demands.unit, case.demands.depth
    margin = case.policy.oxygen_margin
    margin = OXYGEN_MARGIN[unit] if margin is None else margin
    mod = None if person.gas is None else person.gas.mod
    if mod is None or mod < planned or mod >= planned + margin:
        return None
    message = (
        f"{person.id}'s gas may be taken to {depth_text(mod, unit)}: less than {depth_text(margin, unit)} "
        f"below the planned {depth_text(planned, unit)}."
    )
    return Reason("oxygen_margin", (person.id,), message)


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


PERSONAL: tuple[Callable[[Person, Case], Reason | None], ...] = (
    certified_depth,
    junior,
    consent,
    fitness,
    certification_in_date,
    log,
    last_dive,
    days_since_dive,
    dives_last_year,
    stretches,
    deep_and_task,
    depth_step,
    repeats,
    oxygen_margin,
    surface_cover,
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
