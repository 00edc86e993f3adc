"""A value, or what is missing to know it.

Nothing in this package stands in for a fact that was not given: a number that cannot be answered
is a `Missing`, and everything computed from it is a `Missing` too.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeGuard


@dataclass(frozen=True)
class Missing:
    """What would have to be known. `what` names facts in plain words or by their field."""

    what: tuple[str, ...]

    def as_json(self) -> dict[str, list[str]]:
        return {"not_known": list(self.what)}


def missing(*what: str) -> Missing:
    return Missing(what)


def is_missing(value: object) -> TypeGuard[Missing]:
    return isinstance(value, Missing)


def merge(values: Iterable[object]) -> Missing | None:
    """All that is missing among `values`, each once and in order, or None when all are known."""
    what: list[str] = []
    found = False
    for value in values:
        if isinstance(value, Missing):
            found = True
            for name in value.what:
                if name not in what:
                    what.append(name)
    return Missing(tuple(what)) if found else None


def lacking(*values: object) -> Missing:
    """All that is missing among `values`, of which at least one is."""
    found = merge(values)
    return found if found is not None else Missing(())
