"""Random groups answered by Python and by the TypeScript twin: the same teams and reasons, not only totals.

200 groups of up to 12 with a fixed seed; with TEAMDIVE_LONG 2,000 with a fresh one, printed.
"""

from itertools import count

from tests.parity import gas_bodies, twins
from tests.parity.team_bodies import answer, group


def test_random_groups_are_answered_alike(tmp_path):
    seed, long = twins.seeded(12)
    numbers = count()

    def ask(random):
        # A few large ones: their ties and odd numbers are where two searches would part.
        n = next(numbers)
        asked = group(random, 30 if n % 20 == 0 else 12, rare=n % 2 == 1)
        if len(asked["divers"]) > 14 and asked.get("policy", {}).get("threes") == "free":
            asked["policy"]["threes"] = "only_when_odd"
        return asked

    made = twins.answered("teams", seed, 2000 if long else 200, ask, answer)
    statuses = {case["out"]["answer"]["status"] for case in made if "answer" in case["out"]}
    assert statuses == {"optimal", "impossible"}
    twins.assert_alike("teams", made, tmp_path)


def test_random_gas_of_a_group_is_answered_alike(tmp_path):
    seed, long = twins.seeded(13)

    def ask(random):
        asked = group(random, 6)
        gas_bodies.spice(random, asked)
        return asked

    made = twins.answered("teams", seed, 1000 if long else 60, ask, answer)
    twins.assert_alike("teams", made, tmp_path)
