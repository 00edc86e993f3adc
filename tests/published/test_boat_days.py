"""Days on a boat with right answers: two phones and one ascent, a drowned deck phone, edits afterwards.

Groups and limits: US Navy Diving Manual, Revision 7, Tables 9-7 and 9-8 (air no-stop limits and residual nitrogen
times). The tissue figures are held against an independent integration elsewhere in this folder.
"""

from __future__ import annotations

from typing import Any

import pytest

from teamdive.boatlog import chain, snapshot
from teamdive.boatlog.entries import Entry, body, read
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.nitrogen import after_last_dive, next_dive
from teamdive.boatlog.past import known_at, set_hash
from teamdive.boatlog.takeover import drafts, gone, to_call
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, metres, trip, uid
from tests.parity.vectors_handover import SAID, lost_trip, second_phone

HEARD = {uid(team): said for team, said in SAID.items()}


def take_over(phone: Phone, here: list[str], clock: str) -> None:
    """The phone does what its page does: who is missing, who stands here, since when the rest are down."""
    state = fold(snapshot.read(lost_trip()), phone.entries)
    people = {uid(person) for person in here}
    lost = gone(state, people, HEARD, at(clock))
    for draft in drafts(state, uid("s"), people, lost, at(clock), uid("c2")):
        write(phone, draft.kind, draft.subject, draft.at, dict(draft.data), at(clock))


def write(phone: Phone, kind: str, subject: str, when: int, data: dict[str, Any], wall: int) -> Entry:
    last = phone.entries[-1]
    draft = {
        "trip": phone.trip,
        "device": uid(phone.name),
        "by": uid("s"),
        "at": when,
        "kind": kind,
        "subject": subject,
        "data": data,
    }
    random = (f"{phone.name}{len(phone.entries)}".encode() * 10)[:10]
    entry = chain.append(chain.Head(last.seq, last.hash), last.clock, wall, random, draft)
    phone.entries.append(entry)
    return entry


def told(*phones: Phone) -> State:
    return fold(snapshot.read(lost_trip()), [entry for phone in phones for entry in phone.entries])


class TestPhoneDrowned:
    """11:05, unsynced since the count of 10:30; team 2 went about ten to eleven, team 3 a few minutes after."""

    def phone(self) -> Phone:
        phone = second_phone()
        take_over(phone, ["s"], "11:05")
        return phone

    def test_everyone_is_to_be_called_by_name(self) -> None:
        called = {each.person: (each.state, each.team) for each in to_call(told(second_phone()))}
        assert len(called) == 7
        assert called[uid("a")] == ("down", uid("t1"))
        assert called[uid("c")] == ("aboard", uid("t2"))

    def test_intervals_and_due_times_from_the_earliest(self) -> None:
        state = told(self.phone())
        seen = view(state, at("11:06"))
        spans = {team: seen["teams"][uid(team)]["down"] for team in ("t1", "t2", "t3")}
        assert spans == {
            "t1": [at("10:41"), at("10:41")],
            "t2": [at("10:47"), at("10:53")],
            "t3": [at("10:53"), at("11:05")],
        }
        assert [seen["teams"][uid(team)]["due_at"] for team in ("t1", "t2", "t3")] == [
            at("11:19"),
            at("11:25"),
            at("11:31"),
        ]
        assert [seen["people"][uid(name)]["state"] for name in "abcdefs"] == ["down"] * 6 + ["aboard"]
        assert seen["deck_holder"] == uid("s")
        assert seen["departure"]["blocked"]

    def test_nobody_but_who_was_ticked_is_aboard(self) -> None:
        """Without a word about the times everyone not here is in the water since the count."""
        state = told(second_phone())
        people = {uid("s"), uid("c"), uid("d")}
        lost = gone(state, people, {}, at("11:05"))
        assert [(each.team, each.earliest, each.latest) for each in lost if not each.known] == [
            (uid("t3"), at("10:30"), at("11:05"))
        ]

    def test_bottom_time_group_and_the_next_dive(self) -> None:
        phone = self.phone()
        phone.up("11:24", team="t2", people="cd")
        phone.depth("11:26", "c", 20)
        state = told(phone)
        diver = view(state, at("11:30"))["people"][uid("c")]
        assert diver["dives_done"][0]["bottom_time_s"] == [31 * 60, 37 * 60]
        assert after_last_dive(state, uid("c"))["group"] == "H"
        # Where the shorter of both methods governs, 37 min at 20 m is beyond it, and what follows is not known.
        strict = lost_trip()
        strict["settings"]["method"] = "shorter"
        group = after_last_dive(fold(snapshot.read(strict), phone.entries), uid("c"))["group"]
        assert "not_known" in group
        # 15 m for 40 min: with group H after 0:53; at 0:52 still too soon (by the table).
        soon, then = (next_dive(state, uid("c"), at("11:24") + m * 60_000, uid("d2")) for m in (52, 53))
        assert soon is not None and then is not None
        assert soon["table_limit_s"] < 40 * 60 <= then["table_limit_s"]

    @pytest.mark.parametrize(("minutes", "group"), [(32, "G"), (33, "H")])
    def test_the_divers_instruments_narrow_it(self, minutes: int, group: str) -> None:
        phone = self.phone()
        up = at("11:24")
        down = next(e for e in phone.entries if e.kind == "down" and e.subject == uid("t2"))
        phone.up("11:24", team="t2", people="cd")
        phone.depth("11:26", "c", 20)
        for by in ("c", "s"):
            said = {"corrects": down.id, "reason": "settled", "void": False, "at": up - minutes * 60_000}
            phone.write("correction", "t2", "11:28", by=by, **said)
        state = told(phone)
        assert after_last_dive(state, uid("c"))["group"] == group
        # With G no wait is needed for the 40 min at 15 m beyond the ten that part two dives; with H 0:53.
        first = next_dive(state, uid("c"), up + 10 * 60_000, uid("d2"))
        assert first is not None and (first["table_limit_s"] >= 40 * 60) == (group == "G")

    def test_the_first_phone_revived_and_the_paper_sheet_join(self) -> None:
        phone, first, paper = self.phone(), Phone("p1"), Phone("p3")
        first.down("10:51", team="t2", members="cd")
        paper.down("10:46", team="t2", members="cd", source="paper", wall="12:00")
        joined = view(told(phone, first), at("11:10"))
        assert joined["people"][uid("c")]["dives_done"][0]["down"] == [at("10:47"), at("10:53")]
        both = view(told(paper, first, phone), at("11:10"))
        assert both["people"][uid("c")]["dives_done"][0]["down"] == [at("10:46"), at("10:53")]
        assert both["people"][uid("c")]["due_at"] == at("11:24")
        question = next(q for q in both["questions"] if q["code"] == "down_times_differ")
        assert {first.entries[0].id, paper.entries[0].id} <= set(question["entries"])


class TestEditedAfterwards:
    """On Monday the keeper is asked to make 34 m of Saturday's dive 30; the partner logged 33."""

    def saturday(self) -> tuple[Phone, Entry]:
        phone = Phone("p1")
        phone.holds("09:00", "s")
        phone.down("09:40")
        phone.up("10:00")
        deep = phone.depth("10:12", "a", 34)
        phone.depth("10:13", "b", 33)
        return phone, deep

    def correction(self, deep: Entry, by: str, clock: str, name: str) -> Entry:
        said = {"corrects": deep.id, "reason": "mistyped", "void": False, "data": {"depth": metres(30)}}
        return Phone(name, by=by).write("correction", "a", clock, **said)

    def depth_of(self, log: list[Entry], person: str = "a") -> Any:
        return view(fold(trip(), log), at("20:00"))["people"][uid(person)]["dives_done"][0]["depth"]

    def test_the_keeper_alone_settles_nothing_and_two_do(self) -> None:
        phone, deep = self.saturday()
        keeper = self.correction(deep, "k", "18:00", "p9")
        log = [*phone.entries, keeper]
        assert self.depth_of(log) == metres(34)
        asked = view(fold(trip(), log), at("20:00"))["questions"]
        question = next(q for q in asked if q["code"] == "correction_not_settled")
        assert set(question["entries"]) == {deep.id, keeper.id}
        # The same person twice, or from another phone, is still one person.
        assert self.depth_of([*log, self.correction(deep, "k", "18:05", "p8")]) == metres(34)
        settled = [
            *phone.entries,
            self.correction(deep, "a", "19:00", "p2"),
            self.correction(deep, "s", "19:01", "p3"),
        ]
        # Settled for this entry; the partner's 33 m is evidence next to it and counts for both.
        assert self.depth_of(settled) == metres(33)
        assert "correction_not_settled" not in {
            q["code"] for q in view(fold(trip(), settled), at("20:00"))["questions"]
        }
        assert deep.mark in fold(trip(), settled).entries

    def test_an_altered_row_is_named_and_both_branches_stay(self) -> None:
        phone, deep = self.saturday()
        altered = read({**body(deep), "data": {**deep.data, "depth": metres(30)}})
        log = [*phone.entries, altered]
        broken = chain.check(log)
        assert [(t.code, t.entries) for t in broken if t.code == "altered"] == [("altered", (deep.id,))]
        assert self.depth_of(log) == metres(34)
        assert {deep.mark, altered.mark} <= set(fold(trip(), log).entries)

    def test_as_known_on_saturday_is_reproduced_exactly(self) -> None:
        phone, deep = self.saturday()
        saturday = fold(trip(), phone.entries)
        received = [(entry.at + 1000, entry) for entry in phone.entries]
        received.append((at("18:00") + 2 * 86_400_000, self.correction(deep, "a", "18:00", "p2")))
        then = known_at(trip(), reversed(received), at("16:00"))
        assert then == saturday and set_hash(then) == set_hash(saturday)
        assert view(then, at("16:00")) == view(saturday, at("16:00"))
        later = known_at(trip(), received, at("18:00") + 3 * 86_400_000)
        assert set_hash(later) != set_hash(saturday)
        assert set_hash(known_at(trip(), received, at("09:59"))) != set_hash(saturday)
