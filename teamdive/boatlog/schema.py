"""Checks a JSON value against the published schemas of this room, with no package.

Reads the part of JSON Schema (draft 2020-12) that `schema/*.json` use; the tests hold it against
a general validator. All that is wrong is reported, not only the first.
"""

import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from teamdive.boatlog.schema_quick import fits

_FOLDER = Path(__file__).parent / "schema"
ENTRY: dict[str, Any] = json.loads((_FOLDER / "entry.json").read_text(encoding="utf-8"))
SNAPSHOT: dict[str, Any] = json.loads((_FOLDER / "snapshot.json").read_text(encoding="utf-8"))
KINDS = frozenset(name for name, definition in ENTRY["$defs"].items() if "x-subject" in definition)


@dataclass(frozen=True)
class Trouble:
    """One thing wrong with a value: where (JSON Pointer), a stable code, and words."""

    pointer: str
    code: str
    message: str


def problems(schema: dict[str, Any], value: Any, root: dict[str, Any], pointer: str = "") -> list[Trouble]:
    """All that is wrong with `value`; empty when it fits. `root` holds the `$defs`."""
    return [] if fits(schema, root)(value) else _all(schema, value, root, pointer)


def _all(schema: dict[str, Any], value: Any, root: dict[str, Any], pointer: str) -> list[Trouble]:
    if "$ref" in schema:
        return _all(root["$defs"][schema["$ref"].removeprefix("#/$defs/")], value, root, pointer)
    if "anyOf" in schema:
        tried = [_all(choice, value, root, pointer) for choice in schema["anyOf"]]
        # The first choice is the value itself, the last is null: its troubles are the telling ones.
        return [] if any(not found for found in tried) else tried[0]
    if "const" in schema and not _same(value, schema["const"]):
        return [Trouble(pointer, "not_one_of", f"must be {json.dumps(schema['const'])}")]
    if "enum" in schema and not any(_same(value, choice) for choice in schema["enum"]):
        return [Trouble(pointer, "not_one_of", f"must be one of {', '.join(map(str, schema['enum']))}")]
    if "type" in schema and not _is(value, schema["type"]):
        return [Trouble(pointer, "wrong_type", f"must be of type {schema['type']}")]
    if isinstance(value, str):
        return _text(schema, value, pointer)
    if isinstance(value, int) and not isinstance(value, bool):
        return _number(schema, value, pointer)
    if isinstance(value, list):
        return _list(schema, value, root, pointer)
    if isinstance(value, dict):
        return _object(schema, value, root, pointer)
    return []


def _same(left: Any, right: Any) -> bool:
    return type(left) is type(right) and bool(left == right)


def _is(value: Any, name: str) -> bool:
    if name == "integer":
        return isinstance(value, int) and not isinstance(value, bool)
    if name == "null":
        return value is None
    kinds: dict[str, type] = {"object": dict, "array": list, "string": str, "boolean": bool}
    return isinstance(value, kinds[name])


def _text(schema: dict[str, Any], value: str, pointer: str) -> list[Trouble]:
    if len(value) < schema.get("minLength", 0):
        return [Trouble(pointer, "too_short", f"must have at least {schema['minLength']} letters")]
    if len(value) > schema.get("maxLength", len(value)):
        return [Trouble(pointer, "too_long", f"must have at most {schema['maxLength']} letters")]
    if "pattern" in schema and not re.fullmatch(schema["pattern"], value):
        return [Trouble(pointer, "bad_form", f"must look like {schema['pattern']}")]
    return []


def _number(schema: dict[str, Any], value: int, pointer: str) -> list[Trouble]:
    if value < schema.get("minimum", value):
        return [Trouble(pointer, "out_of_range", f"must be at least {schema['minimum']}")]
    if value > schema.get("maximum", value):
        return [Trouble(pointer, "out_of_range", f"must be at most {schema['maximum']}")]
    return []


def _list(schema: dict[str, Any], value: list[Any], root: dict[str, Any], pointer: str) -> list[Trouble]:
    found: list[Trouble] = []
    if len(value) < schema.get("minItems", 0):
        found.append(Trouble(pointer, "too_few", f"must have at least {schema['minItems']} items"))
    if len(value) > schema.get("maxItems", len(value)):
        found.append(Trouble(pointer, "too_many", f"must have at most {schema['maxItems']} items"))
    if schema.get("uniqueItems"):
        written = [json.dumps(item, sort_keys=True) for item in value]
        if len(set(written)) < len(written):
            found.append(Trouble(pointer, "twice", "must not name anything twice"))
    if "items" in schema:
        for index, item in enumerate(value):
            found.extend(_all(schema["items"], item, root, f"{pointer}/{index}"))
    return found


def _object(
    schema: dict[str, Any], value: dict[str, Any], root: dict[str, Any], pointer: str
) -> list[Trouble]:
    found = [
        Trouble(f"{pointer}/{name}", "missing", "is missing")
        for name in schema.get("required", [])
        if name not in value
    ]
    for name, inner in schema.get("properties", {}).items():
        if name in value:
            found.extend(_all(inner, value[name], root, f"{pointer}/{name}"))
    return found
