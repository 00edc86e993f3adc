"""Random days of one to three dives answered by Python and by the TypeScript twin alike.

120 days of up to 8 divers with a fixed seed, some larger; with TEAMDIVE_LONG 1,200 with a fresh one, printed.
"""

from itertools import count

from tests.parity import twins
from tests.parity.several_bodies import several
from tests.parity.team_bodies import answer


def test_random_days_are_answered_alike(tmp_path):
    seed, long = twins.seeded(31)
    numbers = count()

    def ask(random):
        n = next(numbers)
        return several(random, 16 if n % 20 == 0 else 8, rare=n % 2 == 1)

    made = twins.answered("teams", seed, 1200 if long else 120, ask, answer)
    answers = [case["out"]["answer"] for case in made if "answer" in case["out"]]
    assert {one["status"] for one in answers} >= {"optimal", "impossible"}
    assert any(one["between_dives"]["cost_s"] for one in answers)
    assert any(one["boats"] and one["total"]["placed"] for one in answers)
    twins.assert_alike("teams", made, tmp_path)
