// Parts of the answer about teams: the next step of a diver, threes, cover at the surface, guided groups.
// The twin of calculations/teams_parts.py.

import type { Case } from "../pairing/case.ts";
import type { Candidate } from "../pairing/cost.ts";
import { COVER_NAMES, coverLacking } from "../pairing/cover.ts";
import type { Day } from "../pairing/explain.ts";
import { guidedOffers } from "../pairing/guided.ts";
import { COVER_ROLES, type Demands, type Person, listed, sameIds } from "../pairing/model.ts";
import type { Pricing } from "../pairing/pricing.ts";
import { type Step, nextSteps, proposalText, stepText } from "../pairing/proposal.ts";
import { type Instead, type Split, instead, ring, split } from "../pairing/threes.ts";
import { floorDiv, tenthsOfMinutesDown } from "../physics/rounding.ts";
import type { Asked } from "./asked_reading.ts";
import type { Json } from "./body.ts";
import type { Physics } from "./team_physics.ts";

/** The dives of the day that are one step away, where this one is more; null where it is not. */
export function proposalJson(person: Person, of: Case): Json {
  const steps = nextSteps(person, of);
  if (steps.length === 0) return null;
  return { steps: steps.map((step) => stepJson(step, of)), message: proposalText(person.id, steps, of) };
}

function stepJson(step: Step, of: Case): Json {
  return {
    stretch: step.stretch,
    relax: [...step.relaxed],
    demands: demandsJson(step.demands),
    message: stepText(step, of),
  };
}

export function demandsJson(asked: Demands): Json {
  const scaled = (value: number | null, scale: number): number | null => (value === null ? null : value / scale);
  return {
    depth: asked.depth / 100,
    current_kn: scaled(asked.current, 1000),
    visibility_m: scaled(asked.visibility, 100),
    water_temp_c: scaled(asked.waterTemp, 10),
    night: asked.night,
    task: asked.task === null ? null : { kind: asked.task.kind, level: asked.task.level },
    site_kind: [...asked.site],
  };
}

/** pair, three or guided. */
export function kindOf(team: Candidate, of: Case): "pair" | "three" | "guided" {
  if (of.guided.some((ids) => sameIds(ids, team.divers))) return "guided";
  return team.divers.length === 3 ? "three" : "pair";
}

/** Who watches whom and what happens if one ends the dive; nothing for a pair or a guided group. */
export function threeJson(team: Candidate, pricing: Pricing): Record<string, Json> {
  if (kindOf(team, pricing.case) !== "three") return {};
  return {
    ring: ring(team, pricing.case).map(([diver, watches]) => ({ diver, watches })),
    split: split(team, pricing).map(splitJson),
  };
}

function splitJson(one: Split): Json {
  return {
    ends: one.ends,
    go_on: one.goOn === null ? null : [...one.goOn],
    until_min: one.untilS === null ? null : floorDiv(one.untilS, 60),
    up_with: [...one.upWith],
    pair_limit_min: one.pairS === null ? null : floorDiv(one.pairS, 60),
    message: one.message,
  };
}

/** For each team of three what could be done instead of it, to be offered before it. */
export function insteadJson(day: Day, pricing: Pricing, physics: Physics): Json {
  return day.teams
    .filter((team) => kindOf(team, pricing.case) === "three")
    .map((team) => ({
      team: [...team.divers],
      offers: instead(team, pricing, (ids, twice, bottomS) => physics.again(ids, twice, bottomS)).map(offerJson),
    }));
}

function offerJson(one: Instead): Json {
  const limit = one.first.gas.limitS;
  return {
    kind: one.kind,
    deck: one.odd,
    first: [...one.first.divers],
    first_limit_min: limit === null ? null : tenthsOfMinutesDown(limit),
    second: one.second === null ? null : [...one.second],
    twice: one.twice,
    second_limit_min: one.secondS === null ? null : tenthsOfMinutesDown(one.secondS),
    message: one.message,
  };
}

/** Guided groups that would give supervised divers without a team a place. */
export function guidedJson(day: Day, pricing: Pricing): Json {
  const left = day.notPlaced.map((one) => one.id);
  return guidedOffers(day.teams, left, pricing).map(([group, joined]) => ({
    divers: [...group.divers],
    lead: group.lead,
    joins: [...joined],
    limit_min: tenthsOfMinutesDown(group.gas.limitS ?? 0),
    message:
      `${group.lead} could take ${listed(joined)} along as a guided group of ` +
      `${group.divers.length}: ${floorDiv(group.gas.limitS ?? 0, 60)} min.`,
  }));
}

/** Who has which role at the surface, and which nobody has. */
export function coverJson(of: Case): Json {
  const lacking = coverLacking(of);
  return {
    roles: of.cover.map(([role, person]) => ({ role, person })),
    missing: COVER_ROLES.filter((role) => lacking.includes(COVER_NAMES[role])),
  };
}

/** A role without a holder is said where the club wants it said, or where somebody has begun to name them. */
export function coverWarnings(of: Case, asked: Asked): { code: string; pointer: string; message: string }[] {
  const lacking = coverLacking(of);
  const { surfaceCover } = of.policy;
  const wanted = surfaceCover === "warn" || (surfaceCover === "shown" && asked.coverGiven);
  if (lacking.length === 0 || !wanted) return [];
  const message = `Name who stays out of the water before anyone dives: missing ${lacking.join(", ")}.`;
  return [{ code: "surface_cover_missing", pointer: "/surface_cover", message }];
}
