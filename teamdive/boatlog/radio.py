"""Words to read over the radio for someone who is missing, filled with what was entered.

The order is that of the distress message of the radio regulations (call, position, what is wrong, what is asked
for, how many people, more), from memory; each place has its own: the club's sheet and the coastguard's questions come
first. Unknown facts are said to be unknown, never left out; a time that may be a minute off or more is "about".
"""

from collections.abc import Mapping
from typing import Any

from teamdive.boatlog.claims import DISPUTE_MS
from teamdive.boatlog.presence import IN_WATER

Card = Mapping[str, Any]


def radio_words(card: Card, shown: Mapping[str, Any], boat: str, call_sign: str = "") -> list[str]:
    """The lines to read aloud: from a person's card, the view of the boat then, the boat's name and call sign."""
    place, drifting, conditions = card["place"], card["drift"], card["conditions"] or {}
    where = place or card["boat_place"]
    sign = f", call sign {call_sign}" if call_sign else ""
    lines = [
        "MAYDAY, MAYDAY, MAYDAY.",
        f"This is {boat}, {boat}, {boat}{sign}.",
        f"MAYDAY, {boat}{sign}.",
    ]
    if where is None:
        lines.append("My position: read it from the plotter.")
    else:
        whose = "Last known position of the diver" if place else "My position"
        lines.append(
            f"{whose} {at_words(where['at'], where['unsure_ms'])}: {position_words(where)}, "
            f"within {where['accuracy_m']} metres."
        )
    missing = _missing(card, shown)
    who = (
        ("A person is" if card["down"] is None else "A diver is") if missing == 1 else f"{missing} people are"
    )
    lines.append(f"{who} missing. I need help with the search.")
    if card["down"] is not None:
        lines.append(f"Went down {_between(*card['down'])}.")
    seen = card["last_seen_at"]
    if seen is None:
        lines.append("Last seen: not known.")
    elif card["last_seen_told"]:
        lines.append(f"Last seen {at_words(seen, card['last_seen_unsure_ms'])}.")
    else:
        lines.append(
            f"Last seen some time before {_about(seen, card['last_seen_unsure_ms'])}, not known when."
        )
    lines.append(f"Depth: {depth_words(card['depth'], card['planned_depth'])}.")
    marker = card["marker_seen_at"]
    lines.append(
        "No surface marker seen."
        if marker is None
        else f"Surface marker seen {at_words(marker, card['marker_seen_unsure_ms'])}."
    )
    lines.append(f"Current: {_flow(conditions, 'current_tenths_kn', 'current_toward_deg', 'toward', 10)}.")
    lines.append(f"Wind: {_flow(conditions, 'wind_kn', 'wind_from_deg', 'from', 1)}.")
    if drifting is not None and drifting["toward_deg"] is not None:
        lines.append(
            f"By our reckoning {drifting['run_m']} metres from there toward {degrees_words(drifting['toward_deg'])}."
        )
    gas = card["gas"]
    if gas is not None:
        pressure = gas["pressure"]
        lines.append(
            f"Last pressure read: {pressure['value']} {pressure['unit']} {at_words(gas['at'], gas['unsure_ms'])}."
        )
    lines.append(of_all(shown))
    lines.append("Over.")
    return lines


def _missing(card: Card, shown: Mapping[str, Any]) -> int:
    """How many a search is for: this person, and whoever else is overdue or lost from sight."""
    late = {
        person
        for person, known in shown["people"].items()
        if known["state"] == "lost_from_sight"
        or (known["overdue_at"] is not None and shown["at"] >= known["overdue_at"])
    }
    return len(late | {card["person"]})


def of_all(shown: Mapping[str, Any]) -> str:
    """How many people belong to the boat, and how many of them are where; nobody not yet counted is called missing."""
    states = [
        known["state"]
        for known in shown["people"].values()
        if known["state"] == "aboard" or not known["accounted_for"]
    ]
    aboard, water = states.count("aboard"), sum(1 for state in states if state in IN_WATER)
    rest = len(states) - aboard - water
    unsure = f", {rest} not yet counted" if rest else ""
    return f"{people_words(len(states))} in all: {aboard} aboard, {water} in the water{unsure}."


def clock_words(instant: int) -> str:
    """An instant (ms) as hours and minutes UTC, which is what a rescue service writes."""
    minutes = instant // 60_000
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d} UTC"


def at_words(instant: int, unsure_ms: int) -> str:
    """An instant (ms), said to be about right where it may be off by a minute or more."""
    return f"at {_about(instant, unsure_ms)}"


def _about(instant: int, unsure_ms: int) -> str:
    return clock_words(instant) if unsure_ms < DISPUTE_MS else f"about {clock_words(instant)}"


def _between(earliest: int, latest: int) -> str:
    if latest - earliest < DISPUTE_MS:
        return f"at {clock_words(earliest)}"
    return f"at {clock_words(earliest)} at the earliest, {clock_words(latest)} at the latest"


def position_words(fix: Mapping[str, Any]) -> str:
    """Degrees and thousandths of a minute, to the nearest: as a plotter shows them."""
    north = _angle(fix["lat_e6"], 2) + (" North" if fix["lat_e6"] >= 0 else " South")
    return f"{north}, {_angle(fix['lon_e6'], 3)}" + (" East" if fix["lon_e6"] >= 0 else " West")


def depth_words(reported: Mapping[str, Any] | None, planned: Mapping[str, Any] | None) -> str:
    """The depth reported, else the one planned and that it is no more than that."""
    depth = reported or planned
    if depth is None:
        return "not known"
    whole = -(-depth["hundredths"] // 100)
    words = f"{whole} {'metres' if depth['unit'] == 'm' else 'feet'}"
    return words if reported else f"planned {words}, real depth not known"


def degrees_words(degrees: int) -> str:
    """Three digits, as a bearing is read aloud."""
    return f"{degrees:03d} degrees"


def people_words(count: int) -> str:
    return "1 person" if count == 1 else f"{count} people"


def _angle(e6: int, digits: int) -> str:
    thousandths = (abs(e6) * 60 + 500) // 1000
    return f"{thousandths // 60_000:0{digits}d} degrees {thousandths // 1000 % 60:02d}.{thousandths % 1000:03d} minutes"


def _flow(found: Mapping[str, Any], speed: str, direction: str, word: str, parts: int) -> str:
    measured, degrees = found.get(speed), found.get(direction)
    if measured is None:
        return "not measured"
    knots = str(measured) if parts == 1 else f"{measured // parts}.{measured % parts}"
    return f"{knots} knots" if degrees is None else f"{knots} knots {word} {degrees_words(degrees)}"
