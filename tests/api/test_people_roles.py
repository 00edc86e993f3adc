"""Every address of people, logbook and trips against every role: who is answered, refused, or finds nothing."""

from __future__ import annotations

import json
from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client

from teamdive.logbook import api as logbook
from teamdive.logbook.imports import PAST_DIVES
from teamdive.people import api as people
from teamdive.people import imports, services
from teamdive.people.models import Diver, Membership, User
from teamdive.reminders import api as reminders
from teamdive.reminders import selectors_shore
from teamdive.trips import api as trips
from teamdive.trips.demo import load_demo
from teamdive.trips.models import Dive, Team, Trip
from tests.services.people_fixtures import NOW

ROLES = ("organiser", "leader", "booked", "member", "stranger", "nobody")
EMAILS = {
    "organiser": "greta.solum@varrow.example",
    "leader": "marta.quill@varrow.example",
    "booked": "noor.haddow@varrow.example",
    "member": "celia.thorn@varrow.example",
    "stranger": "stranger@sallow.example",
}


@pytest.fixture(scope="module")
def places(django_db_setup, django_db_blocker):
    """The demo club with a member who is not booked, a stranger who organises another club, and an open trip."""
    with django_db_blocker.unblock(), transaction.atomic():
        load_demo(now=NOW, passwords={"organiser": "a", "leader": "b", "diver": "c"})
        ready = Trip.objects.get()
        club = ready.club
        services.add_member(
            club=club, email=EMAILS["member"], role="diver", diver=Diver.objects.get(email=EMAILS["member"])
        )
        elsewhere = services.add_club(name="Sallow Head divers")
        services.add_member(club=elsewhere, email=EMAILS["stranger"], role="organiser")
        roster = imports.start_import(
            club=club, content=b"Name;Born\nIda Moe;1990-01-02\n", file_name="one.csv", by=None, now=NOW
        )
        sheet = imports.start_import(
            club=club,
            content=b"Diver;Date;Depth (m)\nKit Lavery;2026-05-12;18\n",
            file_name="dives.csv",
            by=None,
            now=NOW,
            sheet=PAST_DIVES,
        )
        ashore = ready.float_plan.contacts.get(position=0)
        dive = ready.dives.get(number=1)
        noor = ready.bookings.get(diver__email=EMAILS["booked"])
        yield {
            "club": club.pk,
            "boat": ready.boat_id,
            "diver": noor.diver_id,
            "other": Diver.objects.get(member_number="112").pk,
            "roster": roster.pk,
            "sheet": sheet.pk,
            "kind": "csv",
            "trip": ready.pk,
            "dive": dive.pk,
            "person": noor.pk,
            "made": uuid4(),
            "contact": ashore.pk,
            "token": selectors_shore.token_of(ashore),
            "trip_id": ready.pk,
            "message_id": uuid4(),
        }
        transaction.set_rollback(True)


@pytest.fixture
def clients(places, db):
    made = {}
    for role in ROLES:
        made[role] = Client()
        if role in EMAILS:
            made[role].force_login(User.objects.get(email=EMAILS[role]), backend=BACKEND)
    return made


BACKEND = "allauth.account.auth_backends.AuthenticationBackend"
BODY = {
    ("trips", "post"): {"club": "{club}", "name": "Another", "starts_at": "2026-12-01T09:00:00Z"},
    ("dives", "post"): {"depth": {"unit": "m", "hundredths": 1200}, "bottom_time_s": 1200},
    ("bookings", "post"): {"name": "A guest", "role": "guest"},
    ("gas", "put"): {
        "cylinder": "c",
        "volume": "12",
        "volume_unit": "l",
        "working_pressure": 232,
        "pressure_unit": "bar",
    },
    ("dive_teams", "put"): {"teams": []},
    ("rather_not", "put"): {"about": []},
    ("places", "post"): {"kind": "site", "name": "New rock"},
    ("places", "patch"): {"boat": "{boat}", "most_persons": 12},
    ("divers", "post"): {"name": "Ada Brook"},
    ("account", "post"): {"role": "diver"},
    ("account", "patch"): {"role": "leader"},
    ("past_dives", "post"): {"on": "2026-01-31", "depth": {"unit": "m", "hundredths": 2700}},
}
BODY |= {
    ("float_plan", "put"): {"back_by": None, "contacts": []},
    ("shore_said", "post"): {"what": "acknowledged"},
    ("shore_page", "post"): {"what": "acknowledged", "by": "Bryn Tal"},
}
ALL = {"organiser", "leader", "booked", "member", "stranger"}
# Whoever holds the signed link, signed in or not.
LINK = {"organiser", "leader", "booked", "member", "stranger", "nobody"}
CLUB = {"organiser", "leader", "booked", "member"}
PLAN = {"organiser", "leader"}
ABOARD = {"organiser", "leader", "booked"}
TOP = {"organiser"}

# (address, method): who gets through to the answer, who is told no (403); the others find nothing (404).
# Whoever is not signed in is always told to (401 or 403). 409 is an answer: the demo trip is ready and cannot change.
TABLE: dict[tuple[str, str], tuple[set[str], set[str]]] = {
    ("me", "get"): (ALL, set()),
    ("club", "get"): (CLUB, set()),
    ("club", "patch"): (TOP, CLUB - TOP),
    ("divers", "get"): (PLAN, CLUB - PLAN),
    ("divers", "post"): (TOP, CLUB - TOP),
    ("diver", "get"): (ABOARD, set()),
    ("diver", "patch"): (TOP, ABOARD - TOP),
    ("account", "post"): (TOP, ABOARD - TOP),
    ("account", "patch"): (TOP, ABOARD - TOP),
    ("account", "delete"): (TOP, ABOARD - TOP),
    ("experience", "get"): (ABOARD, set()),
    ("told_dives", "get"): (ABOARD, set()),
    # Only the diver confirms; the dive asked about is not there.
    ("confirm_dive", "post"): (set(), ABOARD - {"booked"}),
    ("past_dives", "post"): (TOP, ABOARD - TOP),
    ("roster", "get"): (TOP, CLUB - TOP),
    ("past_dives_imports", "get"): (PLAN, CLUB - PLAN),
    ("past_dives_imports", "post"): (PLAN, CLUB - PLAN),
    # The sheet of the table was brought by an organiser: a leader answers only their own.
    ("past_dives_import", "get"): (TOP, set()),
    ("past_dives_import", "patch"): (TOP, set()),
    ("past_dives_apply", "post"): (TOP, set()),
    ("imports", "get"): (TOP, CLUB - TOP),
    ("imports", "post"): (TOP, CLUB - TOP),
    ("import", "get"): (TOP, set()),
    ("import", "patch"): (TOP, set()),
    ("import_apply", "post"): (TOP, set()),
    ("places", "get"): (PLAN, CLUB - PLAN),
    ("places", "post"): (PLAN, CLUB - PLAN),
    ("places", "patch"): (PLAN, CLUB - PLAN),
    ("trips", "get"): (ALL, set()),
    ("trips", "post"): (PLAN, CLUB - PLAN),
    ("trip", "get"): (ABOARD, set()),
    ("trip", "patch"): (PLAN, ABOARD - PLAN),
    ("bookings", "post"): (PLAN, ABOARD - PLAN),
    ("booking", "patch"): (PLAN, ABOARD - PLAN),
    ("booking", "delete"): (PLAN, ABOARD - PLAN),
    # The booking of the table is the booked diver's own; a leader reads nobody's wishes.
    ("rather_not", "get"): ({"organiser", "booked"}, {"leader"}),
    ("rather_not", "put"): ({"organiser", "booked"}, {"leader"}),
    ("dives", "post"): (PLAN, ABOARD - PLAN),
    ("dive", "patch"): (PLAN, ABOARD - PLAN),
    ("gas", "put"): (PLAN, ABOARD - PLAN),
    ("dive_teams", "get"): (ABOARD, set()),
    ("dive_teams", "post"): (PLAN, ABOARD - PLAN),
    ("dive_teams", "put"): (PLAN, ABOARD - PLAN),
    ("pairability", "get"): (PLAN, ABOARD - PLAN),
    ("trip_teams", "post"): (PLAN, ABOARD - PLAN),
    ("trip_teams", "put"): (PLAN, ABOARD - PLAN),
    ("trip_ready", "post"): (PLAN, ABOARD - PLAN),
    ("trip_snapshot", "get"): (ABOARD, set()),
    ("float_plan", "get"): (ABOARD, set()),
    ("float_plan", "put"): (PLAN, ABOARD - PLAN),
    ("shore_contact", "delete"): (PLAN, ABOARD - PLAN),
    ("shore_said", "post"): (PLAN, ABOARD - PLAN),
    ("shore_page", "get"): (LINK, set()),
    ("shore_page", "post"): (LINK, set()),
    ("inbox", "get"): (ALL, set()),
    ("open_alarms", "get"): (ALL, set()),
    # The message asked for is nobody's.
    ("inbox-read", "post"): (set(), set()),
    ("trip-status", "get"): (ABOARD, set()),
}
ADDRESSES = {
    p.name: p for p in (*people.urlpatterns, *logbook.urlpatterns, *trips.urlpatterns, *reminders.urlpatterns)
}


def test_the_table_names_every_address_and_method():
    offered = {
        (name, method.lower())
        for name, pattern in ADDRESSES.items()
        for method in pattern.callback.view_class.permit
    }
    assert offered == set(TABLE)
    for name, pattern in ADDRESSES.items():
        view = pattern.callback.view_class
        handlers = {m for m in ("get", "post", "put", "patch", "delete") if hasattr(view, m)}
        assert handlers == {method.lower() for method in view.permit}, name


def address(name: str, places: dict) -> str:
    route = str(ADDRESSES[name].pattern)
    if name in {"past_dives_import", "past_dives_apply"}:
        places = {**places, "roster": places["sheet"]}
    for key, value in places.items():
        for kind in ("uuid", "str"):
            route = route.replace(f"<{kind}:{key}>", str(value))
    return f"/{route}"


def ask(client: Client, name: str, method: str, places: dict):
    url = address(name, places)
    body = json.loads(json.dumps(BODY.get((name, method), {})).replace("{club}", str(places["club"])))
    if method == "get":
        return client.get(url)
    return getattr(client, method)(url, json.dumps(body), content_type="application/json")


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize(("name", "method"), sorted(TABLE))
def test_every_address_against_every_role(name, method, role, places, clients):
    through, refused = TABLE[name, method]
    answer = ask(clients[role], name, method, places)
    if role == "nobody" and role not in through:
        assert answer.status_code in {401, 403}
    elif role in through:
        assert answer.status_code in {200, 201, 204, 303, 400, 409}, answer.content
    elif role in refused:
        assert answer.status_code == 403
    elif (name, method) == ("trips", "post"):
        assert answer.status_code == 400  # a club that is not there for this person
    else:
        assert answer.status_code == 404
    if answer.status_code >= 400:
        problem = json.loads(answer.content)
        assert (
            answer["Content-Type"] == "application/problem+json" and problem["status"] == answer.status_code
        )


def test_a_diver_reads_their_own_record_and_no_other(places, clients):
    assert clients["booked"].get(f"/api/divers/{places['diver']}").json()["name"] == "Noor Haddow"
    for path in ("", "/experience"):
        assert clients["booked"].get(f"/api/divers/{places['other']}{path}").status_code == 404
        assert clients["leader"].get(f"/api/divers/{places['other']}{path}").status_code == 200
    assert "notes" not in clients["booked"].get(f"/api/divers/{places['diver']}").json()
    assert "notes" in clients["leader"].get(f"/api/divers/{places['diver']}").json()


def test_past_dives_are_added_with_what_each_asked_at_the_same_time(places, clients):
    url = f"/api/divers/{places['diver']}/dives"
    dive = {
        "on": "2026-01-31",
        "count": 3,
        "depth": {"unit": "ft", "hundredths": 9000},
        "current_kn": 0.5,
        "task": {"kind": "survey", "level": 3},
    }
    done = clients["organiser"].post(url, dive, content_type="application/json").json()["done"]
    # 90 fsw are 27.5787 msw (1 fsw = 0.30643 msw, as for the tables): experience is never made deeper than it was.
    assert {"depth": 27.57, "current_kn": 0.5, "count": 3, "on": "2026-01-31", "task": dive["task"]} in done
    later = clients["organiser"].post(url, {**dive, "on": "2999-01-01"}, content_type="application/json")
    assert later.status_code == 400 and later.json()["errors"][0]["pointer"] == "/on"
    wrong = clients["organiser"].post(url, {**dive, "deepest": 40}, content_type="application/json")
    assert wrong.status_code == 400 and wrong.json()["errors"][0]["pointer"] == "/deepest"


def test_what_is_shown_of_fitness_is_one_of_three_words(places, clients):
    shown = clients["leader"].get(f"/api/clubs/{places['club']}/divers").json()["divers"]
    assert len(shown) == 39 and {d["fitness"] for d in shown} <= {"in date", "restricted", "ask the diver"}
    text = json.dumps(clients["leader"].get(f"/api/divers/{places['other']}").json())
    assert "in_date_until" not in text and 'restricted":' not in text


def test_a_diver_sees_their_own_team_and_nobody_elses_numbers(places, clients):
    page = clients["booked"].get(f"/api/trips/{places['trip']}").json()
    assert page["me"] == str(places["person"]) and not page["may"]["plan"]
    assert {b["name"] for b in page["bookings"]} >= {"Noor Haddow", "Kit Lavery"}
    others = [b for b in page["bookings"] if b["id"] != page["me"]]
    assert all(set(b) == {"id", "name", "role", "dives", "boat"} for b in others)
    for dive in page["dives_planned"]:
        assert "gas" not in dive and "left_out" not in dive
        assert [t for t in dive["teams"] if page["me"] not in t["members"]] == [] and len(dive["teams"]) == 1
    url = f"/api/trips/{places['trip']}/dives/{places['dive']}/teams"
    shown = clients["booked"].get(url).json()
    assert shown["proposal"] is None and len(shown["announced"]) == 1
    assert len(clients["leader"].get(url).json()["announced"]) == 6
    full = clients["leader"].get(f"/api/trips/{places['trip']}").json()
    assert len(full["dives_planned"][0]["gas"]) == 12


def test_a_role_taken_away_is_gone_at_once(places, clients):
    Membership.objects.filter(user__email=EMAILS["leader"]).update(role="diver")
    assert clients["leader"].get(f"/api/clubs/{places['club']}/divers").status_code == 403
    trip = Trip.objects.get(pk=places["trip"])
    trip.bookings.filter(diver__email=EMAILS["booked"]).update(cancelled_at=NOW)
    assert clients["booked"].get(f"/api/trips/{places['trip']}").status_code == 404


def test_a_record_is_changed_all_or_nothing(places, clients):
    def patch(body: dict):
        url = f"/api/divers/{places['other']}"
        return clients["organiser"].patch(url, json.dumps(body), content_type="application/json")

    changed = patch(
        {
            "rmv_l_min": "19.5",
            "certification": {
                "name": "Deep",
                "depth_hundredths": 4000,
                "depth_unit": "m",
                "evidence": "shown",
            },
            "fitness": {"in_date_until": "2020-01-01"},
            "cylinder": {"volume": "15", "volume_unit": "l", "working_pressure": 232, "pressure_unit": "bar"},
        }
    ).json()
    assert changed["rmv_l_min"] == 19.5 and changed["fitness"] == "ask the diver"
    assert changed["certified_depth"] == {"unit": "m", "hundredths": 4000} and changed["evidence"] == "shown"
    assert [c["volume"] for c in changed["cylinders"]] == [15]
    refused = patch({"email": EMAILS["booked"], "fitness": {"in_date_until": None}})
    assert refused.status_code == 400
    assert clients["organiser"].get(f"/api/divers/{places['other']}").json()["email"].startswith("kit.lavery")
    assert patch({"certification": {"name": "Deep", "depth_hundredths": 40}}).status_code == 400
    assert patch({"weight": 80}).json()["errors"][0]["pointer"] == "/weight"


# --- accounts and single records over the wire


def test_an_account_is_given_signs_in_and_takes_a_password_of_its_own(places, clients):
    """As the phone does it: sign-in and change of password are the library's own endpoints."""
    organiser, url = clients["organiser"], f"/api/divers/{places['other']}/account"
    record = f"/api/divers/{places['other']}"
    assert organiser.get(record).json()["role"] is None
    given = organiser.post(url, {"role": "diver"}, content_type="application/json")
    assert given.status_code == 201 and given["Cache-Control"] == "no-store"
    made = given.json()
    assert made["email"].startswith("kit.lavery") and made["role"] == "diver"
    assert made["password"] not in json.dumps(organiser.get(record).json())
    assert organiser.get(record).json()["role"] == "diver" and organiser.get(record).json()["account"]
    again = organiser.post(url, {"role": "diver"}, content_type="application/json")
    assert again.status_code == 409 and again.json()["errors"][0]["code"] == "has_account"
    assert again.json()["errors"][0]["remedy"]

    def sign_in(password: str) -> tuple[Client, int]:
        kit = Client()
        answer = kit.post(
            "/_allauth/browser/v1/auth/login",
            {"email": made["email"], "password": password},
            content_type="application/json",
        )
        return kit, answer.status_code

    kit, status = sign_in(made["password"])
    assert status == 200 and kit.get(record).json()["name"] == "Kit Lavery"
    assert kit.get(f"/api/clubs/{places['club']}/divers").status_code == 403
    change = "/_allauth/browser/v1/account/password/change"
    own = "a plank above the ladder"
    wrong = kit.post(change, {"current_password": "no", "new_password": own}, content_type="application/json")
    assert wrong.status_code == 400 and wrong.json()["errors"][0]["param"] == "current_password"
    short = kit.post(
        change,
        {"current_password": made["password"], "new_password": "short"},
        content_type="application/json",
    )
    assert short.status_code == 400 and short.json()["errors"][0]["param"] == "new_password"
    kept = kit.post(
        change, {"current_password": made["password"], "new_password": own}, content_type="application/json"
    )
    assert kept.status_code == 200 and kit.get("/api/me").status_code == 200, "still signed in"
    assert sign_in(made["password"])[1] == 400 and sign_in(own)[1] == 200
    assert organiser.patch(url, {"role": "leader"}, content_type="application/json").json() == {
        "email": made["email"],
        "role": "leader",
        "password": None,
    }
    assert kit.get(f"/api/clubs/{places['club']}/divers").status_code == 200
    assert organiser.delete(url).status_code == 204
    assert kit.get(f"/api/clubs/{places['club']}/divers").status_code == 404
    assert kit.get(record).status_code == 404 and kit.get("/api/me").json()["clubs"] == []


@pytest.mark.parametrize(
    ("method", "body", "pointer"),
    [
        ("post", {}, "/role"),
        ("post", {"role": "captain"}, "/role"),
        ("post", {"role": "diver", "password": "mine"}, "/password"),
        ("patch", {}, "/role"),
        ("patch", {"new_password": False}, "/role"),
        ("patch", {"roles": "diver"}, "/roles"),
    ],
)
def test_a_bad_account_body_names_its_field(method, body, pointer, places, clients):
    url = f"/api/divers/{places['diver']}/account"
    answer = getattr(clients["organiser"], method)(url, json.dumps(body), content_type="application/json")
    assert answer.status_code == 400 and pointer in {e["pointer"] for e in answer.json()["errors"]}


def test_one_diver_is_added_by_hand_all_or_nothing(places, clients):
    url = f"/api/clubs/{places['club']}/divers"

    def post(body: dict):
        return clients["organiser"].post(url, json.dumps(body), content_type="application/json")

    certification = {"name": "Deep", "depth_hundredths": 3000, "depth_unit": "m", "evidence": "shown"}
    added = post({"name": "Ada Brook", "email": "ada@varrow.example", "certification": certification})
    assert added.status_code == 201
    assert added.json()["certified_depth"] == {"unit": "m", "hundredths": 3000}
    assert added.json()["account"] is False and added.json()["role"] is None
    assert clients["leader"].get(f"/api/divers/{added.json()['id']}").json()["name"] == "Ada Brook"
    twice = post({"name": "Ada Brook", "email": "ADA@varrow.example"})
    (error,) = twice.json()["errors"]
    assert twice.status_code == 400 and error["pointer"] == "/email" and "Another diver" in error["message"]
    assert post({"email": "bo@varrow.example"}).json()["errors"][0]["pointer"] == "/name"
    half = post({"name": "Bo Reed", "certification": {"name": "Deep", "depth_hundredths": 40}})
    assert half.status_code == 400 and not Diver.objects.filter(name="Bo Reed").exists()


# --- the whole way over the wire


def test_a_roster_comes_in_over_the_wire(places, clients, tmp_path):
    client = clients["organiser"]
    file = tmp_path / "roster.csv"
    file.write_bytes(b"Name;E-mail;Cert depth\nIda Moe;ida.moe@v.example;60\nPer Moe;per.moe@v.example;x\n")
    with file.open("rb") as upload:
        answer = client.post(f"/api/clubs/{places['club']}/imports", {"file": upload})
    assert answer.status_code == 201
    preview = answer.json()
    assert preview["columns"][2]["unit"] == "ft" and preview["counts"]["blocked"] == 1
    url = f"/api/imports/{preview['id']}"
    refused = client.post(f"{url}/apply")
    assert refused.status_code == 409 and refused.json()["type"].endswith("columns_not_confirmed")
    changed = client.patch(
        url,
        json.dumps({"confirm_all": True, "choices": {"cells": {"3": {"certified_depth": "30 m"}}}}),
        content_type="application/json",
    ).json()
    assert changed["can_apply"]
    assert client.post(f"{url}/apply").json()["result"]["new"] == 2
    assert client.get(url).json()["state"] == "applied"
    assert client.patch(url, "{}", content_type="application/json").status_code == 409
    missing = client.post(f"/api/clubs/{places['club']}/imports")
    assert missing.status_code == 400 and missing.json()["errors"][0]["pointer"] == "/file"
    unknown = client.patch(url, json.dumps({"colums": []}), content_type="application/json")
    assert unknown.status_code == 400 and unknown.json()["errors"][0]["pointer"] == "/colums"


def test_a_leader_brings_past_dives_over_the_wire_but_none_of_their_own(places, clients):
    client = clients["leader"]
    url = f"/api/clubs/{places['club']}/past-dives/imports"
    file = SimpleUploadedFile(
        "dives.csv",
        b"Diver;Date;Depth;Task\nKit Lavery;2026-05-12;18 m;survey 3\nMarta Quill;2026-05-12;60 m;\n",
    )
    preview = client.post(url, {"file": file}).json()
    assert preview["sheet"] == "past_dives" and preview["rows"][0]["says"].endswith("survey level 3")
    one = f"/api/past-dives/imports/{preview['id']}"
    assert client.get(f"/api/imports/{preview['id']}").status_code == 404
    assert clients["organiser"].get(f"/api/imports/{preview['id']}").status_code == 404
    assert clients["booked"].get(one).status_code == 404
    assert clients["organiser"].get(one).status_code == 200

    def answer(choices: dict):
        body = json.dumps({"confirm_all": True, "choices": choices})
        return client.patch(one, body, content_type="application/json").json()

    codes = {p["code"] for p in answer({})["rows"][1]["problems"]}
    assert "own_dives" in codes and client.post(f"{one}/apply").status_code == 409
    assert answer({"leave_out": [3]})["can_apply"]
    result = client.post(f"{one}/apply").json()["result"]
    assert (result["dives"], result["divers"]) == (1, 1)
    done = client.get(f"/api/divers/{places['other']}/experience").json()["done"]
    assert {"depth": 18.0, "count": 1, "on": "2026-05-12", "task": {"kind": "survey", "level": 3}} in done
    listed = client.get(url).json()["imports"]
    assert {i["id"] for i in listed} >= {preview["id"]} and listed[0]["state"] == "applied"
    assert preview["id"] not in json.dumps(
        clients["organiser"].get(f"/api/clubs/{places['club']}/imports").json()
    )


def test_a_trip_is_planned_over_the_wire(places, clients):
    client = clients["leader"]

    def send(method: str, path: str, body: dict):
        return getattr(client, method)(path, json.dumps(body), content_type="application/json")

    start = (NOW + timedelta(days=3)).isoformat()
    made = send(
        "post", "/api/trips", {"club": str(places["club"]), "name": "Evening dive", "starts_at": start}
    )
    trip = f"/api/trips/{made.json()['id']}"
    divers = {
        d["member_number"]: d["id"]
        for d in client.get(f"/api/clubs/{places['club']}/divers").json()["divers"]
    }
    for number in ("101", "111"):
        answer = send("post", f"{trip}/bookings", {"diver": divers[number], "earlier_dives": []})
        assert answer.status_code == 201, answer.content
    assert (
        send("post", f"{trip}/bookings", {"diver": divers["111"]}).json()["errors"][0]["code"]
        == "booked_already"
    )
    assert send("post", f"{trip}/bookings", {"name": "Una Torvald", "role": "crew"}).status_code == 201
    dive = {
        "depth": {"unit": "m", "hundredths": 1800},
        "bottom_time_s": 1800,
        "planned_at": (NOW + timedelta(days=3, hours=1)).isoformat(),
        "return": "free_ascent",
        "demands": {"current_kn": "0.2", "task": None},
    }
    page = send("post", f"{trip}/dives", dive).json()
    assert {r["code"] for r in page["not_ready"]} == {"teams_missing"}
    one = f"{trip}/dives/{page['dives_planned'][0]['id']}"
    people = [b["id"] for b in page["bookings"] if b["dives"]]
    gas = {
        "cylinder": "c",
        "volume": "12",
        "volume_unit": "l",
        "working_pressure": 232,
        "pressure_unit": "bar",
    }
    for person in people:
        full = {**gas, "start_pressure": 210, "analysed_o2_pm": 210, "analysed_by": person}
        assert send("put", f"{one}/gas/{person}", full).status_code == 200
    solved = send("post", f"{one}/teams", {"why_not": [people]}).json()
    answer = solved["proposal"]["answer"]
    assert answer["status"] == "optimal" and len(answer["teams"]) == 1
    chosen = [{"members": t["divers"], "lead": t["lead"]} for t in answer["teams"]]
    told = send("put", f"{one}/teams", {"teams": chosen, "proposal": solved["proposal"]["id"]}).json()
    assert told["announced"][0]["plan"]["team"]["limited_by"]
    ready = client.post(f"{trip}/ready")
    assert ready.status_code == 201
    snapshot = client.get(f"{trip}/snapshot").json()
    assert snapshot["hash"] == ready.json()["hash"]
    assert client.post(f"{trip}/ready").json()["errors"][0]["code"] == "trip_is_ready"
    assert Team.objects.filter(dive__trip=made.json()["id"]).count() == 1


SHALLOW = {"depth": {"unit": "m", "hundredths": 1000}, "bottom_time_s": 600}


@pytest.mark.parametrize(
    ("path", "body", "pointer"),
    [
        ("dives", {"depth": {"unit": "m", "hundredths": -1}, "bottom_time_s": 600}, "/depth/hundredths"),
        ("dives", {"depth": {"unit": "yd", "hundredths": 100}, "bottom_time_s": 600}, "/depth/unit"),
        ("dives", {"depth": {"unit": "m", "hundredths": 1000}, "bottom_time_s": True}, "/bottom_time_s"),
        ("dives", {"depth": {"unit": "m", "hundredths": 1000}, "bottom_time_s": 600, "dept": 1}, "/dept"),
        ("dives", {**SHALLOW, "turn_rule": "quarters"}, "/turn_rule"),
        ("dives", {**SHALLOW, "along_current": {"first": "with"}}, "/along_current/swim_kn"),
        ("dives", {**SHALLOW, "along_current": {"first": "with", "swim_kn": 0}}, "/along_current/swim_kn"),
        ("dives", {**SHALLOW, "task_unit_min": 0}, "/task_unit_min"),
        ("bookings", {"role": "captain"}, "/role"),
        ("bookings", {"diver": str(uuid4())}, "/diver"),
        ("bookings", {"name": "X", "earlier_dives": [{"bottom_time_s": 5}]}, "/earlier_dives/0/depth"),
    ],
)
def test_a_bad_body_names_its_field(path, body, pointer, places, clients):
    answer = clients["leader"].post(
        f"/api/trips/{places['trip']}/{path}", json.dumps(body), content_type="application/json"
    )
    assert answer.status_code == 400 and pointer in {e["pointer"] for e in answer.json()["errors"]}


def test_half_a_value_changes_nothing(places, clients):
    trip = Trip.objects.create(club_id=places["club"], name="Later", starts_at=NOW)
    dives = f"/api/trips/{trip.pk}/dives"
    made = clients["leader"].post(dives, json.dumps(SHALLOW), content_type="application/json").json()
    one = f"{dives}/{made['dives_planned'][0]['id']}"
    for body, pointer in (
        ({"along_current": {"first": "with"}}, "/along_current/swim_kn"),
        ({"depth": {"unit": "m"}}, "/depth/hundredths"),
        ({"demands": {"task": {"kind": "survey"}}}, "/demands/task/level"),
    ):
        answer = clients["leader"].patch(one, json.dumps(body), content_type="application/json")
        assert answer.status_code == 400 and [e["pointer"] for e in answer.json()["errors"]] == [pointer]
    whole = {"turn_rule": "thirds", "along_current": {"first": "with", "swim_kn": 0.7}, "task_unit_min": 6}
    page = clients["leader"].patch(one, json.dumps(whole), content_type="application/json").json()
    assert {name: page["dives_planned"][0][name] for name in whole} == whole
    none = dict.fromkeys(whole)
    page = clients["leader"].patch(one, json.dumps(none), content_type="application/json").json()
    assert {name: page["dives_planned"][0][name] for name in none} == none


def test_a_snapshot_that_is_not_made_says_so(places, clients):
    trip = Trip.objects.create(club_id=places["club"], name="Later", starts_at=NOW)
    answer = clients["leader"].get(f"/api/trips/{trip.pk}/snapshot")
    assert answer.status_code == 404 and answer.json()["errors"][0]["code"] == "not_ready"
    assert Dive.objects.filter(trip=trip).count() == 0


def test_a_list_of_trips_costs_a_fixed_number_of_questions(places, clients, django_assert_max_num_queries):
    for n in range(20):
        Trip.objects.create(club_id=places["club"], name=f"Trip {n}", starts_at=NOW)
    with django_assert_max_num_queries(12):
        assert len(clients["leader"].get("/api/trips").json()["trips"]) == 21


def test_a_diver_keeps_their_own_wishes_and_reads_nobody_elses(places, clients):
    url = address("rather_not", places)
    choices = clients["booked"].get(url).json()["choices"]
    about = [choices[0]["id"]]
    kept = clients["booked"].put(url, {"about": about}, content_type="application/json")
    assert kept.json()["about"] == about and kept["Cache-Control"] == "no-store"
    assert clients["organiser"].get(url).json()["about"] == about
    assert clients["leader"].get(url).status_code == 403
    other = url.replace(str(places["person"]), about[0])
    assert clients["booked"].get(other).status_code == 403
    assert clients["booked"].put(other, {"about": []}, content_type="application/json").status_code == 403
