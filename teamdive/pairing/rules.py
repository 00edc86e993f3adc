"""Whether a rule holds a diver or a team back, and what an override lifts.

`rules_diver` bars a diver, `rules_team` a team. What is not known bars too and says what is missing.
`case.RULES` says of each code whether a leader may override it and where it comes from; the floor that
nobody may override: gas deeper than its oxygen limit, gas its diver has not analysed, minimum gas, a
junior's depth, adult or consent, an unfit declaration.
"""

from __future__ import annotations

from collections.abc import Iterable

from teamdive.pairing.case import RULES, Case
from teamdive.pairing.model import Override, Reason


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
