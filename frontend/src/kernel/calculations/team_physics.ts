// What the physics says of every diver once, and of every team that pairing tries.
// The twin of calculations/team_physics.py.

import { type Case, oneStepDeeper } from "../pairing/case.ts";
import { type GasFacts, type Reason, type TeamGas, decimal, reasonOf } from "../pairing/model.ts";
import { refusal } from "../pairing/rules.ts";
import { type Diver, type DiverLimits, type TeamDive, type TeamSettings, diverLimits } from "../physics/diver.ts";
import { isMissing } from "../physics/known.ts";
import { buysTime, solve as solveTeam } from "../physics/options.ts";
import { floorDiv } from "../physics/rounding.ts";
import { ascentS } from "../physics/slate.ts";
import { counted, teamLimits } from "../physics/team.ts";

const REMEDY = "larger_cylinder";
const NOT_KNOWN = {
  limitS: null,
  limitedBy: null,
  limitingDiver: null,
  nextS: null,
  nextBy: null,
  nextDiver: null,
} as const;

/** The limits of every diver once, and of every team that is tried. */
export class Physics {
  readonly dive: TeamDive;
  readonly settings: TeamSettings;
  private readonly case: Case;
  private readonly divers = new Map<string, Diver>();
  private readonly limits = new Map<string, DiverLimits>();

  constructor(dive: TeamDive, divers: readonly Diver[], settings: TeamSettings, of: Case) {
    this.dive = dive;
    this.settings = settings;
    this.case = of;
    const lifted = of.overrides.filter(
      (override) =>
        (override.rule === "certified_depth" || override.rule === "certified_depth_not_known") &&
        refusal(override, of) === null,
    );
    for (const diver of divers) {
      // Once a leader or the club has lifted the rule about certified depth it is no longer what ends the dive.
      const person = of.people.get(diver.id);
      const deeper = person !== undefined && oneStepDeeper(person, of);
      const free = deeper || lifted.some((override) => override.diver === diver.id);
      const known = free ? { ...diver, certifiedDepth: dive.depth } : diver;
      this.divers.set(diver.id, known);
      this.limits.set(diver.id, diverLimits(dive, known, settings));
    }
  }

  private members(ids: readonly string[]): DiverLimits[] {
    return ids.map((id) => this.limits.get(id)!);
  }

  /** One diver with a partner at the stressed rate: the bottom time this diver could have had. */
  alone(id: string): GasFacts {
    const own = teamLimits(this.dive, this.members([id]), this.settings).divers[0]!;
    const notKnown: [string, readonly string[]][] = [];
    const zero: [string, string][] = [];
    for (const kind of counted(this.settings)) {
      const limit = own.limits[kind];
      if (isMissing(limit)) {
        const analysed = !isMissing(this.limits.get(id)!.mod);
        notKnown.push([kind === "oxygen" && analysed ? "oxygen_used" : kind, limit.what]);
      }
      else if (limit.seconds === 0) zero.push([kind, limit.reason]);
    }
    const { mod } = this.limits.get(id)!;
    return {
      ownS: isMissing(own.limit) ? null : own.limit.seconds,
      notKnown,
      zero,
      mod: isMissing(mod) ? null : mod.hundredths,
      o2E4: this.divers.get(id)!.mix.o2E4,
    };
  }

  team(ids: readonly string[]): TeamGas {
    return this.gasOf(this.members(ids));
  }

  /** What this team could have on the same dive later in the day, after `twice` has dived it once already. */
  again(ids: readonly string[], twice: string, bottomS: number): TeamGas {
    const made = this.divers.get(twice)!;
    const runS = bottomS + ascentS(this.dive, this.settings, bottomS);
    const later = this.case.policy.waveIntervalS;
    if (made.earlier === null) {
      return { ...NOT_KNOWN, notKnown: [`earlier dives of diver ${twice}`], short: [] };
    }
    const first = { depth: this.dive.depth, bottomTimeS: bottomS, mix: made.mix, surfacedS: later };
    const shifted = made.earlier.map((one) => ({ ...one, surfacedS: one.surfacedS + runS + later }));
    const limits = diverLimits(this.dive, { ...made, earlier: [...shifted, first] }, this.settings);
    return this.gasOf(ids.map((id) => (id === twice ? limits : this.limits.get(id)!)));
  }

  private gasOf(members: readonly DiverLimits[]): TeamGas {
    const found = teamLimits(this.dive, members, this.settings);
    const short: string[] = [];
    for (const own of found.divers) {
      const gas = own.limits.gas;
      if (!isMissing(gas) && gas.seconds === 0) short.push(own.id);
    }
    const behind = found.nextLimit;
    if (isMissing(found.limit)) {
      return { ...NOT_KNOWN, notKnown: found.limit.what, short };
    }
    return {
      limitS: found.limit.seconds,
      limitedBy: found.limit.limitedBy,
      limitingDiver: found.limit.diver,
      nextS: behind === null ? null : behind.seconds,
      nextBy: behind === null ? null : behind.limitedBy,
      nextDiver: behind === null ? null : behind.diver,
      notKnown: [],
      short,
    };
  }

  /** The larger cylinder that would give this team the most time, where gas is what ends its dive. */
  remedy(ids: readonly string[]): Reason | null {
    const divers = ids.map((id) => this.divers.get(id)!);
    const plan = teamLimits(this.dive, this.members(ids), this.settings);
    if (isMissing(plan.limit) || plan.limit.limitedBy !== "gas") return null;
    let bestGain = 0;
    let text = "";
    let whose = "";
    for (const outcome of buysTime(this.dive, divers, this.settings, plan)) {
      const { change } = outcome;
      if (change.code !== REMEDY || change.diver === null || outcome.gainS <= bestGain) continue;
      const larger = change.divers.find((diver) => diver.id === change.diver)!;
      const [, solved] = solveTeam(change.dive, change.divers, this.settings);
      const gas = solved.divers.find((own) => own.id === change.diver)!.limits.gas;
      if (isMissing(larger.cylinder) || isMissing(gas) || gas.seconds === null) continue;
      const size = decimal(Math.floor(larger.cylinder.volume * 100 + 0.5), 2);
      const lasts = decimal(floorDiv(gas.seconds, 6), 1);
      bestGain = outcome.gainS;
      whose = change.diver;
      text =
        `A cylinder of ${size} ${change.unit} would make ${whose}'s gas last ${lasts} min, ` +
        `the team ${decimal(floorDiv(outcome.limit.seconds, 6), 1)} min.`;
    }
    return text === "" ? null : reasonOf("remedy", [whose], text);
  }
}
