"""A diver's state as the answer of `day` writes it and `state_before` gives it back."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from teamdive.calculations.body import Fields
from teamdive.calculations.reading import LONGEST_INTERVAL_MIN, read_interval_s
from teamdive.physics.carried import OXYGEN_NOT_GIVEN, Carried
from teamdive.physics.exposure import Exposure
from teamdive.physics.known import Missing, missing
from teamdive.physics.nitrogen import JOIN_S, Group
from teamdive.physics.no_fly import Breathed
from teamdive.physics.rounding import scaled_up
from teamdive.physics.tables import GROUPS
from teamdive.physics.tissues import COUNT

GASES: tuple[Breathed, ...] = ("air", "nitrox", "helium")
GAS_NOT_GIVEN = missing("gas of the dives before")
MOST_GROUPS = 200
HIGHEST_E9 = 20_000_000_000
HIGHEST_ALTITUDE_FT = 10_000
MOST_AGO_S = 400 * 86_400
MOST_EXPOSURES = 1000
SHARE_E9 = 1_000_000_000
HIGHEST_SHARE_E9 = 1_000_000_000_000_000


def state_json(kept: Carried) -> dict[str, Any]:
    """The state on surfacing from the last dive, ready for `state_before`."""
    tensions = kept.tensions_e9
    return {
        "tensions_e9": tensions.as_json() if isinstance(tensions, Missing) else list(tensions),
        "groups": [
            {"group": group.as_json() if isinstance(group, Missing) else group, "before_s": before_s}
            for group, before_s in kept.groups
        ],
        "beyond": kept.beyond,
        "altitude_ft": kept.altitude_ft,
        "beyond_ago_s": kept.beyond_ago_s,
        "gas": GAS_NOT_GIVEN.as_json() if kept.breathed == "not_known" else kept.breathed,
        "oxygen": kept.oxygen.as_json()
        if isinstance(kept.oxygen, Missing)
        else [_exposure_json(made) for made in kept.oxygen],
    }


def _exposure_json(made: Exposure) -> dict[str, Any]:
    shares = {"single_e9": made.single, "day_e9": made.day, "otu_e9": made.otu}
    return {
        "start_before_s": -made.start_s,
        "end_before_s": -made.end_s,
        **{
            name: x.as_json() if isinstance(x, Missing) else scaled_up(x, SHARE_E9)
            for name, x in shares.items()
        },
    }


def read_state_before(fields: Fields | None) -> tuple[Carried, int] | None:
    """`state_before`: a state with `minutes_before_descent`, from that surfacing to the coming descent in seconds."""
    if fields is None:
        return None
    tensions = _tensions(fields)
    groups = tuple(_group(item) for item in fields.list_of_fields("groups", 1, MOST_GROUPS))
    ages = [before_s for _, before_s in groups]
    if not fields.errors.found and (ages != sorted(ages, reverse=True) or ages[-1] != 0):
        fields.fail(
            "groups",
            "out_of_order",
            "Give the oldest group first; the last is that of surfacing, 0 s before.",
        )
    if not fields.has("beyond"):
        fields.required("beyond", "Give true or false, as the state had it.")
    beyond = fields.flag("beyond")
    altitude_ft = fields.integer("altitude_ft", 0, HIGHEST_ALTITUDE_FT, "ft")
    ago_s = fields.integer_or_none("beyond_ago_s", 0, MOST_AGO_S, "seconds")
    kept = Carried(tensions, groups, beyond, altitude_ft, 0 if beyond and ago_s is None else ago_s)
    kept = replace(kept, oxygen=_oxygen(fields), breathed=_gas(fields, tensions))
    waited_s = read_interval_s(fields, "minutes_before_descent")
    if fields.has("minutes_before_descent") and waited_s < JOIN_S:
        message = "Under ten minutes is one dive with the last: give that dive itself in dives."
        fields.fail("minutes_before_descent", "out_of_range", message)
    fields.close()
    return kept, waited_s


def _gas(fields: Fields, tensions: tuple[int, ...] | Missing) -> Breathed:
    """`gas`: of the gases of the dives before, the one of which least is published for flying; absent: not known."""
    if not isinstance(tensions, Missing) and len(tensions) > COUNT:
        fields.get("gas")
        return "helium"
    if _missing(fields, "gas") is not None:
        return "not_known"
    given = fields.choice_or_none("gas", GASES)
    return next((gas for gas in GASES if gas == given), "not_known")


def _tensions(fields: Fields) -> tuple[int, ...] | Missing:
    unknown = _missing(fields, "tensions_e9")
    if unknown is not None:
        return unknown
    items = fields.array("tensions_e9", COUNT, 2 * COUNT)
    read = fields.numbers("tensions_e9", items, 0, HIGHEST_E9, "1e-9 bar")
    whole = tuple(int(x) for x in read)
    if any(a != b for a, b in zip(whole, read, strict=True)):
        fields.fail("tensions_e9", "wrong_type", "Must be whole numbers of 1e-9 bar.")
    elif items and len(items) not in (COUNT, 2 * COUNT):
        fields.fail("tensions_e9", "out_of_range", "Must be 16 tensions of nitrogen, or 16 and 16 of helium.")
    elif any(x == 0 for x in whole[:COUNT]):
        fields.fail("tensions_e9", "out_of_range", "A nitrogen tension is above 0.")
    return whole


def _oxygen(fields: Fields) -> tuple[Exposure, ...] | Missing:
    """`oxygen`: the exposures behind the state, the oldest first; absent: not known."""
    unknown = _missing(fields, "oxygen")
    if unknown is not None:
        return unknown
    items = fields.list_of_fields_or_none("oxygen", 0, MOST_EXPOSURES)
    if items is None:
        return OXYGEN_NOT_GIVEN
    found = tuple(_exposure(item) for item in items)
    times = [at for made in found for at in (made.start_s, made.end_s)]
    if not fields.errors.found and times != sorted(times):
        fields.fail(
            "oxygen", "out_of_order", "Give the oldest exposure first; each ends before the next starts."
        )
    return found


def _exposure(fields: Fields) -> Exposure:
    start_s = fields.integer("start_before_s", 0, MOST_AGO_S, "seconds")
    end_s = fields.integer("end_before_s", 0, MOST_AGO_S, "seconds")
    single, day, otu = (_share(fields, name) for name in ("single_e9", "day_e9", "otu_e9"))
    fields.close()
    return Exposure(-1, -start_s, -end_s, OXYGEN_NOT_GIVEN, single, day, otu)


def _share(fields: Fields, name: str) -> float | Missing:
    unknown = _missing(fields, name)
    return fields.integer(name, 0, HIGHEST_SHARE_E9, "1e-9") / SHARE_E9 if unknown is None else unknown


def _group(fields: Fields) -> tuple[Group, int]:
    group: Group = _missing(fields, "group")
    if group is None:
        group = fields.choice("group", GROUPS)
    before_s = fields.integer("before_s", 0, LONGEST_INTERVAL_MIN * 60, "seconds")
    fields.close()
    return group, before_s


def _missing(fields: Fields, name: str) -> Missing | None:
    """`{"not_known": [...]}` in a value's place."""
    if not isinstance(fields.get(name), dict):
        return None
    inner = fields.fields(name)
    items = inner.array("not_known", 1, 100)
    inner.close()
    what = tuple(item for item in items if isinstance(item, str) and 1 <= len(item) <= 200)
    if len(what) < len(items):
        inner.fail("not_known", "wrong_type", "Must be a list of texts, each 1 to 200 characters.")
    return Missing(what)
