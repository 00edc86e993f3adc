"""Pairing above the size of the exact search that both languages share: an integer program for HiGHS.

Set partition: one column a permitted team or a diver left out, one row a diver. The tiers of
`pairing.optimise` are solved one after the other, each held at its least before the next; HiGHS runs on one
thread with a fixed seed and no gap allowed, and what it picks is added up again here in integers. Equal days
are told apart only as far as a run repeats itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import highspy
import numpy as np

from teamdive.pairing.optimise import TIERS, Answer, Group, Team

SECONDS = 20.0


def solve(
    group: Group,
    pairs: Sequence[Team],
    threes: Callable[[], Sequence[Team]],
    regime: str,
    seconds: float = SECONDS,
) -> Answer | None:
    """The best teams by integer programming, or None when somebody who must be placed cannot be.

    `threes` and `regime` as for `pairing.optimise.best`. After `seconds` for one set of columns the best day
    found comes back with its gap.
    """
    found = _solve(group, pairs, (), seconds) if regime != "free" else None
    if found is None or (regime == "only_when_odd" and found.not_placed):
        found = _solve(group, pairs, threes(), seconds, at_most_one=regime == "only_when_odd")
    return None if any(group.must[diver] for diver in found.not_placed) else found


def _solve(
    group: Group, pairs: Sequence[Team], threes: Sequence[Team], seconds: float, at_most_one: bool = False
) -> Answer:
    teams = [*pairs, *threes]
    costs = _costs(group, teams)
    highs = _model(group, teams, at_most_one)
    columns = np.arange(len(teams) + group.size, dtype=np.int32)
    chosen: list[Team] = []
    at_least: list[int] = []
    proven = True
    for tier in range(TIERS):
        cost = costs[tier]
        if not np.any(cost):
            at_least.append(0)
            continue
        highs.changeColsCost(len(columns), columns, cost)
        highs.setOptionValue("time_limit", seconds)
        highs.run()
        info, status = highs.getInfo(), highs.getModelStatus()
        values = highs.getSolution().col_value
        if info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible:
            chosen = [team for team, value in zip(teams, values, strict=False) if value > 0.5]
        if status != highspy.HighsModelStatus.kOptimal:
            proven = False
            bound = info.mip_dual_bound
            at_least.append(max(0, math.ceil(bound - 1e-6)) if math.isfinite(bound) else 0)
            at_least += [0] * (TIERS - len(at_least))
            break
        # The optimum in integers, from what was picked; the solver's floats decide nothing.
        reached = _tiers(group, chosen)[tier]
        at_least.append(reached)
        used = np.flatnonzero(cost).astype(np.int32)
        highs.addRow(0, reached, len(used), used, cost[used])
    total = _tiers(group, chosen)
    placed = {diver for team in chosen for diver in team.members}
    return Answer(
        teams=tuple(sorted(chosen, key=lambda team: team.members)),
        not_placed=tuple(diver for diver in range(group.size) if diver not in placed),
        proven=proven,
        at_least=total if proven else tuple(at_least),
    )


def _costs(group: Group, teams: Sequence[Team]) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Tier by column: teams first, then each diver left out (a diver who must be placed costs more than all)."""
    rows = [(0, team.overrides, team.safety, team.seconds, team.changes) for team in teams]
    rows += [
        (group.size + 1 if must else 1, 0, 0, 0, moved)
        for must, moved in zip(group.must, group.moved, strict=True)
    ]
    return np.array(rows, dtype=np.float64).reshape(-1, TIERS).T.copy()


def _tiers(group: Group, teams: Sequence[Team]) -> tuple[int, ...]:
    placed = {diver for team in teams for diver in team.members}
    out = [diver for diver in range(group.size) if diver not in placed]
    return (
        sum(group.size + 1 if group.must[diver] else 1 for diver in out),
        sum(team.overrides for team in teams),
        sum(team.safety for team in teams),
        sum(team.seconds for team in teams),
        sum(team.changes for team in teams) + sum(group.moved[diver] for diver in out),
    )


def _model(group: Group, teams: Sequence[Team], at_most_one: bool) -> Any:
    members = [list(team.members) for team in teams] + [[diver] for diver in range(group.size)]
    limit = group.size
    index = [row for rows in members for row in ([*rows, limit] if at_most_one and len(rows) > 2 else rows)]
    starts = [0]
    for rows in members:
        starts.append(starts[-1] + len(rows) + (1 if at_most_one and len(rows) > 2 else 0))
    lp = highspy.HighsLp()
    lp.num_col_ = len(members)
    lp.num_row_ = group.size + (1 if at_most_one else 0)
    lp.col_cost_ = np.zeros(len(members))
    lp.col_lower_ = np.zeros(len(members))
    lp.col_upper_ = np.ones(len(members))
    extra_low, extra_high = ([0.0], [1.0]) if at_most_one else ([], [])
    lp.row_lower_ = np.array([1.0] * group.size + extra_low)
    lp.row_upper_ = np.array([1.0] * group.size + extra_high)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = np.array(starts, dtype=np.int32)
    lp.a_matrix_.index_ = np.array(index, dtype=np.int32)
    lp.a_matrix_.value_ = np.ones(len(index))
    lp.integrality_ = [highspy.HighsVarType.kInteger] * len(members)
    # The class below highspy.Highs: that one prints a banner on standard output before it can be silenced,
    # and standard output is where the answer goes.
    highs: Any = highspy.Highs.__mro__[1]()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("random_seed", 1)
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", 0.0)
    highs.passModel(lp)
    return highs
