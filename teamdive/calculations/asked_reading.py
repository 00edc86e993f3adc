"""Wishes, teams fixed, announced or ruled out, and overrides, as the body of `teams` writes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from teamdive.calculations.body import Fields
from teamdive.calculations.problem import pointer
from teamdive.pairing.case import RULES
from teamdive.pairing.model import COVER_ROLES, Override, Wish

MOST_LIST = 400
MOST_IN_TEAM = 3
MOST_ALTERNATIVES = 10
MOST_IN_GROUP = 9


@dataclass(frozen=True)
class Asked:
    """Everything about who dives with whom but the divers themselves."""

    wishes: tuple[Wish, ...]
    announced: tuple[tuple[str, ...], ...]
    out_of_water: tuple[str, ...]
    overrides: tuple[Override, ...]
    locked: tuple[tuple[str, ...], ...]
    forbidden: tuple[tuple[str, ...], ...]
    why_not: tuple[tuple[str, ...], ...]
    least_change: bool = False
    robust: bool = False
    alternatives: int = 0
    drop_outs: bool = False
    guided: tuple[tuple[str, ...], ...] = ()
    cover: tuple[tuple[str, str], ...] = ()
    cover_given: bool = False
    facts: bool | None = None
    remedies: bool = False
    pairability: bool = False


def read_asked(body: Fields, known: Sequence[str]) -> Asked:
    """Wishes, teams fixed or ruled out, overrides. Names that are nobody's are errors, but in `announced`
    and `out_of_water`, which may speak of people who no longer dive or never did."""
    locked = read_teams(body, "locked", 2, MOST_IN_TEAM, known)
    announced = read_teams(body, "announced", 1, MOST_LIST, None)
    guided = read_teams(body, "guided", 2, MOST_IN_GROUP, known)
    no_one_twice(body, "locked", locked)
    no_one_twice(body, "guided", guided, locked)
    no_one_twice(body, "announced", announced)
    return Asked(
        wishes=tuple(
            _wish(item, known) for item in body.list_of_fields_or_none("wishes", 0, MOST_LIST) or []
        ),
        announced=announced,
        out_of_water=tuple(read_ids(body, "out_of_water", 0, MOST_LIST)),
        overrides=tuple(
            _override(item, known) for item in body.list_of_fields_or_none("overrides", 0, MOST_LIST) or []
        ),
        locked=locked,
        forbidden=read_teams(body, "forbidden", 2, MOST_IN_TEAM, known),
        why_not=read_teams(body, "why_not", 2, MOST_IN_TEAM, known),
        least_change=body.flag("least_change"),
        robust=body.flag("robust"),
        alternatives=body.integer_or_none("alternatives", 0, MOST_ALTERNATIVES) or 0,
        drop_outs=body.flag("drop_outs"),
        guided=guided,
        cover=read_roles(body),
        cover_given=body.has("surface_cover"),
        facts=body.flag_or_none("facts"),
        remedies=body.flag("remedies"),
        pairability=body.choice_or_none("find", ("pairability",)) is not None,
    )


def _wish(item: Fields, known: Sequence[str]) -> Wish:
    kind = item.choice("kind", ("together", "apart"))
    private = item.flag("private")
    strength = item.choice_or_none("strength", ("must", "prefer")) if private else None
    if not private:
        strength = item.choice("strength", ("must", "prefer"))
    if private and (kind != "apart" or strength == "must"):
        item.fail("private", "not_allowed", "Only a wish to dive apart that is no must can stay private.")
    if not item.has("divers"):
        item.required("divers", "Give the ids of two divers or more.")
    divers = read_ids(item, "divers", 2, MOST_LIST, known)
    item.close()
    return Wish(kind, tuple(sorted(divers)), strength or "prefer", private)


def read_roles(fields: Fields) -> tuple[tuple[str, str], ...]:
    """`surface_cover`: who has which role out of the water."""
    return tuple(_cover(item) for item in fields.list_of_fields_or_none("surface_cover", 0, MOST_LIST) or [])


def _cover(item: Fields) -> tuple[str, str]:
    role, person = item.choice("role", COVER_ROLES), item.text("person", 100)
    item.close()
    return role, person


def _override(item: Fields, known: Sequence[str]) -> Override:
    rule = item.choice("rule", tuple(RULES))
    diver, by, reason = item.text("diver", 100), item.text("by", 100), item.text("reason", 1000)
    if item.has("diver") and diver and diver not in known:
        item.fail("diver", "unknown_diver", "No diver of this body has this id.")
    item.close()
    return Override(rule, diver, by, reason)


def read_ids(
    fields: Fields, name: str, least: int, most: int, known: Sequence[str] | None = None
) -> list[str]:
    """An array of ids, each once; of divers of this body where `known` is given."""
    items = fields.array_or_none(name, least, most)
    return [] if items is None else _ids(fields, fields.pointer(name), items, known)


def _ids(fields: Fields, at: str, items: list[object], known: Sequence[str] | None) -> list[str]:
    found: list[str] = []
    for i, item in enumerate(items):
        here = pointer(at, i)
        if not isinstance(item, str) or not item:
            fields.errors.add(here, "wrong_type", "Must be the id of a diver, text in quotes.")
        elif item in found:
            fields.errors.add(here, "duplicate", "This id stands here twice.")
        elif known is not None and item not in known:
            fields.errors.add(here, "unknown_diver", "No diver of this body has this id.")
        else:
            found.append(item)
    return found


def read_teams(
    body: Fields, name: str, least: int, most: int, known: Sequence[str] | None
) -> tuple[tuple[str, ...], ...]:
    teams: list[tuple[str, ...]] = []
    for i, item in enumerate(body.array_or_none(name, 0, MOST_LIST) or []):
        at = pointer(body.pointer(name), i)
        if not isinstance(item, list):
            body.errors.add(at, "wrong_type", "Must be a JSON array of ids.")
        elif not least <= len(item) <= most:
            body.errors.add(at, "out_of_range", f"Must have {least} to {most} items.")
        else:
            teams.append(tuple(sorted(_ids(body, at, item, known))))
    return tuple(teams)


def no_one_twice(
    body: Fields, name: str, teams: Sequence[tuple[str, ...]], others: Sequence[tuple[str, ...]] = ()
) -> None:
    seen = {name for team in others for name in team}
    for i, team in enumerate(teams):
        if seen.intersection(team):
            body.errors.add(
                pointer(body.pointer(name), i), "duplicate", "A diver stands in two of these teams."
            )
        seen.update(team)


def read_people_ids(divers: Sequence[Fields]) -> list[str]:
    """Ids as given, with an error for each that comes twice."""
    ids: list[str] = []
    for item in divers:
        name = item.value.get("id")
        if isinstance(name, str):
            if name in ids:
                item.fail("id", "duplicate", "Two divers have this id.")
            ids.append(name)
    return ids
