"""The record as known at any past moment, the chains as they are stored, phones that join with a code."""

from __future__ import annotations

import csv
import io
import json
from base64 import b64encode, urlsafe_b64encode
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from django.db import connection

from teamdive.boatlog import chain, snapshot
from teamdive.boatlog.entries import body, hash_of, text_hash
from teamdive.boatlog.fold import fold
from teamdive.boatlog.view import view
from teamdive.deck import (
    depths,
    joining,
    left_open,
    record,
    rules,
    selectors,
    services,
    settling,
    sheets,
    written,
)
from teamdive.deck.models import Device
from teamdive.logbook.models import MadeDive
from teamdive.people.models import Membership, User
from teamdive.trips.selectors import snapshot_of
from tests.boat_scene import Phone, at, uid
from tests.reminders_cast import Cast
from tests.services.deck_cast import NOW, a_day, at_sea, bodies, enrolled

pytestmark = pytest.mark.django_db
SATURDAY_16 = NOW + timedelta(hours=5)
MONDAY = NOW + timedelta(days=2)


@pytest.fixture
def cast() -> Cast:
    return at_sea()


def fresh(known: record.AsKnown) -> dict[str, Any]:
    return {name: getattr(known, name) for name in ("position", "set_hash", "entries", "texts", "state")}


class TestAsKnown:
    def test_saturday_16_00_stays_as_it_was_whatever_monday_brings(self, cast: Cast) -> None:
        """The member's 'wrong typing' of Monday: both claims are there on Monday, one on Saturday."""
        phone = a_day()
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        then = fresh(record.as_known(cast.trip.pk, at=SATURDAY_16))
        deep = next(entry for entry in phone.entries if entry.kind == "depth_reported")
        phone.write(
            "correction", "a", at("10:00") + 2 * 86_400_000, corrects=deep.id, reason="mistyped", void=False,
            data={"depth": {"unit": "m", "hundredths": 1200}},
        )  # fmt: skip
        other = Phone("p2")
        other.write("note", "trip", "09:00")
        services.store(trip=cast.trip, bodies=bodies(phone, other), now=MONDAY)
        assert fresh(record.as_known(cast.trip.pk, at=SATURDAY_16)) == then
        now = record.as_known(cast.trip.pk, at=MONDAY)
        (said,) = [row["details"] for row in sheets.rows(now, "UTC", {}) if row["kind"] == "correction"]
        place = next(item["position"] for item in then["entries"] if item["entry"]["id"] == deep.id)
        assert said == f"corrects entry {place}; data: depth 12 m; reason: mistyped; void: no"
        assert len(now.entries) == len(then["entries"]) + 2
        assert now.set_hash != then["set_hash"]
        assert "correction_not_settled" in {q["code"] for q in now.state["questions"]}  # type: ignore[index]

    def test_the_state_is_the_fold_of_exactly_what_had_come(self, cast: Cast) -> None:
        phone = a_day()
        services.store(trip=cast.trip, bodies=bodies(phone)[:2], now=NOW)
        services.store(trip=cast.trip, bodies=bodies(phone), now=MONDAY)
        kept = snapshot_of(cast.trip.pk)
        assert kept is not None
        folded = fold(snapshot.read(kept["snapshot"]), phone.entries[:2])
        known = record.as_known(cast.trip.pk, at=SATURDAY_16)
        assert known.state == view(folded, int(SATURDAY_16.timestamp() * 1000))
        assert known.position == 2
        by_place = record.as_known(cast.trip.pk, at=MONDAY, position=2)
        assert (by_place.set_hash, len(by_place.entries)) == (known.set_hash, 2)

    def test_a_phone_an_hour_fast_is_put_right_on_paper_and_its_own_word_kept(self, cast: Cast) -> None:
        fast = Phone("p1")
        fast.write("clock_compared", "p1", "10:30", offset_ms=-3_600_000, error_ms=900)
        fast.down("10:40")
        fast.write("overdue_quieted", "t1", "11:30", until=at("11:32"))
        services.store(trip=cast.trip, bodies=bodies(fast), now=NOW)
        known = record.as_known(cast.trip.pk, at=MONDAY)
        assert known.entries[-1]["entry"]["at"] == fast.entries[-1].at
        down, quiet = sheets.rows(known, "UTC", {})[-2:]
        assert down["happened"] == "2027-06-12 09:40:00"
        assert (quiet["happened"], quiet["details"]) == ("2027-06-12 10:30:00", "until: 2027-06-12 10:32:00")

    def test_before_anything_came_it_is_empty(self, cast: Cast) -> None:
        services.store(trip=cast.trip, bodies=bodies(a_day()), now=NOW)
        known = record.as_known(cast.trip.pk, at=NOW - timedelta(hours=1))
        assert (known.entries, known.position) == ([], 0)

    def test_the_table_and_the_page_name_people_and_run_nothing(self, cast: Cast) -> None:
        phone = a_day()
        phone.met("10:20", "abcds")
        fix = {"lat_e6": 38_601_234, "lon_e6": -28_700_000, "accuracy_m": 12, "age_s": 40}
        phone.write("marker_seen", "t1", "10:21", fix=fix)
        phone.write("marker_seen", "t1", "10:22", fix=None)
        phone.write("conditions_found", "d1", "10:23", current_tenths_kn=5, current_toward_deg=70)
        phone.write("pressure_reported", "a", "10:24", dive="d1", pressure={"unit": "bar", "value": 65})
        salt, words = "00112233445566778899aabbccddeeff", '=HYPERLINK("x") <b>wet</b>'
        note = phone.write("note", "trip", "10:25", text_hash=text_hash(salt, words))
        enrolled(cast, phone)
        services.store(
            trip=cast.trip, bodies=bodies(phone), now=NOW,
            texts=[{"entry": note.id, "salt": salt, "text": words}],
        )  # fmt: skip
        known = record.as_known(cast.trip.pk, at=MONDAY)
        labels = record.labels(cast.trip.pk)
        text = sheets.table(known, "Atlantic/Azores", labels)
        rows = list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))
        assert len(rows) == len(phone.entries)
        assert rows[-1]["words"] == "'" + words
        marker, blind, sea, gauge = [(row["about"], row["details"]) for row in rows[-5:-1]]
        where = "position: 38 degrees 36.074 minutes North, 028 degrees 42.000 minutes West, within 12 m, 40 s before"
        assert (marker, blind) == (("dive 1, team 1", where), ("dive 1, team 1", "no fix"))
        assert sea == ("dive 1", "current: 0.5 kn; current toward: 70 degrees")
        assert gauge == (known.names[uid("a")], "dive: dive 1; pressure: 65 bar")
        counted = next(row for row in rows if row["kind"] == "roll call taken")
        assert all(known.names[uid(name)] in counted["details"] for name in "abcds")
        # 10:20 UTC; the Azores are at UTC in summer (IANA tz: UTC-1, summer time +1).
        assert counted["happened"] == "2027-06-12 10:20:00"
        page = sheets.page(known, cast.trip.name, "Atlantic/Azores", labels)
        assert "&lt;b&gt;wet" in page and "<b>wet" not in page
        assert page.index("Counted by") < page.index("Every entry")

    def test_the_page_holds_what_the_written_records_have_to_show(self, cast: Cast) -> None:
        """Counts: Queensland regulator, head counts page. Dives: its Regulation 2024, s 23: names, who with, computer,
        who says so, when down and up, for how long, how deep, any incident or discomfort."""
        phone, other = Phone("p1"), Phone("p2", by="c")
        salt, words = "00112233445566778899aabbccddeeff", "Quill Farrow"
        came = phone.write(
            "joined", "v", "08:40", role="visitor", dives=False, can_lead=False, text_hash=text_hash(salt, words)
        )  # fmt: skip
        phone.met("09:00", "abcdsv", count="c1", by="s")
        phone.write("count_finished", "trip", "09:01", count="c1", method="answered", heads=None, by="s")
        phone.write("departed", "trip", "09:02", place="port", by="s")
        phone.holds("09:10", "s")
        phone.down("09:40")
        phone.up("10:05")
        other.up("10:09")
        phone.depth("10:12", "a", 18, from_="instrument")
        for name in "ab":
            phone.back("10:13", name)
        phone.write("symptoms_asked", "a", "10:20", dive="d1", after_min=10, said="well")
        phone.write("ascended_too_fast", "b", "10:21", dive="d1")
        phone.write("incident", "trip", "10:22", people=["b"])
        wrong = phone.write("stop_missed", "a", "10:23", dive="d1")
        phone.write("correction", "a", "10:23:30", corrects=wrong.id, reason="mistyped", void=True)
        services.store(
            trip=cast.trip, bodies=bodies(phone, other), now=NOW,
            texts=[{"entry": came.id, "salt": salt, "text": words}],
        )  # fmt: skip
        known = record.as_known(cast.trip.pk, at=MONDAY)
        labels = record.labels(cast.trip.pk)
        names, zone = sheets.names_of(known, labels), "Atlantic/Azores"
        lines = [row["what"] for row in written.counts(known, names, {}, zone)]
        who = {name: known.names[uid(name)] for name in "abcds"}
        assert lines[0] == f"Counted by {who['s']}, each answered: 6 names: " + ", ".join(
            names[person] for person in sorted(map(uid, "abcdsv"))
        )
        assert lines[1] == f"Left port, said by {who['s']}"
        first, second = written.dives(known, names, zone)
        assert first | {"entered by": ""} == {
            "dive": "dive 1", "place": "", "diver": who["a"], "with": who["b"],
            "left surface": "2027-06-12 09:40:00", "surfaced": "2027-06-12 10:05:00 to 10:09:00", "minutes": "25 to 29",
            "deepest in the team": "18 m", "computer read": "yes", "entered by": "",
            "incident or discomfort": "none told",
        }  # fmt: skip
        assert first["entered by"] == f"{who['c']}, {who['s']} (said to be)"
        told = {second[name] for name in ("diver", "computer read", "incident or discomfort")}
        assert told == {who["b"], "not said", "came up too fast, incident"}
        page = sheets.page(known, cast.trip.name, zone, labels)
        assert page.index("Left port, said by") < page.index("25 to 29") < page.index("Every entry")
        # Whoever came along on the way is named, also where they are missing.
        phone.write("person_went_in", "v", "10:30")
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        late = sheets.page(record.as_known(cast.trip.pk, at=MONDAY), cast.trip.name, zone, labels)
        assert "<b>Not accounted for: Quill Farrow.</b>" in late

    @pytest.mark.parametrize("far", [2**53 - 1, 253_402_300_800_000])
    def test_a_time_that_no_calendar_has_hides_nothing_of_the_rest(self, cast: Cast, far: int) -> None:
        """The schema lets a clock say anything: one such entry must not take the record away, nor anybody's dives."""
        phone, wild = a_day(), Phone("p2")
        wild.up(far, wall="10:06")
        wild.write("note", "trip", far, wall="10:07")
        services.store(trip=cast.trip, bodies=bodies(phone, wild), now=NOW)
        known = record.as_known(cast.trip.pk, at=MONDAY)
        told = sheets.rows(known, "Atlantic/Azores", {})
        assert len(told) == len(phone.entries) + 2
        assert told[-1]["happened"] == f"not a date ({far} ms)"
        assert "not a date" in sheets.page(known, "Teeth", "Atlantic/Azores", {})
        statuses = {str(row.person_id): row for row in services.project(trip=cast.trip, now=MONDAY)}
        # Whoever may have come up that late is not cleared to fly before any plane that there is.
        assert statuses[uid("a")].surfaced_at is not None and statuses[uid("a")].surfaced_at.year == 9999
        row = MadeDive.objects.get(trip=cast.trip.pk, diver=cast.divers[0])
        assert (row.down_at.hour, row.down_at.minute) == (9, 40)
        assert row.bottom_time_s is not None and row.bottom_time_s > 86_400

    def test_the_written_record_names_the_boat_of_a_count_and_of_who_is_missing(self, cast: Cast) -> None:
        kept = cast.trip.snapshot
        plan = json.loads(kept.canonical)
        for person in plan["people"]:
            person["boat"] = uid("l" if person["id"] in (uid("a"), uid("b"), uid("s")) else "r")
        kept.canonical, kept.hash = snapshot.make(plan)
        kept.labels = {"boats": {uid("l"): "Grey Petrel", uid("r"): "Tern"}}
        kept.save()
        phone = a_day()
        phone.met("10:20", "abs", boat="l")
        phone.write("departed", "trip", "10:30", place="site", boat="l")
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        known, labels = record.as_known(cast.trip.pk, at=SATURDAY_16), record.labels(cast.trip.pk)
        told = {row["kind"]: row["details"] for row in sheets.rows(known, "UTC", labels)}
        assert "boat: Grey Petrel" in told["roll call taken"] and "boat: Grey Petrel" in told["departed"]
        page = sheets.page(known, cast.trip.name, "UTC", labels)
        assert "Grey Petrel: Counted by" in page and "Grey Petrel: Left the site" in page
        names = [f"{known.names[uid(name)]} (Tern)" for name in "cd"]
        assert f"Not accounted for: {', '.join(names)}." in page


class TestChains:
    def line(self, cast: Cast) -> record.PhoneChain:
        (only,) = [each for each in record.chains(cast.trip.pk) if str(each.device) == uid("p1")]
        return only

    def test_a_whole_chain_signed_to_its_end_has_no_trouble(self, cast: Cast) -> None:
        phone, key = a_day(), ec.generate_private_key(ec.SECP256R1())
        spki = key.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
        device, _ = enrolled(cast, phone, b64encode(spki).decode())
        last = phone.entries[-1]
        r, s = decode_dss_signature(key.sign(bytes.fromhex(last.hash), ec.ECDSA(SHA256())))
        signed = urlsafe_b64encode(r.to_bytes(32, "big") + s.to_bytes(32, "big")).rstrip(b"=").decode()
        head = {"seq": last.seq, "hash": last.hash, "signature": signed}
        services.store(trip=cast.trip, bodies=bodies(phone), head=head, device=device, now=NOW)
        line = self.line(cast)
        assert (line.last_seq, line.signed_seq, line.trouble) == (last.seq, last.seq, [])
        Device.objects.update(head_hash="00" * 32)
        assert [each["code"] for each in self.line(cast).trouble] == ["signed_entry_not_here"]

    def test_a_fork_a_gap_and_a_row_changed_in_the_database_are_each_named(self, cast: Cast) -> None:
        phone = a_day()
        enrolled(cast, phone)
        sent = bodies(phone)
        draft = {"trip": phone.trip, "device": uid("p1"), "by": None, "at": at("09:41"), "kind": "note"}
        other = chain.append(
            chain.Head(1, phone.entries[0].hash), None, at("09:41"), b"0123456789",
            {**draft, "subject": phone.trip, "data": {}},
        )  # fmt: skip
        services.store(trip=cast.trip, bodies=[*sent[:3], *sent[4:], body(other)], now=NOW)
        found = {(each["code"], each["seq"]) for each in self.line(cast).trouble}
        assert found == {("forked", 2), ("missing", 4)}
        # As somebody with the database in hand would do it: past the triggers, hash made right again.
        row = {**sent[2], "at": at("09:50")}
        row["hash"] = hash_of(row)
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                cursor.execute("DROP TRIGGER deck_entry_stays")
            else:
                # Foreign keys are checked at the end of a transaction, which a test never reaches.
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
                cursor.execute("ALTER TABLE deck_entry DISABLE TRIGGER deck_entry_stays")
            cursor.execute("UPDATE deck_entry SET body = %s WHERE seq = 3", [json.dumps(row)])
        changed = [each for each in self.line(cast).trouble if each["code"] == "stored_copy_changed"]
        assert changed == [{"code": "stored_copy_changed", "seq": 3, "entries": [row["id"]]}]


class TestJoining:
    def join(self, code: str, now: datetime = NOW) -> tuple[Device, str]:
        return joining.join(code=code, label="Spare phone", public_key="", now=now)

    def test_a_code_enrols_phones_while_it_lasts_however_it_is_typed(self, cast: Cast) -> None:
        code, ends = joining.make_code(trip=cast.trip, by=cast.users[0], now=NOW)
        device, token = self.join(f" {code[:4].lower()}-{code[4:]} ")
        assert (device.trip_id, device.enrolled_by) == (cast.trip.pk, cast.users[0])
        assert selectors.device_of(token) == device
        self.join(code, ends - timedelta(seconds=1))
        with pytest.raises(joining.UnableToJoin):
            self.join(code, ends)

    def test_a_new_code_ends_the_old_and_none_is_good_for_ever(self, cast: Cast) -> None:
        old, _ = joining.make_code(trip=cast.trip, by=cast.users[0], now=NOW)
        new, _ = joining.make_code(trip=cast.trip, by=cast.users[0], now=NOW)
        with pytest.raises(joining.UnableToJoin):
            self.join(old)
        for _ in range(rules.PHONES_A_CODE):
            self.join(new)
        with pytest.raises(joining.UnableToJoin):
            self.join(new)

    def test_a_bad_key_leaves_the_code_as_it_was(self, cast: Cast) -> None:
        code, _ = joining.make_code(trip=cast.trip, by=cast.users[0], now=NOW)
        with pytest.raises(services.UnableToEnrol):
            joining.join(code=code, label="x", public_key="not a key", now=NOW)
        assert cast.trip.join_code.left == rules.PHONES_A_CODE


class TestSettling:
    """Common practice, no source: the leader and the diver settle a depth, whoever keeps the records does not."""

    SAID = {"reason": "settled", "void": False, "data": {"depth": {"unit": "m", "hundredths": 1200}}}

    def correct(self, cast: Cast, person: str, entry: str) -> Any:
        user = next(b.diver.user for b in cast.bookings if str(b.pk) == uid(person))
        return settling.correct(trip=cast.trip, corrects=UUID(entry), said=self.SAID, by=user, now=MONDAY)

    def deepest(self, cast: Cast) -> int:
        state = record.as_known(cast.trip.pk, at=MONDAY).state
        assert state is not None
        return int(state["people"][uid("a")]["dives_done"][0]["depth"]["hundredths"])

    def test_one_person_leaves_the_deeper_standing_and_the_second_settles_it(self, cast: Cast) -> None:
        phone = a_day()
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        deep = next(entry.id for entry in phone.entries if entry.kind == "depth_reported")
        first = self.correct(cast, "a", deep)
        assert record.open_about(cast.trip.pk, deep) == ["correction_not_settled"]
        assert (first.by, self.deepest(cast)) == (uid("a"), 1800)
        self.correct(cast, "a", deep)
        assert self.deepest(cast) == 1800
        self.correct(cast, "s", deep)
        assert record.open_about(cast.trip.pk, deep) == []
        assert self.deepest(cast) == 1200
        (desk,) = [each for each in record.chains(cast.trip.pk) if each.label == "At the desk"]
        assert (desk.last_seq, desk.trouble) == (3, [])

    def test_both_depths_are_shown_beside_the_partners_and_the_deeper_counts(self, cast: Cast) -> None:
        """Nothing is edited: the correction stands beside what it corrects, the partner's reading is evidence."""
        phone = a_day()
        phone.depth("10:31", "b", 17)
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        deep, partners = (entry.id for entry in phone.entries if entry.kind == "depth_reported")
        self.correct(cast, "a", deep)

        def told(person: str) -> depths.Depths:
            user = next(b.diver.user for b in cast.bookings if str(b.pk) == uid(person))
            return depths.depths_told(cast.trip, user)

        own, beside = told("a").depths
        assert (own.entry, beside.entry) == (deep, partners)
        assert (own.depth["hundredths"], own.counts) == (1800, own.depth)
        assert [(each.by, each.reason, each.depth) for each in own.against] == [
            (uid("a"), "settled", self.SAID["data"]["depth"])  # type: ignore[index]
        ]
        assert (own.open, own.may, beside.open, beside.may) == (True, True, False, False)
        assert told("a").names[uid("b")] == told("s").names[uid("b")]
        # Another team sees nothing of it; the leader sees all of it and may be the second.
        assert told("c").depths == []
        assert [each.may for each in told("s").depths] == [True, True]
        self.correct(cast, "s", deep)
        (settled, _) = told("s").depths
        assert (settled.open, settled.counts) == (False, self.SAID["data"]["depth"])  # type: ignore[index]
        assert (settled.depth["hundredths"], len(settled.against)) == (1800, 2)

    def test_a_depth_said_to_be_of_somebody_else_is_shown_to_them_and_they_may_be_the_second(
        self, cast: Cast
    ) -> None:
        phone = a_day()
        phone.down("10:40", team="t2", members="cd")
        phone.up("11:00", team="t2", people="cd")
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        deep = next(entry.id for entry in phone.entries if entry.kind == "depth_reported")
        users = {str(b.pk): b.diver.user for b in cast.bookings}
        said = {"reason": "wrong_person", "void": True, "subject": uid("c")}

        def seen(person: str) -> list[depths.DepthTold]:
            return depths.depths_told(cast.trip, users[uid(person)]).depths

        def correct(person: str) -> None:
            settling.correct(
                trip=cast.trip, corrects=UUID(deep), said=said, by=users[uid(person)], now=MONDAY
            )

        assert (seen("c"), seen("d")) == ([], [])
        with pytest.raises(settling.UnableToSettle):
            correct("c")
        correct("s")
        (mine,), (mates,) = seen("c"), seen("d")
        assert (mine.person, mine.open, mine.may, mates.may) == (uid("a"), True, True, False)
        assert [(each.person, each.void, each.depth) for each in mine.against] == [(uid("c"), False, None)]
        assert depths.depths_told(cast.trip, users[uid("c")]).names[uid("a")]
        correct("c")
        assert record.open_about(cast.trip.pk, deep) == []
        state = record.as_known(cast.trip.pk, at=MONDAY).state
        assert state is not None
        people = state["people"]
        assert [people[uid(x)]["dives_done"][0]["depth"] for x in "ac"] == [None, mine.depth]

    def test_a_depth_at_another_time_is_not_one_that_was_never_read(self, cast: Cast) -> None:
        phone = a_day()
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        deep = next(entry for entry in phone.entries if entry.kind == "depth_reported")
        leader = next(b.diver.user for b in cast.bookings if str(b.pk) == uid("s"))
        said = {"reason": "wrong_time", "void": False, "at": deep.at - 60_000}
        settling.correct(trip=cast.trip, corrects=UUID(deep.id), said=said, by=leader, now=MONDAY)
        ((against,),) = [each.against for each in depths.depths_told(cast.trip, leader).depths]
        assert (against.void, against.depth, against.person) == (False, None, None)

    def test_a_correction_corrected_is_about_the_entry_it_began_with(self, cast: Cast) -> None:
        phone = a_day()
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        deep = next(entry.id for entry in phone.entries if entry.kind == "depth_reported")
        first = self.correct(cast, "s", deep)
        users = {str(b.pk): b.diver.user for b in cast.bookings}
        taken = {"reason": "other", "void": True}
        for by, open_still in (("s", ["corrections_differ"]), ("a", [])):
            settling.correct(
                trip=cast.trip,
                corrects=UUID(first.id),
                said=taken,
                by=users[uid(by)],
                now=MONDAY + timedelta(hours=1),
            )
            assert record.open_about(cast.trip.pk, first.id) == open_still
            assert record.open_about(cast.trip.pk, deep) == open_still
            assert self.deepest(cast) == 1800

    def test_another_person_is_not_put_aboard_by_their_own_word(self, cast: Cast) -> None:
        phone = a_day()
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        back = next(
            entry.id for entry in phone.entries if entry.kind == "back_aboard" and entry.subject == uid("a")
        )
        said = {"reason": "wrong_person", "void": True, "subject": uid("s")}
        with pytest.raises(settling.UnableToSettle) as about:
            settling.correct(
                trip=cast.trip, corrects=UUID(back), said=said,
                by=next(b.diver.user for b in cast.bookings if str(b.pk) == uid("s")), now=MONDAY,
            )  # fmt: skip
        assert about.value.code == "about_oneself"

    def test_two_who_planned_it_look_at_what_is_left_open(self, cast: Cast) -> None:
        """The desk's side of `question_settled`: each says it for themselves, who plans nothing says nothing."""
        phone = Phone("p1", trip=str(cast.trip.pk))
        phone.down("09:40")
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        users = {str(b.pk): b.diver.user for b in cast.bookings}
        leader, other, diver = users[uid("s")], users[uid("c")], users[uid("d")]
        Membership.objects.update_or_create(club=cast.club, user=other, defaults={"role": "organiser"})
        asked = next(q for q in left_open.left_open(cast.trip, leader) if q.code == "no_deck_holder")
        assert (asked.about, asked.looked, asked.may) == ("dive 1, team 1", [], True)
        assert left_open.left_open(cast.trip, diver) == []
        said: dict[str, Any] = {
            "trip": cast.trip,
            "code": asked.code,
            "entries": asked.entries,
            "now": MONDAY,
        }
        with pytest.raises(settling.UnableToSettle):
            settling.look(**said, by=diver)
        first = settling.look(**said, by=leader)
        assert (first.kind, first.by, first.data["with"]) == ("question_settled", uid("s"), uid("s"))
        with pytest.raises(settling.UnableToSettle) as twice:
            settling.look(**said, by=leader)
        assert twice.value.code == "not_yours"
        (open_still,) = [q for q in left_open.left_open(cast.trip, other) if q.code == asked.code]
        assert (len(open_still.looked), open_still.may) == (1, True)
        settling.look(**said, by=other)
        assert asked.code not in {each.code for each in left_open.left_open(cast.trip, leader)}
        with pytest.raises(settling.UnableToSettle) as closed:
            settling.look(**said, by=other)
        assert closed.value.code == "question_not_open"

    def test_nobody_settles_alone_from_the_office_nor_for_others(self, cast: Cast) -> None:
        phone = a_day()
        services.store(trip=cast.trip, bodies=bodies(phone), now=NOW)
        deep = next(entry.id for entry in phone.entries if entry.kind == "depth_reported")
        keeper = User.objects.create(email="keeper@skerry.example")
        Membership.objects.create(club=cast.club, user=keeper, role="organiser")
        for user in (keeper, next(b.diver.user for b in cast.bookings if str(b.pk) == uid("c"))):
            with pytest.raises(settling.UnableToSettle):
                settling.correct(trip=cast.trip, corrects=UUID(deep), said=self.SAID, by=user, now=MONDAY)
        with pytest.raises(settling.UnableToSettle) as refused:
            settling.correct(
                trip=cast.trip, corrects=UUID(deep), said={"reason": "whim", "void": False},
                by=next(b.diver.user for b in cast.bookings if str(b.pk) == uid("s")), now=MONDAY,
            )  # fmt: skip
        assert refused.value.errors[0]["pointer"] == "/reason"
        back = next(
            entry.id for entry in phone.entries if entry.kind == "back_aboard" and entry.subject == uid("a")
        )
        with pytest.raises(settling.UnableToSettle) as about:
            settling.correct(
                trip=cast.trip, corrects=UUID(back), said={"reason": "settled", "void": True},
                by=next(b.diver.user for b in cast.bookings if str(b.pk) == uid("a")), now=MONDAY,
            )  # fmt: skip
        assert about.value.code == "about_oneself"
        assert not selectors.devices(cast.trip.pk).filter(label="At the desk").exists()
