"""Hard rules: each a small function that answers with a reason, or with nothing when it holds.

A rule about one diver bars the diver, a rule about a team bars the team. What is not known bars too and
says what is missing. `RULES` says of each code whether a leader may override it and where it comes from;
the floor that nobody may override: gas deeper than its oxygen limit, gas its diver has not analysed,
minimum gas, a junior's depth, adult or consent, an unfit declaration.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from teamdive.pairing.days import age
from teamdive.pairing.experience import Standing
from teamdive.pairing.model import (
    LAY_OFF,
    Demands,
    Override,
    Person,
    Policy,
    Reason,
    TeamGas,
    Wish,
    depth_text,
    listed,
)
from teamdive.physics.tables import load


@dataclass(frozen=True)
class Rule:
    overridable: bool
    source: str


# Code -> whether a leader may override it, and where it comes from; the same file in both languages.
DATA = load("pairing")
RULES: Mapping[str, Rule] = {
    code: Rule(rule["overridable"], rule["source"]) for code, rule in DATA["rules"].items()
}
SOURCES: dict[str, str] = DATA["sources"]

# Depth limits of juniors by unit: ages 10-11, 12-14, and 12-14 after further training.
JUNIOR_DEPTH = {"m": (1200, 1800, 2100), "ft": (4000, 6000, 7000)}
LEAST_AGE = 10
YOUNGER_JUNIOR_UNTIL = 12
JUNIOR_UNTIL = 15
ADULT = 18

FITNESS = {
    None: (
        "fitness_not_known",
        "Whether {id} is fit to dive is not known: ask for the date of the last medical.",
    ),
    "out_of_date": ("fitness_out_of_date", "{id}'s medical is out of date."),
    "restricted": ("fitness_restricted", "{id}'s medical holds a restriction: ask {id} before placing them."),
    "unfit": ("unfit", "{id} is declared unfit to dive."),
}


@dataclass(frozen=True)
class Case:
    """One dive, everybody who may go on it, and what was decided about them."""

    demands: Demands
    on: int
    policy: Policy
    people: Mapping[str, Person]
    standings: Mapping[str, Standing]
    overrides: tuple[Override, ...] = ()
    wishes: tuple[Wish, ...] = ()
    forbidden: tuple[tuple[str, ...], ...] = ()
    locked: tuple[tuple[str, ...], ...] = ()
    announced: tuple[tuple[str, ...], ...] = ()


# --- one diver ---------------------------------------------------------------------------------------


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


# --- one team ----------------------------------------------------------------------------------------


def leads_to_depth(person: Person, case: Case) -> bool:
    """A dive leader certified to this depth and of age (ISO 24801-3: 18).

    Where no role is stated, being practised in all of this dive stands for it.
    """
    of_age = person.born is None or age(person.born, case.on) >= ADULT
    deep = person.certified_depth is not None and person.certified_depth >= case.demands.depth
    leads = case.standings[person.id].practised if person.leader is None else person.leader
    return leads and of_age and deep


def no_leader(team: Sequence[Person], case: Case) -> Reason | None:
    """A leader in every team, or, where the club says so, beside who is stretched, supervised or a junior.

    ISO 24801-2 lets autonomous divers of one level dive together.
    """
    if case.policy.leader_needed == "when_stretched" and not any(
        _in_charge_of_another(person, case) for person in team
    ):
        return None
    if any(leads_to_depth(person, case) for person in team):
        return None
    ids = tuple(person.id for person in team)
    planned = depth_text(case.demands.depth, case.demands.unit)
    return Reason(
        "no_leader",
        ids,
        f"Neither of them leads to {planned}." if len(ids) == 2 else f"None of them leads to {planned}.",
    )


def _in_charge_of_another(person: Person, case: Case) -> bool:
    young = person.born is not None and age(person.born, case.on) < JUNIOR_UNTIL
    return case.standings[person.id].stretches > 0 or person.supervised or young


def nobody_practised(team: Sequence[Person], case: Case) -> Reason | None:
    """Someone must have done all of it at once, often and lately enough to lead (weight 3 by default)."""
    if any(case.standings[person.id].practised for person in team):
        return None
    ids = tuple(person.id for person in team)
    message = f"None of {listed(ids)} has done all of this at once {case.policy.lead_weight} times lately."
    return Reason("nobody_practised", ids, message)


def two_stretched(team: Sequence[Person], case: Case) -> Reason | None:
    new = tuple(person.id for person in team if case.standings[person.id].stretches > 0)
    if len(new) < 2:
        return None
    parts = listed([f"{name} {stretch_text(case.standings[name])}" for name in new])
    return Reason("two_stretched", new, f"Two stretched together: {parts}.")


def junior_adult(team: Sequence[Person], case: Case) -> Reason | None:
    """A junior dives with a certified adult; the youngest with a leader or their own guardian."""
    grown = [p for p in team if p.born is not None and age(p.born, case.on) >= ADULT and not p.supervised]
    deep = [p for p in grown if p.certified_depth is not None and p.certified_depth >= case.demands.depth]
    for person in team:
        years = ADULT if person.born is None else age(person.born, case.on)
        if years >= JUNIOR_UNTIL:
            continue
        fit = [
            p for p in deep if years >= YOUNGER_JUNIOR_UNTIL or p.leader is True or p.id in person.guardians
        ]
        if not fit:
            whom = (
                "a certified adult" if years >= YOUNGER_JUNIOR_UNTIL else "an adult leader or their guardian"
            )
            return Reason(
                "junior_adult", (person.id,), f"{person.id} is {years} and dives only beside {whom}."
            )
    return None


def wish_apart(team: Sequence[Person], case: Case) -> Reason | None:
    ids = {person.id for person in team}
    for wish in case.wishes:
        both = tuple(sorted(ids.intersection(wish.divers)))
        if wish.kind == "apart" and wish.strength == "must" and len(both) > 1:
            return Reason("wish_apart", both, f"{listed(both)} are to be kept apart.")
    return None


def wish_together(team: Sequence[Person], case: Case) -> Reason | None:
    ids = {person.id for person in team}
    for wish in case.wishes:
        if wish.kind == "together" and wish.strength == "must":
            here = ids.intersection(wish.divers)
            if here and len(here) < len(wish.divers):
                return Reason("wish_together", wish.divers, f"{listed(wish.divers)} are to dive together.")
    return None


def forbidden(team: Sequence[Person], case: Case) -> Reason | None:
    ids = {person.id for person in team}
    for pair in case.forbidden:
        if ids.issuperset(pair):
            return Reason("forbidden", pair, f"{listed(pair)} together is ruled out.")
    return None


def locked(team: Sequence[Person], case: Case) -> Reason | None:
    ids = {person.id for person in team}
    for fixed in case.locked:
        if ids.intersection(fixed) and ids != set(fixed):
            return Reason("locked", fixed, f"The team {listed(fixed)} is fixed.")
    return None


def threes(team: Sequence[Person], case: Case) -> Reason | None:
    ids = tuple(person.id for person in team)
    if len(ids) < 3 or case.policy.threes != "never" or set(ids) in [set(one) for one in case.locked]:
        return None
    return Reason("threes", ids, "No team of three: the club's setting.")


TEAM: tuple[Callable[[Sequence[Person], Case], Reason | None], ...] = (
    threes,
    wish_apart,
    wish_together,
    forbidden,
    locked,
    no_leader,
    nobody_practised,
    two_stretched,
    junior_adult,
)


def together(team: Sequence[Person], case: Case) -> list[Reason]:
    """Every rule that bars this team, overridden or not, but for gas (see `team_gas`)."""
    return [reason for rule in TEAM if (reason := rule(team, case)) is not None]


def team_gas(facts: TeamGas) -> list[Reason]:
    """Gas that cannot bring two up is gas that does not allow the dive."""
    return [
        Reason("minimum_gas", (name,), f"{name}'s gas cannot bring two up from this dive with this team.")
        for name in facts.short
    ]


# --- overrides ---------------------------------------------------------------------------------------


def refusal(override: Override, case: Case) -> str | None:
    """Why an override does not count, or None. Never for oneself, only a leader, never below the floor."""
    rule = RULES[override.rule]
    if not rule.overridable:
        return "this rule is never overridden"
    if override.by == override.diver:
        return "nobody overrides a rule for themselves"
    by = case.people.get(override.by)
    if by is not None and by.leader is not True:
        return "only a dive leader overrides a rule"
    return None


def excused(reason: Reason, case: Case) -> Override | None:
    """The override that lifts this reason. Whoever signs it is not one of those whom the rule protects."""
    for override in case.overrides:
        if (
            override.rule == reason.code
            and override.diver in reason.divers
            and override.by not in reason.divers
            and refusal(override, case) is None
        ):
            return override
    return None


def standing_reasons(reasons: Iterable[Reason], case: Case) -> list[Reason]:
    """Those that no override lifts."""
    return [reason for reason in reasons if excused(reason, case) is None]


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
