"""The one way to write a JSON value as bytes, so that every phone hashes the same thing.

RFC 8785 (JSON Canonicalization Scheme) for the values a boat log holds: objects with ASCII
keys, arrays, strings, integers below 2^53 in size, true, false and null. Numbers with a fraction
are refused: that is what keeps the rule short and equal in both languages.
"""

import json
from hashlib import sha256
from typing import Any

LARGEST = 2**53 - 1
DEEPEST = 32


class NotCanonical(ValueError):
    """The value holds something that has no canonical form here; `pointer` says where."""

    def __init__(self, pointer: str, message: str) -> None:
        super().__init__(f"{pointer or '/'}: {message}")
        self.pointer = pointer
        self.message = message


def canonical(value: Any) -> str:
    """The canonical text of a JSON value. Raises NotCanonical.

    Source: RFC 8785, sections 3.2.2 (literals, strings, numbers) and 3.2.3 (sorting of keys).
    """
    text = _plain(value)
    if text is not None:
        return text
    parts: list[str] = []
    _write(value, "", 0, parts)
    return "".join(parts)


def _plain(value: Any) -> str | None:
    """The same text by the standard library, which is faster; None where that is not certain to be the same."""
    try:
        text = _WRITER.encode(value)
        # Outside ASCII, keys and half surrogates have rules of their own; brackets bound the depth from above.
        if not text.isascii() or text.count("{") + text.count("[") > DEEPEST:
            return None
        # Read back, a float, an integer too large, a key that is no text or a tuple shows itself.
        return text if _READER.decode(text) == value else None
    except (TypeError, ValueError, RecursionError):
        return None


def _whole(digits: str) -> int:
    if len(digits) > 15 and abs(int(digits)) > LARGEST:
        raise ValueError
    return int(digits)


def _not_whole(digits: str) -> int:
    raise ValueError


_WRITER = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False)
_READER = json.JSONDecoder(parse_float=_not_whole, parse_constant=_not_whole, parse_int=_whole)


def canonical_bytes(value: Any) -> bytes:
    """UTF-8 of the canonical text. Raises NotCanonical."""
    return canonical(value).encode()


# Made once: json.dumps with an option makes one for every word.
_ENCODER = json.JSONEncoder(ensure_ascii=False)


def digest(value: Any) -> str:
    """SHA-256 of the canonical bytes, 64 lower-case hex digits. Raises NotCanonical."""
    return sha256(canonical_bytes(value)).hexdigest()


def _write(value: Any, pointer: str, depth: int, parts: list[str]) -> None:
    if depth > DEEPEST:
        raise NotCanonical(pointer, f"is nested deeper than {DEEPEST} levels")
    if value is None:
        parts.append("null")
    elif value is True:
        parts.append("true")
    elif value is False:
        parts.append("false")
    elif isinstance(value, str):
        parts.append(_quoted(value, pointer))
    elif isinstance(value, int):
        if not -LARGEST <= value <= LARGEST:
            raise NotCanonical(pointer, "is an integer beyond 2^53 - 1")
        parts.append(str(value))
    elif isinstance(value, dict):
        parts.append("{")
        for index, key in enumerate(_sorted_keys(value, pointer)):
            parts.append("," if index else "")
            parts.append(_quoted(key, pointer))
            parts.append(":")
            _write(value[key], f"{pointer}/{key}", depth + 1, parts)
        parts.append("}")
    elif isinstance(value, (list, tuple)):
        parts.append("[")
        for index, item in enumerate(value):
            parts.append("," if index else "")
            _write(item, f"{pointer}/{index}", depth + 1, parts)
        parts.append("]")
    else:
        raise NotCanonical(pointer, "is not text, a whole number, true, false, null, a list or an object")


def _sorted_keys(value: dict[Any, Any], pointer: str) -> list[str]:
    for key in value:
        if not isinstance(key, str) or not key.isascii():
            raise NotCanonical(pointer, "has a key that is not ASCII")
    return sorted(value)


def _quoted(text: str, pointer: str) -> str:
    if not text.isascii() and any("\ud800" <= letter <= "\udfff" for letter in text):
        raise NotCanonical(pointer, "holds half a surrogate pair")
    return _ENCODER.encode(text)
