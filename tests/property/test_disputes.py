"""Random disputes: nobody's word is lost, two who agree close what they answered, arrival changes nothing.

Each is a rule of our own (design.md: the safer of two that differ counts until two people say the same).
"""

from __future__ import annotations

from collections import defaultdict
from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.boatlog.claims import Readings, readings
from teamdive.boatlog.corrections import words_on
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import State, acted_on, add, fold
from teamdive.boatlog.view import view
from tests.boat_disputes import NOW, day, dispute, said, values
from tests.boat_scene import Phone, metres, trip, uid

LATER = NOW + 10_000_000
seeds = st.integers(0, 2**32)


def told(entries: list[Entry]) -> State:
    return fold(trip(), entries)


def disputed(state: State) -> list[Entry]:
    return [e for e in state.entries.values() if e.kind != "correction" and state.corrections.get(e.id)]


def allowed(before: Readings, after: Readings) -> bool:
    """Whether all that was possible still is, field by field."""
    now = values(after)
    return (after.doubted or not before.doubted) and all(
        possible <= now.get(name, set()) for name, possible in values(before).items()
    )


def field(words: dict[str, Any]) -> str | None:
    """The one field that a correction of the deck speaks of; None: several, or that it did not happen."""
    data = words.get("data", {})
    who = {"members", "people", "seen"} & data.keys() or "subject_" in words
    found = {f"data {name}" for name in data if name not in ("members", "people", "seen")}
    found |= ({"who"} if who else set()) | ({"when"} if "at" in words else set())
    return found.pop() if len(found) == 1 else None


@given(seeds)
@settings(max_examples=60, deadline=None)
def test_order_of_arrival_does_not_matter(seed: int) -> None:
    rng = Random(seed)
    entries = dispute(rng)
    shown = view(told(entries), LATER)
    rng.shuffle(entries)
    grown = fold(trip(), [])
    for entry in entries:
        grown = add(grown, entry)
    assert view(grown, LATER) == shown == view(told(entries), LATER)


@given(seeds)
@settings(max_examples=150, deadline=None)
def test_a_word_on_one_field_loses_nothing_that_was_said_of_another(seed: int) -> None:
    rng = Random(seed)
    state = told(dispute(rng))
    for wrong in disputed(state):
        words = said(rng, wrong)
        if (only := field(words)) is None:
            continue
        phone, was = Phone("p9"), values(readings(state, wrong))
        for by in rng.sample("stcd", 2):
            phone.write("correction", "x", LATER, by=by, corrects=wrong.id, reason="other", **words)
        after = told([*state.entries.values(), *phone.entries])
        now = values(readings(after, wrong))
        for name, possible in was.items():
            assert name == only or possible <= now[name], (name, only)


@given(seeds)
@settings(max_examples=150, deadline=None)
def test_one_new_voice_that_agrees_with_nobody_narrows_nothing(seed: int) -> None:
    rng = Random(seed)
    state = told(dispute(rng))
    for wrong in disputed(state):
        phone, before = Phone("p9"), readings(state, wrong)
        new: dict[str, Any] = rng.choice(
            [{"at": wrong.at + 77_000}, {"data": {"depth": metres(7)}}, {"data": {"dive": uid("d9")}}]
        )
        phone.write("correction", "x", LATER, by="t", corrects=wrong.id, void=False, reason="other", **new)
        assert allowed(before, readings(add(state, phone.entries[0]), wrong))
        void = Phone("p8")
        void.write("correction", "x", LATER, by="t", corrects=wrong.id, void=True, reason="other")
        then = readings(add(state, void.entries[0]), wrong)
        # Where one person said so before, the second one settles it.
        assert before.doubted or allowed(before, then)
        assert then.doubted or not then.claims, "it was heard"


@given(seeds)
@settings(max_examples=150, deadline=None)
def test_two_who_were_not_on_it_close_exactly_what_they_answer(seed: int) -> None:
    """Whatever was said before, in whatever chain; two strangers to the entry agree on one field of it."""
    rng = Random(seed)
    state = told(dispute(rng))
    for wrong in disputed(state):
        phone, words = Phone("p9"), {"void": False, "at": wrong.at + 77_000}
        was, agreed = readings(state, wrong), defaultdict[int, set[str | None]](set)
        for word in words_on(state, wrong):
            if word.at is not None:
                agreed[word.at.ms].add(word.correction.by)
        for by in "xy":
            phone.write("correction", "x", LATER, by=by, corrects=wrong.id, reason="settled", **words)
        read = readings(told([*state.entries.values(), *phone.entries]), wrong)
        now, right = values(read), repr((wrong.at + 77_000,) * 3)
        # Two against two, or against two who say that it did not happen: neither is taken as sure.
        assert right in now["when"]
        for other in now["when"] - {right}:
            assert other in values(was)["when"] and read.questions[0].code == "corrections_differ"
            assert any(len(people) > 1 and other.startswith(f"({at},") for at, people in agreed.items())
        for name, possible in values(was).items():
            gone = was.doubted or not was.claims
            assert name == "when" or (possible <= now[name] if gone else possible == now[name])
        if len(read.claims) == 1 and not read.doubted:
            assert read.questions == ()


@given(seeds)
@settings(max_examples=60, deadline=None)
def test_two_who_were_not_on_it_and_say_that_it_did_not_happen_are_enough(seed: int) -> None:
    rng = Random(seed)
    state = told(dispute(rng))
    for wrong in disputed(state):
        phone = Phone("p9")
        for by in "xy":
            phone.write("correction", "x", LATER, by=by, corrects=wrong.id, reason="settled", void=True)
        read = readings(told([*state.entries.values(), *phone.entries]), wrong)
        assert acted_on(state, wrong)
        # Two others who settled when, whom or how much it was say that it did happen: then neither is taken as sure.
        assert not read.claims or (read.doubted and read.questions)


def test_the_disputes_hold_what_is_tested_here() -> None:
    seen: set[str] = set()
    for seed in range(300):
        state = told(dispute(Random(seed)))
        for wrong in disputed(state):
            read = readings(state, wrong)
            words = [e for e in state.corrections[wrong.id] if not e.data["void"]]
            seen |= {q.code for q in read.questions} | ({"doubted"} if read.doubted else set())
            seen |= {"gone"} if not read.claims else set()
            if words and len(read.claims) == 1 and not read.questions and read.claims[0].data != wrong.data:
                seen.add("settled")
    assert seen >= {"corrections_differ", "correction_not_settled", "doubted", "gone", "settled"}
    assert day(Random(1))[1]
