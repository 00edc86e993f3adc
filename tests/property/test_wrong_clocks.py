"""A phone whose clock is wrong, and was compared: it shortens no bottom time, lengthens no interval, delays nothing."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from teamdive.boatlog.claims import own_error, own_offset
from teamdive.boatlog.fold import fold
from teamdive.boatlog.nitrogen import no_fly
from teamdive.boatlog.offsets import STEP_MS, Offset, met, stepped
from teamdive.boatlog.view import view
from tests.boat_scene import Phone, at, trip, uid

HOUR = 3_600_000
NOW = at("12:00")


def answers(wrong: int, error: int, lie: int, who: tuple[int, ...], when: str) -> tuple[Any, ...]:
    """Bottom time, interval, no-fly end, due time of the one left; each event by the phone that `who` says.

    The second phone is `wrong` ms fast; compared `before` or `after` with an error, and a lie no greater than it.
    """
    phones = [Phone("p1"), Phone("p2")]
    off = (0, wrong)

    def compare() -> None:
        data = {"offset_ms": -wrong + lie, "error_ms": error}
        phones[1].write("clock_compared", "p2", at("11:00") + wrong, **data)

    if when == "before":
        compare()
    moments = {"down": at("09:40"), "alone": at("10:00"), "seen": at("09:57"), "up": at("10:06")}
    by = dict(zip(("down", "alone", "up"), who, strict=True))

    def stamp(name: str) -> int:
        return moments[name] + off[by[name]]

    phones[by["down"]].write("down", "t1", stamp("down"), dive="d1", members=["a", "b"])
    seen_at = moments["seen"] + off[by["alone"]]
    phones[by["alone"]].write("surfaced", "t1", stamp("alone"), dive="d1", people=["a"], last_seen_at=seen_at)
    if when == "after":
        compare()
    under = fold(trip(), [entry for phone in phones for entry in phone.entries])
    alone = view(under, NOW)["people"][uid("b")]["due_at"]
    phones[by["up"]].write("surfaced", "t1", stamp("up"), dive="d1", people=["b"])
    phones[0].depth("10:12", "a", 18)
    state = fold(trip(), [entry for phone in phones for entry in phone.entries])
    seen = view(state, NOW)["people"][uid("b")]
    flying = no_fly(state, uid("b"))
    assert flying is not None
    return seen["dives_done"][0]["bottom_time_s"][1], seen["interval_s"], flying["until"], alone


@given(
    st.sampled_from([HOUR, -HOUR, 120_000, -7 * 60_000, 1500]),
    st.integers(0, 60_000),
    st.integers(-100, 100),
    st.tuples(st.integers(0, 1), st.integers(0, 1), st.integers(0, 1)),
    st.sampled_from(["before", "after"]),
)
@settings(max_examples=80, deadline=None)
def test_an_hour_wrong_changes_nothing_to_the_unsafe_side(
    wrong: int, error: int, share: int, who: tuple[int, ...], when: str
) -> None:
    bottom, interval, until, alone = answers(wrong, error, error * share // 100, who, when)
    right = answers(0, 0, 0, (0, 0, 0), when)
    # A clock within two seconds of the server's is taken as right: tables count minutes.
    slack = 4 if abs(wrong) <= 2000 else 0
    assert bottom >= right[0] - slack
    assert interval <= right[1] + slack
    assert until >= right[2] - slack * 1000
    assert alone <= right[3] + slack * 1000


def test_a_correction_is_read_off_the_clock_of_who_corrects() -> None:
    right, fast = Phone("p1"), Phone("p2")
    fast.write("clock_compared", "p2", "10:00", offset_ms=-HOUR, error_ms=0)
    wrong = right.down("09:50")
    right.up("10:05")
    for by in "as":
        said = {"corrects": wrong.id, "reason": "settled", "void": False, "at": at("09:40") + HOUR}
        fast.write("correction", "t1", at("10:30") + HOUR, by=by, **said)
    seen = view(fold(trip(), right.entries + fast.entries), NOW)["people"][uid("a")]
    assert seen["dives_done"][0]["down"] == [at("09:40"), at("09:40")]


def day_of(offsets: list[int], error: int, lie: int, who: list[int]) -> tuple[Any, ...]:
    """A dive written by three phones as each writes it, then what a reader on any of them is shown at noon.

    What happens now has the phone's own time; what is typed is in the log's time, turned back by what the phone
    knows of itself, as `frontend/src/store/trip_log.ts` does.
    """
    phones = [Phone(f"p{n}") for n in range(len(offsets))]

    def log() -> list[Any]:
        return [entry for phone in phones for entry in phone.entries]

    for phone, wrong in zip(phones, offsets, strict=True):
        data = {"offset_ms": -wrong + lie, "error_ms": error}
        phone.write("clock_compared", phone.name, at("09:00") + wrong, **data)

    def typed(n: int, instant: int) -> int:
        return instant - own_offset(fold(trip(), log()), uid(phones[n].name))

    turns = iter(who)

    def tap(kind: str, subject: str, clock: str, **data: Any) -> Any:
        n = next(turns)
        return phones[n].write(kind, subject, at(clock) + offsets[n], **data)

    n = next(turns)
    phones[n].write(
        "down", "t1", typed(n, at("09:40")), wall=at("09:45") + offsets[n], dive="d1", members=["a", "b"],
        earliest=typed(n, at("09:38")), latest=typed(n, at("09:42")),
    )  # fmt: skip
    alone = tap("surfaced_alone", "a", "10:00", team="t1", dive="d1")
    n = next(turns)
    phones[n].write(
        "correction", "a", at("10:01") + offsets[n], corrects=alone.id, reason="other", void=False,
        data={"last_seen_at": typed(n, at("09:57"))},
    )  # fmt: skip
    due = view(fold(trip(), log()), at("10:02"))["people"][uid("b")]["due_at"]
    tap("surfaced", "t1", "10:06", dive="d1", people=["b"])
    phones[0].depth("10:12", "a", 18)
    state = fold(trip(), log())
    seen = view(state, NOW)["people"][uid("b")]
    flying = no_fly(state, uid("b"))
    assert flying is not None
    return seen["dives_done"][0]["bottom_time_s"][1], seen["interval_s"], flying["until"], due


@given(
    st.lists(st.sampled_from([HOUR, -HOUR, 7 * 60_000, -26 * HOUR, 90_000, 0]), min_size=3, max_size=3),
    st.integers(0, 20_000),
    st.integers(-100, 100),
    st.lists(st.integers(0, 2), min_size=4, max_size=4),
)
@settings(max_examples=60, deadline=None)
def test_any_offsets_known_to_the_log_answer_as_honest_clocks_do(
    offsets: list[int], error: int, share: int, who: list[int]
) -> None:
    found = day_of(offsets, error, error * share // 100, who)
    right = day_of([0, 0, 0], 0, 0, who)
    # Never on the unsafe side, and no further off than two claims can be: twice what each may err, and its lie.
    furthest = -(-4 * error // 1000) + 1
    slack = 4 if error <= 2000 else 0
    assert -slack <= found[0] - right[0] <= furthest
    assert -slack <= right[1] - found[1] <= furthest
    assert -slack * 1000 <= found[2] - right[2] <= furthest * 1000 + 60_000
    assert -slack * 1000 <= right[3] - found[3] <= furthest * 1000


@given(
    st.integers(-2 * HOUR, 2 * HOUR),
    st.integers(-2 * HOUR, 2 * HOUR),
    st.integers(0, 5000),
    st.integers(-100, 100),
    st.integers(0, 2000),
    st.booleans(),
)
def test_what_one_phone_reads_off_another_holds_the_truth(
    mine: int, theirs: int, error: int, share: int, late: int, known: bool
) -> None:
    """Both true offsets are given; theirs is known give or take `error`, mine rightly to a minute or not at all."""
    shown, read = at("10:00") - theirs, at("10:00") + late - mine
    lie = error * share // 100
    own = Offset(mine + 30_000 * share // 100, 60_000) if known else None
    found = met(own, Offset(theirs + lie, error), shown, read, 2000)
    held = own if found is None else found
    assert held is not None and held.low <= mine <= held.high
    assert found is None or found.error_ms <= (60_000 if known else error + 1000 + 1)


@given(st.integers(-HOUR, HOUR), st.integers(-2 * HOUR, 2 * HOUR), st.integers(0, 3 * HOUR), st.booleans())
def test_a_step_that_is_noticed_leaves_the_truth_within_what_is_said(
    offset: int, set_by: int, slept: int, awake: bool
) -> None:
    """The clock is `set_by` forward (back below 0) while the steady one stood still for `slept`."""
    seen = set_by + slept
    if abs(seen) <= STEP_MS or (seen > 0 and (not awake or set_by < 0)):
        return  # Unseen, or not to be told from a sleep.
    if seen < 0 and (slept if awake else slept > -seen):
        return  # Awake there is no sleep; over a sleep longer than what is left of the step nothing can be told.
    found = stepped(Offset(offset, 50), seen, awake)
    assert found.low <= offset - set_by <= found.high


@given(
    st.sampled_from([-HOUR, HOUR, -10 * 60_000, 25 * 60_000]), st.sampled_from(["09:50", "10:03", "10:20"])
)
@settings(max_examples=24, deadline=None)
def test_a_clock_that_jumps_during_a_dive_helps_nobody(step: int, when: str) -> None:
    """Down 09:40, one up at 10:00, the other at 10:06, on one phone whose clock jumps at `when`, seen while awake."""
    phone = Phone("p1")
    moved = 0

    def wall(clock: str) -> int:
        return at(clock) + (step if at(clock) > at(when) else 0)

    for kind, subject, clock, data in (
        ("down", "t1", "09:40", {"dive": "d1", "members": ["a", "b"]}),
        ("surfaced_alone", "a", "10:00", {"team": "t1", "dive": "d1"}),
        ("surfaced", "t1", "10:06", {"dive": "d1", "people": ["b"]}),
        ("note", "trip", "10:30", {}),
    ):
        if at(clock) > at(when) and not moved:
            moved = 1
            for known in (Offset(0, 0), stepped(Offset(0, 0), step, True)):
                data_ = {"offset_ms": known.offset_ms, "error_ms": known.error_ms, "how": "step"}
                phone.write("clock_compared", "p1", wall(clock), **data_)
        phone.write(kind, subject, wall(clock), **data)
    known_state = fold(trip(), phone.entries)
    seen = view(known_state, NOW)["people"][uid("b")]["dives_done"][0]
    assert seen["bottom_time_s"][1] >= 26 * 60
    assert seen["surfaced"][0] - 1000 <= at("10:06") <= seen["surfaced"][1] + 1000
    device = uid("p1")
    reckoned = at("10:30") + step + own_offset(known_state, device)
    assert abs(reckoned - at("10:30")) <= own_error(known_state, device)
    under = fold(trip(), [entry for entry in phone.entries if entry.at <= wall("10:00")])
    due = view(under, NOW)["people"][uid("b")]["due_at"]
    if due is not None:
        assert due <= at("10:00") + (60 + 120 + 180 + 60) * 1000
