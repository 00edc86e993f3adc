"""The desk's doors to what a boat log leaves open, and the record as known before and after two people settled a depth.

Who settles: common practice, no source; two people who were on the trip, not whoever keeps the records.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from teamdive.people.models import Club, Diver, Membership, User
from teamdive.trips.models import Booking
from tests.api.test_boat_log import address, signed_in
from tests.boat_scene import Phone, uid
from tests.reminders_cast import Cast
from tests.services.deck_cast import a_day, at_sea, bodies, enrolled

pytestmark = pytest.mark.django_db
ANSWER = {"data": {"depth": {"unit": "m", "hundredths": 1200}}}


@pytest.fixture
def cast() -> Cast:
    """A team went down while nobody held the deck; person `c` plans for the club beside the leader `s`."""
    made = at_sea()
    Membership.objects.update_or_create(club=made.club, user=user(made, "c"), defaults={"role": "organiser"})
    return made


def user(cast: Cast, person: str) -> User:
    found = next(b.diver.user for b in cast.bookings if str(b.pk) == uid(person))
    assert isinstance(found, User)
    return found


def as_person(cast: Cast, person: str) -> Client:
    return signed_in(user(cast, person))


def member(cast: Cast, role: str, club: Club | None = None) -> Client:
    """Somebody of the club, or of another one, who was not on the trip."""
    made = User.objects.create(email=f"{uuid4()}@skerry.example")
    Membership.objects.create(club=club or cast.club, user=made, role=role)
    return signed_in(made)


def told(cast: Cast, phone: Phone) -> None:
    _, token = enrolled(cast, phone)
    pushed = Client().post(
        address(cast),
        {"entries": bodies(phone)},
        content_type="application/json",
        headers={"Authorization": f"Device {token}"},
    )
    assert len(pushed.json()["accepted"]) == len(phone.entries)


def nobody_held_the_deck(cast: Cast) -> None:
    phone = Phone("p1")
    phone.down("09:40")
    told(cast, phone)


def questions(client: Client, cast: Cast) -> list[dict[str, Any]]:
    answer = client.get(address(cast, "boat-log/questions"))
    assert answer.status_code == 200
    found: list[dict[str, Any]] = answer.json()["questions"]
    return found


def no_deck_holder(client: Client, cast: Cast) -> list[dict[str, Any]]:
    return [each for each in questions(client, cast) if each["code"] == "no_deck_holder"]


def look(client: Client, cast: Cast, **said: Any) -> Any:
    return client.post(address(cast, "boat-log/questions"), said, content_type="application/json")


class TestLeftOpen:
    def test_who_plans_sees_what_is_open_by_name_and_the_divers_see_nothing(self, cast: Cast) -> None:
        nobody_held_the_deck(cast)
        (asked,) = no_deck_holder(as_person(cast, "s"), cast)
        assert set(asked) == {"code", "entries", "about", "at", "people", "looked", "may", "bar"}
        assert (asked["about"], asked["looked"], asked["may"]) == ("dive 1, team 1", [], True)
        assert asked["at"] == 1_812_758_400_000 + (9 * 60 + 40) * 60_000
        assert questions(as_person(cast, "d"), cast) == []
        (seen,) = no_deck_holder(member(cast, "organiser"), cast)
        assert (seen["may"], seen["bar"]) == (False, "not_aboard"), "they read it and close nothing"

    def test_of_what_concerns_somebody_the_name_is_told_and_they_do_not_close_it(self, cast: Cast) -> None:
        phone = Phone("p1")
        phone.holds("09:00", "c")
        phone.down("09:40", team="t2", members="cd")
        told(cast, phone)
        (asked,) = [q for q in questions(as_person(cast, "c"), cast) if q["code"] == "deck_holder_down"]
        assert asked["people"] == [next(d.name for d in cast.divers if d.user == user(cast, "c"))]
        assert (asked["may"], asked["bar"]) == (False, "yours")
        refused = look(as_person(cast, "c"), cast, code=asked["code"], entries=asked["entries"])
        assert (refused.status_code, refused.json()["errors"][0]["code"]) == (403, "not_yours")

    def test_one_person_leaves_it_open_the_second_closes_it(self, cast: Cast) -> None:
        nobody_held_the_deck(cast)
        first, second = as_person(cast, "s"), as_person(cast, "c")
        (asked,) = no_deck_holder(first, cast)
        said = {"code": asked["code"], "entries": asked["entries"]}
        made = look(first, cast, **said)
        assert made.status_code == 201
        entry = made.json()["entry"]
        assert (entry["kind"], entry["by"], entry["data"]["with"]) == ("question_settled", uid("s"), uid("s"))
        (mine,), (theirs,) = no_deck_holder(first, cast), no_deck_holder(second, cast)
        assert (len(mine["looked"]), mine["bar"], theirs["bar"]) == (1, "looked", None)
        assert mine["looked"] == [next(d.name for d in cast.divers if d.user == user(cast, "s"))]
        again = look(first, cast, **said)
        assert (again.status_code, again.json()["errors"][0]["code"]) == (403, "not_yours")
        assert "each once" in again.json()["errors"][0]["message"]
        before = first.get(address(cast, "boat-log/record")).json()["state"]["people"]
        assert look(second, cast, **said).status_code == 201
        assert no_deck_holder(first, cast) == []
        assert first.get(address(cast, "boat-log/record")).json()["state"]["people"] == before
        late = look(second, cast, **said)
        assert (late.status_code, late.json()["errors"][0]["code"]) == (403, "question_not_open")

    def test_who_has_no_right_is_refused_and_writes_nothing(self, cast: Cast) -> None:
        nobody_held_the_deck(cast)
        (asked,) = no_deck_holder(as_person(cast, "s"), cast)
        said = {"code": asked["code"], "entries": asked["entries"]}
        elsewhere = member(cast, "leader", Club.objects.create(name="Sallow Head divers"))
        for client in (Client(), elsewhere):
            assert client.get(address(cast, "boat-log/questions")).status_code in (401, 403, 404)
            assert look(client, cast, **said).status_code in (401, 403, 404)
        for client, status in (
            (as_person(cast, "d"), 403),
            (member(cast, "organiser"), 403),
            (member(cast, "diver"), 404),
        ):
            assert look(client, cast, **said).status_code == status
        (still,) = no_deck_holder(as_person(cast, "s"), cast)
        assert still["looked"] == []
        chains = as_person(cast, "s").get(address(cast, "boat-log/chains")).json()["phones"]
        assert [each["label"] for each in chains] == ["p1"], "no chain of the desk's own was begun"

    @pytest.mark.parametrize(
        ("said", "pointer"),
        [
            ({"entries": []}, "/code"),
            ({"code": "no_deck_holder"}, "/entries"),
            ({"code": "no_deck_holder", "entries": ["x"]}, "/entries/0"),
            ({"code": "no_deck_holder", "entries": [], "who": "me"}, "/who"),
        ],
    )
    def test_what_cannot_be_read_names_its_field(
        self, cast: Cast, said: dict[str, Any], pointer: str
    ) -> None:
        nobody_held_the_deck(cast)
        refused = look(as_person(cast, "s"), cast, **said)
        assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (400, pointer)

    def test_who_was_taken_off_before_the_trip_left_was_not_on_it(self, cast: Cast) -> None:
        nobody_held_the_deck(cast)
        off = User.objects.create(email="off@skerry.example")
        Membership.objects.create(club=cast.club, user=off, role="organiser")
        diver = Diver.objects.create(club=cast.club, user=off, name="Una Moss")
        Booking.objects.create(trip=cast.trip, diver=diver, cancelled_at=timezone.now())
        client = signed_in(off)
        (asked,) = no_deck_holder(client, cast)
        assert (asked["may"], asked["bar"]) == (False, "not_aboard")
        refused = look(client, cast, code=asked["code"], entries=asked["entries"])
        assert refused.status_code == 403
        said = {"corrects": asked["entries"][0], "void": True}
        refused = client.post(address(cast, "boat-log/corrections"), said, content_type="application/json")
        assert refused.status_code == 403
        (still,) = no_deck_holder(client, cast)
        assert still["looked"] == []

    def test_what_a_correction_answers_is_shown_and_left_by_nobody(self, cast: Cast) -> None:
        phone = a_day()
        told(cast, phone)
        deep = next(entry.id for entry in phone.entries if entry.kind == "depth_reported")
        said = {"corrects": deep, "reason": "mistyped", "void": False, **ANSWER}
        client = as_person(cast, "s")
        assert client.post(address(cast, "boat-log/corrections"), said, content_type="application/json")
        (asked,) = [q for q in questions(client, cast) if q["code"] == "correction_not_settled"]
        assert asked["bar"] == "depth" and deep in asked["entries"]
        assert asked["people"] == [next(d.name for d in cast.divers if d.user == user(cast, "a"))]
        assert look(client, cast, code=asked["code"], entries=asked["entries"]).status_code == 403


class TestAsKnownAtAPastMoment:
    """Before a depth was settled, between the two voices and after: each moment is given back to the byte."""

    def test_each_moment_is_given_back_exactly_before_and_after_two_settled_it(self, cast: Cast) -> None:
        phone = a_day()
        leader, diver = as_person(cast, "s"), as_person(cast, "a")
        deep = next(entry.id for entry in phone.entries if entry.kind == "depth_reported")

        def known(at: datetime | str, tail: str = "record") -> Any:
            when = at if isinstance(at, str) else at.isoformat()
            answer = leader.get(address(cast, f"boat-log/{tail}"), {"at": when})
            assert answer.status_code == 200
            return answer.json() if tail == "record" else answer.content

        def depth(state: dict[str, Any]) -> int:
            found: int = state["people"][uid("a")]["dives_done"][0]["depth"]["hundredths"]
            return found

        def say(client: Client) -> None:
            said = {"corrects": deep, "reason": "settled", "void": False, **ANSWER}
            made = client.post(address(cast, "boat-log/corrections"), said, content_type="application/json")
            assert made.status_code == 201

        empty = timezone.now()
        told(cast, phone)
        moments, seen = [empty], [known(empty)]
        for client in (diver, leader, None):
            moments.append(timezone.now())
            seen.append(known(moments[-1]))
            if client is not None:
                say(client)
        pages = [[known(at, tail) for at in moments] for tail in ("record.csv", "record.html")]
        assert seen[0]["entries"] == [] and seen[0]["position"] == 0
        assert [depth(one["state"]) for one in seen[1:]] == [1800, 1800, 1200]
        codes = [[q["code"] for q in one["state"]["questions"] if deep in q["entries"]] for one in seen]
        assert codes == [[], [], ["correction_not_settled"], []]
        last = Phone("p2")
        last.write("note", "trip", "09:00")
        told(cast, last)
        for at, one in zip(moments, seen, strict=True):
            assert known(at) == one and known(one["at"]) == one
        for tail, before in zip(("record.csv", "record.html"), pages, strict=True):
            assert [known(at, tail) for at in moments] == before
        assert len({one["set_hash"] for one in seen}) == 4
        # What an entry says that it happened earlier is not what was known earlier.
        now = leader.get(address(cast, "boat-log/record")).json()
        assert len(now["entries"]) == len(seen[-1]["entries"]) + 1
        by_place = leader.get(address(cast, "boat-log/record"), {"position": seen[2]["position"]}).json()
        assert (by_place["set_hash"], by_place["entries"]) == (seen[2]["set_hash"], seen[2]["entries"])
