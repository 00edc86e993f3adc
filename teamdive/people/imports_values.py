"""Reading one cell of a sheet: a value, or what is wrong with it and what to do. Pure.

A cell is what the sheet held: text, a number, a truth value or a date. Every reader returns a `Read`;
a value that was not exactly what was typed is always said in a note, and is taken on the careful side.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_DOWN, ROUND_UP, Decimal
from typing import Any

from .conversions import CUFT_IN_LITRES
from .imports_fields import ABOUT, EMPTY, NO, YES, Field, unit_named

Cell = str | int | float | bool | date | None

ERROR, QUESTION, NOTE = "error", "question", "note"

# What a sheet can hold of each kind, per unit: outside it is a slip of the pen, not a diver.
BOUNDS: dict[str, dict[str, tuple[Decimal, Decimal]]] = {
    "depth": {"m": (Decimal(1), Decimal(150)), "ft": (Decimal(3), Decimal(492))},
    "pressure": {"bar": (Decimal(50), Decimal(400)), "psi": (Decimal(700), Decimal(6000))},
    "volume": {"l": (Decimal("0.3"), Decimal(50)), "cuft": (Decimal(2), Decimal(300))},
    "rate": {"l/min": (Decimal(5), Decimal(100)), "cuft/min": (Decimal("0.17"), Decimal("3.5"))},
    "distance": {"m": (Decimal(0), Decimal(200)), "ft": (Decimal(0), Decimal(656))},
    "speed": {"kn": (Decimal(0), Decimal(10)), "m/s": (Decimal(0), Decimal(5))},
    "temperature": {"C": (Decimal(-3), Decimal(45)), "F": (Decimal(26), Decimal(113))},
}
OTHER_UNIT = {
    **{"m": "ft", "ft": "m", "l": "cuft", "cuft": "l", "bar": "psi", "psi": "bar"},
    **{"kn": "m/s", "m/s": "kn", "C": "F", "F": "C"},
}


@dataclass(frozen=True)
class Trouble:
    """One thing to say about one cell."""

    level: str
    code: str
    message: str
    remedy: str
    options: tuple[tuple[str, str], ...] = ()  # (what to put in the cell, how it reads)


@dataclass(frozen=True)
class Read:
    """What a cell holds: `value` is None where it is empty or cannot be taken."""

    value: Any = None
    troubles: tuple[Trouble, ...] = ()


def refused(code: str, message: str, remedy: str) -> Read:
    return Read(None, (Trouble(ERROR, code, message, remedy),))


def tidy(cell: Cell) -> str:
    """The cell as text: no-break spaces, double spaces and the quote that guards a formula removed."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return f"{cell:.10g}" if abs(cell) < 1e10 else str(cell)
    text = " ".join(str(cell).replace("\u00a0", " ").replace("\u200b", "").split())
    return text[1:] if len(text) > 1 and text[0] == "'" and text[1] in "=+-@" else text


def is_empty(cell: Cell) -> bool:
    return tidy(cell).casefold() in EMPTY


def number(text: str) -> Decimal | None:
    """A number with a decimal point or comma; spaces and apostrophes group thousands. None if it is none.

    >>> number("18,5"), number("1 200"), number("1.234,5")
    (Decimal('18.5'), Decimal('1200'), Decimal('1234.5'))
    """
    plain = text.replace(" ", "").replace("'", "").replace("\u202f", "")
    if "," in plain and "." in plain:
        thousands = "," if plain.rfind(".") > plain.rfind(",") else "."
        plain = plain.replace(thousands, "")
    plain = plain.replace(",", ".")
    if not re.fullmatch(r"-?\d{1,12}(\.\d{1,12})?", plain):
        return None
    return Decimal(plain)


def _without_about(text: str) -> tuple[str, bool]:
    lower = text.casefold()
    for word in ABOUT:
        if lower.startswith(word) and not lower[len(word) : len(word) + 1].isalpha():
            return text[len(word) :].strip(), True
    if lower.endswith("+"):
        return text[:-1].strip(), True
    return text, False


def read_text(cell: Cell, field: Field) -> Read:
    text = tidy(cell)
    longest = 2000 if field.field == "notes" else 120
    if len(text) > longest:
        return refused(
            "too_long", f"{field.label} has {len(text)} characters.", f"Shorten it to {longest} characters."
        )
    return Read(None if text.casefold() in EMPTY else text)


def read_email(cell: Cell, field: Field) -> Read:
    text = tidy(cell).removeprefix("mailto:").strip("<>; ").lower()
    if text in EMPTY:
        return Read()
    if (
        not re.fullmatch(r"[^@\s,;<>\"()]{1,64}@[a-z0-9-]+(\.[a-z0-9-]+)+", text)
        or ".." in text
        or len(text) > 254
    ):
        return refused(
            "not_an_email", f"“{text}” is not an e-mail address.", "Correct it, or empty the cell."
        )
    return Read(text)


def read_yes_no(cell: Cell, field: Field) -> Read:
    text = tidy(cell).casefold()
    if text in YES:
        return Read(True)
    if text in NO or text in EMPTY:
        return Read(False if text in NO else None)
    return Read(
        None,
        (
            Trouble(
                QUESTION,
                "yes_or_no",
                f"{field.label}: “{text}” is neither yes nor no.",
                "Say which it is.",
                (("yes", "yes"), ("no", "no")),
            ),
        ),
    )


def read_count(cell: Cell, field: Field) -> Read:
    text, about = _without_about(tidy(cell))
    if text.casefold() in EMPTY:
        return Read()
    if re.fullmatch(r"\d{1,3}([.,]\d{3})+", text):
        text = text.replace(".", "").replace(",", "")
    value = number(re.sub(r"\s*dives?$", "", text, flags=re.IGNORECASE))
    if value is None or value < 0 or value > 50_000 or value != value.to_integral_value():
        return refused(
            "not_a_count",
            f"{field.label}: “{text}” is not a whole number.",
            "Write a whole number, or empty the cell.",
        )
    notes = (
        (
            Trouble(
                NOTE,
                "about",
                f"{field.label}: “{tidy(cell)}” is taken as {value}.",
                "Write the exact number.",
            ),
        )
        if about
        else ()
    )
    return Read(int(value), notes)


_RANGE = re.compile(
    r"^(-?\d+(?:[.,]\d+)?)\s*([^\d\s-][^\d-]*)?\s*(?:-|\u2013|\u2014|to)\s*(\d+(?:[.,]\d+)?)(\D.*)?$"
)


def _careful_of_range(text: str, field: Field) -> tuple[str, bool]:
    """`18-20 m` as the end of it that claims less, where the field has such an end."""
    found = _RANGE.match(text) if field.careful_end in {"least", "most"} else None
    if found is None or (found[2] and found[4] and found[2].strip() != found[4].strip()):
        return text, False
    one, two = number(found[1]), number(found[3])
    if one is None or two is None:
        return text, False
    chosen = min(one, two) if field.careful_end == "least" else max(one, two)
    return f"{chosen:f} {(found[4] or found[2] or '').strip()}".strip(), True


_QUANTITY = re.compile(r"^(-?[\d][\d.,]*)\s*([^\d].*)?$")


def read_quantity(cell: Cell, field: Field, unit: str | None) -> Read:
    """(number, unit) of a depth, pressure, volume or rate; a unit inside the cell goes before the column's."""
    text, about = _without_about(tidy(cell))
    if text.casefold() in EMPTY:
        return Read()
    text, ranged = _careful_of_range(text, field)
    found = _QUANTITY.match(text)
    value = number(found[1]) if found else None
    if found is None or value is None:
        return refused(
            "not_a_number",
            f"{field.label}: “{text}” is not a number with a unit.",
            f"Write a number and its unit ({' or '.join(field.units)}), or empty the cell.",
        )
    said = (found[2] or "").strip()
    own = unit_named(field.takes, said) if said else unit
    if own is None and said:
        return refused(
            "unit_not_known",
            f"{field.label}: “{said}” is no unit known here.",
            f"Write {' or '.join(field.units)} after the number.",
        )
    shown = f"{value.normalize():f}"
    if own is None:
        return _which_unit(field, shown, "The unit of this column is not chosen.", field.units)
    least, most = (field.usual or {}).get(own, (None, None))
    if not said and ((most is not None and value > most) or (least is not None and value < least)):
        return _which_unit(field, shown, f"{shown} {own} is unusual.", (OTHER_UNIT[own], own))
    low, high = BOUNDS[field.takes][own]
    if not low <= value <= high:
        return refused(
            "out_of_range",
            f"{field.label}: {shown} {own} is not between {low:f} and {high:f} {own}.",
            "Correct the number or its unit.",
        )
    notes = (
        (
            Trouble(
                NOTE,
                "about",
                f"{field.label}: “{tidy(cell)}” is taken as {shown} {own}.",
                "Write the exact number.",
            ),
        )
        if about or ranged
        else ()
    )
    return Read((value, own), notes)


def _which_unit(field: Field, shown: str, why: str, units: tuple[str, ...]) -> Read:
    options = tuple((f"{shown} {u}", f"{shown} {u}") for u in units)
    trouble = Trouble(QUESTION, "unit_unclear", f"{field.label}: {why}", "Say which unit is meant.", options)
    return Read(None, (trouble,))


def hundredths(value: Decimal) -> int:
    """A depth in whole hundredths of its unit, rounded down: no certification or experience is made deeper."""
    return int((value * 100).to_integral_value(ROUND_DOWN))


def litres_a_minute(value: Decimal, unit: str) -> Decimal:
    """An RMV in l/min, rounded up: nobody is made to breathe less."""
    litres = value * CUFT_IN_LITRES if unit == "cuft/min" else value
    return litres.quantize(Decimal("0.01"), ROUND_UP)


_TWO = re.compile(r"^(?:2\s*[x*\u00d7]|twin\s+|double\s+)\s*(.+)$", re.IGNORECASE)
_WITH_PRESSURE = re.compile(
    r"^(.*?[\d.,]+\s*[a-z. ³]*?)\s*(?:/|@|,|at|\s)\s*(\d{3,4})\s*(bar|psi)\.?$", re.IGNORECASE
)


def read_cylinder(cell: Cell, field: Field, unit: str | None) -> Read:
    """{"volume", "unit", "pressure", "pressure_unit"}: `12 l`, `12L/232 bar`, `80 cuft 3000 psi`, `2x7 l`."""
    text = tidy(cell)
    if text.casefold() in EMPTY:
        return Read()
    pressure = _WITH_PRESSURE.match(text)
    joined = _TWO.match(pressure[1] if pressure else text)
    read = read_quantity(joined[1] if joined else (pressure[1] if pressure else text), field, unit)
    if read.value is None:
        return read
    value, own = read.value
    notes = read.troubles
    if joined:
        value *= 2
        shown = f"{value.normalize():f} {own}"
        message = f"{field.label}: “{text}” is taken as two joined cylinders of {shown} together."
        notes += (Trouble(NOTE, "joined_cylinders", message, "Write the volume of all together."),)
    return Read(
        {
            "volume": value,
            "unit": own,
            "pressure": int(pressure[2]) if pressure else None,
            "pressure_unit": pressure[3].lower() if pressure else "",
        },
        notes,
    )
