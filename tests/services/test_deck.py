"""Batches as set union, entries that stay, chains that fork, texts that can be erased, and what it all amounts to."""

from __future__ import annotations

import json
from base64 import b64encode, urlsafe_b64encode
from random import Random
from typing import Any
from uuid import UUID, uuid4

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from django.db import DatabaseError, connection, transaction

from teamdive.boatlog import chain
from teamdive.boatlog.entries import body, hash_of, read, text_hash
from teamdive.deck import selectors, services
from teamdive.deck.models import DiverStatus, Entry, Immutable, Text
from teamdive.deck.signals import entries_stored
from tests.boat_histories import history
from tests.boat_scene import Phone, at, uid
from tests.reminders_cast import Cast
from tests.services.deck_cast import NOW, a_day, at_sea, bodies, enrolled, ids

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> Cast:
    return at_sea()


def stored(cast: Cast) -> list[tuple[int, dict[str, Any]]]:
    rows = Entry.objects.filter(trip=cast.trip).order_by("position")
    return [(row.position, json.loads(row.body)) for row in rows]


class TestUnion:
    def test_the_same_batch_twice_is_the_same_as_once(self, cast: Cast) -> None:
        phone = a_day()
        first = services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        before = stored(cast)
        again = services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        assert first.accepted == again.accepted == tuple(ids(phone.entries))
        assert (stored(cast), again.position, again.epoch) == (before, len(before), first.epoch)
        assert [position for position, _ in before] == list(range(1, len(phone.entries) + 1))

    def test_any_batches_in_any_order_hold_the_same_set_and_state(self, cast: Cast) -> None:
        entries = [body(entry) for entry in history(Random(7), most=60)]
        entries = [entry for entry in entries if entry["trip"] == str(cast.trip.pk)]
        for seed in range(3):
            rng = Random(seed)
            batches = [rng.sample(entries, rng.randint(1, len(entries))) for _ in range(6)] + [entries[::-1]]
            for batch in batches:
                services.store(trip=cast.trip, bodies=batch, now=NOW)
        marks = [read(entry).mark for entry in entries]
        assert sorted(Entry.objects.values_list("mark", flat=True)) == sorted(set(marks))
        state = selectors.state_of(cast.trip.pk)
        assert state is not None and set(state.entries) == set(marks)

    def test_an_entry_twice_in_one_batch_is_one(self, cast: Cast) -> None:
        phone = a_day()
        services.store(trip=cast.trip, bodies=bodies(phone) * 2, now=NOW)
        assert Entry.objects.count() == len(phone.entries)

    def test_what_comes_back_is_byte_for_byte_what_was_sent(self, cast: Cast) -> None:
        phone = Phone("p1")
        entry = phone.write("seal_seen", "trip", "10:00", where={"deep": [None, True, "Größe ☂"]})
        newer = {**body(entry), "mood": "calm"}
        newer["hash"] = hash_of(newer)
        result = services.store(trip=cast.trip, bodies=[newer], now=NOW)
        assert result.accepted == (entry.id,)
        assert selectors.page(cast.trip.pk, 0, 10).entries[0]["entry"] == newer

    def test_a_clock_an_hour_or_a_year_wrong_is_no_reason_to_refuse(self, cast: Cast) -> None:
        phone = Phone("p1")
        phone.write("note", "trip", at("10:00") + 365 * 86_400_000)
        phone.write("note", "trip", 5)
        assert len(services.store(trip=cast.trip, bodies=bodies(phone), now=NOW).accepted) == 2

    def test_what_is_no_entry_is_refused_by_name_and_the_rest_kept(self, cast: Cast) -> None:
        phone = a_day()
        stranger = Phone("p9", trip=uid("other"))
        stranger.write("note", "trip", "10:00")
        broken = {**bodies(phone)[0], "at": 1.5}
        batch = [*bodies(phone), broken, "nothing", *bodies(stranger)]
        result = services.store(trip=cast.trip, bodies=batch, now=NOW)
        refused = [(problem.pointer, problem.code) for problem in result.problems if not problem.kept]
        place = len(phone.entries)
        assert refused == [
            (f"/entries/{place}/at", "wrong_type"),
            (f"/entries/{place + 1}", "wrong_type"),
            (f"/entries/{place + 2}/trip", "other_trip"),
        ]
        assert Entry.objects.count() == len(phone.entries)

    def test_a_batch_too_large_is_refused_whole(self, cast: Cast) -> None:
        with pytest.raises(services.UnableToStore):
            services.store(trip=cast.trip, bodies=[{}] * 501, now=NOW)

    def test_whoever_reads_on_is_told_once_after_commit(
        self, cast: Cast, django_capture_on_commit_callbacks: Any
    ) -> None:
        told: list[UUID] = []

        def listen(trip_id: UUID, **_: Any) -> None:
            told.append(trip_id)

        entries_stored.connect(listen)
        try:
            for _ in range(2):
                with django_capture_on_commit_callbacks(execute=True):
                    services.store(trip=cast.trip, bodies=bodies(a_day()), now=NOW)
        finally:
            entries_stored.disconnect(listen)
        assert told == [cast.trip.pk]


class TestPositions:
    def test_a_reader_pages_through_without_gap_or_repeat(self, cast: Cast) -> None:
        phone = a_day()
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        after, read_so_far = 0, []
        while True:
            page = selectors.page(cast.trip.pk, after, 2)
            if not page.entries:
                break
            read_so_far.extend(item["entry"]["id"] for item in page.entries)
            after = page.entries[-1]["position"]
        assert read_so_far == ids(phone.entries)
        assert page.log.position == after

    def test_heads_tell_which_trips_go_on(self, cast: Cast) -> None:
        assert selectors.trips_with_entries_after({}) == []
        services.store(trip=cast.trip, bodies=bodies(a_day()), now=NOW)
        position = selectors.heads()[cast.trip.pk]
        assert selectors.trips_with_entries_after({}) == [cast.trip.pk]
        assert selectors.trips_with_entries_after({cast.trip.pk: position - 1}) == [cast.trip.pk]
        assert selectors.trips_with_entries_after({cast.trip.pk: position}) == []

    def test_a_new_epoch_after_a_restore(self, cast: Cast) -> None:
        services.store(trip=cast.trip, bodies=bodies(a_day()), now=NOW)
        fresh = uuid4()
        services.renew_epochs(epoch=fresh)
        assert selectors.epoch_of(cast.trip.pk) == fresh
        assert services.store(trip=cast.trip, bodies=bodies(a_day()), now=NOW).epoch == fresh


class TestEntriesStay:
    def test_the_model_refuses(self, cast: Cast) -> None:
        services.store(trip=cast.trip, bodies=bodies(a_day()), now=NOW)
        row = Entry.objects.first()
        assert row is not None
        for change in (
            row.save,
            row.delete,
            Entry.objects.all().delete,
            lambda: Entry.objects.update(kind="x"),
        ):
            with pytest.raises(Immutable):
                change()

    def test_the_database_refuses(self, cast: Cast) -> None:
        services.store(trip=cast.trip, bodies=bodies(a_day()), now=NOW)
        for statement in ("UPDATE deck_entry SET kind = 'x'", "DELETE FROM deck_entry"):
            with (
                pytest.raises(DatabaseError, match="not changed"),
                transaction.atomic(),
                connection.cursor() as cursor,
            ):
                cursor.execute(statement)
        assert Entry.objects.exclude(kind="x").count() == len(a_day().entries)


class TestTrouble:
    def trouble(self, cast: Cast, entry_id: str) -> list[list[str]]:
        rows = Entry.objects.filter(trip=cast.trip, entry_id=entry_id).order_by("position")
        return [row.trouble for row in rows]

    def test_a_whole_chain_of_an_enrolled_phone_has_none(self, cast: Cast) -> None:
        phone = a_day()
        enrolled(cast, phone)
        assert services.store(trip=cast.trip, bodies=bodies(phone), now=NOW).problems == ()

    def test_a_fork_keeps_both_sides_and_says_so(self, cast: Cast) -> None:
        phone = a_day()
        enrolled(cast, phone)
        head = chain.Head(1, phone.entries[0].hash)
        draft = {"trip": phone.trip, "device": uid("p1"), "by": None, "at": at("09:41"), "kind": "note"}
        other = chain.append(
            head, None, at("09:41"), b"0123456789", {**draft, "subject": phone.trip, "data": {}}
        )
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        result = services.store(trip=cast.trip, bodies=[body(other)], now=NOW)
        assert result.accepted == (other.id,)
        assert [(problem.code, problem.kept) for problem in result.problems] == [("forked", True)]
        assert Entry.objects.filter(device_id=uid("p1"), seq=2).count() == 2

    def test_an_altered_copy_is_kept_beside_the_true_one(self, cast: Cast) -> None:
        phone = a_day()
        enrolled(cast, phone)
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        altered = {**bodies(phone)[2], "at": at("10:00")}
        services.store(trip=cast.trip, bodies=[altered], now=NOW)
        assert self.trouble(cast, altered["id"]) == [[], ["altered", "forked"]]

    def test_data_that_does_not_fit_its_kind_is_kept(self, cast: Cast) -> None:
        phone = Phone("p1")
        enrolled(cast, phone)
        entry = phone.write("down", "t1", "10:00", dive="d1", members=[])
        result = services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        assert (result.accepted, [problem.code for problem in result.problems]) == (
            (entry.id,),
            ["not_understood"],
        )

    def test_a_phone_unknown_or_taken_off_is_marked(self, cast: Cast) -> None:
        phone = a_day()
        services.store(trip=cast.trip, bodies=bodies(phone)[:1], now=NOW)
        device, _ = enrolled(cast, phone)
        services.revoke(device=device, now=NOW)
        services.store(trip=cast.trip, bodies=bodies(phone)[1:2], now=NOW)
        assert [row.trouble for row in Entry.objects.order_by("position")] == [
            ["device_unknown"],
            ["device_revoked"],
        ]


class TestTexts:
    def with_text(self) -> tuple[Phone, dict[str, str]]:
        phone = Phone("p1")
        salt, words = "00112233445566778899aabbccddeeff", "left her torch on the ladder"
        entry = phone.write("note", "trip", "10:00", text_hash=text_hash(salt, words))
        return phone, {"entry": entry.id, "salt": salt, "text": words}

    def test_words_travel_beside_and_can_be_erased_without_breaking_the_chain(self, cast: Cast) -> None:
        phone, text = self.with_text()
        for _ in range(2):
            services.store(trip=cast.trip, bodies=bodies(phone), texts=[text], now=NOW)
        assert selectors.page(cast.trip.pk, 0, 10).texts == [text]
        assert services.erase_text(trip=cast.trip, entry_id=UUID(text["entry"]), now=NOW) == 1
        assert selectors.page(cast.trip.pk, 0, 10).texts == [{"entry": text["entry"], "erased": True}]
        # A phone that still has the words offers them again: erased stays erased.
        services.store(trip=cast.trip, bodies=bodies(phone), texts=[text], now=NOW)
        assert Text.objects.get().text == ""
        assert chain.check(selectors.entries(cast.trip.pk)) == ()

    def test_other_words_are_not_taken_for_them(self, cast: Cast) -> None:
        phone, text = self.with_text()
        false = {**text, "text": "all well"}
        lost = {**text, "entry": uid("none")}
        result = services.store(trip=cast.trip, bodies=bodies(phone), texts=[false, lost], now=NOW)
        codes = [problem.code for problem in result.problems if problem.pointer.startswith("/texts")]
        assert codes == ["text_does_not_match", "text_without_entry"]
        assert not Text.objects.exists()


class TestSignedHead:
    def signed(self, key: ec.EllipticCurvePrivateKey, hash_hex: str) -> str:
        r, s = decode_dss_signature(key.sign(bytes.fromhex(hash_hex), ec.ECDSA(SHA256())))
        return urlsafe_b64encode(r.to_bytes(32, "big") + s.to_bytes(32, "big")).rstrip(b"=").decode()

    def test_the_head_is_held_against_the_key_of_the_dock(self, cast: Cast) -> None:
        phone = a_day()
        key, stranger = (ec.generate_private_key(ec.SECP256R1()) for _ in range(2))
        spki = key.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
        device, _ = enrolled(cast, phone, b64encode(spki).decode())
        last = phone.entries[-1]
        head = {"seq": last.seq, "hash": last.hash, "signature": self.signed(key, last.hash)}
        early = services.store(trip=cast.trip, bodies=bodies(phone)[:2], head=head, device=device, now=NOW)
        assert (early.head, [problem.code for problem in early.problems]) == ("refused", ["head_not_held"])
        whole = services.store(trip=cast.trip, bodies=bodies(phone), head=head, device=device, now=NOW)
        assert (whole.head, whole.problems) == ("verified", ())
        device.refresh_from_db()
        assert (device.head_seq, device.head_hash) == (last.seq, last.hash)
        forged = {**head, "signature": self.signed(stranger, last.hash)}
        assert (
            services.store(trip=cast.trip, bodies=[], head=forged, device=device, now=NOW).head == "refused"
        )

    def test_a_key_of_another_kind_is_refused_at_the_dock(self, cast: Cast) -> None:
        other = ec.generate_private_key(ec.SECP384R1()).public_key()
        spki = b64encode(other.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)).decode()
        for text in (spki, "not base64!", b64encode(b"nothing").decode()):
            with pytest.raises(services.UnableToEnrol):
                services.enrol(trip=cast.trip, label="x", public_key=text, by=cast.users[0], now=NOW)

    def test_a_token_is_kept_only_as_a_hash(self, cast: Cast) -> None:
        device, token = enrolled(cast, Phone("p1"))
        assert token not in {str(value) for value in vars(device).values()}
        assert selectors.device_of(token) == device
        assert selectors.device_of(token + "x") is None


class TestProjection:
    def test_a_synced_dive_gives_group_interval_and_no_fly_time(self, cast: Cast) -> None:
        services.store(trip=cast.trip, bodies=bodies(a_day()), now=NOW)
        services.project(trip=cast.trip, now=NOW)
        row = DiverStatus.objects.get(person=uid("a"))
        # 18 m is the 60 fsw row; 25 minutes there give E (Revision 7 air table).
        assert row.group == "E"
        assert row.surfaced_at is not None and row.surfaced_at.isoformat() == "2027-06-12T10:05:00+00:00"
        assert str(row.next_dive) == uid("d2")
        assert row.earliest_next_dive_at is not None and row.not_known == {}
        # Flying After Recreational Diving Workshop, 2002: 12 h after one no-stop dive.
        assert row.no_fly_until is not None and row.no_fly_until.isoformat() == "2027-06-12T22:05:00+00:00"
        assert {str(status.person_id) for status in DiverStatus.objects.all()} == {
            uid(name) for name in "abcd"
        }

    def test_again_changes_nothing_but_when(self, cast: Cast) -> None:
        services.store(trip=cast.trip, bodies=bodies(a_day()), now=NOW)
        fields = ("pk", "group", "earliest_next_dive_at", "no_fly_until", "from_position", "questions")
        first = [[getattr(row, name) for name in fields] for row in services.project(trip=cast.trip, now=NOW)]
        again = [
            [getattr(row, name) for name in fields] for row in services.project(trip=cast.trip.pk, now=NOW)
        ]
        assert first == again

    def test_what_is_missing_is_named(self, cast: Cast) -> None:
        phone = Phone("p1")
        phone.down("09:40")
        phone.up("10:05")
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        services.project(trip=cast.trip, now=NOW)
        row = DiverStatus.objects.get(person=uid("a"))
        assert row.group is None and row.no_fly_until is None and row.earliest_next_dive_at is None
        assert row.not_known["group"] == ["reported depth of dive 1"]

    def test_an_older_picture_does_not_replace_a_newer(
        self, cast: Cast, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        phone = a_day()
        services.store(trip=cast.trip, bodies=bodies(phone)[:2], now=NOW)
        old_log, old_state = selectors.log_of(cast.trip.pk), selectors.state_of(cast.trip.pk)
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        services.project(trip=cast.trip, now=NOW)
        monkeypatch.setattr(selectors, "log_of", lambda trip: old_log)
        monkeypatch.setattr(selectors, "state_of", lambda trip: old_state)
        services.project(trip=cast.trip, now=NOW)
        assert DiverStatus.objects.get(person=uid("a")).group == "E"
