"""What a leader should know of a question about teams although it is answered."""

from __future__ import annotations

from teamdive.calculations.asked_reading import Asked
from teamdive.pairing.case import Case
from teamdive.pairing.rules import refusal


def pairing_warnings(case: Case, asked: Asked) -> list[dict[str, str]]:
    """Overrides that do not count, dates that disagree, names that are nobody's."""
    found: list[dict[str, str]] = []
    for i, override in enumerate(case.overrides):
        why = refusal(override, case)
        if why is not None:
            message = f"This override does not count: {why}."
            found.append({"code": "override_refused", "pointer": f"/overrides/{i}", "message": message})
    for i, person in enumerate(case.people.values()):
        logged = (
            max((one.on for one in person.experience.done or ()), default=None) if person.experience else None
        )
        last = person.experience.last_dive if person.experience else None
        if logged is not None and last is not None and logged > last:
            message = (
                "The log holds a later dive than the last one stated: the earlier date counts for a lay-off."
            )
            found.append(
                {
                    "code": "last_dive_before_log",
                    "pointer": f"/divers/{i}/experience/last_dive",
                    "message": message,
                }
            )
    for i, name in enumerate(asked.out_of_water):
        if name not in case.people:
            message = "Not one of the divers of this body: nothing to leave out."
            found.append({"code": "unknown_diver", "pointer": f"/out_of_water/{i}", "message": message})
    return found
