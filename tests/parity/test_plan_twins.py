"""Random plans answered by Python and by the TypeScript twin: the same answer, to the bit.

500 plans with a fixed seed; with TEAMDIVE_LONG 5,000 with a fresh one, printed.
"""

from tests.parity import twins
from tests.parity.plan_random import random_body, random_gas_body
from tests.parity.plan_state_bodies import with_states
from tests.parity.vectors_plan import outcome


def test_random_plans_are_answered_alike(tmp_path):
    seed, long = twins.seeded(43)
    made = twins.answered("plan", seed, 5000 if long else 500, random_body, outcome)
    assert {next(iter(case["out"])) for case in made} == {"answer", "problem"}
    twins.assert_alike("plan", made, tmp_path)


def test_plans_from_a_state_are_answered_alike(tmp_path):
    seed, long = twins.seeded(47)
    made = twins.answered(
        "plan", seed, 2000 if long else 200, lambda rng: with_states(random_body(rng), rng), outcome
    )
    assert {next(iter(case["out"])) for case in made} == {"answer", "problem"}
    twins.assert_alike("plan", made, tmp_path)


def test_random_gas_is_answered_alike(tmp_path):
    seed, long = twins.seeded(44)
    made = twins.answered("plan", seed, 5000 if long else 300, random_gas_body, outcome)
    assert {next(iter(case["out"])) for case in made} == {"answer", "problem"}
    twins.assert_alike("plan", made, tmp_path)
