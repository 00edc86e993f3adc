// Why one diver has no place: facts of which none can be spared, in words a leader can act on.
// The twin of pairing/unplaced.py.

import type { Case } from "./case.ts";
import type { Candidate } from "./cost.ts";
import { outOfWater } from "./facts.ts";
import { type Reason, type Regime, combinations, depthText, listed, reasonOf, sortedIds } from "./model.ts";
import type { Group, Team } from "./group.ts";
import { best } from "./optimise.ts";
import type { Pricing } from "./pricing.ts";
import { standingReasons } from "./rules.ts";
import { teamGas, together } from "./rules_team.ts";

// Searches for one diver; past them the facts still leave the diver out, but one might be spared.
const MOST_SEARCHES = 120;

// A rule that bars a team because of what holds for each of these divers: the fact about one of them.
const OF_EACH: Readonly<Record<string, readonly [string, (id: string, depth: string) => string]>> = {
  no_leader: ["not_a_leader", (id, depth) => `${id} does not lead to ${depth}.`],
  nobody_practised: [
    "not_practised",
    (id) => `${id} has not done all of this at once often and lately enough to lead.`,
  ],
  two_stretched: [
    "takes_a_step",
    (id) => `${id} takes a step on this dive, and so wants somebody beside them who does not.`,
  ],
};
// Let go in this order: what stays to the end is most likely to be among the facts.
const ORDER = ["others_barred", "threes", "takes_a_step", "not_practised", "not_a_leader", "keeps_place"];
const WANTED: readonly (readonly [string, (depth: string) => string])[] = [
  ["not_a_leader", (depth) => `who leads to ${depth}`],
  ["not_practised", () => "who has done all of this often and lately enough"],
  ["takes_a_step", () => "for whom nothing of this dive is new"],
];

/** `facts` leave the diver out; `irreducible`: none can be spared. `message` says them aloud. */
export interface Unplaced {
  readonly facts: readonly Reason[];
  readonly irreducible: boolean;
  readonly message: string;
}

/** A team by its places in the list of divers, and the sets of facts of which any one bars it. */
interface Barrable {
  readonly members: readonly number[];
  readonly bars: readonly (readonly number[])[];
}

/** Every fact of a day, and for each diver without a place those that leave them out. */
export class Facts {
  private readonly pricing: Pricing;
  private readonly teams: readonly Candidate[];
  private readonly of: Case;
  private readonly names: readonly string[];
  private readonly facts: Reason[] = [];
  private readonly number = new Map<string, number>();
  private readonly others: number;
  private readonly never: number;
  private readonly keeps = new Map<number, number>();
  private readonly made = new Map<string, readonly Barrable[]>();

  constructor(pricing: Pricing, teams: readonly Candidate[]) {
    this.pricing = pricing;
    this.teams = teams;
    this.of = pricing.case;
    // A guided group stays as it is.
    const guided = this.of.guided.flat();
    const names = [...this.of.people.keys()].filter((id) => !pricing.out.includes(id) && !guided.includes(id));
    this.names = sortedIds(names);
    const barred = this.names.filter((id) => pricing.barred.get(id)!.length > 0);
    // One fact for all of them: each has their own reasons beside their own name.
    this.others = this.fact(reasonOf("others_barred", barred, `${listed(barred)} cannot dive as things are.`));
    this.never = this.fact(reasonOf("threes", [], "No team of three: the club's setting."));
    for (const id of teams.flatMap((team) => team.divers).filter((one) => this.names.includes(one))) {
      const keeps = reasonOf("keeps_place", [id], `${id} has a place and keeps it.`);
      this.keeps.set(this.fact(keeps), this.names.indexOf(id));
    }
  }

  private fact(reason: Reason): number {
    const key = JSON.stringify(reason);
    let at = this.number.get(key);
    if (at === undefined) {
      at = this.facts.length;
      this.number.set(key, at);
      this.facts.push(reason);
    }
    return at;
  }

  /** Teams of that size among those who may dive, or among everyone. */
  private barrable(size: number, everyone: boolean): readonly Barrable[] {
    const key = `${size} ${everyone}`;
    let made = this.made.get(key);
    if (made === undefined) {
      const among = this.names.filter((id) => everyone || this.pricing.able.includes(id));
      made = combinations(among, size).map((ids) => this.bars(ids));
      this.made.set(key, made);
    }
    return made;
  }

  private bars(ids: readonly string[]): Barrable {
    // That threes are the club's setting is one fact for all of them.
    const rules = together(this.pricing.members(ids), this.of).filter((one) => one.code !== "threes");
    const reasons = standingReasons([...rules, ...teamGas(this.pricing.gasOf(ids))], this.of);
    const bars = reasons.map((reason) => this.atoms(reason).map((atom) => this.fact(atom)));
    return { members: ids.map((id) => this.names.indexOf(id)), bars };
  }

  private atoms(reason: Reason): Reason[] {
    const each = OF_EACH[reason.code];
    if (each === undefined) return [reason];
    const depth = depthText(this.of.demands.depth, this.of.demands.unit);
    return reason.divers.map((id) => reasonOf(each[0], [id], each[1](id, depth)));
  }

  /** Whether with these facts alone the diver and everyone who keeps a place can be placed. */
  private hasPlace(id: string, held: ReadonlySet<number>): boolean {
    const must = new Set([this.names.indexOf(id)]);
    for (const [fact, at] of this.keeps) if (held.has(fact)) must.add(at);
    const size = this.names.length;
    const everyone = !held.has(this.others);
    const group: Group = {
      size,
      must: this.names.map((_, at) => must.has(at)),
      moved: this.names.map(() => 0),
    };
    let regime: Regime = this.of.policy.threes;
    if (regime === "never" && !held.has(this.never)) regime = "only_when_odd";
    const allowed = (count: number): Team[] =>
      this.barrable(count, everyone)
        .filter((one) => !one.bars.some((bar) => bar.every((fact) => held.has(fact))))
        .map((one) => ({ members: one.members, overrides: 0, safety: 0, seconds: 0, changes: 0 }));
    return best(group, allowed(2), () => allowed(3), regime) !== null;
  }

  /** Why this diver has no place; null where another day would have given one. */
  why(id: string): Unplaced | null {
    if (this.pricing.out.includes(id)) {
      const out = outOfWater(id, this.of);
      return { facts: [out], irreducible: true, message: out.message };
    }
    const own = this.pricing.barred.get(id)!;
    if (own.length > 0) return { facts: [own[0]!], irreducible: true, message: own[0]!.message };
    if (!this.names.includes(id)) return null;
    for (const size of [2, 3]) this.barrable(size, false);
    if (this.facts[this.others]!.divers.length > 0) for (const size of [2, 3]) this.barrable(size, true);
    const rank = (at: number): number => ORDER.indexOf(this.facts[at]!.code);
    const order = this.facts.map((_, at) => at).sort((a, b) => rank(a) - rank(b) || a - b);
    let held = new Set(order);
    let parts = [order];
    let searches = 1;
    if (this.hasPlace(id, held)) return null;
    while (parts.length > 0 && searches < MOST_SEARCHES) {
      const part = parts[0]!;
      parts = parts.slice(1);
      searches++;
      const fewer = new Set([...held].filter((fact) => !part.includes(fact)));
      if (!this.hasPlace(id, fewer)) held = fewer;
      else if (part.length > 1) {
        const half = Math.floor(part.length / 2);
        parts = [part.slice(0, half), part.slice(half), ...parts];
      }
    }
    const facts = order.filter((at) => held.has(at)).map((at) => this.facts[at]!);
    return { facts, irreducible: parts.length === 0, message: this.said(id, facts) };
  }

  /** What is wanted and who has it, then what else stands in the way. */
  private said(id: string, facts: readonly Reason[]): string {
    const depth = depthText(this.of.demands.depth, this.of.demands.unit);
    const wanted = WANTED.find(([code]) => facts.some((fact) => fact.code === code));
    const placed = facts.filter((fact) => fact.code === "keeps_place").map((fact) => fact.divers[0]!);
    const parts: string[] = [];
    if (wanted === undefined) {
      if (placed.length > 0) parts.push(`Everyone ${id} could dive with has a place.`);
    } else {
      const also = facts.filter((fact) => fact.code === wanted[0]).map((fact) => fact.divers[0]!);
      const where = this.teams
        .filter((team) => team.divers.some((one) => also.includes(one) && placed.includes(one)))
        .map((team) => `${listed(team.divers)} dive together`);
      const taken = where.length > 0 ? `: ${where.join("; ")}` : "";
      parts.push(`No one ${wanted[1](depth)} is left for ${id}${taken}.`);
    }
    const told = ORDER.slice(2);
    for (const fact of facts) if (!told.includes(fact.code)) parts.push(fact.message);
    return parts.join(" ") || `There is nobody for ${id} to dive with.`;
  }
}
