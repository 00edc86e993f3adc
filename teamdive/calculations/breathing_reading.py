"""How divers breathe, as the bodies of `plan` and `teams` write it: the club's model, the group, a diver's own log."""

from __future__ import annotations

from dataclasses import dataclass

from teamdive.calculations.body import Fields, number_at
from teamdive.calculations.problem import pointer
from teamdive.physics.breathing import PUBLISHED, WORK, Breathing, current_multiplier, work_multiplier
from teamdive.physics.diver import Rmv
from teamdive.physics.rmv_log import USUAL_BETWEEN, USUAL_WITHIN, Group, rate_from_log

MOST_POINTS = 12
MOST_DIVES = 200
RATE = (4.0, 120.0)
"""L/min at the surface."""
MULTIPLIER = (0.5, 8.0)
SPREAD = (0.01, 1.0)
FASTEST_KN = 5.0


@dataclass(frozen=True)
class BreathingReading:
    """What the top level says of breathing: the model, the group's rate, the margin where no spread is known."""

    model: Breathing
    group: Group | None
    margin_percent: float | None


def read_breathing(fields: Fields | None) -> Breathing:
    """The club's own multipliers; what it does not give stays as published."""
    if fields is None:
        return PUBLISHED
    work = _work(fields.fields_or_none("work"))
    swimming = _swimming(fields)
    fields.close()
    return Breathing(work, swimming, own=True)


def _work(fields: Fields | None) -> tuple[float, ...]:
    if fields is None:
        return PUBLISHED.work
    found: list[float] = []
    for name, usual in zip(WORK, PUBLISHED.work, strict=True):
        given = fields.number_or_none(name, *MULTIPLIER)
        value = usual if given is None else given
        if found and value < found[-1]:
            fields.fail(name, "out_of_order", "Harder work never needs less gas than easier work.")
        found.append(value)
    fields.close()
    return tuple(found)


def _swimming(fields: Fields) -> tuple[tuple[float, float], ...]:
    """[[knots, multiplier], ...], both rising: faster never needs less gas."""
    at = fields.pointer("swimming")
    items = fields.array_or_none("swimming", 1, MOST_POINTS)
    read: list[tuple[float, float]] = []
    for i, item in enumerate(items or []):
        here = pointer(at, i)
        if not isinstance(item, list) or len(item) != 2:
            fields.errors.add(here, "wrong_type", "Each point is [knots, multiplier].")
            continue
        knots = number_at(fields.errors, pointer(here, 0), item[0], 0, FASTEST_KN, "knots")
        by = number_at(fields.errors, pointer(here, 1), item[1], *MULTIPLIER)
        if knots is None or by is None:
            continue
        if read and knots <= read[-1][0]:
            fields.errors.add(pointer(here, 0), "out_of_order", "Each speed is above the one before it.")
        if read and by < read[-1][1]:
            fields.errors.add(
                pointer(here, 1), "out_of_order", "A faster swim never needs less gas than a slower one."
            )
        read.append((knots, by))
    return tuple(read) if read else PUBLISHED.swimming


def read_rmv_group(fields: Fields | None) -> Group | None:
    """The club's own group: its median rate, and how much its divers and the dives of one diver differ."""
    if fields is None:
        return None
    median = fields.number("mean_l_min", *RATE, "L/min")
    between = fields.number_or_none("between_divers", *SPREAD)
    within = fields.number_or_none("between_dives", *SPREAD)
    fields.close()
    return Group(
        median,
        USUAL_BETWEEN if between is None else between,
        USUAL_WITHIN if within is None else within,
    )


def read_rmv(fields: Fields, breathing: BreathingReading) -> Rmv:
    """A diver's rate: stated, or from the log (`rmv_log`) drawn towards the group; without either not known."""
    own = fields.number_or_none("gas_margin_percent", 0, 200, "percent")
    margin = breathing.margin_percent if own is None else own
    mean = fields.number_or_none("rmv_l_min", *RATE, "L/min")
    sd = fields.number_or_none("rmv_sd_l_min", 0, 60, "L/min")
    rates = _log(fields, breathing.model)
    if rates is None:
        return Rmv(mean, sd, margin)
    if fields.has("rmv_l_min") or fields.has("rmv_sd_l_min"):
        fields.fail("rmv_log", "not_allowed", "Give the log or rmv_l_min and its spread, not both.")
    if breathing.group is None:
        fields.errors.add(
            "/rmv_group",
            "required",
            "Give the group's rate (mean_l_min): a diver's log of few dives is drawn towards it.",
        )
        return Rmv(None, None, margin)
    found = rate_from_log(rates, breathing.group)
    return Rmv(found.median, found.median * found.spread, margin, found)


def _log(fields: Fields, model: Breathing) -> list[float] | None:
    """Rates of past dives with their work and current taken out; `[]` is a diver without a dive. None when absent."""
    items = fields.list_of_fields_or_none("rmv_log", 0, MOST_DIVES)
    if items is None:
        return None
    rates: list[float] = []
    for item in items:
        rate = item.number("rmv_l_min", *RATE, "L/min")
        work = item.choice_or_none("work", WORK) or "moderate"
        current_kn = item.number_or_none("current_kn", 0, 10, "knots") or 0.0
        current = current_multiplier(current_kn, model)
        if current is None:
            item.fail("current_kn", "out_of_range", "The breathing model has no figure for this current.")
        item.close()
        rates.append(rate / (work_multiplier(work, model) * (current or 1.0)))
    return rates
