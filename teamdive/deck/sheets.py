"""The record on paper and as a table: every entry in words a reader of the log knows, roll calls first."""

from __future__ import annotations

import csv
import io
import json
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from teamdive.boatlog.corrections import INSTANTS, moved
from teamdive.people.exports import neutral

from . import written
from .instants import clock_words
from .places import is_place, place_words
from .record import AsKnown

COLUMNS = (
    "position", "happened", "received", "kind", "about", "by", "phone", "details", "words", "corrects",
    "trouble", "entry", "hash",
)  # fmt: skip


def names_of(known: AsKnown, labels: dict[str, str]) -> dict[str, str]:
    """What everybody and everything in the log is called, those included who came along on the way."""
    words = words_of(known)
    joined = {
        item["entry"]["subject"]: words[item["entry"]["id"]]
        for item in known.entries
        if item["entry"]["kind"] == "joined" and item["entry"]["id"] in words
    }
    return {**labels, **joined, **known.names}


def words_of(known: AsKnown) -> dict[str, str]:
    """The words beside the log by the entry that they belong to; erased ones say so."""
    return {text["entry"]: text.get("text", "(erased)") for text in known.texts}


def rows(known: AsKnown, zone: str, labels: dict[str, str]) -> list[dict[str, str]]:
    """One row of text an entry, names in place of ids, times in the trip's zone."""
    words, names = words_of(known), names_of(known, labels)
    places = {item["entry"]["id"]: item["position"] for item in known.entries}
    return [
        {
            "position": str(item["position"]),
            "happened": clock_words(item["happened_at"], zone),
            "received": item["received_at"].astimezone(ZoneInfo(zone)).strftime("%Y-%m-%d %H:%M:%S"),
            "kind": item["entry"]["kind"].replace("_", " "),
            "about": names.get(item["entry"]["subject"], item["entry"]["subject"]),
            "by": _by(item["entry"]["by"], names),
            "phone": labels.get(item["entry"]["device"], item["entry"]["device"]),
            "details": _details(item, places, names, zone),
            "words": words.get(item["entry"]["id"], ""),
            "corrects": item["entry"].get("corrects", ""),
            "trouble": ", ".join(item["trouble"]).replace("_", " "),
            "entry": item["entry"]["id"],
            "hash": item["entry"]["hash"],
        }
        for item in known.entries
    ]


def table(known: AsKnown, zone: str, labels: dict[str, str]) -> str:
    """CSV (RFC 4180) with one line an entry; no cell runs as a formula."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    writer.writeheader()
    for row in rows(known, zone, labels):
        writer.writerow({name: neutral(value) for name, value in row.items()})
    return "\ufeff" + out.getvalue()


def page(known: AsKnown, title: str, zone: str, labels: dict[str, str]) -> SafeString:
    """A page to print: who is not accounted for, the record of counts, that of dives, then the whole log."""
    told, names, words = rows(known, zone, labels), names_of(known, labels), words_of(known)
    moment = known.at.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%d %H:%M")
    return format_html(
        _PAGE,
        title=title,
        moment=moment,
        zone=zone,
        position=known.position,
        set_hash=known.set_hash,
        presence=_presence(known, names),
        counts=_lines(written.counts(known, names, words, zone), written.COUNTS),
        dives=_lines(written.dives(known, names, zone), written.DIVES),
        log=_lines(
            told, ("position", "happened", "kind", "about", "by", "phone", "details", "words", "trouble")
        ),
    )


def _presence(known: AsKnown, names: dict[str, str]) -> str:
    """Who was not accounted for; where several boats go with each that they may be on."""
    if known.state is None:
        return "The trip had not been made ready."
    if not known.entries:
        return "Nothing had been entered."
    missing = known.state["departure"]["not_accounted_for"]
    if not missing:
        return "Everyone was accounted for."
    told = []
    for person in missing:
        boats = " or ".join(names.get(boat, boat) for boat in known.state["people"][person]["boats"])
        told.append(names.get(person, person) + (f" ({boats})" if boats else ""))
    return f"Not accounted for: {', '.join(told)}."


def _lines(told: list[dict[str, str]], columns: tuple[str, ...]) -> SafeString:
    if not told:
        return format_html("<p>{}</p>", "None.")
    head = format_html_join("", "<th>{}</th>", ((name[:1].upper() + name[1:],) for name in columns))
    body = format_html_join(
        "",
        "<tr>{}</tr>",
        ((format_html_join("", "<td>{}</td>", ((row[name],) for name in columns)),) for row in told),
    )
    return format_html("<table><thead><tr>{}</tr></thead><tbody>{}</tbody></table>", head, body)


def _by(person: str | None, names: dict[str, str]) -> str:
    return "" if person is None else f"{names.get(person, person)} (said to be)"


def _put_right(item: dict[str, Any]) -> dict[str, Any]:
    """What an entry says, its times by the log's clock like the one in the first column."""
    entry = item["entry"]
    return moved(entry["data"], item["happened_at"] - entry["at"])


def _details(item: dict[str, Any], places: dict[str, int], names: dict[str, str], zone: str) -> str:
    told = [_said(key, value, names, zone) for key, value in _put_right(item).items()]
    corrected = item["entry"].get("corrects")
    if corrected is not None:
        told.insert(0, f"corrects entry {places.get(corrected, 'not here yet')}")
    return "; ".join(told)


def _said(key: str, value: Any, names: dict[str, str], zone: str) -> str:
    if key == "fix" and value is None:
        return "no fix"
    if key == "fix" and is_place(value):
        return f"position: {place_words(value)}"
    if key in INSTANTS and isinstance(value, int):
        return f"{key.replace('_', ' ')}: {clock_words(value, zone)}"
    for ending, (parts, unit) in _MEASURES.items():
        if key.endswith(ending) and isinstance(value, int):
            return f"{key.removesuffix(ending).replace('_', ' ')}: {value / parts:g} {unit}"
    return f"{key.replace('_', ' ')}: {_told(value, names)}"


_MEASURES = {
    "_tenths_kn": (10, "kn"),
    "_kn": (1, "kn"),
    "_tenths_c": (10, "°C"),
    "_cm": (100, "m"),
    "_deg": (1, "degrees"),
    "_time_s": (60, "min"),
    "_pm": (10, "%"),
}


def _told(value: Any, names: dict[str, str]) -> str:
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return names.get(value, value).replace("_", " ")
    if isinstance(value, list):
        return ", ".join(_told(item, names) for item in value)
    if (
        isinstance(value, dict)
        and set(value) == {"unit", "hundredths"}
        and isinstance(value["hundredths"], int)
    ):
        return f"{value['hundredths'] / 100:g} {value['unit']}"
    if isinstance(value, dict) and set(value) == {"unit", "value"}:
        return f"{value['value']} {value['unit']}"
    if isinstance(value, dict):
        return ", ".join(f"{key.replace('_', ' ')} {_told(item, names)}" for key, item in value.items())
    return json.dumps(value)


_PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Boat log: {title}</title>
<style>
body {{ font: 14px/1.4 system-ui, sans-serif; margin: 24px; color: #000; background: #fff }}
h1 {{ font-size: 22px; margin: 0 0 4px }} h2 {{ font-size: 17px; margin: 24px 0 6px }}
table {{ border-collapse: collapse; width: 100% }} thead {{ display: table-header-group }}
th, td {{ border: 1px solid #777; padding: 3px 6px; text-align: left; vertical-align: top; overflow-wrap: anywhere }}
td {{ min-width: 5.5em }}
tr {{ break-inside: avoid }} .sign {{ table-layout: fixed }}
.sign td {{ height: 34px }} small {{ color: #333; overflow-wrap: anywhere }}
@page {{ size: A4 landscape; margin: 12mm }}
</style></head><body><main>
<h1>Boat log: {title}</h1>
<p>As known on {moment} ({zone}), up to entry {position}. <b>{presence}</b></p>
<h2>Counts and departures</h2>{counts}
<table class="sign"><tr><td>Counted by (name, signature)</td><td></td>
<td>Counted by (name, signature)</td><td></td></tr></table>
<h2>Dives</h2>{dives}
<h2>Every entry</h2>{log}
<p><small>Set of entries, SHA-256: {set_hash}. Nothing in it was edited or deleted; a correction is an entry of its own.
This record does not replace the one that your local law asks for.</small></p>
</main>
</body></html>"""
