// The evenings before a trip that bring most people nearer to the dive it is for, each one step for them.
// The twin of pairing/work_up.py.

import type { Case } from "./case.ts";
import { standing } from "./experience.ts";
import { type Demands, decimal, depthText, listed, sortedIds } from "./model.ts";
import type { Step } from "./proposal.ts";

const MOST_EVENINGS = 3;

/** A dive that is one step for each of `serves`. */
export interface Evening {
  readonly demands: Demands;
  readonly serves: readonly string[];
  readonly message: string;
}

/**
 * Up to three dives that are one step for most of those who want one; each diver once. `steps`: for each diver
 * for whom the dive aimed at is too much the dives that are one step.
 */
export function evenings(of: Case, steps: ReadonlyMap<string, readonly Step[]>): Evening[] {
  let wanting = sortedIds([...steps].filter(([, some]) => some.length > 0).map(([id]) => id));
  const byKey = new Map<string, Demands>();
  for (const { demands } of [...steps.values()].flat()) {
    if (!byKey.has(keyOf(demands))) byKey.set(keyOf(demands), demands);
  }
  const tried = [...byKey.values()];
  const found: Evening[] = [];
  while (found.length < MOST_EVENINGS && wanting.length > 0) {
    const serving = tried.map((one) => wanting.filter((id) => oneStep(id, one, of)));
    let at = 0;
    tried.forEach((one, place) => {
      const more = serving[place]!.length - serving[at]!.length;
      if (more > 0 || (more === 0 && one.depth < tried[at]!.depth)) at = place;
    });
    const serves = serving[at]!;
    if (serves.length === 0) break;
    const message = `A dive to ${demandsText(tried[at]!)} is one step for ${listed(serves)}.`;
    found.push({ demands: tried[at]!, serves, message });
    wanting = wanting.filter((id) => !serves.includes(id));
  }
  return found;
}

function keyOf(one: Demands): string {
  const task = one.task === null ? null : [one.task.kind, one.task.level];
  return JSON.stringify([one.depth, one.current, one.visibility, one.waterTemp, one.night, task, one.site]);
}

function oneStep(id: string, demands: Demands, of: Case): boolean {
  const person = of.people.get(id)!;
  return standing(person.experience, demands, of.on, of.policy, person.newEquipment.length > 0).stretches === 1;
}

/** 27 m, 0.5 kn, survey at level 3 */
export function demandsText(demands: Demands): string {
  const parts = [depthText(demands.depth, demands.unit)];
  if (demands.current !== null && demands.current !== 0) parts.push(`${decimal(demands.current, 3)} kn`);
  if (demands.visibility !== null) parts.push(`${decimal(demands.visibility, 2)} m visibility`);
  if (demands.waterTemp !== null) parts.push(`${decimal(demands.waterTemp, 1)} °C`);
  if (demands.night) parts.push("at night");
  if (demands.task !== null) parts.push(`${demands.task.kind} at level ${demands.task.level}`);
  return [...parts, ...demands.site].join(", ");
}
