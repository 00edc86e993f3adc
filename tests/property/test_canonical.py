"""The quick way to canonical text gives the same text, or the same refusal, as the plain walk over the value."""

from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from teamdive.boatlog.canonical import LARGEST, NotCanonical, _write, canonical

SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(2**54), 2**54),
    st.floats(),
    st.text(st.characters(codec=None)),
    st.text('aé\ud800"\\\n\u2028', max_size=4),
)
KEYS = st.one_of(st.text('abz."\\', max_size=3), st.text("aé", max_size=2), st.integers(0, 3), st.booleans())
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)


def walked(value: Any) -> str:
    parts: list[str] = []
    _write(value, "", 0, parts)
    return "".join(parts)


def outcome(work: Any, value: Any) -> Any:
    try:
        return work(value)
    except NotCanonical as refused:
        return (refused.pointer, refused.message)


def nested(depth: int) -> Any:
    value: Any = {}
    for _ in range(depth):
        value = [value]
    return value


@given(VALUES)
@example({"a": (1, 2)})
@example({"a": LARGEST, "b": -LARGEST})
@example({"a": LARGEST + 1})
@example({"a": 1.0})
@example({"a": float("nan")})
@example({1: 2})
@example({"b": {"a": True, "A": None}, "a": ["1.5", "1e5"]})
@example(nested(31))
@example(nested(32))
@example(nested(33))
def test_quick_and_plain_agree(value: Any) -> None:
    assert outcome(canonical, value) == outcome(walked, value)


@pytest.mark.parametrize("depth", [40, 100_000])
def test_what_is_nested_too_deep_is_refused_by_its_place(depth: int) -> None:
    with pytest.raises(NotCanonical, match="nested deeper"):
        canonical(nested(depth))
