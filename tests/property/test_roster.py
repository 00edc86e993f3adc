"""Whatever a file holds, the roster import reads it or says why not; and what it read it reads again the same."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from teamdive.people.exports import neutral
from teamdive.people.imports_columns import guess_columns
from teamdive.people.imports_dates import read_date
from teamdive.people.imports_fields import FIELDS, ROSTER_FIELDS
from teamdive.people.imports_preview import Choices, counts, preview_rows, rows_shown
from teamdive.people.imports_read import NotReadable, Table, read_table
from teamdive.people.imports_values import hundredths, number, tidy
from teamdive.people.rules import certified_in

ON = date(2026, 11, 25)
NOTHING = Choices.from_json({})
CELLS = st.one_of(
    st.text(max_size=30),
    st.sampled_from(
        [
            "",
            " ",
            "18m",
            "60 ft",
            "12,5",
            "05/12/2026",
            "May 2025",
            "45678",
            "=1+1",
            "yes",
            "?",
            "a@b.example",
            "2x7 l",
        ]
    ),
    st.dates().map(lambda d: f"{d:%d.%m.%Y}"),
    st.decimals(allow_nan=False, allow_infinity=False, places=2).map(str),
)
slow = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@slow
@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused_with_a_remedy(content):
    try:
        table = read_table(content, "file.csv", ROSTER_FIELDS)
    except NotReadable as refused:
        assert refused.code and refused.message.endswith(".")
    else:
        preview_rows(table, guess_columns(table, ROSTER_FIELDS), NOTHING, [], ON)


@slow
@given(
    st.lists(st.sampled_from([f.label for f in FIELDS.values()]), min_size=1, max_size=8, unique=True),
    st.lists(st.lists(CELLS, max_size=10), min_size=1, max_size=8),
)
def test_every_row_has_one_action_and_every_problem_a_remedy(labels, rows):
    file = io.StringIO()
    csv.writer(file, delimiter=";").writerows([labels, *rows])
    try:
        table = read_table(file.getvalue().encode("utf-8", "replace"), "file.csv", ROSTER_FIELDS)
    except NotReadable:
        return
    kept = Table.from_json(table.as_json())
    assert kept == table, "what is kept between two requests is what was read"
    columns = [replace(column, confirmed=True) for column in guess_columns(table, ROSTER_FIELDS)]
    seen = preview_rows(table, columns, NOTHING, [], ON)
    assert [row.record.row for row in seen] == [n for n, _ in table.rows]
    shown = rows_shown(seen)
    for row in shown:
        blocking = [p for p in row["problems"] if p["level"] != "note"]
        assert all(p["message"] and p["remedy"] for p in row["problems"])
        assert (row["action"] == "blocked") == bool(blocking)
    assert sum(counts(seen)[a] for a in ("new", "change", "same", "leave_out", "blocked")) == len(seen)


@given(st.decimals(min_value=0, max_value=10_000, places=2))
def test_a_number_reads_the_same_with_point_and_comma(value):
    assert number(f"{value:f}") == number(f"{value:f}".replace(".", ",")) == value


@given(
    st.dates(min_value=date(1950, 1, 1), max_value=ON),
    st.sampled_from(["%Y-%m-%d", "%d.%m.%Y", "%d %B %Y", "%b %d, %Y"]),
)
def test_a_whole_date_reads_as_itself_in_every_form(day, form):
    read = read_date(f"{day:{form}}", FIELDS["last_dive"], None, ON)
    assert read.value == day and not read.troubles


@given(st.dates(min_value=date(1950, 1, 13), max_value=ON), st.booleans())
def test_an_order_once_chosen_reads_every_date_of_its_column(day, day_first):
    text = f"{day:%d/%m/%Y}" if day_first else f"{day:%m/%d/%Y}"
    read = read_date(text, FIELDS["last_dive"], "day_first" if day_first else "month_first", ON)
    assert read.value == day


@given(st.integers(min_value=100, max_value=15_000), st.sampled_from(["m", "ft"]))
def test_a_certified_depth_never_grows_by_conversion_but_for_the_three_that_are_equal(depth, unit):
    other = "ft" if unit == "m" else "m"
    there = certified_in(depth, unit, other)
    foot = Fraction(30643, 100_000)  # US Navy Diving Manual: 1 fsw = 0.30643 msw; a depth is a gauge depth
    exact = depth * foot if unit == "ft" else depth / foot
    equal = {("m", 1800), ("m", 3000), ("m", 4000), ("ft", 6000), ("ft", 10_000), ("ft", 13_000)}
    assert there <= exact or (unit, depth) in equal
    assert certified_in(depth, unit, unit) == depth


@given(st.text(max_size=20))
def test_no_cell_leaves_as_a_formula_and_comes_back_as_it_was(text):
    out = neutral(tidy(text))
    assert not out.startswith(("=", "+", "-", "@"))
    assert tidy(out) == tidy(tidy(text))


@given(st.decimals(min_value=1, max_value=200, places=4))
def test_a_depth_is_never_made_deeper(value):
    assert Decimal(hundredths(value)) / 100 <= value
