"""What a leader should know of a question about several dives although it is answered."""

from __future__ import annotations

from teamdive.calculations.pairing_warnings import pairing_warnings
from teamdive.calculations.several_reading import SeveralAsked
from teamdive.pairing.model import listed
from teamdive.pairing.several_case import DayWave, WholeDay


def several_warnings(asked: SeveralAsked, day: WholeDay) -> list[dict[str, str]]:
    """Those of each dive, pointing into it, and once what is taken for granted between the dives."""
    found: list[dict[str, str]] = []
    for at, (one, dive) in enumerate(zip(asked.dives, day.dives, strict=True)):
        for warning in pairing_warnings(dive.pricing.case, one.asked):
            of_dive = not warning["pointer"].startswith("/divers/")
            if of_dive or at == 0:
                where = f"/dives/{at}{warning['pointer']}" if of_dive else warning["pointer"]
                found.append(warning | {"pointer": where})
        found += _cover(asked, dive.waves, at)
    found += [
        {
            "code": "boat_over",
            "pointer": f"/boats/{at}",
            "message": f"More people have a fixed place on {boat.id} than it takes.",
        }
        for at, boat in enumerate(day.boats)
        if len(boat.aboard) + (boat.crew if boat.persons else 0) > boat.most
    ]
    for at, one in enumerate(asked.dives[1:], start=1):
        same = [name for name in asked.divers if name not in one.gear]
        if same:
            message = (
                f"No gas of its own is given on dive {at + 1} for {listed(sorted(same))}: the cylinder counts as full "
                "and as analysed as at first. Record what is taken before anyone dives."
            )
            found.append({"code": "same_gas_assumed", "pointer": f"/dives/{at}/divers", "message": message})
    return found


def _cover(asked: SeveralAsked, waves: tuple[DayWave, ...], at: int) -> list[dict[str, str]]:
    """A role nobody has is said where the club wants it, or once somebody is named for any wave."""
    wanted = asked.policy.surface_cover == "warn" or (
        asked.policy.surface_cover == "shown" and any(wave.cover for wave in waves)
    )
    found = []
    for number, wave in enumerate(waves):
        if not wave.lacking or not (wanted or wave.closed):
            continue
        which = "" if wave.id is None else f" for wave {wave.id}"
        message = (
            f"Name who stays out of the water{which} before anyone dives: missing {', '.join(wave.lacking)}."
        )
        pointer = f"/dives/{at}" + (f"/waves/{number}" if asked.dives[at].waves else "") + "/surface_cover"
        found.append({"code": "surface_cover_missing", "pointer": pointer, "message": message})
    return found
