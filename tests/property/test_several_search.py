"""Dives of one day solved together, against every such day tried one by one.

The brute force (tests/several_groups.py) shares nothing with the search but the shape of the question: it lists all
ways to fill each dive, combines them, and counts the cost diver by diver.
"""

import math
import os
from itertools import count
from random import Random

from teamdive.pairing.several_walk import best_plan
from tests.several_groups import cost_of, days_of, every_day, order_of, random_several

LONG = bool(os.environ.get("TEAMDIVE_LONG"))


def test_no_day_is_better_than_the_one_found_and_none_as_good_comes_before_it():
    tried = 0
    for seed in count(1):
        random = Random(seed)
        size = random.choice([3, 4, 5, 5, 6])
        question = random_several(random, size, random.choice([2, 2, 3]) if size < 5 else 2, density=0.7)
        if math.prod(len(list(days_of(dive, size))) for dive in question.dives) > 60_000:
            continue
        walked, least = best_plan(question)
        cost, plan = every_day(question)
        assert walked.ended and walked.plan is not None
        assert (walked.cost, least, cost_of(question, walked.plan)) == (cost, cost, cost), seed
        assert order_of(question, walked.plan) == order_of(question, plan), seed
        tried += 1
        if tried == (2000 if LONG else 150):
            return


def test_stopped_early_it_still_gives_a_day_and_a_bound_below_the_best():
    for seed in range(60):
        question = random_several(Random(seed), 6, 2, density=0.9)
        best, _ = best_plan(question)
        short, least = best_plan(question, None, 15)
        assert least <= best.cost <= short.cost
        assert short.plan is None or cost_of(question, short.plan) == short.cost
