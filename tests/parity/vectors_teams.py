"""Questions to `teams` whose answers both languages must give alike, refusals and what is not known included."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from random import Random
from typing import Any

from tests.parity import several_bodies
from tests.parity.team_bodies import ON, Body, answer, diver, done, eight, group, question
from tests.parity.twins import kept

STRONG = [done(40, 1.0, 5, count=6, visibility_m=3, water_temp_c=5, night=True)]


def cases() -> list[dict[str, Any]]:
    made = [
        {"id": name, "why": why, "flags": flags, "in": body, "out": answer(body)}
        for name, why, flags, body in _questions()
    ]
    return [*made, *kept("teams", answer)]


def _questions() -> Iterator[tuple[str, str, list[str], Body]]:
    yield (
        "eight",
        "three leaders, three stretched, two who cannot",
        [],
        eight(why_not=[["C", "D"], ["A", "C"], ["F", "A"]]),
    )
    yield "eight-in-another-order", "the order of input changes nothing but order", [], _turned(eight())
    yield (
        "eight-announced",
        "what changes against what was said",
        [],
        eight(announced=[["A", "C"], ["B", "D"], ["E", "G"]]),
    )
    yield (
        "eight-more",
        "the next best days, what a drop-out does, the day a drop-out disturbs least",
        [],
        eight(alternatives=3, drop_outs=True, robust=True),
    )
    yield (
        "eight-found-harder",
        "announced teams held against the current that was found, with the fewest changes",
        [],
        _harder(eight(announced=[["A", "C"], ["B", "D"], ["E", "G"], ["X", "Y"], ["F"]], least_change=True)),
    )
    yield (
        "eight-remedies",
        "why one has no place, and what would give them one, each found by solving again",
        [],
        eight(remedies=True, out_of_water=["A"]),
    )
    yield (
        "eight-remedies-forbidden",
        "no leader may dive with E",
        [],
        eight(remedies=True, forbidden=[["A", "E"], ["B", "E"], ["E", "G"]]),
    )
    waiting = [diver("X", [done(30, 0.6)]), diver("Y", STRONG, role="leader"), diver("Z", [done(8)])]
    early = eight(find="pairability", candidates=waiting, out_of_water=["B"])
    del early["divers"][3]["gas"], early["divers"][4]["earlier_dives"]
    yield "weeks-before", "can the roster be paired, and what would help most", [], early
    yield (
        "candidates-without-find",
        "a waiting list goes with pairability",
        ["refused"],
        eight(candidates=[diver("A", STRONG), diver("X", STRONG)]),
    )
    yield "eight-locked", "a fixed team stays", [], eight(locked=[["A", "C"]])
    yield "eight-leader-out", "a leader holds the deck", [], eight(out_of_water=["A"])
    yield "eight-free", "threes free", [], eight(policy={"threes": "free"})
    yield "eight-never", "no threes", [], eight(policy={"threes": "never"}, out_of_water=["A"])
    yield "eight-two-steps", "two stretches allowed", [], eight(policy={"stretches_allowed": 2})
    yield "eight-none", "no stretch allowed", [], eight(policy={"stretches_allowed": 0})
    override = {"rule": "stretches", "diver": "F", "by": "A", "reason": "done it before, log lost"}
    yield "override", "a leader lifts a rule; it stays in sight", ["override"], eight(overrides=[override])
    yield "override-oneself", "never for oneself", ["override"], eight(overrides=[override | {"by": "F"}])
    yield "override-not-leader", "only a leader", ["override"], eight(overrides=[override | {"by": "C"}])
    yield (
        "override-floor",
        "below the floor nothing is lifted",
        ["override"],
        eight(overrides=[override | {"rule": "unfit"}]),
    )
    yield (
        "must-and-barred",
        "a must that cannot hold",
        ["impossible"],
        eight(wishes=[_wish("A", "F", "must")]),
    )
    yield (
        "must-stretched",
        "two stretched who must dive together",
        ["impossible"],
        eight(wishes=[_wish("C", "D", "must")]),
    )
    yield (
        "two-musts",
        "two musts that exclude each other",
        ["impossible"],
        eight(wishes=[_wish("A", "D", "must"), _wish("A", "C", "must")], policy={"threes": "never"}),
    )
    yield (
        "equals",
        "two practised divers need no leader where the club says so",
        [],
        question([diver("a", STRONG), diver("b", STRONG)], policy={"leader_needed": "when_stretched"}),
    )
    unstated = eight()
    for one in unstated["divers"]:
        del one["role"]
    yield "eight-no-roles", "with no role stated what was done decides who leads", [], unstated
    yield (
        "nobody",
        "nobody may lead",
        ["impossible"],
        question([diver("a", STRONG), diver("b", [done(33, 0.8)])]),
    )
    yield "alone", "one diver is no team", ["impossible"], question([diver("a", STRONG, role="leader")])
    yield (
        "prefer",
        "wishes cost, they do not bar",
        [],
        eight(wishes=[_wish("A", "E", "prefer"), _wish("A", "B", "prefer", "apart")]),
    )
    yield from several_bodies.questions()
    yield from _rules_and_threes()
    yield from _single_facts()
    yield from _refusals()
    random = Random(77)
    for n in range(70):
        yield f"random-{n}", "a random group", ["random"], group(random, 9, rare=n >= 35)


def _rules_and_threes() -> Iterator[tuple[str, str, list[str], Body]]:
    quiet = {"kind": "apart", "divers": ["A", "D"], "private": True}
    asked = {"why_not": [["A", "D"]], "alternatives": 3}
    yield "private", "a wish that no answer tells", [], eight(wishes=[quiet], **asked)
    cover = [{"role": "boat_handler", "person": "skipper"}, {"role": "lookout", "person": "E"}]
    yield "cover", "who covers the surface does not dive", [], eight(surface_cover=cover)
    yield (
        "cover-required",
        "nobody dives before the cover is named",
        ["impossible"],
        eight(surface_cover=cover, policy={"surface_cover": "required"}),
    )
    supervised = [diver(f"s{i}", [done(12, 0.2)], supervised=True, certified_depth=12) for i in range(4)]
    shallow = {"depth": 12, "bottom_time_min": 30, "demands": {"current_kn": 0.2}}
    led = question([diver("guide", STRONG, role="leader"), *supervised], dive=shallow)
    ids = [one["id"] for one in led["divers"]]
    yield "guided", "four supervised divers under one leader", [], led | {"guided": [ids]}
    yield (
        "guided-too-many",
        "more than the club's ratio",
        ["impossible"],
        led | {"guided": [ids], "policy": {"guided_ratio": 3}},
    )
    yield (
        "guided-and-locked",
        "nobody in two of these",
        ["refused"],
        led | {"guided": [ids], "locked": [ids[:2]]},
    )
    step = [diver("lead", STRONG, role="leader"), diver("mate", STRONG, certified_depth=18)]
    deeper = {"deeper_beside_certified": True}
    yield "one-step-deeper", "beside somebody who holds the depth", [], question(step, policy=deeper)
    split = question(
        [
            diver("L", [done(33, 0.8)], role="leader", rmv_l_min=15),
            diver("M", [done(33, 0.8)], start_pressure=210, rmv_l_min=18),
            diver("N", [done(15, 0.8)], volume=10, start_pressure=205, rmv_l_min=23),
        ],
        dive={"depth": 26, "bottom_time_min": 40, "demands": {"current_kn": 0.2}},
    )
    yield "three-that-splits", "who goes on, who goes up with whom, what is offered instead", [], split
    yield "first-exposure", "a step capped by the club", [], split | {"policy": {"first_exposure_min": 10}}
    family = question(
        [
            diver("parent", STRONG, role="leader"),
            diver("other", STRONG, role="leader"),
            diver("child", [done(9)], born="2012-01-01", guardians=["parent"], guardian_consent=True),
        ],
        dive={"depth": 18, "bottom_time_min": 20, "demands": {}},
        why_not=[["child", "parent"]],
    )
    yield "family", "a guardian does not lead their own child's step", [], family
    yield "family-allowed", "where the club allows it", [], family | {"policy": {"guardian_may_lead": True}}
    wrong = eight(wishes=[quiet | {"strength": "must"}], surface_cover=[{"role": "cook", "person": "A"}])
    yield "refused-cover-and-private", "bad input", ["refused"], wrong
    policy = {"cover_roles_combined": [["lookout", "cook"]], "guided_ratio": 0, "first_exposure_min": 0}
    yield "refused-policy-of-rules", "bad input", ["refused"], eight(policy=policy)


def _wish(a: str, b: str, strength: str, kind: str = "together") -> Body:
    return {"kind": kind, "divers": [a, b], "strength": strength}


def _harder(body: Body) -> Body:
    """The same dive with more current than was planned for."""
    body["dive"]["demands"]["current_kn"] = 0.9
    return body


def _turned(body: Body) -> Body:
    body["divers"] = body["divers"][::-1]
    return body


def _single_facts() -> Iterator[tuple[str, str, list[str], Body]]:
    changes: dict[str, Body] = {
        "no-certified-depth": {"certified_depth": None},
        "certified-shallower": {"certified_depth": 20},
        "no-born": {"born": None},
        "aged-9": {"born": "2017-06-13"},
        "aged-11": {"born": "2016-01-01"},
        "aged-14": {"born": "2013-01-01"},
        "aged-16-no-consent": {"born": "2011-01-01", "guardian_consent": False},
        "aged-16": {"born": "2011-01-01"},
        "no-fitness": {"fitness": None},
        "unfit": {"fitness": "unfit"},
        "restricted": {"fitness": "restricted"},
        "no-experience": {"experience": None},
        "no-gas": {"gas": None},
        "no-analysis": {"gas": {"o2_fraction": 0.32}},
        "no-start-pressure": {"start_pressure": None},
        "no-rmv": {"rmv_l_min": None},
        "no-earlier-dives": {"earlier_dives": None},
        "little-gas": {"start_pressure": 80},
        "own-task": {"own_task": True},
    }
    for name, change in changes.items():
        pair = [diver("lead", STRONG, role="leader"), diver("mate", STRONG, **change)]
        yield name, "one fact of one diver", ["not_known"] if name.startswith("no-") else [], question(pair)
    rich = diver("mate", STRONG)
    rich["gas"] = {
        "o2_fraction": 0.4,
        "analysis": {"o2_fraction": 0.4, "by": "mate", "at": ON, "cylinder": "c"},
    }
    yield (
        "too-rich",
        "a gas deeper than its oxygen limit",
        [],
        question([diver("lead", STRONG, role="leader"), rich]),
    )
    shallow = question([diver("lead", STRONG, role="leader"), diver("mate", STRONG, born="2014-06-12")])
    shallow["dive"]["depth"] = 18
    yield "aged-13-at-18", "a junior at the limit beside an adult", [], shallow
    feet = question([diver("lead", STRONG, role="leader"), diver("mate", STRONG)], depth_unit="ft")
    feet["dive"]["depth"] = 90
    for one in feet["divers"]:
        one["certified_depth"] = 100
        one["experience"]["done"] = [done(100, 1.0, 5)]
    yield "feet", "depths in feet", [], feet


def _refusals() -> Iterator[tuple[str, str, list[str], Body]]:
    def broken(path: list[Any], value: Any) -> Body:
        body = copy.deepcopy(eight())
        at: Any = body
        for step in path[:-1]:
            at = at[step]
        at[path[-1]] = value
        return body

    wrong: dict[str, tuple[list[Any], Any]] = {
        "unknown-field": (["divers", 0, "colour"], "blue"),
        "no-on": (["on"], None),
        "bad-on": (["on"], "2027-13-01"),
        "no-depth": (["dive", "depth"], None),
        "deep": (["dive", "depth"], 45),
        "twice": (["divers", 1, "id"], "A"),
        "unknown-wish": (["wishes"], [_wish("A", "Z", "must")]),
        "same-twice": (["wishes"], [_wish("A", "A", "must")]),
        "bad-policy": (
            ["policy"],
            {"threes": "often", "visibility_class_edges_m": [6, 3], "freshness_months": [6, 12.5, 24]},
        ),
        "lead-below-covered": (["policy"], {"lead_weight": 1, "covered_weight": 2}),
        "bad-override": (["overrides"], [{"rule": "any", "diver": "A", "by": "B", "reason": "so"}]),
        "no-reason": (["overrides"], [{"rule": "stretches", "diver": "A", "by": "B"}]),
        "locked-twice": (["locked"], [["A", "B"], ["B", "C"]]),
        "locked-one": (["locked"], [["A"]]),
        "done-later": (["divers", 0, "experience", "done", 0, "on"], "2027-07-01"),
        "done-undated": (["divers", 0, "experience", "done", 0, "on"], None),
        "level-6": (["dive", "demands", "task", "level"], 6),
        "born-later": (["divers", 0, "born"], "2028-01-01"),
        "born-wrong": (["divers", 0, "born"], "1 May"),
        "count-0": (["divers", 0, "experience", "done", 0, "count"], 0),
        "nobody-at-all": (["divers"], []),
        "flag-as-number": (["dive", "demands", "night"], 1),
    }
    for name, (path, value) in wrong.items():
        yield f"refused-{name}", "bad input", ["refused"], broken(path, value)
