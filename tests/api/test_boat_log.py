"""The boat log's doors: who may push and pull, and what a phone reads back."""

from __future__ import annotations

import gzip
import json
from typing import Any

import jsonschema
import pytest
from django.test import Client

from teamdive.boatlog.entries import text_hash
from teamdive.people.models import Club, Membership, User
from teamdive.web.packed import MOST_UNPACKED
from tests.boat_scene import Phone, trip_body, uid
from tests.reminders_cast import Cast
from tests.services.deck_cast import a_day, at_sea, bodies, enrolled, ids

pytestmark = pytest.mark.django_db
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@pytest.fixture
def cast() -> Cast:
    return at_sea()


def signed_in(user: User) -> Client:
    client = Client()
    client.force_login(user, backend=BACKEND)
    return client


def leader(cast: Cast) -> Client:
    return signed_in(Membership.objects.get(club=cast.club, role="leader").user)


def diver(cast: Cast) -> Client:
    return signed_in(Membership.objects.filter(club=cast.club, role="diver").first().user)  # type: ignore[union-attr]


def address(cast: Cast, tail: str = "entries") -> str:
    return f"/api/trips/{cast.trip.pk}/{tail}"


def push(client: Client, cast: Cast, token: str | None = None, **body: Any) -> Any:
    headers = {} if token is None else {"Authorization": f"Device {token}"}
    return client.post(
        address(cast), {"entries": [], **body}, content_type="application/json", headers=headers
    )


def test_a_leader_enrols_a_phone_that_then_works_without_any_session(cast: Cast) -> None:
    made = leader(cast).post(
        address(cast, "devices"), {"label": "Boat phone"}, content_type="application/json"
    )
    assert made.status_code == 201
    token, epoch = made.json()["token"], made.json()["epoch"]
    phone = Phone("p1")
    phone.down("09:40")
    pushed = push(Client(), cast, token, entries=bodies(phone))
    assert pushed.status_code == 200
    answer = pushed.json()
    assert (answer["accepted"], answer["epoch"], answer["position"]) == (ids(phone.entries), epoch, 1)
    assert answer["server_time"] > 1_700_000_000_000
    pulled = (
        Client().get(address(cast) + "?after=0&limit=10", headers={"Authorization": f"Device {token}"}).json()
    )
    assert [item["entry"] for item in pulled["entries"]] == bodies(phone)
    snapshot = Client().get(address(cast, "boat-log/snapshot"), headers={"Authorization": f"Device {token}"})
    assert snapshot.json()["snapshot"]["trip"] == str(cast.trip.pk)
    assert "token" not in leader(cast).get(address(cast, "devices")).json()["devices"][0]


def test_twice_the_same_push_is_once(cast: Cast) -> None:
    phone = a_day()
    first, again = (push(leader(cast), cast, entries=bodies(phone)).json() for _ in range(2))
    assert (first["accepted"], first["position"]) == (again["accepted"], again["position"])
    assert first["position"] == len(phone.entries)


def test_after_says_where_to_go_on(cast: Cast) -> None:
    phone = a_day()
    push(leader(cast), cast, entries=bodies(phone))
    page = leader(cast).get(address(cast) + "?after=2&limit=2").json()
    assert [item["position"] for item in page["entries"]] == [3, 4]
    assert page["position"] == len(phone.entries)


@pytest.mark.parametrize("query", ["?after=-1", "?after=x", "?limit=0", "?limit=100000"])
def test_a_nonsense_position_is_a_problem(cast: Cast, query: str) -> None:
    answer = leader(cast).get(address(cast) + query)
    assert answer.status_code == 400
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_a_diver_reads_and_writes_no_boat_log(cast: Cast) -> None:
    """The log holds everyone's dives: a diver's own are in their record."""
    client = diver(cast)
    assert client.get(address(cast)).status_code == 403
    assert push(client, cast, entries=bodies(a_day())).status_code == 403
    assert client.get(address(cast, "boat-log/snapshot")).status_code == 403
    assert (
        client.post(address(cast, "devices"), {"label": "x"}, content_type="application/json").status_code
        == 403
    )


def test_nor_does_a_stranger_nor_a_leader_of_another_club(cast: Cast) -> None:
    assert Client().get(address(cast)).status_code in (401, 403)
    other = User.objects.create(email="leader@elsewhere.example")
    Membership.objects.create(club=Club.objects.create(name="Sallow Head divers"), user=other, role="leader")
    assert signed_in(other).get(address(cast)).status_code == 403


def test_a_token_nobody_holds_is_refused_and_another_trips_reads_nothing(cast: Cast) -> None:
    headers = {"Authorization": "Device made-up"}
    refused = Client().get(address(cast), headers=headers)
    assert (refused.status_code, refused.headers["WWW-Authenticate"]) == (401, "Device")
    _, token = enrolled(cast, Phone("p1"))
    from teamdive.trips.models import Trip

    elsewhere = Trip.objects.create(club=cast.club, name="Another day", starts_at=cast.trip.starts_at)
    headers = {"Authorization": f"Device {token}"}
    assert Client().get(f"/api/trips/{elsewhere.pk}/entries", headers=headers).status_code == 403
    assert Client().post(address(cast, "devices"), {"label": "x"}, headers=headers).status_code == 403


def test_a_phone_taken_off_hands_in_what_it_wrote_and_reads_nothing_more(cast: Cast) -> None:
    _, token = enrolled(cast, Phone("p1"))
    off = leader(cast).post(address(cast, f"devices/{uid('p1')}/revoke"))
    assert off.status_code == 200 and off.json()["revoked_at"] is not None
    phone = a_day()
    answer = push(Client(), cast, token, entries=bodies(phone)).json()
    assert answer["accepted"] == ids(phone.entries)
    assert {problem["code"] for problem in answer["problems"]} == {"device_revoked"}
    assert Client().get(address(cast), headers={"Authorization": f"Device {token}"}).status_code == 403
    # Nor has it anything to hand in: from the epoch it still hears of a server that was set back to a backup.
    empty = push(Client(), cast, token, entries=[])
    assert empty.status_code == 200 and empty.json()["epoch"] == answer["epoch"]


def test_what_is_no_entry_is_named_and_the_rest_is_kept(cast: Cast) -> None:
    phone = a_day()
    answer = push(leader(cast), cast, entries=[{"id": "x"}, None, *bodies(phone)])
    assert answer.status_code == 200
    problems = answer.json()["problems"]
    assert answer.json()["accepted"] == ids(phone.entries)
    assert all(
        not problem["kept"]
        for problem in problems
        if problem["pointer"].startswith(("/entries/0", "/entries/1"))
    )
    assert {"/entries/0/seq", "/entries/1"} <= {problem["pointer"] for problem in problems}


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"entry": []}, "/entry"),
        ({"texts": [{"entry": "x", "salt": "00" * 16, "text": ""}]}, "/texts/0/entry"),
        ({"texts": [{"entry": uid("a"), "salt": "zz", "text": ""}]}, "/texts/0/salt"),
        ({"head": {"seq": 0, "hash": "00" * 32, "signature": "x"}}, "/head/seq"),
    ],
)
def test_a_batch_that_cannot_be_read_is_a_problem_with_its_place(
    cast: Cast, body: dict[str, Any], pointer: str
) -> None:
    answer = push(leader(cast), cast, **body)
    assert answer.status_code == 400
    assert pointer in {error["pointer"] for error in answer.json()["errors"]}


def test_before_it_is_ready_a_trip_has_no_snapshot(cast: Cast) -> None:
    from teamdive.trips.models import Trip

    fresh = Trip.objects.create(club=cast.club, name="Next week", starts_at=cast.trip.starts_at)
    answer = leader(cast).get(f"/api/trips/{fresh.pk}/boat-log/snapshot")
    assert (answer.status_code, answer.json()["type"]) == (404, "urn:teamdive:problem:not_ready")
    empty = leader(cast).get(f"/api/trips/{fresh.pk}/entries").json()
    assert (empty["entries"], empty["position"], empty["epoch"]) == ([], 0, None)


def packed(client: Client, cast: Cast, content: bytes, encoding: str = "gzip") -> Any:
    return client.post(
        address(cast), content, content_type="application/json", headers={"Content-Encoding": encoding}
    )


def test_a_packed_batch_is_read_and_one_that_unpacks_to_too_much_is_not(cast: Cast) -> None:
    phone = a_day()
    whole = gzip.compress(json.dumps({"entries": bodies(phone)}).encode())
    assert packed(leader(cast), cast, whole).json()["accepted"] == ids(phone.entries)
    bomb = gzip.compress(b" " * (MOST_UNPACKED + 1))
    assert len(bomb) < 20_000
    for content, encoding, status, code in (
        (bomb, "gzip", 413, "body_too_large"),
        (whole[:-9], "gzip", 400, "not_gzip"),
        (b"{}", "gzip", 400, "not_gzip"),
        (whole, "br", 400, "encoding_not_known"),
    ):
        answer = packed(leader(cast), cast, content, encoding)
        assert (answer.status_code, answer.json()["errors"][0]["code"]) == (status, code)


def test_a_page_of_entries_comes_packed_to_whoever_reads_that(cast: Cast) -> None:
    push(leader(cast), cast, entries=bodies(a_day()))
    answer = leader(cast).get(address(cast), headers={"Accept-Encoding": "gzip"})
    assert answer.headers["Content-Encoding"] == "gzip"
    assert len(json.loads(gzip.decompress(answer.content))["entries"]) == len(a_day().entries)


def test_a_phone_joins_with_the_code_that_a_leader_shows_and_works(cast: Cast) -> None:
    assert diver(cast).post(address(cast, "join-code")).status_code == 403
    code = leader(cast).post(address(cast, "join-code")).json()["code"]
    body = {"code": code, "label": "Deck hand's phone"}
    joined = Client().post("/api/boat-log/join", body, content_type="application/json")
    assert joined.status_code == 201 and joined.json()["trip"] == str(cast.trip.pk)
    headers = {"Authorization": f"Device {joined.json()['token']}"}
    snapshot = Client().get(address(cast, "boat-log/snapshot"), headers=headers)
    assert snapshot.json()["snapshot"]["trip"] == str(cast.trip.pk)
    wrong = Client().post("/api/boat-log/join", {**body, "code": "22222222"}, content_type="application/json")
    assert (wrong.status_code, wrong.json()["errors"][0]["pointer"]) == (404, "/code")


def test_the_record_is_answered_as_it_was_known(cast: Cast) -> None:
    client = leader(cast)
    push(client, cast, entries=bodies(a_day())[:3])
    first = client.get(address(cast, "boat-log/record")).json()
    push(client, cast, entries=bodies(a_day()))
    again = client.get(address(cast, "boat-log/record"), {"at": first["at"]}).json()
    assert again == first and len(first["entries"]) == 3
    assert len(client.get(address(cast, "boat-log/record")).json()["entries"]) == len(a_day().entries)
    for tail, kind in (("record.csv", "text/csv"), ("record.html", "text/html")):
        answer = client.get(address(cast, f"boat-log/{tail}"), {"position": 2})
        assert answer.status_code == 200 and answer.headers["Content-Type"].startswith(kind)
    for tail in ("record", "record.csv", "record.html", "chains"):
        assert diver(cast).get(address(cast, f"boat-log/{tail}")).status_code == 404
    assert client.get(address(cast, "boat-log/record"), {"at": "noon"}).status_code == 400


def test_the_chains_are_told_by_phone(cast: Cast) -> None:
    enrolled(cast, Phone("p1"))
    push(leader(cast), cast, entries=[bodies(a_day())[0], bodies(a_day())[2]])
    (phone,) = leader(cast).get(address(cast, "boat-log/chains")).json()["phones"]
    assert (phone["enrolled"], phone["last_seq"]) == (True, 3)
    assert phone["trouble"] == [{"code": "missing", "seq": 2, "entries": []}]


def test_the_schemas_of_the_log_are_published(cast: Cast) -> None:
    entry = Client().get("/api/boat-log/entry.schema.json").json()
    validator = jsonschema.Draft202012Validator(entry)
    assert [list(validator.iter_errors(body)) for body in bodies(a_day())] == [[]] * len(a_day().entries)
    assert list(validator.iter_errors({**bodies(a_day())[1], "data": {}}))
    snapshot = Client().get("/api/boat-log/snapshot.schema.json").json()
    jsonschema.Draft202012Validator(snapshot).validate(trip_body())


@pytest.mark.parametrize(
    ("words", "code"), [("w" * 4001, None), ("w" * 100_001, "text_too_long"), ("a\0b", "text_not_storable")]
)
def test_no_remark_holds_up_what_was_entered_beside_it(cast: Cast, words: str, code: str | None) -> None:
    """A batch refused whole for its words would be sent, and refused, for ever: nothing of the phone came home."""
    phone = Phone("p1")
    phone.down("09:40")
    note = phone.write("note", "trip", "10:00", text_hash=text_hash("00" * 16, words))
    enrolled(cast, phone)
    said = [{"entry": note.id, "salt": "00" * 16, "text": words}]
    answer = push(leader(cast), cast, entries=bodies(phone), texts=said)
    assert answer.status_code == 200
    assert answer.json()["accepted"] == ids(phone.entries)
    found = [(each["pointer"], each["code"]) for each in answer.json()["problems"]]
    assert found == ([] if code is None else [("/texts/0/text", code)])
    pulled = leader(cast).get(address(cast)).json()["texts"]
    assert [text["text"] for text in pulled] == ([words] if code is None else [])
