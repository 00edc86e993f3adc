"""Reading JSON text: refuses what a plain parser lets through.

A name that stands twice in one object, NaN, infinities and numbers too large for a double, text that is no
Unicode (half of a surrogate pair, which cannot be written again), and nesting without end are errors with
their JSON Pointer.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from typing import Any

from teamdive.calculations.problem import FieldError, Problem, pointer

DEEPEST_NESTING = 64
TOO_DEEP = FieldError("", "not_json", f"Nested more than {DEEPEST_NESTING} deep.")
TWICE = "This name stands twice in its object; keep one."
HALF = "This text holds half of a character (a lone surrogate): type it anew."
LONGEST_INT = 300
"""Digits of a whole number that is read as one; a longer one is a double, or past the largest."""


class _Twice(dict[str, Any]):
    """An object as read in which names came twice: those names."""

    names: tuple[str, ...] = ()


def _pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    out = dict(pairs)
    if len(out) == len(pairs):
        return out
    found = _Twice(out)
    times = Counter(name for name, _ in pairs)
    found.names = tuple(name for name, count in times.items() if count > 1)
    return found


def _whole(digits: str) -> int | float:
    return int(digits) if len(digits) <= LONGEST_INT else float(digits)


def _constant(name: str) -> float:
    return float(name.replace("Infinity", "inf"))


def parse_json(text: str | bytes) -> Any:
    """Parse JSON text (or its UTF-8 bytes).

    Raises Problem where it is no JSON, repeats a name, holds NaN or an infinity, or nests too deeply.
    """
    errors: list[FieldError] = []
    try:
        told = text.decode("utf-8-sig") if isinstance(text, bytes) else text
        value = json.loads(told, object_pairs_hook=_pairs, parse_int=_whole, parse_constant=_constant)
    except RecursionError:
        errors.append(TOO_DEEP)
    except ValueError as wrong:
        where = (
            f" at line {wrong.lineno}, column {wrong.colno}"
            if isinstance(wrong, json.JSONDecodeError)
            else ""
        )
        errors.append(FieldError("", "not_json", f"This is not JSON{where}."))
    _raise_if_any(errors)
    # Nearly every body is sound, and a long batch of entries is walked once, without a pointer to each of its parts.
    if not _sound(value):
        _walk(errors, value, "", 0)
        _raise_if_any(errors)
    return value


def _raise_if_any(errors: list[FieldError]) -> None:
    if errors:
        raise Problem(tuple(errors))


def _sound(value: Any) -> bool:
    """Whether `_walk` would find nothing wrong: asked level by level, which is much the faster."""
    level = [value]
    for _ in range(DEEPEST_NESTING + 1):
        below: list[Any] = []
        for item in level:
            kind = type(item)
            if kind is str:
                if not item.isascii() and _half(item):
                    return False
            elif kind is dict:
                if not "".join(item).isascii() and any(map(_half, item)):
                    return False
                below.extend(item.values())
            elif kind is list:
                below.extend(item)
            elif kind is _Twice or (kind is float and not math.isfinite(item)):
                return False
        if not below:
            return True
        level = below
    return False


def _walk(errors: list[FieldError], value: Any, at: str, depth: int) -> None:
    if depth > DEEPEST_NESTING:
        errors.append(TOO_DEEP)
        return
    if isinstance(value, dict):
        for name in value.names if isinstance(value, _Twice) else ():
            if _half(name):
                continue
            errors.append(FieldError(pointer(at, name), "duplicate", TWICE))
        for name, item in value.items():
            if _half(name):
                errors.append(FieldError(at, "not_unicode", HALF))
            else:
                _walk(errors, item, pointer(at, name), depth + 1)
    elif isinstance(value, list):
        for i, item in enumerate(value):
            _walk(errors, item, pointer(at, i), depth + 1)
    elif isinstance(value, float) and not math.isfinite(value):
        errors.append(FieldError(at, "not_finite", "Must be a finite number."))
    elif isinstance(value, str) and _half(value):
        errors.append(FieldError(at, "not_unicode", HALF))


def _half(text: str) -> bool:
    """Whether text holds half of a surrogate pair; a whole one is read as its character."""
    return not text.isascii() and any("\ud800" <= character <= "\udfff" for character in text)
