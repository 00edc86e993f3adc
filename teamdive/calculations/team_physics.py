"""What the physics says of every diver once, and of every team that pairing tries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from teamdive.pairing.case import Case, one_step_deeper
from teamdive.pairing.model import GasFacts, Reason, TeamGas, decimal
from teamdive.pairing.rules import refusal
from teamdive.physics.diver import Diver, DiverLimits, TeamDive, TeamSettings, diver_limits
from teamdive.physics.earlier import EarlierDive
from teamdive.physics.known import Missing
from teamdive.physics.options import buys_time
from teamdive.physics.options import solve as solve_team
from teamdive.physics.slate import ascent_s
from teamdive.physics.team import counted, team_limits

REMEDY = "larger_cylinder"


class Physics:
    """The limits of every diver once, and of every team that is tried."""

    def __init__(
        self, dive: TeamDive, divers: Mapping[str, Diver], settings: TeamSettings, case: Case
    ) -> None:
        self.dive = dive
        self.settings = settings
        self.case = case
        lifted = {
            override.diver
            for override in case.overrides
            if override.rule in ("certified_depth", "certified_depth_not_known")
            and refusal(override, case) is None
        }
        lifted |= {person.id for person in case.people.values() if one_step_deeper(person, case)}
        # Once a leader or the club has lifted the rule about certified depth it is no longer what ends the dive.
        self.divers = {
            name: replace(diver, certified_depth=dive.depth) if name in lifted else diver
            for name, diver in divers.items()
        }
        self.limits: dict[str, DiverLimits] = {
            name: diver_limits(dive, diver, settings) for name, diver in self.divers.items()
        }

    def alone(self, name: str) -> GasFacts:
        """One diver with a partner at the stressed rate: the bottom time this diver could have had."""
        own = team_limits(self.dive, [self.limits[name]], self.settings).divers[0]
        not_known, zero = [], []
        for kind in counted(self.settings):
            limit = own.limits[kind]
            if isinstance(limit, Missing):
                analysed = not isinstance(self.limits[name].mod, Missing)
                not_known.append(("oxygen_used" if kind == "oxygen" and analysed else kind, limit.what))
            elif limit.seconds == 0:
                zero.append((kind, limit.reason))
        seconds = None if isinstance(own.limit, Missing) else own.limit.seconds
        mod = self.limits[name].mod
        return GasFacts(
            seconds,
            tuple(not_known),
            tuple(zero),
            mod=None if isinstance(mod, Missing) else mod.hundredths,
            o2_e4=self.divers[name].mix.o2_e4,
        )

    def team(self, ids: tuple[str, ...]) -> TeamGas:
        return self._team_gas([self.limits[name] for name in ids])

    def again(self, ids: tuple[str, ...], twice: str, bottom_s: int) -> TeamGas:
        """What this team could have on the same dive later in the day, after `twice` has dived it once already.

        Not known where the dives before are not known.
        """
        made = self.divers[twice]
        run_s = bottom_s + ascent_s(self.dive, self.settings, bottom_s)
        later = self.case.policy.wave_interval_s
        before = made.earlier
        if before is None:
            return TeamGas(None, not_known=(f"earlier dives of diver {twice}",))
        first = EarlierDive(self.dive.depth, bottom_s, made.mix, later)
        shifted = tuple(replace(one, surfaced_s=one.surfaced_s + run_s + later) for one in before)
        limits = diver_limits(self.dive, replace(made, earlier=(*shifted, first)), self.settings)
        return self._team_gas([limits if name == twice else self.limits[name] for name in ids])

    def _team_gas(self, members: list[DiverLimits]) -> TeamGas:
        found = team_limits(self.dive, members, self.settings)
        short = []
        for own in found.divers:
            gas = own.limits["gas"]
            if not isinstance(gas, Missing) and gas.seconds == 0:
                short.append(own.id)
        behind = found.next_limit
        if isinstance(found.limit, Missing):
            return TeamGas(None, not_known=found.limit.what, short=tuple(short))
        return TeamGas(
            limit_s=found.limit.seconds,
            limited_by=found.limit.limited_by,
            limiting_diver=found.limit.diver,
            next_s=None if behind is None else behind.seconds,
            next_by=None if behind is None else behind.limited_by,
            next_diver=None if behind is None else behind.diver,
            short=tuple(short),
        )

    def remedy(self, ids: tuple[str, ...]) -> Reason | None:
        """The larger cylinder that would give this team the most time, where gas is what ends its dive."""
        divers = [self.divers[name] for name in ids]
        plan = team_limits(self.dive, [self.limits[name] for name in ids], self.settings)
        if isinstance(plan.limit, Missing) or plan.limit.limited_by != "gas":
            return None
        best_gain, text, whose = 0, "", ""
        for outcome in buys_time(self.dive, divers, self.settings, plan):
            change = outcome.change
            if change.code != REMEDY or change.diver is None or outcome.gain_s <= best_gain:
                continue
            if isinstance(outcome.limit, Missing):
                continue
            larger = next(diver for diver in change.divers if diver.id == change.diver)
            _, solved = solve_team(change.dive, change.divers, self.settings)
            gas = next(own for own in solved.divers if own.id == change.diver).limits["gas"]
            if isinstance(larger.cylinder, Missing) or isinstance(gas, Missing) or gas.seconds is None:
                continue
            size = decimal(int(larger.cylinder.volume * 100 + 0.5), 2)
            lasts = decimal(gas.seconds // 6, 1)
            best_gain, whose = outcome.gain_s, change.diver
            text = (
                f"A cylinder of {size} {change.unit} would make {whose}'s gas last {lasts} min, "
                f"the team {decimal(outcome.limit.seconds // 6, 1)} min."
            )
        return Reason("remedy", (whose,), text) if text else None
