"""The algebra of the boat log: a set in any order, one entry at a time, sense or nonsense, never an exception."""

from dataclasses import replace
from random import Random
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.boatlog import clock, schema, snapshot
from teamdive.boatlog.alarm import must_sound
from teamdive.boatlog.canonical import NotCanonical, canonical, digest
from teamdive.boatlog.clock import Clock
from teamdive.boatlog.entries import Entry, NotAnEntry, body, data_problems, hash_of, read
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import add, begin, fold
from teamdive.boatlog.lost import lost_card
from teamdive.boatlog.nitrogen import next_dive, no_fly
from teamdive.boatlog.order import key
from teamdive.boatlog.questions import due, may_depart, may_go_down
from teamdive.boatlog.radio import radio_words
from teamdive.boatlog.record import roll_call_record
from teamdive.boatlog.view import view
from tests.boat_histories import TEAMS, day_of, snapshot_body
from tests.boat_scene import DAY_MS, Phone, at, trip, uid

NOW = DAY_MS + 15 * 3_600_000
seeds = st.integers(0, 2**32)
json_values = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["dive", "n", "unit"]), inner, max_size=3)
    ),
    max_leaves=8,
)


def a_day(
    seed: int, most: int = 40, several: bool | None = None
) -> tuple[snapshot.Snapshot, list[Entry], Random]:
    """A random day; of two boats where `several` says so, else one in three."""
    rng = Random(seed)
    body, entries = day_of(rng, most, seed % 3 == 0 if several is None else several)
    return snapshot.read(body), entries, rng


@given(seeds)
@settings(max_examples=60, deadline=None)
def test_any_order_any_repeats_one_by_one_or_all_at_once(seed: int) -> None:
    start, entries, rng = a_day(seed)
    whole = fold(start, entries)
    shuffled = [*entries, *rng.sample(entries, len(entries) // 2)]
    rng.shuffle(shuffled)
    grown = begin(start)
    for entry in shuffled:
        grown = add(grown, entry)
    assert grown == whole == fold(start, shuffled)
    assert view(grown, NOW) == view(whole, NOW)


@given(seeds)
@settings(max_examples=40, deadline=None)
def test_every_part_of_a_day_answers_every_question(seed: int) -> None:
    start, entries, rng = a_day(seed, most=25)
    state = fold(start, entries[: rng.randint(0, len(entries))])
    known = facts(state)
    seen = view(state, NOW, known)
    assert set(seen["people"]) >= {person.id for person in start.people}
    roll_call_record(state, known)
    for person in known.people:
        radio_words(lost_card(state, known, person, NOW), seen, "Maré")
        next_dive(state, person, NOW, known=known)
        no_fly(state, person, known)
    for team in [*known.teams, uid("none")]:
        may_go_down(state, team, known)
    assert bool(may_depart(state, known)) == seen["departure"]["blocked"]
    assert due(start, state, NOW, known) == due(start, state, NOW + 9_999_999, known)


@given(seeds)
@settings(max_examples=60, deadline=None)
def test_only_aboard_or_ashore_is_accounted_for_and_only_after_being_named(seed: int) -> None:
    start, entries, _ = a_day(seed)
    state = fold(start, entries)
    named = {
        person
        for entry in entries
        if entry.kind in ("aboard", "back_aboard", "ashore", "roll_call_taken", "transferred")
        for person in ([entry.subject] if entry.kind != "roll_call_taken" else entry.data["seen"])
    }
    # Whom a correction puts in the place of another is named by it.
    named |= {
        entry.data["subject"] for entry in entries if entry.kind == "correction" and "subject" in entry.data
    }
    for person, seen in view(state, NOW)["people"].items():
        assert not seen["accounted_for"] or (
            seen["state"] in ("aboard", "ashore", "transferred") and person in named
        )


@given(seeds, st.sampled_from("abcde"), st.integers(0, 6 * 3_600_000))
@settings(max_examples=50, deadline=None)
def test_one_more_descent_never_accounts_for_anyone(seed: int, name: str, later: int) -> None:
    start, entries, _ = a_day(seed)
    before = fold(start, entries)
    phone = Phone("p7")
    entry = phone.write("down", "t7", DAY_MS + 8 * 3_600_000 + later, dive="d1", members=[name])
    after = add(before, entry)
    for person, presence in facts(after).where.items():
        was = facts(before).where.get(person)
        assert not presence.accounted_for or (was is not None and was.accounted_for)


HOLDING: list[tuple[str, dict[str, Any]]] = [
    ("held_from_diving", {"released": False}),
    ("symptoms_asked", {"dive": "d1", "after_min": 10, "said": "not_well"}),
    ("ascended_too_fast", {"dive": "d1"}),
    ("stop_missed", {"dive": "d2"}),
    ("oxygen_started", {}),
]


@given(seeds, st.sampled_from("abcde"), st.sampled_from(HOLDING), st.integers(0, 6 * 3_600_000))
@settings(max_examples=50, deadline=None)
def test_whatever_else_was_entered_a_held_diver_has_no_limit_and_does_not_dive(
    seed: int, name: str, holding: tuple[str, dict[str, Any]], later: int
) -> None:
    start, entries, _ = a_day(seed)
    phone = Phone("p7")
    held = phone.write(holding[0], name, DAY_MS + 8 * 3_600_000 + later, **holding[1])
    # Whoever released this diver before knew nothing of it.
    known_of = [
        entry
        for entry in entries
        if not (entry.kind == "held_from_diving" and key(entry) > key(held) and "of" not in entry.data)
    ]
    state = fold(start, [*known_of, held])
    known = facts(state)
    assert known.held[uid(name)]
    for answer in (no_fly(state, uid(name), known), next_dive(state, uid(name), NOW, known=known)):
        shown = {} if answer is None else answer
        assert isinstance(shown.get("until", shown.get("limit_s", {})), dict)
    for team, standing in known.teams.items():
        codes = {refusal.code for refusal in may_go_down(state, team, known)}
        assert uid(name) not in standing.members or "held_from_diving" in codes


@given(seeds)
@settings(max_examples=60, deadline=None)
def test_two_counts_agree_only_by_two_counters_or_two_ways_and_name_everyone(seed: int) -> None:
    start, entries, _ = a_day(seed, several=False)
    state = fold(replace(start, settings=replace(start.settings, counts_needed=2)), entries)
    known = facts(state)
    call = view(state, NOW, known)["roll_call"]
    if not call["complete"]:
        return
    first, second = (
        next(count for count in call["counts"] if count["count"] == name) for name in call["compared"]
    )
    active = [count for count in (first, second) if count["active"]]
    assert active and None not in (first["counter"], second["counter"])
    if first["counter"] == second["counter"]:
        assert call["alone"] and len(active) == 2 and not set(first["methods"]) & set(second["methods"])
    here = {
        person
        for person, where in known.where.items()
        if not (where.accounted_for and where.state in ("ashore", "transferred"))
    }
    assert all(here <= set(count["seen"]) for count in active)


@given(seeds, st.integers(0, 12 * 3_600_000))
@settings(max_examples=40, deadline=None)
def test_quiet_on_one_phone_never_changes_what_is_overdue(seed: int, later: int) -> None:
    start, entries, rng = a_day(seed)
    now = DAY_MS + 8 * 3_600_000 + later
    before = view(fold(start, entries), now)
    quiet = Phone("p7")
    for team in TEAMS:
        quiet.write("overdue_quieted", team, now, until=now + rng.randint(0, 9_000_000))
    after = view(fold(start, [*entries, *quiet.entries]), now)
    for team, shown in before["teams"].items():
        assert after["teams"][team]["status"] == shown["status"]
        assert must_sound(after, team, uid("p8"), now) == must_sound(before, team, uid("p8"), now)


@given(st.integers(0, 3_600_000), st.integers(0, 3_600_000), st.integers(0, 900_000), st.integers(0, 900_000))
@settings(max_examples=60, deadline=None)
def test_doubt_never_shortens_bottom_time_lengthens_the_interval_or_delays_due(
    down_ms: int, stay_ms: int, early: int, late: int
) -> None:
    def answers(doubt: bool) -> tuple[int, int, int]:
        phone = Phone("p1")
        gone = at("09:00") + down_ms
        up = gone + stay_ms
        spans = [{"earliest": t - early, "latest": t + late} if doubt else {} for t in (gone, up)]
        phone.write("down", "t1", gone, dive="d1", members=["a", "b"], **spans[0])
        under = view(fold(trip(), phone.entries), NOW)["people"][uid("a")]
        phone.write("surfaced", "t1", up, dive="d1", people=["a", "b"], **spans[1])
        seen = view(fold(trip(), phone.entries), NOW)["people"][uid("a")]
        return seen["dives_done"][0]["bottom_time_s"][1], seen["interval_s"], under["due_at"]

    (bottom, interval, due_at), (sure_bottom, sure_interval, sure_due_at) = answers(True), answers(False)
    assert bottom >= sure_bottom
    assert interval <= sure_interval
    assert due_at <= sure_due_at


@given(
    st.sampled_from(sorted(schema.KINDS)),
    st.dictionaries(st.text(min_size=1, max_size=6), json_values, max_size=4),
    st.data(),
)
@settings(max_examples=150, deadline=None)
def test_any_data_of_any_kind_is_folded(kind: str, data: dict[str, Any], draw: st.DataObject) -> None:
    names = list(schema.ENTRY["$defs"][kind].get("properties", {}))
    if names:
        data |= draw.draw(st.dictionaries(st.sampled_from(names), json_values, max_size=4))
    value = {**body(Phone("p1").down("10:00")), "kind": kind, "data": data, "corrects": uid("x")}
    try:
        value["hash"] = hash_of(value)
        entry = read(value)
    except (NotAnEntry, NotCanonical):
        return
    state = fold(trip(), [entry])
    known = facts(state)
    view(state, NOW, known)
    due(state.snapshot, state, NOW, known)
    assert bool(data_problems(entry)) == ("not_understood" in state.aside)


# A general validator, another implementation of the published standard, must agree on every entry.
VALIDATOR = jsonschema.Draft202012Validator(schema.ENTRY)


@given(seeds, st.data())
@settings(max_examples=150, deadline=None)
def test_the_small_validator_agrees_with_a_general_one(seed: int, draw: st.DataObject) -> None:
    _, entries, rng = a_day(seed, most=10)
    value = body(rng.choice(entries))
    place = draw.draw(st.sampled_from(sorted(value)))
    value[place] = draw.draw(json_values)
    if isinstance(value["data"], dict) and value["data"] and draw.draw(st.booleans()):
        inner = draw.draw(st.sampled_from(sorted(value["data"])))
        value["data"] = {**value["data"], inner: draw.draw(json_values)}
    assume_no_newline = [text for text in value.values() if isinstance(text, str) and text.endswith("\n")]
    if assume_no_newline:
        return
    ours = schema.problems({**schema.ENTRY, "allOf": None}, value, schema.ENTRY)
    if not ours and value["kind"] in schema.KINDS:
        ours = schema.problems(schema.ENTRY["$defs"][value["kind"]], value["data"], schema.ENTRY)
    assert bool(ours) == (not VALIDATOR.is_valid(value))


def test_the_schemas_themselves_are_schemas() -> None:
    jsonschema.Draft202012Validator.check_schema(schema.ENTRY)
    jsonschema.Draft202012Validator.check_schema(schema.SNAPSHOT)
    jsonschema.validate(snapshot_body(Random(1)), schema.SNAPSHOT)


@pytest.mark.parametrize("field", ["people", "dives", "settings"])
def test_a_snapshot_without_a_part_is_refused_by_name(field: str) -> None:
    value = snapshot_body(Random(1))
    del value[field]
    with pytest.raises(snapshot.NotASnapshot) as refused:
        snapshot.make(value)
    assert [trouble.pointer for trouble in refused.value.problems] == [f"/{field}"]


@given(json_values)
def test_canonical_text_is_json_and_keeps_the_value(value: Any) -> None:
    import json

    text = canonical(value)
    assert json.loads(text) == value
    assert canonical(json.loads(text)) == text
    assert digest(value) == digest(json.loads(text))


@pytest.mark.parametrize(
    "value", [1.0, float("nan"), 2**53, -(2**53), "\ud800", {"é": 1}, {1: 2}, {"a": {2}}]
)
def test_what_has_no_canonical_form_is_refused(value: Any) -> None:
    with pytest.raises(NotCanonical):
        canonical(value)


stamps = st.builds(Clock, st.integers(0, 10**6), st.integers(0, 5))


@given(st.none() | stamps, stamps, st.integers(0, 10**6))
def test_the_clock_only_goes_forward_and_is_not_pulled_far_ahead(
    last: Clock | None, seen: Clock, wall: int
) -> None:
    after = clock.receive(last, seen, wall)
    assert last is None or (after is not None and after >= last)
    next_one = clock.tick(after, wall)
    assert after is None or next_one > after
    if after != last and after is not None:
        assert after.ms <= wall + clock.FURTHEST_AHEAD_MS
