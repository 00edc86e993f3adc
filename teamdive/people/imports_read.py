"""A file as a table of cells: encoding, delimiter and header line are worked out, nothing is judged.

CSV goes through the standard library, whose line numbers are the file's own; XLSX through openpyxl with a
bound on rows and columns. (tablib, which stands on both, drops blank lines, refuses a row longer than the
first, and walks every cell of a sheet whose only cell is in its last corner.)
"""

from __future__ import annotations

import csv
import io
import zipfile
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from openpyxl import load_workbook

from .imports_fields import Fields
from .imports_values import tidy

MOST_BYTES = 5 * 1024 * 1024
MOST_UNPACKED_BYTES = 60 * 1024 * 1024
MOST_ROWS = 5_000
MOST_COLUMNS = 60
MOST_CHARACTERS = 4_000
DELIMITERS = (";", ",", "\t", "|")
HEADER_WITHIN = 15


class NotReadable(Exception):
    """The file cannot be read as a table: `code` for programs, the text and its remedy for people."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message


@dataclass(frozen=True)
class Table:
    """A header and the rows below it, each with its number in the file (first line: 1)."""

    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[Any, ...]], ...]
    read_as: dict[str, Any]

    def as_json(self) -> dict[str, Any]:
        """For keeping in the database; dates are marked so that they come back as dates."""
        rows = [
            [n, [{"on": c.isoformat()} if isinstance(c, date) else c for c in row]] for n, row in self.rows
        ]
        return {"header": list(self.header), "rows": rows, "read_as": self.read_as}

    @classmethod
    def from_json(cls, kept: dict[str, Any]) -> Table:
        rows = tuple(
            (n, tuple(date.fromisoformat(c["on"]) if isinstance(c, dict) else c for c in row))
            for n, row in kept["rows"]
        )
        return cls(tuple(kept["header"]), rows, kept["read_as"])


def read_table(content: bytes, name: str, fields: Fields) -> Table:
    """The table of a CSV or XLSX file, told apart by its content; its header names fields. Raises NotReadable."""
    if not content.strip():
        raise NotReadable("empty_file", f"{name} is empty. Choose the file again.")
    if len(content) > MOST_BYTES:
        raise NotReadable(
            "file_too_large",
            f"{name} is larger than {MOST_BYTES // 1024 // 1024} MB. Save only the sheet that is needed.",
        )
    if content[:4] == b"PK\x03\x04":
        lines, read_as = _xlsx(content, name, fields)
    elif content[:4] == b"\xd0\xcf\x11\xe0":
        raise NotReadable(
            "old_spreadsheet", f"{name} is an old spreadsheet (.xls). Save it as .xlsx or .csv."
        )
    else:
        lines, read_as = _csv(content, name, fields)
    return _table(lines, read_as, name, fields)


def _csv(content: bytes, name: str, fields: Fields) -> tuple[list[tuple[int, list[Any]]], dict[str, Any]]:
    text, encoding = _decode(content, name)
    delimiter = _delimiter(text, fields)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    lines: list[tuple[int, list[Any]]] = []
    started = 1
    try:
        for row in reader:
            lines.append((started, list(row)))
            started = reader.line_num + 1
            if len(lines) > MOST_ROWS + HEADER_WITHIN:
                break
    except csv.Error as error:
        raise NotReadable(
            "not_a_table",
            f"{name} cannot be read at line {reader.line_num} ({error}). Save it again as CSV or XLSX.",
        ) from error
    return lines, {"format": "csv", "encoding": encoding, "delimiter": delimiter, "sheet": None}


def _decode(content: bytes, name: str) -> tuple[str, str]:
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encodings = ["utf-16"]
    elif b"\x00" in content[:4096]:
        raise NotReadable("not_a_table", f"{name} is neither CSV nor XLSX. Save it as one of them.")
    else:
        encodings = ["utf-8-sig", "cp1252", "latin-1"]
    for encoding in encodings:
        try:
            return content.decode(encoding), "utf-8" if encoding == "utf-8-sig" else encoding
        except UnicodeDecodeError:
            continue
    raise NotReadable(
        "not_text", f"The letters of {name} cannot be read. Save it as CSV in UTF-8, or as XLSX."
    )


def _delimiter(text: str, fields: Fields) -> str:
    """The delimiter whose first lines hold most header words; then the most fields a line, evenly."""
    sample = text[:64_000]

    def score(delimiter: str) -> tuple[int, int]:
        try:
            rows = [
                row for row in csv.reader(io.StringIO(sample, newline=""), delimiter=delimiter) if any(row)
            ][:30]
        except csv.Error:
            return 0, 0
        widths = sorted(len(row) for row in rows)
        return _best_header(rows, fields), widths[len(widths) // 2] if widths else 0

    return max(DELIMITERS, key=score)


def _xlsx(content: bytes, name: str, fields: Fields) -> tuple[list[tuple[int, list[Any]]], dict[str, Any]]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as parts:
            unpacked = sum(part.file_size for part in parts.infolist())
        if unpacked > MOST_UNPACKED_BYTES:
            raise NotReadable(
                "file_too_large", f"{name} unpacks to too much. Save only the sheet that is needed."
            )
        sheets = [
            (sheet.title, _cells(sheet)) for sheet in load_workbook(io.BytesIO(content), True, data_only=True)
        ]
    except NotReadable:
        raise
    except Exception as error:  # openpyxl raises whatever the broken part provokes
        raise NotReadable(
            "not_a_table", f"{name} is not a spreadsheet that can be read. Save it again as XLSX or CSV."
        ) from error
    title, lines = max(sheets, key=lambda sheet: _best_header([row for _, row in sheet[1]], fields))
    return lines, {"format": "xlsx", "encoding": None, "delimiter": None, "sheet": title}


def _cells(sheet: Any) -> list[tuple[int, list[Any]]]:
    rows = sheet.iter_rows(max_row=MOST_ROWS + HEADER_WITHIN + 1, max_col=MOST_COLUMNS + 1, values_only=True)
    return [(number, list(row)) for number, row in enumerate(rows, start=1)]


def _best_header(rows: list[list[Any]], fields: Fields) -> int:
    return max((_known(row, fields) for row in rows[:HEADER_WITHIN]), default=0)


def _known(row: Any, fields: Fields) -> int:
    return sum(1 for cell in row if isinstance(cell, str) and fields.guess(cell)[0])


def _table(lines: list[tuple[int, list[Any]]], read_as: dict[str, Any], name: str, fields: Fields) -> Table:
    filled = [(n, row) for n, row in lines if any(tidy(cell) for cell in row)]
    if not filled:
        raise NotReadable("empty_file", f"{name} has no filled row. Choose the file again.")
    head = max(range(min(HEADER_WITHIN, len(filled))), key=lambda i: (_known(filled[i][1], fields), -i))
    header = [tidy(cell)[:120] for cell in filled[head][1]]
    while header and not header[-1]:
        header.pop()
    body = filled[head + 1 :]
    if not body:
        raise NotReadable("no_rows", f"{name} has a header but no rows below it. Choose the file again.")
    if len(body) > MOST_ROWS:
        raise NotReadable("too_many_rows", f"{name} has more than {MOST_ROWS} rows. Split it.")
    if len(header) > MOST_COLUMNS:
        raise NotReadable("too_many_columns", f"{name} has more than {MOST_COLUMNS} columns. Leave some out.")
    for number, row in body:
        if any(isinstance(cell, str) and len(cell) > MOST_CHARACTERS for cell in row):
            raise NotReadable(
                "cell_too_long", f"Row {number} of {name} has a cell of over {MOST_CHARACTERS} letters."
            )
    return Table(
        tuple(header),
        tuple((number, tuple(_plain(cell) for cell in _cut(row, len(header)))) for number, row in body),
        {**read_as, "header_row": filled[head][0]},
    )


def _cut(row: list[Any], width: int) -> list[Any]:
    """The row without empty cells past the header; a filled one stays, to be shown as a problem."""
    row = list(row)
    while len(row) > width and not tidy(row[-1]):
        row.pop()
    return row


def _plain(cell: Any) -> Any:
    if isinstance(cell, datetime):
        return cell.date()
    if cell is None or isinstance(cell, str | bool | int | float | date):
        return cell
    return str(cell)
