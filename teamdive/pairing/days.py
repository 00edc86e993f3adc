"""Calendar arithmetic on plain integers, so that both languages agree to the day.

A day is the integer year x 10000 + month x 100 + day: 2027-06-12 is 20270612. Days compare as integers.
Gregorian calendar (ISO 8601).
"""

from __future__ import annotations

LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def month_length(year: int, month: int) -> int:
    """28 to 31."""
    leap = month == 2 and year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    return 29 if leap else LENGTHS[month - 1]


def months_later(day: int, months: int) -> int:
    """The same day of the month `months` later, or the last day of a shorter month."""
    year, month, date = day // 10000, day // 100 % 100, day % 100
    count = year * 12 + month - 1 + months
    year, month = count // 12, count % 12 + 1
    return year * 10000 + month * 100 + min(date, month_length(year, month))


def ordinal(day: int) -> int:
    """Days since 0000-03-01; only differences mean anything."""
    year, month, date = day // 10000, day // 100 % 100, day % 100
    if month < 3:
        year, month = year - 1, month + 12
    # 153 days in each run of five months from March: the usual way to count month lengths in integers.
    return year * 365 + year // 4 - year // 100 + year // 400 + (153 * (month - 3) + 2) // 5 + date


def days_between(earlier: int, later: int) -> int:
    """Whole days from `earlier` to `later`, negative when it is the other way round."""
    return ordinal(later) - ordinal(earlier)


def age(born: int, on: int) -> int:
    """Completed years on the day `on`; someone born on 29 February ages on 1 March in other years."""
    return on // 10000 - born // 10000 - (1 if on % 10000 < born % 10000 else 0)


def text(day: int) -> str:
    """2027-06-12."""
    return f"{day // 10000:04d}-{day // 100 % 100:02d}-{day % 100:02d}"
