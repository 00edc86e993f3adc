"""Of two boats in one log nobody is lost between them, and neither waits for the other: our own choice, no source."""

from dataclasses import replace
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.boatlog import snapshot
from teamdive.boatlog.boats import elsewhere
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import add, begin, fold
from teamdive.boatlog.questions import may_depart
from teamdive.boatlog.takeover import drafts, gone, to_call
from teamdive.boatlog.view import view
from tests.boat_histories import history, on_two_boats, snapshot_body
from tests.boat_scene import Phone, uid
from tests.property.test_boatlog import NOW, a_day, seeds

BOATS = (uid("l"), uid("s"))


def after_all(entries: list[Entry]) -> int:
    """An instant (ms) after all that the history says of any phone's clock."""
    return max(entry.at for entry in entries) + 4 * 3_600_000


@given(seeds)
@settings(max_examples=100, deadline=None)
def test_whoever_is_not_accounted_for_keeps_a_boat_from_leaving(seed: int) -> None:
    start, entries, _ = a_day(seed, several=True)
    state = fold(start, entries)
    known = facts(state)
    seen = view(state, NOW, known)
    assert tuple(seen["boats"]) == BOATS
    missing = {boat: set(each["departure"]["not_accounted_for"]) for boat, each in seen["boats"].items()}
    assert set().union(*missing.values()) == set(seen["departure"]["not_accounted_for"])
    for person, shown in seen["people"].items():
        assert shown["boats"] and set(shown["boats"]) <= set(BOATS)
        for boat in shown["boats"]:
            assert shown["accounted_for"] or person in missing[boat]
    for boat, each in seen["boats"].items():
        assert each["departure"]["blocked"] == bool(may_depart(state, known, boat))
        if not (each["departure"]["blocked"] or each["departure"]["overridden"]):
            assert not missing[boat]
            named = {person for count in each["roll_call"]["counts"] for person in count["seen"]}
            here = {
                p for p, where in known.where.items() if not elsewhere(where) and boat in known.afloat.now[p]
            }
            numbers = any(
                count["heads"] is not None and count["agrees"] for count in each["roll_call"]["counts"]
            )
            assert here <= named or numbers
    free = not any(each["departure"]["blocked"] for each in seen["boats"].values())
    assert seen["departure"]["blocked"] is not free
    assert bool(may_depart(state, known)) is seen["departure"]["blocked"]


@given(seeds)
@settings(max_examples=60, deadline=None)
def test_of_two_boats_too_the_order_of_arrival_does_not_matter(seed: int) -> None:
    start, entries, rng = a_day(seed, 25, several=True)
    shuffled = [*entries, *rng.sample(entries, len(entries) // 2)]
    rng.shuffle(shuffled)
    grown = begin(start)
    for entry in shuffled:
        grown = add(grown, entry)
    assert view(grown, NOW) == view(fold(start, entries), NOW)


@given(seeds)
@settings(max_examples=60, deadline=None)
def test_entries_that_name_no_boat_account_for_the_same_people_as_on_one(seed: int) -> None:
    rng = Random(seed)
    body = snapshot_body(rng)
    entries = history(rng, 30)
    one = view(fold(snapshot.read(body), entries), NOW)
    two = view(fold(snapshot.read(on_two_boats(rng, body)), entries), NOW)
    for person, shown in one["people"].items():
        assert two["people"][person] | {"boats": []} == shown
    assert two["departure"]["not_accounted_for"] == one["departure"]["not_accounted_for"]
    assert two["ended_at"] == one["ended_at"]


@given(seeds, st.sets(st.sampled_from("abcdes"), min_size=1), st.sampled_from("ls"))
@settings(max_examples=80, deadline=None)
def test_a_count_of_one_boat_takes_off_the_other_only_whom_it_names(
    seed: int, names: set[str], boat: str
) -> None:
    start, entries, _ = a_day(seed, several=True)
    last = after_all(entries)
    before = facts(fold(start, entries))
    phone = Phone("p7")
    phone.met(last, "".join(sorted(names)), count="c9", boat=boat)
    after = facts(fold(start, [*entries, *phone.entries]))
    for person, boats in before.afloat.now.items():
        if person in {uid(name) for name in names}:
            assert uid(boat) in after.afloat.now[person]
        else:
            assert after.afloat.now[person] == boats
            assert after.where[person] == before.where[person]


@given(seeds, st.sampled_from("ls"))
@settings(max_examples=60, deadline=None)
def test_the_lost_phone_of_one_boat_leaves_the_other_boats_people_what_they_were(
    seed: int, boat: str
) -> None:
    start, entries, _ = a_day(seed, several=True)
    last = after_all(entries)
    state = fold(start, entries)
    before = facts(state)
    lost = gone(state, {uid("s")}, {}, last, uid(boat), before)
    for each in lost:
        assert all(uid(boat) in before.afloat.now[person] for person in each.members)
    assert {each.person for each in to_call(state, uid(boat), before)} == {
        person for person, boats in before.afloat.now.items() if uid(boat) in boats
    }
    assert all(
        draft.data.get("boat") == uid(boat)
        for draft in drafts(state, uid("s"), {uid("s")}, lost, last, uid("c9"), uid(boat))
        if draft.kind != "down"
    )
    phone = Phone("p7")
    phone.write("phone_lost", "trip", last, boat=boat)
    after = facts(fold(start, [*entries, *phone.entries]))
    for person, boats in before.afloat.now.items():
        if uid(boat) not in boats:
            assert after.where[person] == before.where[person]
        else:
            assert not after.where[person].accounted_for


@given(seeds, st.sampled_from("ls"), st.sampled_from("abcdes"))
@settings(max_examples=60, deadline=None)
def test_who_takes_the_deck_of_one_boat_takes_nothing_of_the_other(seed: int, boat: str, name: str) -> None:
    start, entries, _ = a_day(seed, several=True)
    last = after_all(entries)
    phone = Phone("p7")
    phone.write("deck_accepted", name, last, from_=None, boat=boat)
    phone.write("deck_handed_over", "a", last + 1, from_=name, boat=boat)
    before, after = (
        view(fold(start, listed), last)["boats"] for listed in (entries, [*entries, *phone.entries])
    )
    other = next(each for each in BOATS if each != uid(boat))
    assert (after[other]["deck_holder"], after[other]["handover"]) == (
        before[other]["deck_holder"],
        before[other]["handover"],
    )


@given(seeds, st.sampled_from("ls"))
@settings(max_examples=60, deadline=None)
def test_a_departure_asks_only_for_those_who_may_have_been_on_that_boat(seed: int, boat: str) -> None:
    start, entries, _ = a_day(seed, several=True)
    last = after_all(entries)
    state = fold(start, entries)
    phone = Phone("p7")
    left = phone.write("departed", "trip", last, place="site", boat=boat)
    known = facts(state)
    asked = {
        person
        for question in facts(fold(start, [*entries, left])).questions
        if question.code == "departed_not_accounted_for" and left.id in question.entries
        for person in question.people
    }
    missing = {person for person, place in known.where.items() if not place.accounted_for}
    assert asked == {person for person in missing if uid(boat) in known.afloat.now[person]}


@given(seeds)
@settings(max_examples=60, deadline=None)
def test_with_two_counts_each_boats_agree_by_two_counters_or_two_ways(seed: int) -> None:
    start, entries, _ = a_day(seed, several=True)
    state = fold(replace(start, settings=replace(start.settings, counts_needed=2)), entries)
    known = facts(state)
    for boat, each in view(state, NOW, known)["boats"].items():
        call = each["roll_call"]
        if not call["complete"]:
            continue
        pair = [next(c for c in call["counts"] if c["count"] == name) for name in call["compared"]]
        active = [count for count in pair if count["active"]]
        assert active and None not in (pair[0]["counter"], pair[1]["counter"])
        here = {p for p, where in known.where.items() if not elsewhere(where) and boat in known.afloat.now[p]}
        assert all(here <= set(count["seen"]) for count in active)
