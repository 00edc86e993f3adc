// A question about teams once it is read, and the same question with one thing changed.
// The twin of calculations/question.py.

import type { Case } from "../pairing/case.ts";
import { standing } from "../pairing/experience.ts";
import type { Demands, GasFacts, Override, Person, Policy } from "../pairing/model.ts";
import { Pricing } from "../pairing/pricing.ts";
import type { Diver, TeamDive, TeamSettings } from "../physics/diver.ts";
import { isMissing } from "../physics/known.ts";
import { Depth } from "../physics/units.ts";
import type { Asked } from "./asked_reading.ts";
import { Physics } from "./team_physics.ts";

/**
 * One dive, its divers as physics and as pairing know them (in the order given), what is asked. `weeksBefore`:
 * what is known only on the day itself bars nobody; `candidates` wait for a place.
 */
export interface Question {
  readonly dive: TeamDive;
  readonly demands: Demands;
  readonly on: number;
  readonly policy: Policy;
  readonly settings: TeamSettings;
  readonly divers: readonly Diver[];
  readonly people: readonly Person[];
  readonly asked: Asked;
  readonly weeksBefore: boolean;
  readonly candidates: readonly (readonly [Diver, Person])[];
}

/** The physics of every diver, and every team tried as it is asked for. */
export function priced(question: Question): [Physics, Pricing] {
  const { asked, on, demands, policy, people } = question;
  const without: Case = {
    demands,
    on,
    policy,
    people: new Map(people.map((person) => [person.id, person])),
    standings: new Map(
      people.map((person) => [
        person.id,
        standing(person.experience, demands, on, policy, person.newEquipment.length > 0),
      ]),
    ),
    overrides: asked.overrides,
    wishes: asked.wishes,
    forbidden: asked.forbidden,
    locked: asked.locked,
    announced: asked.announced,
    leastChange: asked.leastChange,
    guided: asked.guided,
    cover: asked.cover,
  };
  const physics = new Physics(question.dive, question.divers, question.settings, without);
  const gasOf = (id: string): GasFacts => {
    const gas = physics.alone(id);
    return question.weeksBefore ? { ...gas, notKnown: [] } : gas;
  };
  const of: Case = {
    ...without,
    people: new Map(people.map((person) => [person.id, { ...person, gas: gasOf(person.id) }])),
  };
  const ashore = new Set([...asked.outOfWater, ...asked.cover.map(([, person]) => person)]);
  const out = [...ashore].filter((id) => of.people.has(id));
  return [physics, new Pricing(of, (team) => physics.team(team), out)];
}

/** The same dive to another depth, in hundredths of its unit. */
export function atDepth(question: Question, hundredths: number): Question {
  const depth = new Depth(hundredths, question.dive.depth.unit);
  return {
    ...question,
    dive: { ...question.dive, depth },
    demands: { ...question.demands, depth: hundredths },
  };
}

/** One more diver. */
export function withDiver(question: Question, diver: Diver, person: Person): Question {
  return { ...question, divers: [...question.divers, diver], people: [...question.people, person] };
}

/** One more rule set aside. */
export function withOverride(question: Question, override: Override): Question {
  return { ...question, asked: { ...question.asked, overrides: [...question.asked.overrides, override] } };
}

/** A diver with a cylinder of another size at the same pressures; as it was where none is known. */
export function withCylinder(question: Question, id: string, volume: number): Question {
  const divers = question.divers.map((diver) =>
    diver.id !== id || isMissing(diver.cylinder) ? diver : { ...diver, cylinder: { ...diver.cylinder, volume } },
  );
  return { ...question, divers };
}
