"""What must hold of the dives of one day solved together, whatever is asked."""

import copy
from random import Random

import pytest

from teamdive.calculations.teams import read_question, teams
from teamdive.pairing import several_windows
from tests.parity.several_bodies import DIVE_FIELDS, several
from tests.parity.team_bodies import answer, diver, done, eight, group

STRONG = [done(40, 1.0, 5, count=6)]


def asked(seed, most=8, **more):
    return several(Random(seed), most, seed % 2 == 1, **more)


def solved(body):
    return answer(body).get("answer")


def worth(found):
    total = found["total"]
    return -total["placed"], total["overrides"], total["safety_penalty"], total["cost_s"]


def test_one_dive_without_waves_is_answered_as_that_dive_alone():
    same = 0
    for seed in range(60):
        body = group(Random(seed), 8, seed % 2 == 1)
        for name in (
            "why_not",
            "alternatives",
            "drop_outs",
            "robust",
            "remedies",
            "facts",
            "find",
            "candidates",
        ):
            body.pop(name, None)
        alone = solved(body)
        moved = {name: body.pop(name) for name in ("dive", *DIVE_FIELDS) if name in body}
        together = solved(body | {"dives": [moved]})
        if alone is None or together is None:
            assert alone == together
            continue
        assert together["status"] == alone["status"], seed
        dive = together["dives"][0]
        assert [team["divers"] for team in dive["teams"]] == [team["divers"] for team in alone["teams"]], seed
        assert together["total"] == alone["total"] == dive["total"]
        same += alone["status"] == "optimal"
    assert same > 15


def test_what_a_dives_water_leaves_uncounted_is_said_of_that_dive():
    body = eight()
    body.pop("find", None)
    first = {name: body.pop(name) for name in ("dive", *DIVE_FIELDS) if name in body}
    first["dive"]["water_temp_c"] = 12
    body["divers"][0]["cylinders"][0]["fill_temp_c"] = 35
    again = copy.deepcopy(first["dive"])
    again.pop("water_temp_c")
    again["demands"].pop("water_temp_c", None)
    own = {name: body["divers"][0][name] for name in ("id", "cylinders")}
    body["dives"] = [first, {"dive": again, "surface_interval_min": 90, "divers": [own]}]
    said = [w["pointer"] for w in solved(body)["warnings"] if w["code"] == "fill_temperature_not_counted"]
    assert said == ["/dives/1/dive/water_temp_c"]


def test_totals_waves_and_boats_are_what_the_answer_says():
    placed = 0
    for seed in range(120):
        body = asked(seed)
        found = solved(body)
        if found is None:
            continue
        between = found["between_dives"]
        parts = [dive["total"]["cost_s"] for dive in found["dives"]]
        assert found["total"]["cost_s"] == sum(parts) + between["cost_s"]
        assert between["cost_s"] == expected_between(body, found), seed
        riding = {boat["id"]: set(boat["divers"]) for boat in found["boats"]}
        assert sum(map(len, riding.values())) == len(set().union(*riding.values()))
        assert all(boat["seats_left"] >= 0 or not boat["divers"] for boat in found["boats"]) or any(
            warning["code"] == "boat_over" for warning in found["warnings"]
        )
        for dive, question in zip(found["dives"], body["dives"], strict=True):
            ids = [name for team in dive["teams"] for name in team["divers"]]
            assert len(ids) == len(set(ids))
            placed += len(ids)
            for wave in dive["waves"]:
                assert sorted(wave["divers"]) == sorted(name for team in wave["teams"] for name in team)
                assert len(wave["divers"]) <= wave["room"]
                cover = {role["person"] for role in wave["surface_cover"]["roles"]}
                assert not cover.intersection(wave["divers"])
                assert wave["boat"] is None or set(wave["divers"]) <= riding[wave["boat"]]
                stated = [one for one in question.get("waves", []) if one["id"] == wave["id"]]
                needed = bool(stated or body.get("boats")) and (
                    not stated or stated[0].get("leader_needed", True)
                )
                assert not wave["divers"] or not needed or wave["lead"] in wave["divers"]
    assert placed > 200


def expected_between(body, found):
    wish = body.get("between_dives", {})
    price, partners = wish.get("cost_s", 120), wish.get("partners", "either")
    known = {one["id"] for one in body["divers"]}
    days = [
        {name: set(team["divers"]) for team in dive["teams"] for name in team["divers"]}
        for dive in found["dives"]
    ]
    # Who could dive: everybody but those whom a rule or a task at the surface keeps out.
    could = []
    for dive, day in zip(found["dives"], days, strict=True):
        out = {
            one["id"]
            for one in dive["not_placed"]
            if not {"no_place_left", "no_team_mate", "no_room"}
            & {reason["code"] for reason in one["reasons"]}
        }
        could.append((known - out) | set(day))
    if "teams_before" in wish:
        before = [set(team) & known for team in wish["teams_before"]]
        days.insert(0, {name: team for team in before for name in team})
        could.insert(0, set(days[0]))
    if partners == "keep":
        pairs = zip(zip(days, could, strict=True), zip(days[1:], could[1:], strict=True), strict=False)
        return price * sum(
            a.get(name) != b.get(name) for (a, able), (b, later) in pairs for name in able & later
        )
    if partners == "change":
        total = 0
        for at, day in enumerate(days):
            for name, team in day.items():
                met = set().union(*(past.get(name, set()) for past in days[:at]))
                total += price * len((team - {name}) & met)
        return total
    return 0


def test_the_order_of_the_divers_changes_nothing_but_the_order():
    for seed in range(40):
        body = asked(seed)
        turned = copy.deepcopy(body)
        turned["divers"].reverse()
        first, second = solved(body), solved(turned)
        if first is None:
            assert second is None
            continue
        assert first["total"] == second["total"] and first["between_dives"] == second["between_dives"]
        for a, b in zip(first["dives"], second["dives"], strict=True):
            assert [(t["divers"], t["wave"]) for t in a["teams"]] == [
                (t["divers"], t["wave"]) for t in b["teams"]
            ]


def test_a_wish_taken_back_never_makes_the_day_dearer():
    taken = 0
    for seed in range(90):
        body = asked(seed)
        if "between_dives" not in body and not any("wishes" in dive for dive in body["dives"]):
            continue
        with_wish = solved(body)
        for dive in body["dives"]:
            for wish in [one for one in dive.get("wishes", []) if not one.get("private")]:
                less = copy.deepcopy(body)
                at = body["dives"].index(dive)
                less["dives"][at]["wishes"].remove(wish)
                without = solved(less)
                if with_wish["status"] == "optimal":
                    assert worth(without) <= worth(with_wish), (seed, wish)
                    taken += 1
        if with_wish is not None and with_wish["status"] == "optimal" and "between_dives" in body:
            free = solved({name: body[name] for name in body if name != "between_dives"})
            assert worth(free) <= worth(with_wish)
    assert taken > 5


def test_a_locked_team_stays_on_its_dive():
    body = two_dives(partners="change")
    body["dives"][1]["locked"] = [["A", "C"]]
    first = solved(body)
    assert ["A", "C"] in [team["divers"] for team in first["dives"][1]["teams"]]
    assert ["A", "C"] not in [team["divers"] for team in first["dives"][0]["teams"]]


def two_dives(**between):
    body = eight()
    second = {"dive": {"depth": 12, "bottom_time_min": 20}, "surface_interval_min": 120}
    dives = [{"dive": body.pop("dive")}, second]
    return body | {"dives": dives} | ({"between_dives": between} if between else {})


def test_keeping_partners_keeps_all_it_may_and_changing_them_changes_all_it_may():
    def pairs(found, at):
        return {tuple(team["divers"]) for team in found["dives"][at]["teams"]}

    kept = solved(two_dives(partners="keep", cost_s=3600))
    changed = solved(two_dives(partners="change", cost_s=3600))
    assert kept["status"] == changed["status"] == "optimal"
    # F, too deep for the first dive, makes one pair a three on the second.
    assert all(any(set(pair) <= set(team) for team in pairs(kept, 1)) for pair in pairs(kept, 0))
    assert not pairs(changed, 0) & pairs(changed, 1)
    assert changed["between_dives"]["cost_s"] == 0
    # Nobody's place and nobody's safety is given up for it: the first dive keeps its own best.
    either = solved(two_dives())
    for one in (kept, changed):
        assert worth(one)[:3] == worth(either)[:3]


def test_the_first_dive_is_carried_into_the_second_as_an_earlier_dive():
    """Dive two by itself, with dive one stated as an earlier dive of the longest time each could have had."""
    body = two_dives()
    found = solved(body)
    alone = {one["id"]: one["own_limit_min"] for one in found["dives"][0]["divers"]}
    out = {one["id"] for one in found["dives"][0]["not_placed"]}
    second = {name: value for name, value in body.items() if name != "dives"}
    second["dive"] = body["dives"][1]["dive"]
    second["divers"] = copy.deepcopy(body["divers"])
    for one in second["divers"]:
        if one["id"] not in out:
            one["earlier_dives"] = [
                {
                    "depth": 27,
                    "bottom_time_min": alone[one["id"]],
                    "o2_fraction": 0.21,
                    "surfaced_min_before_descent": 120,
                }
            ]
    question, _ = read_question(second)
    single = solved(second)
    assert question.divers["A"].earlier[0].depth.hundredths == 2700
    assert [one["own_limit_min"] for one in single["divers"]] == [
        one["own_limit_min"] for one in found["dives"][1]["divers"]
    ]
    assert any(later["own_limit_min"] < 60 for later in found["dives"][1]["divers"] if later["id"] not in out)


def test_whoever_covers_the_first_wave_dives_in_the_second():
    """Two waves of one dive: each at the surface while the other dives, nobody left ashore."""
    body = eight()
    del body["divers"][5], body["divers"][6]
    roles = ("boat_handler", "lookout")
    waves = [
        {
            "id": "1",
            "divers": 4,
            "surface_cover": [{"role": r, "person": p} for r, p in zip(roles, "AC", strict=True)],
        },
        {
            "id": "2",
            "divers": 4,
            "surface_cover": [{"role": r, "person": p} for r, p in zip(roles, "BE", strict=True)],
        },
    ]
    found = solved(body | {"dives": [{"dive": body.pop("dive"), "waves": waves}]})
    first, second = found["dives"][0]["waves"]
    assert not {"A", "C"} & set(first["divers"]) and not {"B", "E"} & set(second["divers"])
    assert found["total"]["placed"] == 6 and found["status"] == "optimal"


def test_a_boat_too_small_says_whom_it_leaves_and_why():
    body = two_dives(partners="keep")
    body["boats"] = [{"id": "rib", "persons": 6, "aboard": ["skipper"]}]
    found = solved(body)
    assert found["boats"][0]["seats_left"] >= 0 and found["boats"][0]["others_aboard"] == 1
    left = [one for one in found["dives"][0]["not_placed"] if one["reasons"][0]["code"] == "no_room"]
    assert left and "no room" in left[0]["reasons"][0]["message"]


@pytest.mark.parametrize("seed", range(12))
def test_the_way_for_many_divers_never_claims_more_than_is_so(seed, monkeypatch):
    """The larger search on groups small enough to know the answer of."""
    body = asked(seed, 8, dives=2)
    exact = solved(body)
    monkeypatch.setattr(several_windows, "MOST_EXACT", 1)
    rough = solved(body)
    if exact is None or exact["status"] == "impossible":
        return
    assert worth(rough) >= worth(exact)
    if rough["status"] == "optimal":
        assert worth(rough) == worth(exact)
    elif rough["status"] == "feasible":
        gap = rough["gap"]
        least = (
            -rough["total"]["placed"] - gap["placed"],
            rough["total"]["overrides"] - gap["overrides"],
            rough["total"]["safety_penalty"] - gap["safety_penalty"],
            rough["total"]["cost_s"] - gap["cost_s"],
        )
        assert least <= worth(exact)


def test_more_than_twelve_are_answered_with_a_proof_or_a_gap():
    people = [
        diver(f"d{i:02}", STRONG, role="leader" if i % 2 == 0 else "diver", rmv_l_min=14 + i % 5)
        for i in range(18)
    ]
    body = two_dives(partners="change")
    found = teams(body | {"divers": people})
    assert found["status"] in ("optimal", "feasible")
    assert found["total"]["placed"] == 36
    assert ("gap" in found) == (found["status"] == "feasible")
