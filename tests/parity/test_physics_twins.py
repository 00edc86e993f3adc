"""Random days answered by Python and by the TypeScript twin: the same answer, to the bit.

500 days with a fixed seed; with TEAMDIVE_LONG 20,000 with a fresh one, printed.
"""

import pytest

from tests.parity import twins
from tests.parity.day_bodies import body
from tests.parity.vectors_day import answer


def test_random_days_are_answered_alike(tmp_path):
    seed, long = twins.seeded(41)
    made = twins.answered("day", seed, 20_000 if long else 500, body, answer)
    assert {next(iter(case["out"])) for case in made} == {"answer", "problem"}
    twins.assert_alike("day", made, tmp_path)


def test_a_day_that_differs_is_kept_and_becomes_a_vector(tmp_path):
    """One last bit of one answer is changed: the run fails, and the question is a case of the vectors."""
    asked = {"depth_unit": "m", "dives": [{"depth": 18, "bottom_time_min": 30, "o2_fraction": 0.21}]}
    right, wrong = answer(asked), answer(asked)
    wrong["answer"]["dives"][0]["oxygen_limit_used_percent"] += 2**-50
    cases = [{"id": "same", "in": asked, "out": right}, {"id": "other", "in": asked, "out": wrong}]
    with pytest.raises(AssertionError, match=r"day-other\.json differs"):
        twins.assert_alike("day", cases, tmp_path, tmp_path / "found")
    (case,) = twins.kept("day", answer, tmp_path / "found")
    assert (case["id"], case["in"], case["out"]) == ("day-other", asked, right)
