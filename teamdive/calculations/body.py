"""Strict reading of a JSON body: every error is collected with its JSON Pointer before any is raised.

Usage: `errors = Errors()`, `body = Fields(errors, value)`, read each field, `body.close()` (which
refuses by name every field that was not read), `errors.raise_if_any()`. A reader that meets an error
records it and returns a harmless value of the right type, so that reading goes on and the rest of the
errors are found too; nothing computed from such a value is ever returned.

JSON null counts as absent.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from teamdive.calculations.json_text import parse_json
from teamdive.calculations.problem import FieldError, Problem, pointer

__all__ = ["Errors", "Fields", "number_at", "parse_json", "plain"]


class Errors:
    """The errors found so far."""

    def __init__(self) -> None:
        self.found: list[FieldError] = []

    def add(self, at: str, code: str, message: str) -> None:
        self.found.append(FieldError(at, code, message))

    def raise_if_any(self) -> None:
        if self.found:
            raise Problem(tuple(self.found))


def plain(x: float) -> str:
    """A number as written in a message: no trailing `.0`."""
    return str(int(x)) if x == math.floor(x) else repr(x)


class Fields:
    """The fields of one JSON object. Each read marks the field as known."""

    def __init__(self, errors: Errors, value: Any, at: str = "") -> None:
        self.errors = errors
        self.at = at
        self.read: list[str] = []
        self.ok = isinstance(value, dict)
        self.value: dict[str, Any] = value if isinstance(value, dict) else {}
        if not self.ok:
            errors.add(at, "wrong_type", "Must be a JSON object.")

    def pointer(self, name: str) -> str:
        return pointer(self.at, name)

    def get(self, name: str) -> Any:
        """The raw value, None when absent or null; marks the field as known."""
        if name not in self.read:
            self.read.append(name)
        return self.value.get(name)

    def has(self, name: str) -> bool:
        return self.value.get(name) is not None

    def fail(self, name: str, code: str, message: str) -> None:
        self.errors.add(self.pointer(name), code, message)

    def required(self, name: str, remedy: str) -> None:
        """Record that a field is missing, unless its parent is no object (then that is the error)."""
        if self.ok:
            self.fail(name, "required", remedy)

    def number_or_none(
        self, name: str, least: float, most: float, unit: str = "", above: bool = False
    ) -> float | None:
        """A finite number in [least, most] (or ]least, most] with `above`), None when absent or wrong."""
        value = self.get(name)
        return (
            None
            if value is None
            else number_at(self.errors, self.pointer(name), value, least, most, unit, above)
        )

    def number(self, name: str, least: float, most: float, unit: str = "", above: bool = False) -> float:
        """As `number_or_none`, but the field must be there; `most` stands in after an error."""
        if not self.has(name):
            self.get(name)
            self.required(name, f"Give a number{_of(unit)} {_range(least, most, above)}.")
            return most
        value = self.number_or_none(name, least, most, unit, above)
        return most if value is None else value

    def integer_or_none(self, name: str, least: int, most: int, unit: str = "") -> int | None:
        """A whole number in [least, most], None when absent or wrong."""
        value = self.number_or_none(name, least, most, unit)
        if value is None:
            return None
        if value != math.floor(value):
            self.fail(name, "wrong_type", f"Must be a whole number{_of(unit)}.")
            return None
        return int(value)

    def integer(self, name: str, least: int, most: int, unit: str = "") -> int:
        if not self.has(name):
            self.get(name)
            self.required(name, f"Give a whole number{_of(unit)} {_range(least, most, False)}.")
            return most
        value = self.integer_or_none(name, least, most, unit)
        return most if value is None else value

    def text_or_none(self, name: str, longest: int = 200) -> str | None:
        """A string of 1 to `longest` characters, None when absent or wrong."""
        value = self.get(name)
        if value is None:
            return None
        if not isinstance(value, str):
            self.fail(name, "wrong_type", "Must be text in quotes.")
            return None
        if not 1 <= len(value) <= longest:
            self.fail(name, "out_of_range", f"Must have 1 to {longest} characters.")
            return None
        return value

    def text(self, name: str, longest: int = 200) -> str:
        if not self.has(name):
            self.get(name)
            self.required(name, f"Give text in quotes, 1 to {longest} characters.")
            return ""
        return self.text_or_none(name, longest) or ""

    def choice_or_none(self, name: str, among: tuple[str, ...]) -> str | None:
        """One of the listed words, None when absent or wrong."""
        value = self.get(name)
        if value is None:
            return None
        if not isinstance(value, str):
            self.fail(name, "wrong_type", f"Must be one of {', '.join(among)}.")
            return None
        if value not in among:
            self.fail(name, "not_one_of", f"Must be one of {', '.join(among)}.")
            return None
        return value

    def choice(self, name: str, among: tuple[str, ...]) -> str:
        if not self.has(name):
            self.get(name)
            self.required(name, f"Give one of {', '.join(among)}.")
            return among[0]
        return self.choice_or_none(name, among) or among[0]

    def flag_or_none(self, name: str) -> bool | None:
        value = self.get(name)
        if value is None:
            return None
        if not isinstance(value, bool):
            self.fail(name, "wrong_type", "Must be true or false.")
            return None
        return value

    def flag(self, name: str) -> bool:
        """True or false; absent counts as false."""
        return self.flag_or_none(name) or False

    def array_or_none(self, name: str, least: int, most: int) -> list[Any] | None:
        """A JSON array of `least` to `most` items, None when absent or wrong."""
        value = self.get(name)
        if value is None:
            return None
        if not isinstance(value, list):
            self.fail(name, "wrong_type", "Must be a JSON array.")
            return None
        if not least <= len(value) <= most:
            self.fail(name, "out_of_range", f"Must have {least} to {most} items.")
            return None
        return value

    def array(self, name: str, least: int, most: int) -> list[Any]:
        if not self.has(name):
            self.get(name)
            self.required(name, f"Give a JSON array of {least} to {most} items.")
            return []
        return self.array_or_none(name, least, most) or []

    def numbers(self, name: str, items: list[Any], least: float, most: float, unit: str = "") -> list[float]:
        """The items of an array as numbers, each in [least, most]; `most` stands in after an error."""
        at = self.pointer(name)
        read = [
            number_at(self.errors, pointer(at, i), item, least, most, unit) for i, item in enumerate(items)
        ]
        return [most if x is None else x for x in read]

    def fields_or_none(self, name: str) -> Fields | None:
        value = self.get(name)
        return None if value is None else Fields(self.errors, value, self.pointer(name))

    def fields(self, name: str) -> Fields:
        """A JSON object that must be there; an empty one stands in after an error."""
        if not self.has(name):
            self.get(name)
            self.required(name, "Give this as a JSON object, its fields in braces.")
            empty = Fields(self.errors, {}, self.pointer(name))
            empty.ok = False
            return empty
        return Fields(self.errors, self.get(name), self.pointer(name))

    def list_of_fields(self, name: str, least: int, most: int) -> list[Fields]:
        """A JSON array of objects that must be there."""
        return self.each(name, self.array(name, least, most))

    def list_of_fields_or_none(self, name: str, least: int, most: int) -> list[Fields] | None:
        items = self.array_or_none(name, least, most)
        return None if items is None else self.each(name, items)

    def each(self, name: str, items: Iterable[Any]) -> list[Fields]:
        at = self.pointer(name)
        return [Fields(self.errors, item, pointer(at, i)) for i, item in enumerate(items)]

    def one_of_two(self, first: str, second: str) -> None:
        """Two spellings of one fact (two units) are never taken together."""
        if self.has(first) and self.has(second):
            self.fail(second, "not_allowed", f"Give {first} or {second}, not both.")

    def close(self) -> None:
        """Refuse by name every field that nobody read."""
        for name in self.value:
            if name not in self.read:
                self.fail(
                    name, "unknown_field", f"Unknown field. Known here: {', '.join(sorted(self.read))}."
                )


def number_at(
    errors: Errors, at: str, value: Any, least: float, most: float, unit: str = "", above: bool = False
) -> float | None:
    """Check one number; true, false, text, NaN and infinities are no numbers."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        errors.add(at, "wrong_type", f"Must be a number{_of(unit)}.")
        return None
    if isinstance(value, float) and not math.isfinite(value):
        errors.add(at, "not_finite", f"Must be a finite number{_of(unit)}.")
        return None
    if value < least or value > most or (above and value == least):
        errors.add(at, "out_of_range", f"Must be a number{_of(unit)} {_range(least, most, above)}.")
        return None
    return float(value) + 0.0  # -0 is 0


def _of(unit: str) -> str:
    return f" of {unit}" if unit else ""


def _range(least: float, most: float, above: bool) -> str:
    return (
        f"above {plain(least)} and up to {plain(most)}" if above else f"from {plain(least)} to {plain(most)}"
    )
