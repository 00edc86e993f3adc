"""Whether a JSON value certainly fits a schema, made into functions once: what the log checks thousands of times.

True is always right. False only means: ask `schema.problems`, which says what is wrong, if anything. So nothing
depends on this but speed, and the other language has no twin of it.
"""

import json
import re
from collections.abc import Callable
from typing import Any

Fits = Callable[[Any], bool]

# By identity, with the schemas held so that no id is ever used again.
_made: dict[tuple[int, int], tuple[Any, Any, Fits]] = {}


def fits(schema: dict[str, Any], root: dict[str, Any]) -> Fits:
    """The function that tells whether a value certainly fits `schema`; `root` holds the `$defs`."""
    place = (id(schema), id(root))
    known = _made.get(place)
    if known is None:
        _made[place] = known = (schema, root, _fits(schema, root))
    return known[2]


def _fits(schema: dict[str, Any], root: dict[str, Any]) -> Fits:
    if "$ref" in schema:
        return fits(root["$defs"][schema["$ref"].removeprefix("#/$defs/")], root)
    if "anyOf" in schema:
        choices = [fits(choice, root) for choice in schema["anyOf"]]
        return lambda value: any(choice(value) for choice in choices)
    if "const" in schema or "enum" in schema:
        named = [schema["const"]] if "const" in schema else schema["enum"]
        if not all(isinstance(each, str | int | None) for each in named):
            return lambda value: False
        told = {(type(each), each) for each in named}
        return lambda value: isinstance(value, str | int | None) and (type(value), value) in told
    makers = {"string": _text, "integer": _whole, "array": _list, "object": _object}
    if schema.get("type") in makers:
        return makers[schema["type"]](schema, root)
    kinds: dict[str, Any] = {"null": type(None), "boolean": bool}
    kind = kinds.get(schema.get("type", ""))
    return lambda value: type(value) is kind


def _text(schema: dict[str, Any], _root: dict[str, Any]) -> Fits:
    least, most = schema.get("minLength", 0), schema.get("maxLength", float("inf"))
    matches = re.compile(schema["pattern"]).fullmatch if "pattern" in schema else bool
    if "pattern" in schema and least == 0 and most == float("inf"):
        return lambda value: type(value) is str and matches(value) is not None
    if "pattern" in schema:
        return lambda value: type(value) is str and least <= len(value) <= most and matches(value) is not None
    return lambda value: type(value) is str and least <= len(value) <= most


def _whole(schema: dict[str, Any], _root: dict[str, Any]) -> Fits:
    least, most = schema.get("minimum", float("-inf")), schema.get("maximum", float("inf"))
    return lambda value: type(value) is int and least <= value <= most


def _list(schema: dict[str, Any], root: dict[str, Any]) -> Fits:
    least, most = schema.get("minItems", 0), schema.get("maxItems", float("inf"))
    inner = fits(schema["items"], root) if "items" in schema else None
    unique = bool(schema.get("uniqueItems"))

    def judge(value: Any) -> bool:
        if type(value) is not list or not least <= len(value) <= most:
            return False
        if inner is not None and not all(map(inner, value)):
            return False
        return not unique or len({json.dumps(item, sort_keys=True) for item in value}) == len(value)

    return judge


def _object(schema: dict[str, Any], root: dict[str, Any]) -> Fits:
    required = frozenset(schema.get("required", ()))
    inner = [(name, fits(item, root)) for name, item in schema.get("properties", {}).items()]

    def judge(value: Any) -> bool:
        if type(value) is not dict or not required <= value.keys():
            return False
        return all(judged(value[name]) for name, judged in inner if name in value)

    return judge
