"""Places as entered, in words. A newer phone, or a broken one, may write a place in a way that nobody here reads."""

from __future__ import annotations

from typing import Any

from teamdive.boatlog import schema
from teamdive.boatlog.radio import position_words


def is_place(fix: Any) -> bool:
    """Whether it is a place as this version knows one, whatever the kind of entry that it stands in."""
    return not schema.problems(schema.ENTRY["$defs"]["fix"], fix, schema.ENTRY)


def place_words(fix: dict[str, Any]) -> str:
    """A place with how sure it is, and how old it was."""
    age = fix.get("age_s", 0)
    return f"{position_words(fix)}, within {fix['accuracy_m']} m" + (f", {age} s before" if age else "")
