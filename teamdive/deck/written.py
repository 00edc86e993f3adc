"""The written records of counts and of dives in words: what published practice asks for, for the page to print."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .instants import clock_words
from .record import AsKnown

COUNTS = ("time", "what", "words")
DIVES = (
    "dive", "place", "diver", "with", "left surface", "surfaced", "minutes", "deepest in the team", "computer read",
    "entered by", "incident or discomfort",
)  # fmt: skip
_HOW = {"answered": "each answered", "signed": "each signed", "tag": "by tags", "seen": "by eye"}
_PLACES = {"port": "port", "site": "the site", "other": "another place"}
_TOLD = {
    "ascended_too_fast": "came up too fast",
    "stop_missed": "missed a stop",
    "symptoms_asked": "not well",
    "held_from_diving": "held from diving",
    "incident": "incident",
    "oxygen_started": "given oxygen",
}
_MINUTE_MS = 60_000


def counts(
    known: AsKnown, names: Mapping[str, str], words: Mapping[str, str], zone: str
) -> list[dict[str, str]]:
    """The counts with who counted whom and how, what differed, who came and went, who let the boat leave."""
    return [
        {
            "time": "" if line["at"] is None else clock_words(line["at"], zone),
            "what": ("" if line["boat"] is None else f"{_who([line['boat']], names)}: ")
            + _count(line, names),
            "words": words.get(line["entry"], ""),
        }
        for line in known.counts
    ]


def dives(known: AsKnown, names: Mapping[str, str], zone: str) -> list[dict[str, str]]:
    """Every dive of everyone; a time or depth that nobody told is said not to be known."""
    kinds = {item["entry"]["id"]: item["entry"]["kind"] for item in known.entries}
    return [
        {
            "dive": names.get(line["dive"], "not planned"),
            "place": known.sites.get(line["dive"], ""),
            "diver": _who([line["person"]], names),
            "with": _who(line["mates"], names) or "nobody",
            "left surface": _span(line["down"], zone),
            "surfaced": "not seen" if line["surfaced"] is None else _span(line["surfaced"], zone),
            "minutes": _minutes(line["down"], line["surfaced"]),
            "deepest in the team": _depth(line["depth"]),
            "computer read": "yes" if line["computer"] else "not said",
            "entered by": f"{_who(line['by'], names)} (said to be)" if line["by"] else "nobody named",
            "incident or discomfort": _told(line, kinds),
        }
        for line in known.dives
    ]


def _count(line: Mapping[str, Any], names: Mapping[str, str]) -> str:
    who, by = _who(line["people"], names), _who(line["by"], names) or "somebody"
    how = "".join(f", {_HOW.get(each, each)}" for each in line["how"])
    number = f"{line['heads']} heads" if line["heads"] is not None else f"{len(line['people'])} names"
    said = {
        "counted": f"Counted by {by}{how}: {number}{': ' if who else ''}{who}",
        "agreed": "The two counts agreed",
        "differed": f"The two counts differed, or both lacked a name{': ' if who else ''}{who}",
        "came": f"Came since the count before: {who}",
        "went": f"Gone since the count before: {who}",
        "not_accounted_for": f"NOT ACCOUNTED FOR: {who}",
        "overridden": f"{by} decided to leave without {who}",
        "left": f"Left {_PLACES.get(''.join(line['how'][:1]), 'a place')}, said by {by}",
        "not_left": "Not left yet",
    }
    return said.get(line["what"], line["what"].replace("_", " "))


def _told(line: Mapping[str, Any], kinds: Mapping[str, str]) -> str:
    told = [_TOLD.get(kinds.get(entry, ""), "told in the log") for entry in line["told"]]
    return ", ".join(dict.fromkeys(told)) or ("none told" if line["asked"] else "not asked")


def _who(people: Any, names: Mapping[str, str]) -> str:
    return ", ".join(names.get(person, person) for person in people)


def _span(span: Any, zone: str) -> str:
    first, last = (clock_words(each, zone) for each in span)
    return first if span[1] - span[0] < _MINUTE_MS else f"{first} to {last.split(' ')[-1]}"


def _minutes(down: Any, surfaced: Any) -> str:
    """From the surface to the surface, whole minutes rounded up; both ends where they are in doubt."""
    if surfaced is None:
        return "not known"
    least, most = (-(-max(0, ms) // _MINUTE_MS) for ms in (surfaced[0] - down[1], surfaced[1] - down[0]))
    return str(most) if least == most else f"{least} to {most}"


def _depth(depth: Mapping[str, Any] | None) -> str:
    return "not known" if depth is None else f"{depth['hundredths'] / 100:g} {depth['unit']}"
