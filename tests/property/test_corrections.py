"""Corrections, those of corrections included: one person's word only widens, two who say the same settle.

The rule is design.md's: the safer of two that differ counts, nobody is accounted for by a correction alone.
"""

from __future__ import annotations

from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.boatlog import snapshot
from teamdive.boatlog.claims import Readings, readings
from teamdive.boatlog.entries import Entry, body, hash_of, read
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import State, acted_on, add, fold, roots
from teamdive.boatlog.view import view
from tests.boat_histories import PEOPLE, TEAMS, history, snapshot_body
from tests.boat_scene import DAY_MS, Phone, at, metres, one_dive, state, trip, uid

NOW = DAY_MS + 15 * 3_600_000
seeds = st.integers(0, 2**32)


def late(rng: Random, wrong: Entry, phone: Phone, by: str | None) -> Entry:
    """A correction long after, from another phone, so that it is never a mistap taken back."""
    said: dict[str, Any] = rng.choice(
        [
            {"void": True},
            {"void": True, "subject_": uid(rng.choice([*PEOPLE, *TEAMS]))},
            {"void": False, "at": wrong.at + rng.randint(-3_600_000, 3_600_000)},
            {"void": False, "latest": wrong.at + rng.randint(0, 600_000)},
            {"void": False, "data": {"people": [uid("a")], "seen": [uid("b")], "members": [uid("c")]}},
            {"void": False, "data": {"depth": metres(rng.randint(3, 40))}},
        ]
    )
    return phone.write("correction", "x", NOW, by=by, corrects=wrong.id, reason="other", **said)


def widened(before: Readings, after: Readings) -> bool:
    """Whether all that may have been before still may: nothing is surer, no reading of whom or how deep is gone."""
    if not before.claims:
        return True
    for claim in before.claims:
        low, high = (min(c.earliest for c in after.claims), max(c.latest for c in after.claims))
        if not (low <= claim.earliest and claim.latest <= high):
            return False
        if not any((c.subject, c.data) == (claim.subject, claim.data) for c in after.claims):
            return False
    return after.doubted or not before.doubted


@given(seeds, st.integers(1, 5))
@settings(max_examples=80, deadline=None)
def test_what_nobody_in_particular_says_never_narrows_anything(seed: int, more: int) -> None:
    """A voice without a name settles nothing, so it may only add to what is possible, on whatever it is said."""
    rng = Random(seed)
    start = snapshot.read(snapshot_body(rng))
    entries = [entry for entry in history(rng, 30) if entry.kind != "clock_compared"]
    told = fold(start, entries)
    for n in range(more):
        corrections = [entry for entry in told.entries.values() if entry.kind == "correction"]
        wrong = rng.choice(corrections if corrections and rng.random() < 0.6 else list(told.entries.values()))
        then = add(told, late(rng, wrong, Phone(f"n{n}"), None))
        for entry in roots(then, wrong) if wrong.kind == "correction" else [wrong]:
            if acted_on(then, entry):
                assert widened(readings(told, entry), readings(then, entry))
        was = facts(told).where
        for person, where in facts(then).where.items():
            assert not where.accounted_for or (person in was and was[person].accounted_for)
        told = then


@given(seeds, st.sampled_from(PEOPLE + "s"), st.integers(1, 8))
@settings(max_examples=80, deadline=None)
def test_one_person_however_often_settles_nothing(seed: int, by: str, often: int) -> None:
    rng = Random(seed)
    first, phone = one_dive(), Phone("p7")
    first.back("10:15", "a")
    first.met("10:20", "abcds")
    for _ in range(often):
        late(rng, rng.choice([*first.entries, *phone.entries]), phone, by)
    told, before = state(first, phone), state(first)
    for entry in first.entries:
        found = readings(told, entry)
        assert widened(readings(before, entry), found)
        assert found.claims[0].data == entry.data and found.claims[0].subject == entry.subject
    seen, was = view(told, NOW)["people"], view(before, NOW)["people"]
    for person in was:
        assert was[person]["accounted_for"] or not seen[person]["accounted_for"]
    # Unless somebody says that there was no such dive, or no such surfacing: then they are not accounted for at all.
    if [each["dive"] for each in seen[uid("a")]["dives_done"]] == [uid("d1")]:
        least = seen[uid("a")]["dives_done"][0]["bottom_time_s"]
        assert least is None or least[1] >= 25 * 60


@given(seeds, st.booleans(), st.integers(1, 6))
@settings(max_examples=60, deadline=None)
def test_times_that_one_person_moves_bring_nobody_out_of_the_water(seed: int, met: bool, often: int) -> None:
    """Up for a moment and down again: by what was entered first they are under, so they are until two say otherwise."""
    rng = Random(seed)
    first, phone = Phone("p1"), Phone("p7")
    first.down("09:10")
    if met:
        first.back("09:35", "a")
    else:
        first.up("09:35")
    first.down("09:40")
    for _ in range(often):
        wrong = rng.choice(first.entries)
        right = wrong.at + rng.randint(-60, 60) * 60_000
        said = {"corrects": wrong.id, "reason": "wrong_time", "void": False, "at": right}
        phone.write("correction", "t1", NOW, by="c", **said)
    told = view(state(first, phone), at("09:41"))
    assert told["people"][uid("a")]["state"] == "down" and told["people"][uid("a")]["due_at"] is not None
    assert uid("a") in told["teams"][uid("t1")]["in_water"]


@given(seeds, st.integers(1, 6))
@settings(max_examples=60, deadline=None)
def test_two_people_who_say_the_same_settle_it_at_any_depth(seed: int, deep: int) -> None:
    """Whatever one person said before, in whatever chain: two others name the same time, and that is when it was."""
    rng = Random(seed)
    first, phone, last = one_dive(), Phone("p7"), Phone("p6")
    up = first.entries[2]
    chain = [up]
    for n in range(deep):
        said = {"void": False, "at": up.at + rng.randint(-60, 60) * 60_000 + n}
        chain.append(
            phone.write("correction", "t1", NOW + n, by="d", corrects=chain[-1].id, reason="other", **said)
        )
    right = at("10:07")
    for by in "cs":
        said = {"reason": "settled", "void": False, "at": right}
        last.write("correction", "t1", NOW + deep, by=by, corrects=chain[-1].id, **said)
    found = readings(state(first, phone, last), up)
    assert [(claim.at, claim.earliest, claim.latest) for claim in found.claims] == [(right, right, right)]
    assert found.questions == ()


@given(seeds)
@settings(max_examples=40, deadline=None)
def test_forged_circles_and_long_chains_fail_nothing_and_read_the_same_in_any_order(seed: int) -> None:
    rng = Random(seed)
    start = snapshot.read(snapshot_body(rng))
    entries = history(rng, 25)
    for _ in range(4):
        # An id is whatever its phone wrote: such a log can only be forged.
        one, other = rng.choice(entries), rng.choice(entries)
        value = {
            **body(one),
            "kind": "correction",
            "data": {"void": rng.random() < 0.5, "reason": "other"},
            "corrects": other.id,
        }
        value["hash"] = hash_of(value)
        entries.append(read(value))
    whole = fold(start, entries)
    shown = view(whole, NOW)
    rng.shuffle(entries)
    assert view(fold(start, entries), NOW) == shown
    for entry in whole.entries.values():
        roots(whole, entry)
        assert not acted_on(whole, entry) or readings(whole, entry).claims is not None


def test_a_chain_of_thousands_is_followed_to_its_root() -> None:
    first, phone = one_dive(), Phone("p7")
    wrong = first.entries[2]
    for n in range(3000):
        said = {"void": n % 2 == 0, "reason": "other"}
        wrong = phone.write("correction", "t1", NOW + n * 100_000, by="c", corrects=wrong.id, **said)
    told = state(first, phone)
    assert [entry.id for entry in roots(told, wrong)] == [first.entries[2].id]
    assert readings(told, first.entries[2]).claims


class TestCorrectionOfACorrection:
    def log(self) -> tuple[Phone, Phone, Entry]:
        """Up 10:05 by the deck; one person says 10:20."""
        deck, phone = one_dive(), Phone("p7")
        up = deck.entries[2]
        said = phone.write(
            "correction",
            "t1",
            "10:40",
            by="c",
            corrects=up.id,
            reason="wrong_time",
            void=False,
            at=at("10:20"),
        )
        return deck, phone, said

    def surfaced(self, *phones: Phone) -> list[int]:
        found: list[int] = view(state(*phones), NOW)["people"][uid("a")]["dives_done"][0]["surfaced"]
        return found

    def asked(self, *phones: Phone) -> set[str]:
        return {q["code"] for q in view(state(*phones), NOW)["questions"]}

    def test_a_correction_of_it_is_a_further_reading_of_the_entry(self) -> None:
        deck, phone, said = self.log()
        other = {"reason": "wrong_time", "void": False, "at": at("10:30")}
        phone.write("correction", "t1", "10:50", by="s", corrects=said.id, **other)
        assert self.surfaced(deck, phone) == [at("10:05"), at("10:30")]
        assert "corrections_differ" in self.asked(deck, phone)

    def test_what_it_leaves_out_stays_as_the_one_before_said_it(self) -> None:
        deck = one_dive(depth=18)
        phone, reported = Phone("p7"), deck.entries[-1]
        said = phone.write(
            "correction",
            "a",
            "10:40",
            by="c",
            corrects=reported.id,
            reason="mistyped",
            void=False,
            data={"depth": metres(34)},
        )
        for by in "cs":
            phone.write(
                "correction",
                "a",
                "10:50",
                by=by,
                corrects=said.id,
                reason="wrong_time",
                void=False,
                at=at("10:15"),
            )
        (claim,) = readings(state(deck, phone), reported).claims
        assert (claim.at, claim.data["depth"]) == (at("10:15"), metres(34))

    def test_taken_back_by_one_it_stays_possible_by_two_it_is_gone(self) -> None:
        deck, phone, said = self.log()
        taken = {"corrects": said.id, "reason": "did_not_happen", "void": True}
        phone.write("correction", "t1", "10:50", by="c", **taken)
        assert self.surfaced(deck, phone) == [at("10:05"), at("10:20")]
        assert "corrections_differ" in self.asked(deck, phone)
        phone.write("correction", "t1", "10:51", by="c", **taken)
        assert self.surfaced(deck, phone) == [at("10:05"), at("10:20")], "the same person twice"
        phone.write("correction", "t1", "10:52", by="s", **taken)
        assert self.surfaced(deck, phone) == [at("10:05"), at("10:05")]
        assert self.asked(deck, phone) <= {"last_seen_not_known"}

    def test_taken_back_after_two_settled_it_is_open_again(self) -> None:
        deck, phone, said = self.log()
        same = {"corrects": said.corrects, "reason": "settled", "void": False, "at": at("10:20")}
        phone.write("correction", "t1", "10:45", by="s", **same)
        assert self.surfaced(deck, phone) == [at("10:20"), at("10:20")]
        phone.write("correction", "t1", "10:50", by="d", corrects=said.id, reason="other", void=True)
        assert self.surfaced(deck, phone) == [at("10:05"), at("10:20")]
        phone.write("correction", "t1", "10:55", by="c", **same)
        assert self.surfaced(deck, phone) == [at("10:20"), at("10:20")], "said afresh by the two"

    def test_a_mistap_in_a_correction_taken_back_at_once_never_was(self) -> None:
        deck, phone, said = self.log()
        phone.write("correction", "t1", "10:40:20", by="c", corrects=said.id, reason="mistyped", void=True)
        assert self.surfaced(deck, phone) == [at("10:05"), at("10:05")]
        phone.write(
            "correction",
            "t1",
            "10:40:40",
            by="c",
            corrects=phone.entries[-1].id,
            reason="mistyped",
            void=True,
        )
        assert self.surfaced(deck, phone) == [at("10:05"), at("10:20")], "the undoing undone"

    def test_another_person_on_the_same_phone_is_a_second_opinion_however_soon(self) -> None:
        deck, phone, said = self.log()
        phone.write("correction", "t1", "10:40:20", by="s", corrects=said.id, reason="other", void=True)
        assert self.surfaced(deck, phone) == [at("10:05"), at("10:20")]

    def test_one_person_does_not_bring_back_whom_a_mistap_had_aboard(self) -> None:
        deck = Phone("p1")
        wrong = deck.back("10:00", "a")
        undone = deck.write("correction", "a", "10:00:10", corrects=wrong.id, reason="mistyped", void=True)
        for by, there in (("c", False), ("s", True)):
            deck.write("correction", "a", "10:30", by=by, corrects=undone.id, reason="other", void=True)
            assert view(state(deck), NOW)["people"][uid("a")]["accounted_for"] is there


class TestAnotherPersonOrTeam:
    def said(self, wrong: Entry, phone: Phone, to: str, by: str, **more: Any) -> None:
        instead = {"corrects": wrong.id, "reason": "wrong_person", "void": True, "subject_": uid(to)}
        phone.write("correction", "x", "11:00", by=by, **instead, **more)

    def test_neither_is_aboard_while_one_person_alone_says_so(self) -> None:
        deck, phone = one_dive(), Phone("p7")
        wrong = deck.back("10:10", "a")
        self.said(wrong, phone, "b", "s")
        seen = view(state(deck, phone), NOW)["people"]
        assert not seen[uid("a")]["accounted_for"] and not seen[uid("b")]["accounted_for"]
        self.said(wrong, phone, "b", "b")
        assert not view(state(deck, phone), NOW)["people"][uid("b")]["accounted_for"], "their own word"
        self.said(wrong, phone, "b", "c")
        seen = view(state(deck, phone), NOW)["people"]
        assert not seen[uid("a")]["accounted_for"] and seen[uid("b")]["state"] == "aboard"

    def test_both_may_be_in_the_water(self) -> None:
        deck, phone = Phone("p1"), Phone("p7")
        deck.met("09:00", "abcds")
        wrong = deck.write("person_went_in", "a", "10:00")
        self.said(wrong, phone, "b", "s")
        seen = view(state(deck, phone), NOW)["people"]
        assert {seen[uid(name)]["state"] for name in "ab"} == {"in_water"}

    def test_both_teams_are_down_until_two_people_say_which(self) -> None:
        deck, phone = Phone("p1"), Phone("p7")
        wrong = deck.down("10:00", team="t1", members="ab")
        right = {"data": {"members": [uid("c"), uid("d")]}}
        self.said(wrong, phone, "t2", "s", **right)
        told = view(state(deck, phone), at("11:00"))
        assert {told["people"][uid(name)]["state"] for name in "abcd"} == {"down"}
        assert {told["teams"][uid(team)]["status"] for team in ("t1", "t2")} == {"overdue"}
        assert "correction_not_settled" in {q["code"] for q in told["questions"]}
        self.said(wrong, phone, "t2", "a", **right)
        told = view(state(deck, phone), at("11:00"))
        assert {told["people"][uid(name)]["state"] for name in "ab"} == {"unknown"}
        assert {told["people"][uid(name)]["state"] for name in "cd"} == {"down"}

    def test_nobody_surely_up_while_one_says_it_was_another(self) -> None:
        deck, phone = Phone("p1"), Phone("p7")
        deck.down("10:00")
        wrong = deck.write("surfaced_alone", "a", "10:10", team="t1", dive="d1")
        self.said(wrong, phone, "b", "s")
        seen = view(state(deck, phone), at("10:30"))["people"]
        assert {seen[uid(name)]["state"] for name in "ab"} == {"down"}

    def test_the_depth_counts_for_both(self) -> None:
        deck, phone = one_dive(depth=None), Phone("p7")
        deck.down("10:20", team="t2", members="cd")
        deck.up("10:50", team="t2", people="cd")
        wrong = deck.depth("11:00", "a", 30)
        self.said(wrong, phone, "c", "s")
        done = {p: view(state(deck, phone), NOW)["people"][uid(p)]["dives_done"][0]["depth"] for p in "ac"}
        assert done == {"a": metres(30), "c": metres(30)}

    def test_whom_no_list_names_is_somebody_to_bring_home(self) -> None:
        deck, phone = Phone("p1"), Phone("p7")
        wrong = deck.write("person_went_in", "a", "10:00")
        self.said(wrong, phone, "z", "s")
        assert view(state(deck, phone), NOW)["people"][uid("z")]["state"] == "in_water"

    def test_a_phone_that_knows_no_subject_takes_it_for_did_not_happen(self) -> None:
        """What older phones read: the same entry with the field unknown to them is a void, the careful reading."""
        deck, phone = Phone("p1"), Phone("p7")
        wrong = deck.write("deck_accepted", "a", "10:00", from_=None)
        self.said(wrong, phone, "b", "s")
        assert readings(state(deck, phone), wrong).doubted


def test_a_correction_in_time_alone_accounts_for_nobody() -> None:
    """Aboard at nine, down at half past nine: that the boarding was at ten is one person's word."""
    deck, phone = Phone("p1"), Phone("p7")
    wrong = deck.back("09:00", "a")
    deck.down("09:30")
    later = {"corrects": wrong.id, "reason": "wrong_time", "void": False, "at": at("10:00")}
    for by, there in (("s", False), ("c", True)):
        phone.write("correction", "a", "10:30", by=by, **later)
        assert view(state(deck, phone), NOW)["people"][uid("a")]["accounted_for"] is there


def test_a_doubted_leaving_of_the_bottom_shortens_no_bottom_time() -> None:
    deck, phone = one_dive(), Phone("p7")
    left = deck.write("left_bottom", "t1", "09:55")
    assert bottom(deck, phone) == 15 * 60
    phone.write("correction", "t1", "11:00", by="s", corrects=left.id, reason="other", void=True)
    assert bottom(deck, phone) == 25 * 60


def bottom(*phones: Phone) -> int:
    told: State = fold(trip(), [entry for phone in phones for entry in phone.entries])
    found: int = view(told, NOW)["people"][uid("a")]["dives_done"][0]["bottom_time_s"][1]
    return found
