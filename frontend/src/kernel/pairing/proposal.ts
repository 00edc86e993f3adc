// The next single step of a diver for whom a dive takes more than one. The twin of pairing/proposal.py.

import type { Case } from "./case.ts";
import { BAND_EDGES, QUARTERS, bandEdge, nearestFirst, recordOf, visibilityClass } from "./experience.ts";
import { type Demands, type Dimension, type Done, EQUIPMENT, LAY_OFF, type Person, type Policy } from "./model.ts";
import { type Task, decimal, depthText, listed } from "./model.ts";
import { nameOf } from "./rules_experience.ts";

/** A dive that stretches the diver in `stretch` alone. `relaxed`: the dimensions where `demands` asks less. */
export interface Step {
  readonly stretch: Dimension;
  readonly demands: Demands;
  readonly relaxed: readonly Dimension[];
}

/** The dives of the day, each one stretch away; none where one or no stretch is asked already. */
export function nextSteps(person: Person, of: Case): Step[] {
  const now = of.standings.get(person.id)!;
  if (!now.logKnown || now.stretches < 2) return [];
  const own: Dimension[] = now.dimensions.filter((name) => name === LAY_OFF || name === EQUIPMENT);
  const struck = now.dimensions.filter((name) => !own.includes(name));
  const base = baseOf(person, of, struck);
  if (own.length > 1) return [];
  if (own.length > 0 || base.length === 0) {
    return [{ stretch: own[0] ?? "depth", demands: easy(of.demands, base, struck, of.policy), relaxed: struck }];
  }
  return struck.map((kept) => {
    const others = struck.filter((name) => name !== kept);
    const asked = easy(of.demands, base, others, of.policy);
    return kept === "depth" ? oneBand(asked, base, others) : { stretch: kept, demands: asked, relaxed: others };
  });
}

/** The past dives nearest to this one that cover what is not struck and weigh one together; [] if none do. */
function baseOf(person: Person, of: Case, struck: readonly Dimension[]): Done[] {
  const kept: Done[] = [];
  let total = 0;
  for (const one of nearestFirst(recordOf(person.experience, of.demands, of.on, of.policy))) {
    if (one.weight === 0 || !one.lacking.every((name) => struck.includes(name))) continue;
    kept.push(one.done);
    total += one.weight;
    if (total >= QUARTERS * of.policy.coveredWeight) return kept;
  }
  return [];
}

/** The demands with those relaxed that past dives do not cover; with none, the shallowest dive there is. */
function easy(demands: Demands, base: readonly Done[], relaxed: readonly Dimension[], policy: Policy): Demands {
  let { depth, current, visibility, waterTemp, task, site } = demands;
  const { unit } = demands;
  const some = base.length > 0;
  if (relaxed.includes("depth")) {
    const edge = some ? Math.min(...base.map((done) => bandEdge(done.depth, unit))) : BAND_EDGES[unit][0]!;
    depth = Math.min(depth, edge);
  }
  if (relaxed.includes("current")) {
    const had = Math.min(...base.map((done) => done.current ?? 0));
    current = some ? Math.min(current ?? 0, had + policy.currentTolerance) : null;
  }
  if (relaxed.includes("visibility")) {
    const edges = policy.visibilityEdges;
    const seen = base.map((done) =>
      done.visibility === null ? edges.length : visibilityClass(done.visibility, edges),
    );
    const least = (some ? Math.max(...seen) : edges.length) - policy.visibilityTolerance;
    visibility = least > 0 && least <= edges.length ? edges[least - 1]! : null;
  }
  if (relaxed.includes("cold")) {
    const known = base.flatMap((done) => (done.waterTemp === null ? [] : [done.waterTemp]));
    const whole = some && known.length === base.length;
    waterTemp = whole ? Math.max(...known) - policy.waterTempTolerance : null;
  }
  if (relaxed.includes("task")) task = commonTask(demands, base);
  if (relaxed.includes("site")) site = site.filter((kind) => some && base.every((done) => done.site.includes(kind)));
  const night = demands.night && !relaxed.includes("night");
  return { unit, depth, current, visibility, waterTemp, night, task, site };
}

/** The task at the level that all of these dives held, if they did. */
function commonTask(demands: Demands, base: readonly Done[]): Task | null {
  const wanted = demands.task;
  if (wanted === null || base.length === 0) return null;
  const levels = base.map((done) => (done.task !== null && done.task.kind === wanted.kind ? done.task.level : 0));
  const least = Math.min(...levels);
  return least === 0 ? null : { kind: wanted.kind, level: Math.min(least, wanted.level) };
}

/** The step in depth goes to the end of the next band and no further. */
function oneBand(asked: Demands, base: readonly Done[], relaxed: readonly Dimension[]): Step {
  const reached = Math.min(...base.map((done) => bandEdge(done.depth, asked.unit)));
  const following = BAND_EDGES[asked.unit].find((edge) => edge > reached) ?? asked.depth;
  if (asked.depth <= following) return { stretch: "depth", demands: asked, relaxed };
  return { stretch: "depth", demands: { ...asked, depth: following }, relaxed: ["depth", ...relaxed] };
}

/** deeper, to 27 m, in no more than 0.35 kn and without the task */
export function stepText(step: Step, of: Case): string {
  const limits = step.relaxed.filter((name) => name !== "depth").map((name) => relaxedText(name, step.demands));
  const depth = depthText(step.demands.depth, of.demands.unit);
  const { stretch } = step;
  let text: string;
  if (stretch === "depth") text = `deeper, to ${depth}`;
  else if (stretch === LAY_OFF) text = `a first dive back, not deeper than ${depth}`;
  else if (stretch === EQUIPMENT) text = `a first dive in new equipment, not deeper than ${depth}`;
  else text = `${nameOf(stretch)} as planned${step.relaxed.includes("depth") ? `, not deeper than ${depth}` : ""}`;
  return limits.length > 0 ? `${text}, ${listed(limits)}` : text;
}

function relaxedText(name: Dimension, asked: Demands): string {
  if (name === "current") {
    return asked.current === null ? "without current" : `in no more than ${decimal(asked.current, 3)} kn`;
  }
  if (name === "visibility") {
    const seen = asked.visibility;
    return seen === null ? "in clear water" : `in ${decimal(seen, 2)} m of visibility or more`;
  }
  if (name === "cold") {
    const warm = asked.waterTemp;
    return warm === null ? "in warm water" : `in ${decimal(warm, 1)} °C or warmer`;
  }
  if (name === "night") return "by day";
  if (name === "task") return asked.task === null ? "without the task" : `with the task at level ${asked.task.level}`;
  return "at a kind of site known to them";
}

/** One sentence for the leader. */
export function proposalText(id: string, steps: readonly Step[], of: Case): string {
  if (steps.length === 1) return `Next for ${id}: ${stepText(steps[0]!, of)}.`;
  return `Next for ${id}, one of these and not together: ${steps.map((step) => stepText(step, of)).join("; or ")}.`;
}
