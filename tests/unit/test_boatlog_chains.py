"""A device's chain of entries: whole, altered, forked, with a gap, and with kinds of a newer phone."""

from teamdive.boatlog import chain
from teamdive.boatlog.entries import body, hash_of, read
from teamdive.boatlog.fold import fold
from teamdive.boatlog.view import view
from tests.boat_scene import DAY_MS, Phone, at, codes, one_dive, trip, uid


class TestChains:
    def test_whole(self) -> None:
        assert chain.check(one_dive().entries) == ()

    def test_altered_names_the_first_broken_entry(self) -> None:
        entries = one_dive().entries
        changed = read({**body(entries[1]), "at": entries[1].at - 60_000})
        found = chain.check([entries[0], changed, *entries[2:]])
        assert [(trouble.code, trouble.seq, trouble.entries) for trouble in found] == [
            ("altered", 2, (changed.id,))
        ]

    def test_a_fork_keeps_both_sides(self) -> None:
        phone = one_dive()
        head = chain.Head(phone.entries[0].seq, phone.entries[0].hash)
        draft = {"trip": phone.trip, "device": uid("p1"), "by": None, "at": DAY_MS, "kind": "note"}
        other = chain.append(
            head, None, at("09:41"), b"0123456789", {**draft, "subject": phone.trip, "data": {}}
        )
        found = chain.check([*phone.entries, other])
        assert {(trouble.code, trouble.seq) for trouble in found} == {("forked", 2)}
        assert len(fold(trip(), [*phone.entries, other]).entries) == len(phone.entries) + 1

    def test_a_gap_is_missing_and_a_wrong_link_is_said(self) -> None:
        entries = one_dive().entries
        assert [(t.code, t.seq) for t in chain.check([entries[0], entries[2]])] == [("missing", 2)]
        stray = Phone("p1")
        stray.write("note", "trip", "09:30")
        assert [t.code for t in chain.check([stray.entries[0], *entries[1:]])] == ["not_linked"]

    def test_unknown_kinds_and_fields_are_kept_and_passed_on(self) -> None:
        phone = Phone("p1")
        entry = phone.write("seal_seen", "trip", "10:00", n=2, where={"deep": [None, True]})
        value = {**body(entry), "mood": "calm"}
        value["hash"] = hash_of(value)
        newer = read(value)
        assert body(newer) == value
        told = fold(trip(), [newer])
        assert view(told, at("10:01"))["unknown_kinds"] == 1
        assert "altered" not in codes(told)
