// Every team of a dive tried once: the rules that bar it, or its price. The twin of pairing/pricing.py.

import type { Case } from "./case.ts";
import { type Candidate, price } from "./cost.ts";
import { type Person, type Reason, type TeamGas, combinations, sortedIds } from "./model.ts";
import { standingReasons } from "./rules.ts";
import { personal } from "./rules_diver.ts";
import { teamGas, together } from "./rules_team.ts";

export type GasOf = (ids: readonly string[]) => TeamGas;

export type Tried = { readonly candidate: Candidate } | { readonly barring: readonly Reason[] };

/** Every team tried once: its standing reasons, or its price. */
export class Pricing {
  readonly case: Case;
  readonly gasOf: GasOf;
  readonly out: readonly string[];
  readonly barred = new Map<string, readonly Reason[]>();
  readonly able: readonly string[];
  private readonly kept: Map<string, Tried>;

  /** `like` has the same rules and prices for every team: other announced teams, more divers out. */
  constructor(of: Case, gasOf: GasOf, out: readonly string[], like: Pricing | null = null) {
    this.kept = like === null ? new Map() : like.kept;
    this.case = of;
    this.gasOf = gasOf;
    this.out = out;
    for (const [id, person] of of.people) {
      if (!out.includes(id)) this.barred.set(id, standingReasons(personal(person, of), of));
    }
    this.able = sortedIds([...this.barred].filter(([, reasons]) => reasons.length === 0).map(([id]) => id));
  }

  members(ids: readonly string[]): Person[] {
    return sortedIds(ids).map((id) => this.case.people.get(id)!);
  }

  /** The priced team, or the reasons that no override lifts (of the team; not of its divers). */
  tryTeam(ids: readonly string[]): Tried {
    const key = sortedIds(ids);
    const name = JSON.stringify(key);
    let tried = this.kept.get(name);
    if (tried === undefined) {
      tried = this.tryNew(key);
      this.kept.set(name, tried);
    }
    return tried;
  }

  private tryNew(key: readonly string[]): Tried {
    const team = this.members(key);
    const reasons = standingReasons(together(team, this.case), this.case);
    if (reasons.length > 0) return { barring: reasons };
    const gas = this.gasOf(key);
    const short = standingReasons(teamGas(gas), this.case);
    return short.length > 0 ? { barring: short } : { candidate: price(team, gas, this.case) };
  }

  /** Priced teams of that size, in the order of ids. */
  permitted(among: readonly string[], size: number): Candidate[] {
    const found: Candidate[] = [];
    for (const ids of combinations(among, size)) {
      const tried = this.tryTeam(ids);
      if ("candidate" in tried) found.push(tried.candidate);
    }
    return found;
  }
}
