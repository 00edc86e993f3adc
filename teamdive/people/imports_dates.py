"""Reading a date of a sheet in one of the usual forms; what is not whole is taken on the careful side. Pure."""

from __future__ import annotations

import re
from datetime import date, timedelta

from .imports_fields import EMPTY, MONTHS, Field
from .imports_values import NOTE, QUESTION, Cell, Read, Trouble, number, refused, tidy

FIRST_EXCEL_DAY, LAST_EXCEL_DAY = 10_000, 80_000
EXCEL_EPOCH = date(1899, 12, 30)

_ISO = re.compile(r"^(\d{4})[-./](\d{1,2})[-./](\d{1,2})(?:[T ].*)?$")
_NUMBERS = re.compile(r"^(\d{1,2})([-./ ])\s?(\d{1,2})\2\s?(\d{4}|\d{2})$")
_DAY_MONTH = re.compile(r"^(\d{1,2})(?:st|nd|rd|th)?[-./ ]+([a-z]+)\.?,?[-./ ]+(\d{4}|\d{2})$")
_MONTH_DAY = re.compile(r"^([a-z]+)\.?[-./ ]+(\d{1,2})(?:st|nd|rd|th)?,?[-./ ]+(\d{4}|\d{2})$")
_MONTH_YEAR = re.compile(r"^([a-z]+)\.?,?[-./ ]*'?(\d{4}|\d{2})$")
_NUMBER_YEAR = re.compile(r"^(\d{1,2})[-./](\d{4})$")
_YEAR = re.compile(r"^(19|20)\d{2}$")


def day_or_month(text: str) -> tuple[int, int] | None:
    """The two first numbers of a date written with slashes or hyphens, whose order could be either."""
    found = _NUMBERS.match(text)
    return (int(found[1]), int(found[3])) if found and found[2] in "/-" else None


def read_date(cell: Cell, field: Field, order: str | None, on: date) -> Read:
    """A date in one of the usual forms; `order` (day_first, month_first) settles 05/12/2026; `on` is today."""
    if isinstance(cell, date):
        return _checked(cell, field, on, ())
    text = tidy(cell)
    if text.casefold() in EMPTY:
        return Read()
    lower = text.casefold()
    if found := _ISO.match(lower):
        return _exact(int(found[1]), int(found[2]), int(found[3]), text, field, on)
    if found := _NUMBERS.match(lower):
        return _from_numbers(found, text, field, order, on)
    if (found := _DAY_MONTH.match(lower)) and found[2] in MONTHS:
        return _exact(_year(found[3], field, on), MONTHS[found[2]], int(found[1]), text, field, on)
    if (found := _MONTH_DAY.match(lower)) and found[1] in MONTHS:
        return _exact(_year(found[3], field, on), MONTHS[found[1]], int(found[2]), text, field, on)
    if _YEAR.match(lower):
        return _partial(date(int(lower), 1, 1), date(int(lower), 12, 31), text, field, on)
    if (found := _MONTH_YEAR.match(lower)) and found[1] in MONTHS:
        return _month(_year(found[2], field, on), MONTHS[found[1]], text, field, on)
    if (found := _NUMBER_YEAR.match(lower)) and 1 <= int(found[1]) <= 12:
        return _month(int(found[2]), int(found[1]), text, field, on)
    serial = number(lower)
    if serial is not None and FIRST_EXCEL_DAY <= serial <= LAST_EXCEL_DAY:
        day = EXCEL_EPOCH + timedelta(days=int(serial))
        message = f"{field.label}: {text} is a spreadsheet's day number, taken as {day.isoformat()}."
        return _checked(
            day, field, on, (Trouble(NOTE, "day_number", message, "Format the column as a date."),)
        )
    return _no_date(text, field)


def _no_date(text: str, field: Field) -> Read:
    return refused(
        "not_a_date", f"{field.label}: “{text}” is not a date.", "Write it as 2026-05-12, or empty the cell."
    )


def _year(text: str, field: Field, on: date) -> int:
    """Two digits: the coming years only where the field looks ahead, else the latest year that is past."""
    if len(text) == 4:
        return int(text)
    year = on.year // 100 * 100 + int(text)
    ahead = 20 if field.field == "fitness_until" else 0
    return year - 100 if year > on.year + ahead else year


def _from_numbers(found: re.Match[str], text: str, field: Field, order: str | None, on: date) -> Read:
    first, second, year = int(found[1]), int(found[3]), _year(found[4], field, on)
    if found[2] == "." or found[2] == " ":  # dotted dates are written day first (common practice, no source)
        return _exact(year, second, first, text, field, on)
    if first > 12 or second > 12 or first == second:
        day, month = (first, second) if first >= second else (second, first)
        read = _exact(year, month, day, text, field, on)
        expected = {"day_first": first, "month_first": second}.get(order or "", day)
        if expected != day and read.value:
            message = f"{field.label}: “{text}” can only be {read.value.isoformat()}, unlike the rest of its column."
            return Read(read.value, (*read.troubles, Trouble(NOTE, "other_order", message, "Check it.")))
        return read
    if order is None:
        options = []
        for month, day in ((second, first), (first, second)):
            when = date(year, month, day)
            options.append((when.isoformat(), f"{when.day} {when:%B} {when.year}"))
        message = f"{field.label}: “{text}” can be read in two ways."
        trouble = Trouble(
            QUESTION, "date_order", message, "Say which it is, or set the column's order.", tuple(options)
        )
        return Read(None, (trouble,))
    day, month = (first, second) if order == "day_first" else (second, first)
    return _exact(year, month, day, text, field, on)


def _exact(year: int, month: int, day: int, text: str, field: Field, on: date) -> Read:
    try:
        when = date(year, month, day)
    except ValueError:
        return _no_date(text, field)
    return _checked(when, field, on, ())


def _month(year: int, month: int, text: str, field: Field, on: date) -> Read:
    first = date(year, month, 1)
    last = date(year + month // 12, month % 12 + 1, 1) - timedelta(days=1)
    return _partial(first, last, text, field, on)


def _partial(first: date, last: date, text: str, field: Field, on: date) -> Read:
    when = last if field.careful_end == "latest" else first
    message = f"{field.label}: “{text}” is not a whole date; taken as {when.isoformat()}, the careful side."
    notes = (Trouble(NOTE, "part_of_a_date", message, "Write the whole date."),)
    # As late as it can be may be still to come: only its beginning is asked to be past.
    judged = _checked(first if field.field != "born" else when, field, on, notes)
    return judged if judged.value is None else Read(when, notes)


def _checked(when: date, field: Field, on: date, notes: tuple[Trouble, ...]) -> Read:
    if field.field == "born" and not 5 <= (on - when).days / 365.25 <= 110:
        return refused(
            "unlikely_birth_date", f"Born {when.isoformat()}: that age cannot be right.", "Correct the date."
        )
    if field.past and when > on:
        return refused(
            "in_the_future",
            f"{field.label}: {when.isoformat()} has not come yet.",
            "Correct it, or empty the cell.",
        )
    if field.field == "fitness_until" and not 1950 <= when.year <= on.year + 30:
        return refused(
            "unlikely_date", f"{field.label}: {when.isoformat()} cannot be right.", "Correct the date."
        )
    return Read(when, notes)
