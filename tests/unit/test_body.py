"""The strict reader of a body: each kind of field, right, absent, null and wrong."""

import pytest

from teamdive.calculations.body import Errors, Fields
from teamdive.calculations.problem import Problem, pointer

READS = {
    "number": (
        lambda f: f.number("x", 0, 10, "m"),
        [0, 10, 2.5],
        [-0.1, 10.1, True, "1", [], {}, float("nan"), float("inf")],
    ),
    "number above": (lambda f: f.number("x", 0, 10, above=True), [0.1, 10], [0, -1]),
    "integer": (lambda f: f.integer("x", 1, 5), [1, 5, 3.0], [0, 6, 2.5, False, "2"]),
    "text": (lambda f: f.text("x", 5), ["a", "12345", "\N{GRINNING FACE}" * 5], ["", "123456", 1, True]),
    "choice": (lambda f: f.choice("x", ("a", "b")), ["a", "b"], ["c", "", 1, True, []]),
    "array": (lambda f: f.array("x", 1, 2), [[1], [1, 2]], [[], [1, 2, 3], {}, "ab"]),
    "fields": (lambda f: f.fields("x").value, [{}, {"a": 1}], [[], 1, "x", True]),
    "list of fields": (
        lambda f: [g.value for g in f.list_of_fields("x", 1, 2)],
        [[{}], [{"a": 1}, {}]],
        [[1], [], {}, [{}, []]],
    ),
}
OPTIONAL = {
    "number": lambda f: f.number_or_none("x", 0, 10),
    "integer": lambda f: f.integer_or_none("x", 0, 10),
    "text": lambda f: f.text_or_none("x"),
    "choice": lambda f: f.choice_or_none("x", ("a", "b")),
    "flag": lambda f: f.flag_or_none("x"),
    "array": lambda f: f.array_or_none("x", 0, 3),
    "fields": lambda f: f.fields_or_none("x"),
    "list of fields": lambda f: f.list_of_fields_or_none("x", 0, 3),
}


def errors_of(read, body):
    errors = Errors()
    fields = Fields(errors, body)
    value = read(fields)
    fields.close()
    return value, [(e.pointer, e.code) for e in errors.found]


@pytest.mark.parametrize("kind", READS)
def test_required_fields(kind):
    read, right, wrong = READS[kind]
    for value in right:
        assert errors_of(read, {"x": value}) == (value, [])
    for value in wrong:
        _, found = errors_of(read, {"x": value})
        assert len(found) == 1
        assert found[0][0].startswith("/x")
        assert found[0][1] in ("wrong_type", "out_of_range", "not_one_of", "not_finite")
    for body in ({}, {"x": None}):
        assert errors_of(read, body)[1] == [("/x", "required")]


@pytest.mark.parametrize("kind", OPTIONAL)
def test_optional_fields_may_be_absent_or_null(kind):
    for body in ({}, {"x": None}):
        assert errors_of(OPTIONAL[kind], body) == (None, [])
    assert errors_of(OPTIONAL[kind], {"x": 5.5 if kind != "number" else "5"})[1] == [("/x", "wrong_type")]


def test_flag_is_false_when_absent():
    assert errors_of(lambda f: f.flag("x"), {}) == (False, [])
    assert errors_of(lambda f: f.flag("x"), {"x": True}) == (True, [])
    assert errors_of(lambda f: f.flag("x"), {"x": 1}) == (False, [("/x", "wrong_type")])


def test_every_unread_field_is_refused_by_name():
    found = errors_of(lambda f: f.number_or_none("x", 0, 1), {"x": 1, "a/b": 2, "~": 3})[1]
    assert found == [("/a~1b", "unknown_field"), ("/~0", "unknown_field")]


def test_what_is_no_object_has_one_error_only():
    assert errors_of(lambda f: (f.number("a", 0, 1), f.fields("b").number("c", 0, 1)), 5)[1] == [
        ("", "wrong_type")
    ]


def test_two_spellings_of_one_fact():
    assert errors_of(lambda f: (f.one_of_two("a", "b"), f.get("a"), f.get("b")), {"a": 1, "b": 2})[1] == [
        ("/b", "not_allowed")
    ]


def test_all_errors_are_raised_together():
    errors = Errors()
    fields = Fields(errors, {"a": "x", "c": 1}, "/dives/0")
    fields.number("a", 0, 1)
    fields.number("b", 0, 1)
    fields.close()
    with pytest.raises(Problem) as raised:
        errors.raise_if_any()
    problem = raised.value.as_json()
    assert [e["pointer"] for e in problem["errors"]] == ["/dives/0/a", "/dives/0/b", "/dives/0/c"]
    assert "Known here: a, b." in problem["errors"][2]["message"]
    assert problem["detail"].startswith("3 errors; the first is /dives/0/a: ")
    assert set(problem) == {"type", "title", "status", "detail", "errors"}  # RFC 9457 with one extension


def test_json_pointer_escapes():
    """RFC 6901, section 5: the pointers of its example document."""
    keys = ["", "a/b", "c%d", "e^f", "g|h", "i\\j", 'k"l', " ", "m~n"]
    printed = ["/", "/a~1b", "/c%d", "/e^f", "/g|h", "/i\\j", '/k"l', "/ ", "/m~0n"]
    assert [pointer("", key) for key in keys] == printed
    assert pointer("/foo", 0) == "/foo/0"
