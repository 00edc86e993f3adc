"""What those ashore read: the float plan and the calls, as text. Facts only; the rescue service decides. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from teamdive.pairing.model import listed

from . import rules_shore as rules
from .rules import clock_time, day
from .rules_shore import Said

# General steps, our own words, for a club that writes none.
IF_NOT_HEARD = (
    "Try the boat and the others ashore. If nobody answers, call the rescue service at once and read out this "
    "page. Say that the boat is late, not why. They decide what is done; keep your phone free for them."
)
SEEN_AS: Mapping[str, str] = {
    "aboard": "somebody came aboard",
    "back_aboard": "a diver was back aboard",
    "count_finished": "a roll call ended",
    "roll_call_taken": "a roll call was taken",
    "down": "a team went down",
    "surfaced": "divers came up",
    "surfaced_alone": "a diver came up alone",
    "marker_seen": "a diver's marker was seen",
    "lost_from_sight": "a diver was lost from sight",
    "overdue_reached": "a team was overdue",
    "emergency_started": "the emergency plan was started",
    "emergency_ended": "the emergency plan was ended",
    "distress_call_made": "a distress call was made",
    "override": "two people decided to leave without somebody",
    "trip_ended": "the trip was ended",
}


@dataclass(frozen=True)
class Place:
    """Where a dive is planned."""

    number: int
    site: str
    position: str
    planned_at: datetime | None


@dataclass(frozen=True)
class LastHeard:
    """The newest entry that reached the server, and the newest place entered; `boat`: whose, where several go."""

    kind: str
    place: str
    at: datetime
    received_at: datetime
    position: str
    position_at: datetime | None
    boat: str = ""


@dataclass(frozen=True)
class Reached:
    """One call to a contact as the leader sees it."""

    contact: UUID | None
    kind: str
    state: str
    at: datetime
    error: str


@dataclass(frozen=True)
class Alarm:
    """An open alarm as it is read: about whom by name, who has it, and who took it before there was more."""

    kind: str
    since: datetime
    names: tuple[str, ...]
    acknowledged: Said | None
    before: Said | None = None


@dataclass(frozen=True)
class Page:
    """Everything that somebody ashore reads. `again`: they were told that all are home; `first_calls`: until each
    contact had theirs; `unread`: the boat log cannot be read; `told_otherwise`: who tells them another way."""

    club: str
    trip: str
    boat: str
    time_zone: str
    leaves_at: datetime
    back_by: datetime | None
    people: tuple[str, ...]
    leaders: tuple[tuple[str, str], ...]
    places: tuple[Place, ...]
    rescue_contact: str
    call_sign: str
    if_not_heard: str
    contacts: tuple[tuple[str, str], ...]
    last: LastHeard | None
    stands: str
    again: bool
    home: Said | None
    handed_over: Said | None
    alarms: tuple[Alarm, ...]
    missing: tuple[str, ...]
    call_every_min: int | None
    first_calls: int = 1
    unread: bool = False
    told_otherwise: str = ""
    several: bool = False

    def clock(self, at: datetime) -> str:
        """A time of the trip's day with its weekday, in the trip's zone."""
        return clock_time(at, self.time_zone, weekday=True)

    @property
    def the_boat(self) -> str:
        return self.boat or f"the boat of {self.club}"

    @property
    def steps(self) -> str:
        return self.if_not_heard or IF_NOT_HEARD

    @property
    def heard(self) -> str:
        """The last thing known of the boat, or that nothing reached the server."""
        if self.unread:
            return "The boat log cannot be read here: what is said above is what was known before."
        if self.last is None:
            return "Nothing was heard of the boat yet. Out of reach of a network that is usual."
        last = self.last
        what = SEEN_AS.get(last.kind, last.kind.replace("_", " "))
        if last.kind == "departed":
            what = f"{last.boat or 'the boat'} left {'port' if last.place == 'port' else 'its site'}"
        said = f"Last heard: {what}, {self.clock(last.at)} (it reached us {self.clock(last.received_at)})."
        if last.position_at is None:
            return said
        return f"{said} Last place entered: {last.position}, {self.clock(last.position_at)}."

    @property
    def whom_to_call(self) -> str:
        told = listed(tuple(f"{name} {phone}" for name, phone in self.leaders))
        first = f"On the boat: {told}." if told else "No number of anybody on the boat is recorded."
        rescue = self.rescue_contact or "the one of this coast"
        sign = f" The boat's call sign: {self.call_sign}." if self.call_sign else ""
        return f"{first} Rescue service: {rescue}.{sign}"

    def alarm(self, alarm: Alarm) -> str:
        """What an alarm says, in the past tense so that it is true however late."""
        boat, at = _capital(self.the_boat), self.clock(alarm.since)
        who = listed(alarm.names) or "somebody"
        if alarm.kind == rules.BACK_BY_PASSED:
            said = f"{boat} had to be back by {at}, and nobody has said that all are home."
        elif alarm.kind == rules.NOT_ACCOUNTED_FOR:
            # Of several boats each name stands with its own.
            one = "A boat" if self.several else boat
            said = f"{one} left the site without {who}: not accounted for. We know it since {at}."
        else:
            said = f"{who} had not come up long after they were due. We know it since {at}."
        if alarm.before is None:
            return said
        return f"{said} There is more than when {alarm.before.by} took it, {self.clock(alarm.before.at)}."


HEADLINES: Mapping[str, str] = {
    "nobody": "Nobody ashore waits for this boat.",
    "armed": "You wait for this boat. There is nothing to do now.",
    "raised": "ALARM. Nobody has taken it yet.",
    "untaken": "ALARM. Everybody ashore was called, and nobody has taken it. The leaders of the club are told.",
    "acknowledged": "ALARM. {by} has it since {at}.",
    "handed_over": "The rescue service has it. {by} said so at {at}.",
    "home": "All home. {by} said so at {at}. There is nothing more to do.",
}


def page_words(page: Page, now: datetime) -> dict[str, object]:
    """The parts of the page that are sentences; times in the trip's own zone."""
    back_by = page.back_by
    has_it = next((one.acknowledged for one in page.alarms if one.acknowledged is not None), None)
    said = {"home": page.home, "handed_over": page.handed_over, "acknowledged": has_it}.get(page.stands)
    told = {} if said is None else {"by": said.by, "at": _when(page, said.at, now)}
    return {
        "back": "not said" if back_by is None else clock_time(back_by, page.time_zone),
        "back_day": "" if back_by is None else day(back_by, page.time_zone),
        "leaves": page.clock(page.leaves_at),
        "as_of": clock_time(now, page.time_zone),
        "headline": HEADLINES[page.stands].format(**told),
        "alarms": [page.alarm(one) for one in page.alarms],
        "places": _dives(page),
    }


def _when(page: Page, at: datetime, now: datetime) -> str:
    """A clock time, with its day where that is another one: a link is read for days."""
    said = clock_time(at, page.time_zone)
    on = day(at, page.time_zone)
    return said if on == day(now, page.time_zone) else f"{said} on {on}"


def _dives(page: Page) -> list[str]:
    return [
        f"Dive {one.number}: {one.site or 'site not named'}, {one.position or 'position not entered'}"
        + ("" if one.planned_at is None else f", planned {page.clock(one.planned_at)}")
        for one in page.places
    ]


def subject_of(kind: str, page: Page, *, waits: bool = True) -> str:
    """The subject line of a mail; `waits` as in `text_of`."""
    boat = page.boat or page.trip
    if kind in rules.ALARMS:
        return f"ALARM: {boat}, {len(page.people)} people"
    if kind == rules.UNTAKEN:
        return f"ALARM, taken by nobody: {boat}, {len(page.people)} people"
    if kind == rules.ALL_HOME:
        return f"All home: {boat}"
    if kind == rules.ALARM_OVER:
        return f"The alarm is over: {boat}"
    if not waits:
        return f"Not home after all: {boat}"
    until = "" if page.back_by is None else f", back by {page.clock(page.back_by)}"
    return f"Float plan{', you wait again' if page.again else ''}: {boat}{until}"


def text_of(kind: str, page: Page, *, number: int, link: str, waits: bool) -> str:
    """What somebody is told. `number`: which call of an alarm it is, from 0; `waits`: they still wait for the boat."""
    if kind in (*rules.ALARMS, rules.UNTAKEN):
        return _alarm_text(kind, page, number, link)
    if kind == rules.ALL_HOME:
        by = "" if page.home is None else f" {page.home.by} said so {page.clock(page.home.at)}."
        return f"{_capital(page.the_boat)}: all are home.{by} There is nothing more for you to do.\n\n{link}".strip()
    if kind == rules.ALARM_OVER:
        still = f"You still wait for the boat, back by {_back(page)}." if waits else f"{_waits(page)}."
        return (
            f"{_capital(page.the_boat)}: by the boat log nobody that you were called about is missing or "
            f"overdue any more. {still}\n\n{page.heard}\n\n{link}"
        ).strip()
    if not waits:
        return f"{_capital(page.the_boat)}: that all are home no longer holds. {_waits(page)}, back by {_back(page)}."
    return _plan_text(page, link)


def _waits(page: Page) -> str:
    return f"Nothing is asked of you: {listed(tuple(name for name, _ in page.contacts))} ashore wait for the boat"


def _alarm_text(kind: str, page: Page, number: int, link: str) -> str:
    steady = f"every {max(rules.STEADY.seconds // 60, page.call_every_min or 0)} min"
    until = "until somebody says by name that they have it."
    if kind == rules.UNTAKEN:
        again = f"Everybody ashore was called, and nobody has taken it. They are called on {steady}. Take it yourself "
        again += "on the trip's float plan, or reach one of them."
    elif number < page.first_calls:
        again = f"This is call {number + 1}. It comes again every {page.call_every_min} min {until}"
    else:
        again = f"This is call {number + 1}, and nobody has taken it. From now on it comes {steady} {until}"
    ashore = (
        tuple(f"{name} {phone}".strip() for name, phone in page.contacts) if kind == rules.UNTAKEN else ()
    )
    parts = [
        f"ALARM. {' '.join(page.alarm(one) for one in page.alarms)}",
        page.heard,
        f"{len(page.people)} people: {listed(page.people)}.",
        page.whom_to_call,
        f"Ashore: {listed(ashore)}." if ashore else "",
        page.steps,
        again,
        link,
    ]
    return "\n\n".join(part for part in parts if part)


def _plan_text(page: Page, link: str) -> str:
    parts = [
        "You wait for this boat again: that all are home no longer holds." if page.again else "",
        f"{page.club}: {page.trip}, {page.the_boat}.\n"
        f"Leaves {page.clock(page.leaves_at)}. Back by {_back(page)}.",
        f"{len(page.people)} people: {listed(page.people)}.",
        "\n".join(_dives(page)),
        f"Whom to call. {page.whom_to_call}",
        f"If nothing is heard by {_back(page)}. {page.steps}",
        "You are asked to know this, and nothing else, until then. A boat out of reach of a network is usual: that you "
        "hear nothing before is no alarm.",
        f"The plan, how it stands, and one tap when they are home:\n{link}" if link else "",
    ]
    return "\n\n".join(part for part in parts if part)


def _back(page: Page) -> str:
    return "not said" if page.back_by is None else page.clock(page.back_by)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
