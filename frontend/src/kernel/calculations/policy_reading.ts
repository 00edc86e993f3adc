// The club's policy for pairing, as the body of `teams` writes it and as the answer repeats it.
// The twin of calculations/policy_reading.py.

import { COVER_ROLES, type Policy, USUAL_POLICY } from "../pairing/model.ts";
import { OXYGEN_MARGIN } from "../pairing/rules_diver.ts";
import { floorDiv, scaledDown, scaledUp, secondsDown } from "../physics/rounding.ts";
import type { DepthUnit } from "../physics/units.ts";
import type { Fields, Json } from "./body.ts";
import { MOST_KN, MOST_VISIBILITY_M, WARMEST_C } from "./pairing_reading.ts";
import { pointer } from "./problem.ts";

const MOST_MARGIN = { m: 30.0, ft: 100.0 } as const;
const MOST_GUIDED = 8;

/** The club's numbers; what is absent keeps the default. */
export function readPolicy(fields: Fields | null, unit: DepthUnit): Policy {
  const usual = USUAL_POLICY;
  if (fields === null) return usual;
  const edges = fields.arrayOrNull("visibility_class_edges_m", 1, 12);
  const metres = edges === null ? [] : fields.numbers("visibility_class_edges_m", edges, 0, MOST_VISIBILITY_M, "m");
  ascending(fields, "visibility_class_edges_m", metres);
  const months = fields.arrayOrNull("freshness_months", 3, 3);
  const fresh = months === null ? [] : fields.numbers("freshness_months", months, 1, 600, "months");
  ascending(fields, "freshness_months", fresh);
  if (fresh.some((month) => month !== Math.floor(month))) {
    fields.fail("freshness_months", "wrong_type", "Must be whole months.");
  }
  const current = fields.numberOrNull("current_tolerance_kn", 0, MOST_KN, "knots");
  const temperature = fields.numberOrNull("water_temp_tolerance_c", 0, WARMEST_C, "°C");
  const margin = fields.numberOrNull("oxygen_depth_margin", 0, MOST_MARGIN[unit], unit);
  const clear = fields.numberOrNull("three_visibility_m", 0, MOST_VISIBILITY_M, "m");
  const exposure = fields.numberOrNull("first_exposure_min", 0, 1440, "minutes", true);
  const price = (name: string): number | null => fields.integerOrNull(name, 0, 86_400, "seconds");
  const policy: Policy = {
    threes: fields.choiceOrNull("threes", ["only_when_odd", "free", "never"]) ?? usual.threes,
    leaderNeeded: fields.choiceOrNull("leader_needed", ["every_team", "when_stretched"]) ?? usual.leaderNeeded,
    stretchesAllowed: fields.integerOrNull("stretches_allowed", 0, 7) ?? usual.stretchesAllowed,
    layOffDays: fields.integerOrNull("lay_off_days", 1, 3650, "days") ?? usual.layOffDays,
    visibilityEdges: edges === null ? usual.visibilityEdges : metres.map((metre) => scaledUp(metre, 100)),
    visibilityTolerance: fields.integerOrNull("visibility_tolerance_classes", 0, 12) ?? usual.visibilityTolerance,
    currentTolerance: current === null ? usual.currentTolerance : scaledDown(current, 1000),
    waterTempTolerance: temperature === null ? usual.waterTempTolerance : scaledDown(temperature, 10),
    freshMonths: fresh.length === 3 ? [fresh[0]!, fresh[1]!, fresh[2]!] : usual.freshMonths,
    coveredWeight: fields.integerOrNull("covered_weight", 1, 100) ?? usual.coveredWeight,
    leadWeight: fields.integerOrNull("lead_weight", 1, 100) ?? usual.leadWeight,
    wishS: price("wish_s") ?? usual.wishS,
    bothTasksS: price("both_tasks_s") ?? usual.bothTasksS,
    firstTogetherS: price("first_together_s") ?? usual.firstTogetherS,
    mentorDebtS: price("mentor_debt_s") ?? usual.mentorDebtS,
    otherMixS: price("other_mix_s") ?? usual.otherMixS,
    deeperBesideCertified: fields.flag("deeper_beside_certified"),
    oxygenMargin: margin === null ? null : scaledUp(margin, 100),
    mostDaysSinceDive: fields.integerOrNull("most_days_since_dive", 1, 3650, "days"),
    leastDivesLastYear: fields.integerOrNull("least_dives_last_year", 1, 1000),
    guidedRatio: fields.integerOrNull("guided_ratio", 1, MOST_GUIDED) ?? usual.guidedRatio,
    guardianMayLead: fields.flag("guardian_may_lead"),
    oneBandAtATime: fields.flag("one_band_at_a_time"),
    repeatsBeforeNext: fields.integerOrNull("repeats_before_next", 1, 100),
    firstExposureS: exposure === null ? null : Math.max(1, secondsDown(exposure)),
    threeVisibility: clear === null ? null : scaledUp(clear, 100),
    waveIntervalS: 60 * (fields.integerOrNull("wave_interval_min", 10, 1440, "minutes") ?? 60),
    surfaceCover: fields.choiceOrNull("surface_cover", ["shown", "warn", "required"]) ?? usual.surfaceCover,
    coverCombined: combined(fields, usual),
  };
  if (policy.leadWeight < policy.coveredWeight) {
    fields.fail("lead_weight", "out_of_order", "Leading cannot ask for less than covering does.");
  }
  fields.close();
  return policy;
}

function ascending(fields: Fields, name: string, values: readonly number[]): void {
  if (values.some((value, at) => at > 0 && values[at - 1]! >= value)) {
    fields.fail(name, "out_of_order", "Each value must be greater than the one before.");
  }
}

/** Groups of roles that one person may hold together. */
function combined(fields: Fields, usual: Policy): readonly (readonly string[])[] {
  const groups = fields.arrayOrNull("cover_roles_combined", 0, 10);
  if (groups === null) return usual.coverCombined;
  const found: string[][] = [];
  const known: readonly string[] = COVER_ROLES;
  groups.forEach((group, i) => {
    const at = pointer(fields.pointer("cover_roles_combined"), i);
    const roles = Array.isArray(group) ? group.filter((role): role is string => known.includes(role as string)) : [];
    if (!Array.isArray(group) || roles.length !== group.length) {
      fields.errors.add(at, "not_one_of", `Must be a JSON array of ${COVER_ROLES.join(", ")}.`);
    } else found.push(roles);
  });
  return found;
}

/** The policy that was used, as a body may state it; null: the rule is off. */
export function policyJson(policy: Policy, unit: DepthUnit): Json {
  const margin = policy.oxygenMargin ?? OXYGEN_MARGIN[unit];
  const { firstExposureS, threeVisibility } = policy;
  return {
    threes: policy.threes,
    leader_needed: policy.leaderNeeded,
    stretches_allowed: policy.stretchesAllowed,
    lay_off_days: policy.layOffDays,
    visibility_class_edges_m: policy.visibilityEdges.map((edge) => edge / 100),
    visibility_tolerance_classes: policy.visibilityTolerance,
    current_tolerance_kn: policy.currentTolerance / 1000,
    water_temp_tolerance_c: policy.waterTempTolerance / 10,
    freshness_months: [...policy.freshMonths],
    covered_weight: policy.coveredWeight,
    lead_weight: policy.leadWeight,
    wish_s: policy.wishS,
    both_tasks_s: policy.bothTasksS,
    first_together_s: policy.firstTogetherS,
    mentor_debt_s: policy.mentorDebtS,
    other_mix_s: policy.otherMixS,
    deeper_beside_certified: policy.deeperBesideCertified,
    oxygen_depth_margin: margin / 100,
    most_days_since_dive: policy.mostDaysSinceDive,
    least_dives_last_year: policy.leastDivesLastYear,
    guided_ratio: policy.guidedRatio,
    guardian_may_lead: policy.guardianMayLead,
    one_band_at_a_time: policy.oneBandAtATime,
    repeats_before_next: policy.repeatsBeforeNext,
    first_exposure_min: firstExposureS === null ? null : firstExposureS / 60,
    three_visibility_m: threeVisibility === null ? null : threeVisibility / 100,
    wave_interval_min: floorDiv(policy.waveIntervalS, 60),
    surface_cover: policy.surfaceCover,
    cover_roles_combined: policy.coverCombined.map((group) => [...group]),
  };
}
