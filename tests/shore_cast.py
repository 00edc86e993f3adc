"""A boat that somebody ashore waits for: two contacts, one by mail and one of the club, for what tests the alarm."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from django.core import mail

from teamdive.boatlog.entries import body
from teamdive.deck import services as deck
from teamdive.people.models import Diver, Membership, User
from teamdive.reminders import rules, rules_shore, selectors, selectors_shore, services, services_shore
from teamdive.reminders.models import Reminder
from teamdive.trips.models import FloatPlan, ShoreContact
from tests import reminders_cast
from tests.boat_scene import DAY_MS, Phone, trip_body, uid

BRYN = "bryn@skerry.example"


def utc(clock: str) -> datetime:
    """An instant of the day of the scene."""
    hours, minutes = map(int, clock.split(":"))
    return datetime.fromtimestamp(DAY_MS / 1000, UTC) + timedelta(hours=hours, minutes=minutes)


@dataclass(frozen=True)
class Shore:
    """The trip at sea, its float plan, and who waits: `mailed` by mail alone, `member` in the app alone."""

    club: reminders_cast.Cast
    plan: FloatPlan
    mailed: ShoreContact
    member: ShoreContact
    account: User


def waiting(back_by: datetime | None = None, every: int = 5, calls: int = 3) -> Shore:
    """Back by 17:00 UTC unless another time is given; called every five minutes, three times before the next."""
    club = reminders_cast.at_sea(trip_body(teams=[["a", "b"]]), uid("s"))
    club.club.shore_call_every_min, club.club.shore_calls_before_next = every, calls
    club.club.rescue_contact = "Harbour watch, 555 0100"
    club.club.save()
    account = User.objects.create(email="edda@skerry.example")
    Membership.objects.create(club=club.club, user=account, role="diver")
    edda = Diver.objects.create(club=club.club, user=account, name="Edda Lorn")
    plan = services_shore.change(
        trip=club.trip,
        back_by=back_by or utc("17:00"),
        if_not_heard="",
        contacts=[{"name": "Bryn Tal", "email": BRYN, "phone": "555 0199"}, {"diver": edda}],
        positions={},
        now=utc("08:00"),
    )
    mailed, member = plan.contacts.all()
    return Shore(club, plan, mailed, member, account)


def sweep(shore: Shore, at: str) -> None:
    """What the worker does at that moment: log, duty ashore, deliveries."""
    now = utc(at)
    for trip_id in selectors.behind(now):
        assert services.take_in(trip_id=trip_id, now=now)
    for trip_id in selectors_shore.due(now):
        assert services_shore.look(trip_id=trip_id, now=now)
    while services.deliver_due(now=now):
        pass


def hand_in(shore: Shore, phone: Phone, at: str) -> None:
    """The phone's whole log reaches the server then."""
    deck.store(trip=shore.club.trip, bodies=[body(entry) for entry in phone.entries], now=utc(at))


def say(shore: Shore, what: str, at: str, by: str = "Bryn Tal", **more: Any) -> None:
    """A named person says it then."""
    services_shore.say(plan=shore.plan, what=what, by=by, now=utc(at), **more)


def left_port(hour: int = 8) -> Phone:
    """A phone with the deck taken, everyone counted and the port left at half past."""
    phone = Phone("p1")
    phone.holds(f"{hour:02}:10", "s")
    phone.met(f"{hour:02}:20", "abs", count="c1", place="port")
    phone.write("departed", "trip", f"{hour:02}:30", place="port")
    return phone


def a_day(home: bool = True) -> Phone:
    """Counted and left at 08:30, one dive, counted and left the site at 10:30; ended ashore at 11:30."""
    phone = left_port()
    phone.down("09:40")
    phone.up("10:05")
    for person in "ab":
        phone.back("10:10", person)
    phone.met("10:20", "abs", count="c2", place="site")
    phone.write("departed", "trip", "10:30", place="site")
    if home:
        phone.met("11:25", "abs", count="c3", place="site")
        phone.write("trip_ended", "trip", "11:30")
    return phone


def stands(shore: Shore, at: str) -> str:
    """How the duty stands then, in one word."""
    shore.plan.refresh_from_db()
    return rules_shore.stands(selectors_shore.duty(shore.club.trip, shore.plan), utc(at))


def called() -> list[tuple[str, str, int]]:
    """Every alarm that was made: kind, name, number of the call; in order."""
    rows = Reminder.objects.filter(call=rules.ALARM, state=rules.SENT).order_by("due_at", "contact__position")
    return [(row.kind, row.contact.name, int(row.subject.split(" ")[-1])) for row in rows if row.contact]


def told() -> list[str]:
    """What every mail so far is about, in order."""
    return [message.subject.split(":")[0] for message in mail.outbox]


def left_without_b() -> Phone:
    """As a_day, but b never came back aboard; s and a decided to leave."""
    phone = left_port()
    phone.down("09:40")
    phone.write("surfaced", "t1", "10:05", dive="d1", people=["a"])
    phone.back("10:10", "a")
    data = {"rule": "departure", "with": "a", "people": ["b"]}
    phone.write("override", "trip", "10:50", text_hash="0" * 64, **data)
    phone.write("departed", "trip", "10:51", place="site")
    return phone


def overdue(until: str) -> Phone:
    """Down at 09:40 for a run of 38 min and 10 min of grace: overdue from 10:28; the phone writes until then."""
    phone = left_port()
    phone.down("09:40")
    phone.write("overdue_reached", "t1", "10:28", by=None, people=["a", "b"])
    if until > "10:28":
        phone.write("marker_seen", "t1", until)
    return phone
