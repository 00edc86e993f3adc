"""Days of a boat log as cases: what both kernels say of each."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from teamdive.boatlog import chain, entries, snapshot
from teamdive.boatlog.alarm import must_sound
from teamdive.boatlog.claims import happened, own_error, own_offset, unsure
from teamdive.boatlog.deckwatch import accepting
from teamdive.boatlog.emergency import ending
from teamdive.boatlog.facts import Facts, facts
from teamdive.boatlog.fold import State, fold
from teamdive.boatlog.lost import lost_card
from teamdive.boatlog.nitrogen import after_last_dive, next_dive, no_fly
from teamdive.boatlog.overstay import overstay
from teamdive.boatlog.presence import IN_WATER
from teamdive.boatlog.questions import due, may_depart, may_go_down
from teamdive.boatlog.radio import radio_words
from teamdive.boatlog.record import roll_call_record
from teamdive.boatlog.settling import may_settle
from teamdive.boatlog.view import view
from teamdive.boatlog.waiting import next_steps
from tests.boat_scene import Phone, at, metres, trip_body, uid


def case(id: str, why: str, asked: dict[str, Any], out: Any, *flags: str) -> dict[str, Any]:
    return {"id": id, "why": why, "flags": list(flags), "in": asked, "out": out}


def answer_day(body: dict[str, Any], log: list[entries.Entry], now: int) -> dict[str, Any]:
    """All that the kernel says of a day: what the phone shows and the server projects."""
    start = snapshot.read(body)
    state = fold(start, log)
    known = facts(state)
    devices = sorted(state.by_device)
    shown = view(state, now, known)
    lost = [person for person, where in known.where.items() if where.state in IN_WATER]
    return {
        "snapshot_hash": start.hash,
        "view": shown,
        "record": [asdict(line) for line in roll_call_record(state, known)],
        "lost": {person: _lost(state, known, shown, person, now) for person in lost},
        "sounds": {
            team: [must_sound(shown, team, device, now) for device in devices] for team in known.teams
        },
        "next_dive": {person: next_dive(state, person, now, known=known) for person in known.people},
        "next_steps": {
            id: next_steps(state, team.members, team.dive, now, known) for id, team in known.teams.items()
        },
        "after_last_dive": {person: after_last_dive(state, person, known) for person in known.people},
        "overstay": {team: overstay(state, team, now, known) for team in known.teams},
        "no_fly": {person: no_fly(state, person, known) for person in known.people},
        "due": [
            {"kind": d.kind, "person": d.person, "subject": d.subject, "due_at": d.due_at, "why": list(d.why)}
            for d in due(start, state, now, known)
        ],
        "may_go_down": {
            team: [
                {"code": refusal.code, "people": list(refusal.people)}
                for refusal in may_go_down(state, team, known)
            ]
            for team in known.teams
        },
        "accepting": [accepting(state, boat) for boat in (None, *known.afloat.boats)],
        "ending": ending(state, known.holds),
        "may_depart": [
            {"code": refusal.code, "people": list(refusal.people)} for refusal in may_depart(state, known)
        ],
        **_by_boat(state, known),
        "own_offsets": {device: [own_offset(state, device), own_error(state, device)] for device in devices},
        "unsure": {
            entry.id: unsure(state, entry) for entry in state.entries.values() if unsure(state, entry)
        },
        "happened": {
            entry.id: happened(state, entry)
            for entry in state.entries.values()
            if happened(state, entry) != entry.at
        },
        "may_settle": {
            id: [
                [person for person in known.people if may_settle(entry, person, before)]
                for entry in state.by_id[id]
                for before in ((), tuple(sorted(known.people))[:1])
            ]
            for id in sorted({id for question in known.questions for id in question.entries})
            if id in state.by_id
        },
        "chains": [
            {"code": t.code, "device": t.device, "seq": t.seq, "entries": list(t.entries)}
            for device in devices
            for t in chain.check(state.by_device[device])
        ],
    }


def _by_boat(state: State, known: Facts) -> dict[str, Any]:
    """Whether each boat may leave, where several go."""
    refusals = {
        boat: [
            {"code": refusal.code, "people": list(refusal.people)}
            for refusal in may_depart(state, known, boat)
        ]
        for boat in known.afloat.boats
    }
    return {"may_depart_by_boat": refusals} if refusals else {}


def _lost(state: State, known: Facts, shown: dict[str, Any], person: str, now: int) -> dict[str, Any]:
    card = lost_card(state, known, person, now)
    return {"card": card, "words": radio_words(card, shown, "Maré", "QQ1234")}


def day(
    id: str, why: str, body: dict[str, Any], log: list[entries.Entry], now: int, *flags: str
) -> dict[str, Any]:
    asked = {"ask": "day", "snapshot": body, "entries": [entries.body(entry) for entry in log], "now": now}
    return case(id, why, asked, answer_day(body, log, now), *flags)


def days() -> list[dict[str, Any]]:
    first, second = Phone("p1"), Phone("p2")
    first.holds("09:00", "s")
    first.down("09:40")
    second.down("09:40")
    first.up("10:05")
    second.up("10:09")
    first.depth("10:12", "a", 18)
    both = first.entries + second.entries
    return [
        day("two-phones", "two phones, one ascent, four minutes apart", trip_body(), both, at("10:58")),
        day("two-phones-wait", "the same, four minutes later", trip_body(), both, at("11:02")),
        day("empty", "nothing entered yet", trip_body(overdue_after_min=None), [], at("08:00")),
        _right_number_wrong_people(),
        _phone_lost(),
        _corrected_on_monday(),
        _corrections_corrected(),
        _wrong_name(),
        *_down_again(),
        _one_up_alone(),
        _holder_went_down(),
        _counted_by_eye(),
        *_counted_twice(),
        _three_split(),
        _everything_at_once(),
        _long_overdue(),
        _boarded_after_leaving(),
        _settled_and_ended(),
    ]


def _right_number_wrong_people() -> dict[str, Any]:
    teams = [["a", "b"], ["c", "d"], ["e", "f"], ["g", "h"], ["i", "j"], ["k", "l"]]
    first, second = Phone("p1"), Phone("p2")
    for name in "abcdefghijklst":
        first.write("aboard", name, "08:00")
    first.write("transferred", "k", "12:05", to="vessel")
    first.write("joined", "v", "12:30", role="visitor", dives=False, can_lead=False)
    first.write("aboard", "v", "12:31")
    first.met("13:40", "abcdefghijlstv")
    second.write("aboard", "k", "13:20")
    second.write("person_went_in", "k", "13:31", why="swim")
    first.write("departed", "trip", "13:45", place="site")
    body = trip_body(teams=teams, others=("s", "t"))
    return day(
        "right-number",
        "the count is right, the people are not",
        body,
        second.entries + first.entries,
        at("13:46"),
    )


def _phone_lost() -> dict[str, Any]:
    second = Phone("p2")
    second.met("10:30", "abcdefs")
    second.down("10:41", team="t1", members="ab")
    second.write("phone_lost", "trip", "11:05")
    second.holds("11:05:10", "s")
    second.met("11:06", "s", count="c2")
    second.down("10:50", team="t2", members="cd", earliest=at("10:47"), latest=at("10:53"), wall="11:06:20")
    second.down("10:59", team="t3", members="ef", earliest=at("10:53"), latest=at("11:05"), wall="11:06:40")
    second.up("11:24", team="t2", people="cd")
    second.depth("11:30", "c", 20)
    teams = [["a", "b"], ["c", "d"], ["e", "f"]]
    body = trip_body(teams=teams, depths=(20, 15), bottom_min=(28, 40), run_min=(38, 48))
    return day("phone-lost", "the deck phone drowned; times as told", body, second.entries, at("11:40"))


def _corrected_on_monday() -> dict[str, Any]:
    phone, keeper = Phone("p1"), Phone("p9", by="k")
    phone.holds("09:00", "s")
    phone.down("09:40")
    phone.up("10:00")
    deep = phone.depth("10:12", "a", 34)
    phone.depth("10:13", "b", 33)
    said = {"corrects": deep.id, "reason": "mistyped", "void": False, "data": {"depth": metres(30)}}
    keeper.write("correction", "a", "18:00", **said)
    wrong = phone.down("10:40", team="t2", members="cd")
    phone.write("correction", "t2", "10:40:06", corrects=wrong.id, reason="mistyped", void=True)
    log = phone.entries + keeper.entries
    return day(
        "corrected",
        "a depth lowered by one person; a mistap taken back at once",
        trip_body(),
        log,
        at("18:30"),
    )


def _corrections_corrected() -> dict[str, Any]:
    """One hour corrected, the correction corrected, a depth settled in two steps, a mistap taken back and doubted."""
    phone, other = Phone("p1"), Phone("p2", by="c")
    phone.holds("09:00", "s")
    phone.down("09:40")
    up = phone.up("10:05")
    deep = phone.depth("10:12", "a", 34)
    back = phone.back("10:13", "a")
    undone = phone.write("correction", "a", "10:13:05", corrects=back.id, reason="mistyped", void=True)
    other.write("correction", "a", "10:30", corrects=undone.id, reason="other", void=True)
    wrong = {"reason": "wrong_time", "void": False}
    first = other.write("correction", "t1", "11:00", corrects=up.id, at=at("10:20"), **wrong)
    second = phone.write("correction", "t1", "11:05", corrects=first.id, at=at("10:15"), by="s", **wrong)
    other.write("correction", "t1", "11:20", corrects=second.id, reason="other", void=True, by="d")
    said = {"reason": "mistyped", "void": False, "data": {"depth": metres(18)}}
    shallow = other.write("correction", "a", "11:30", corrects=deep.id, **said)
    for by in "cs":
        phone.write("correction", "a", "11:40", by=by, corrects=shallow.id, at=at("10:10"), **wrong)
    log = [*phone.entries, *other.entries]
    return day(
        "corrections-corrected", "chains of corrections, two of them settled", trip_body(), log, at("12:00")
    )


def _wrong_name() -> dict[str, Any]:
    phone, other = Phone("p1"), Phone("p2", by="s")
    phone.holds("09:00", "s")
    phone.down("09:40")
    phone.write("surfaced_alone", "a", "10:05", team="t1", dive="d1")
    back = phone.back("10:08", "a")
    down = phone.down("10:10", team="t2", members="cd")
    for wrong, name, more in (
        (phone.entries[2], "b", {}),
        (back, "b", {}),
        (down, "t1", {"data": {"members": [uid("a"), uid("b")]}}),
    ):
        instead = {"reason": "wrong_person", "void": True, "subject_": uid(name), **more}
        other.write("correction", "x", "10:20", corrects=wrong.id, **instead)
    other.write(
        "correction", "x", "10:25", corrects=back.id, reason="settled", void=True, subject_=uid("b"), by="c"
    )
    log = [*phone.entries, *other.entries]
    return day("wrong-name", "it was another person, another team", trip_body(), log, at("10:30"))


def _down_again() -> list[dict[str, Any]]:
    """Up for a moment and down again on one dive; one person moves an end past another."""
    made: list[dict[str, Any]] = []
    for id, moved in (
        ("descent", {2: "09:20"}),
        ("surfacing", {1: "09:45"}),
        ("both", {1: "09:45", 2: "09:50"}),
    ):
        phone, other = Phone("p1"), Phone("p2", by="c")
        phone.down("09:10")
        phone.up("09:35")
        phone.down("09:40")
        fix = {"lat_e6": 38_600_000, "lon_e6": -28_700_000, "accuracy_m": 12}
        seen = phone.write("seen_at_surface", "a", "09:48", fix=fix)
        for place, clock in moved.items():
            wrong = {"reason": "wrong_time", "void": False, "at": at(clock)}
            other.write("correction", "t1", "09:55", corrects=phone.entries[place].id, **wrong)
        for by in "cs":
            instead = {"reason": "wrong_person", "void": True, "subject_": uid("d"), "by": by}
            other.write("correction", "a", "09:56", corrects=seen.id, **instead)
        log = [*phone.entries, *other.entries]
        made.append(day(f"down-again-{id}", "down again, an end moved by one", trip_body(), log, at("10:00")))
    return made


def _one_up_alone() -> dict[str, Any]:
    phone = Phone("p1")
    phone.holds("09:00", "s")
    phone.down("10:00")
    phone.depth("10:12", "a", 22)
    phone.up("10:12", people="a", last_seen_at=at("10:10"))
    phone.write(
        "marker_seen", "t1", "10:15", fix={"lat_e6": 38_600_000, "lon_e6": -28_700_000, "accuracy_m": 12}
    )
    return day(
        "one-up-alone", "the partner's own clock", trip_body(depths=(22, 15)), phone.entries, at("10:18")
    )


def _holder_went_down() -> dict[str, Any]:
    phone = Phone("p1")
    phone.holds("09:00", "a")
    phone.write("deck_handed_over", "s", "09:30", from_="a")
    phone.down("09:40")
    return day("holder-down", "the deck holder was marked down", trip_body(), phone.entries, at("09:41"))


def _counted_by_eye() -> dict[str, Any]:
    phone = Phone("p1")
    phone.down("09:40", team="t2", members="cd")
    phone.write("phone_lost", "trip", "10:00")
    phone.met("10:30", "c", method="seen")
    phone.met("11:00", "c")
    return day(
        "counted-by-eye", "a count by eye after the phone was lost", trip_body(), phone.entries, at("11:10")
    )


def _counted_twice() -> list[dict[str, Any]]:
    """Fourteen left, one got a lift to another boat and swam, a visitor is aboard: counted fourteen twice."""
    bridge, second = Phone("p1"), Phone("p2")
    for name in "abcdefghijklst":
        bridge.write("aboard", name, "08:00")
    bridge.write("transferred", "k", "12:05", to="vessel")
    bridge.write("joined", "v", "12:30", role="visitor", dives=False, can_lead=False)
    bridge.write("aboard", "v", "12:31")
    second.write("aboard", "k", "13:20")
    bridge.met("13:28", "abcdefghijklstv", count="c0", by="t")
    second.write("person_went_in", "k", "13:31", why="swim")
    bridge.write("count_finished", "trip", "13:35", count="c1", method="seen", heads=14, by="s")
    bridge.met("13:38", "abcdefghijlstv", count="c2", by="t")
    bridge.write("count_finished", "trip", "13:39", count="c2", method="answered", heads=14, by="t")
    body = trip_body(teams=[list(pair) for pair in ("ab", "cd", "ef", "gh", "ij", "kl")], others=("s", "t"))
    body["settings"]["counts_needed"] = 2
    decided = Phone("p3", by="s")
    decided.write("override", "trip", "13:44", rule="departure", with_="t", text_hash="ab" * 32)
    decided.write("departed", "trip", "13:46", place="site")
    both = [*second.entries, *bridge.entries]
    return [
        day(
            "counted-twice-one-phone",
            "fourteen by two counters, one phone",
            body,
            bridge.entries,
            at("13:40"),
        ),
        day("counted-twice", "the same with the other phone's swim", body, both, at("13:40")),
        day("counted-twice-left", "two names let it leave", body, [*decided.entries, *both], at("13:50")),
    ]


def _three_split() -> dict[str, Any]:
    """L, M and N at 26 m: N turns at minute 12 and comes up with L; two heads up start the clock of the third."""
    phone = Phone("p1")
    phone.holds("09:00", "s")
    phone.write(
        "team_check_done", "t1", "09:58", lines=5, pressures=_pressures({"l": 215, "m": 210, "n": 205})
    )
    phone.down("10:00", members="lmn")
    phone.write("turned", "t1", "10:12")
    phone.depth("10:17", "l", 26)
    phone.up("10:17", people="ln", last_seen_at=at("10:13"))
    body = trip_body(teams=[["l", "m", "n"]], depths=(26, 15), bottom_min=(18, 40), run_min=(26, 48))
    return day("three-split", "two of three up: whose clock, and from when", body, phone.entries, at("10:18"))


def _pressures(bar: dict[str, int]) -> list[dict[str, Any]]:
    return [{"person": uid(name), "pressure": {"unit": "bar", "value": value}} for name, value in bar.items()]


def _everything_at_once() -> dict[str, Any]:
    phone = Phone("p1")
    phone.holds("09:00", "s")
    phone.down("09:40")
    phone.up("10:05")
    phone.back("10:08", "a", pressure={"unit": "bar", "value": 60}, effort=3)
    phone.write("ascended_too_fast", "a", "10:09", dive="d1")
    phone.write("symptoms_asked", "b", "10:16", dive="d1", after_min=10, said="not_well", text_hash="ab" * 32)
    phone.write("oxygen_started", "b", "10:17", flow_l_min=15)
    phone.write("distress_call_made", "trip", "10:18", to="coastguard", means="voice_radio", urgency="urgent")
    phone.write("emergency_started", "trip", "10:18:30", people="b")
    phone.write("procedure_step_done", "trip", "10:19", step="call", by="c")
    phone.write("held_from_diving", "a", "10:40", released=True, with_="d")
    return day(
        "held-and-helped", "limits withheld, page open, one released", trip_body(), phone.entries, at("10:45")
    )


def _settled_and_ended() -> dict[str, Any]:
    phone = Phone("p1")
    phone.down("09:40")
    phone.up("10:05")
    deep = phone.depth("10:12", "a", 30)
    for by in "ab":
        said = {"reason": "mistyped", "void": False, "data": {"depth": metres(18)}}
        phone.write("correction", "a", "11:30", by=by, corrects=deep.id, **said)
    down = phone.entries[0].id
    phone.write("question_settled", "t1", "12:00", code="no_deck_holder", entries=[down], with_="c")
    phone.met("15:00", "abcdst")
    phone.write("trip_ended", "trip", "15:10")
    why = "two divers cannot settle their own depth; a question that two others looked at; an end with one not named"
    return day("settled-and-ended", why, trip_body(), phone.entries, at("15:11"))


def _boarded_after_leaving() -> dict[str, Any]:
    phone = Phone("p1")
    phone.holds("09:00", "s")
    phone.met("09:00", "abcds")
    phone.down("09:40")
    phone.up("10:05")
    phone.back("10:10", "a")
    boarded = phone.write("back_aboard", "b", "10:25")
    phone.write("departed", "trip", "10:40", place="site")
    later = {"corrects": boarded.id, "reason": "wrong_time", "void": False, "at": at("10:50")}
    phone.write("correction", "b", "11:10", by="c", **later)
    why = "one person says that somebody came aboard after the boat had left"
    return day("boarded-after-leaving", why, trip_body(), phone.entries, at("11:11"))


def _long_overdue() -> dict[str, Any]:
    phone, other, fast = Phone("p1"), Phone("p2"), Phone("p3")
    fix = {"lat_e6": -38_601_234, "lon_e6": 28_700_999, "accuracy_m": 9}
    phone.holds("09:00", "s")
    phone.write("conditions_found", "d1", "09:30", current_tenths_kn=12, current_toward_deg=70, wind_kn=14)
    phone.write("team_check_done", "t1", "09:38", lines=5, pressures=_pressures({"a": 200, "b": 90}))
    phone.down("09:40", fix=fix)
    phone.write("recall_given", "trip", "10:25", teams=["t1"], means="sound")
    phone.write("overdue_reached", "t1", "10:28", people="ab", fix={**fix, "lat_e6": -38_600_000})
    phone.write("overdue_quieted", "t1", "10:29", until=at("10:45"))
    # An hour fast: what it says of a minute's quiet is of the log's 10:31.
    fast.write("clock_compared", "p3", "10:00", offset_ms=-3_600_000, error_ms=40)
    fast.write("overdue_quieted", "t1", "11:30", until=at("11:31"))
    other.write("marker_seen", "t2", "10:31", fix=fix)
    phone.write("emergency_started", "trip", "10:31", people="ab")
    body = trip_body()
    body["settings"]["quiet_min"] = 2
    body["lost_diver"] = [{"step": "club_step", "say": "Ask the shore.", "within_s": 60}]
    for diver in body["dives"][0]["teams"][0]["divers"]:
        diver |= {"cylinder_dl": 120, "rmv_low_dl_min": 120}
    log = [*phone.entries, *other.entries, *fast.entries]
    why = "quiet on each phone by its own clock, and for two minutes at most"
    return day("long-overdue", why, body, log, at("10:32"))
