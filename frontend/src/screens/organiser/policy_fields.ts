/** What a club decides about who dives with whom, in a few groups; names as the policy of `teams` has them. */

interface Common {
  readonly name: string;
  readonly label: string;
  readonly hint?: string;
}
export interface ChoiceOf extends Common {
  readonly kind: "choice";
  readonly options: readonly { readonly value: string; readonly label: string }[];
}
export interface YesOf extends Common {
  readonly kind: "yes";
}
/** `each`: how many of the policy's unit one unit typed is; `whole`: whole numbers only. */
export interface NumberOf extends Common {
  readonly kind: "number";
  readonly unit: string;
  readonly each?: number;
  readonly whole?: boolean;
}
/** Numbers with commas between them, each greater than the one before; `many`: how many they have to be. */
export interface NumbersOf extends Common {
  readonly kind: "numbers";
  readonly unit: string;
  readonly many?: number;
}
/** Pairs of roles at the surface that one person may hold. */
export interface RolesOf extends Common {
  readonly kind: "roles";
}
export type PolicyField = ChoiceOf | YesOf | NumberOf | NumbersOf | RolesOf;

export interface PolicyGroup {
  readonly id: string;
  readonly title: string;
  readonly about: string;
  readonly fields: readonly PolicyField[];
}

export const POLICY_GROUPS: readonly PolicyGroup[] = [
  {
    id: "teams",
    title: "How teams are made",
    about: "Pairs, threes, leaders, guided groups",
    fields: [
      {
        kind: "choice",
        name: "threes",
        label: "Teams of three",
        options: [
          { value: "only_when_odd", label: "only where the number is odd" },
          { value: "never", label: "never" },
          { value: "free", label: "wherever they are better" },
        ],
      },
      { kind: "number", name: "three_visibility_m", label: "A three asks for visibility of at least", unit: "m" },
      {
        kind: "choice",
        name: "leader_needed",
        label: "A leader in every team",
        options: [
          { value: "every_team", label: "yes" },
          { value: "when_stretched", label: "only where somebody takes a step" },
        ],
      },
      { kind: "number", name: "guided_ratio", label: "Divers per leader in a guided group", unit: "", whole: true, hint: "Training agencies publish four at the supervised level." },
    ],
  },
  {
    id: "steps",
    title: "Taking a step",
    about: "What somebody may try for the first time",
    fields: [
      { kind: "number", name: "stretches_allowed", label: "New things at once, at most", unit: "", whole: true, hint: "Depth, current, visibility, cold, dark, task, kind of site, a long time out of the water." },
      { kind: "number", name: "first_exposure_min", label: "A first time: not longer than", unit: "min", hint: "For the whole team of whoever takes the step." },
      { kind: "number", name: "repeats_before_next", label: "Dives with all the rest of it before a step", unit: "", whole: true },
      { kind: "yes", name: "one_band_at_a_time", label: "one depth band at a time, however deep the certification goes" },
      { kind: "yes", name: "deeper_beside_certified", label: "one depth step deeper beside someone certified for it", hint: "Scientific-diving practice. Not for juniors or supervised divers." },
      { kind: "yes", name: "guardian_may_lead", label: "a guardian may lead their own child’s first time" },
    ],
  },
  {
    id: "practice",
    title: "In practice",
    about: "How long ago, and how often",
    fields: [
      { kind: "number", name: "lay_off_days", label: "Out of the water for so long counts as something new", unit: "days", whole: true },
      { kind: "number", name: "most_days_since_dive", label: "No dive at all after so long out of the water", unit: "days", whole: true },
      { kind: "number", name: "least_dives_last_year", label: "Least dives in the last year", unit: "", whole: true, hint: "Scientific-diving practice is 12." },
      { kind: "numbers", name: "freshness_months", label: "A past dive counts in full, by half, by a quarter until it is so old", unit: "months", many: 3 },
    ],
  },
  {
    id: "experience",
    title: "What counts as done before",
    about: "How far a past dive may fall short and still count",
    fields: [
      { kind: "number", name: "current_tolerance_kn", label: "Current weaker by not more than", unit: "kn" },
      { kind: "number", name: "water_temp_tolerance_c", label: "Water warmer by not more than", unit: "°C" },
      { kind: "numbers", name: "visibility_class_edges_m", label: "Visibility is told apart at", unit: "m" },
      { kind: "number", name: "visibility_tolerance_classes", label: "Classes of visibility clearer by not more than", unit: "", whole: true },
      { kind: "number", name: "covered_weight", label: "Dives that make something not new any more", unit: "", whole: true },
      { kind: "number", name: "lead_weight", label: "Dives like this one before leading it", unit: "", whole: true },
    ],
  },
  {
    id: "surface",
    title: "At the surface and gas",
    about: "Who stays out of the water, waves, oxygen",
    fields: [
      {
        kind: "choice",
        name: "surface_cover",
        label: "Boat handler, lookout, oxygen, standby",
        options: [
          { value: "shown", label: "may be named" },
          { value: "warn", label: "warn until all are named" },
          { value: "required", label: "no teams until all are named" },
        ],
      },
      { kind: "roles", name: "cover_roles_combined", label: "One person may be both" },
      { kind: "number", name: "wave_interval_min", label: "Between two waves, at least", unit: "min", whole: true },
      { kind: "number", name: "oxygen_depth_margin", label: "A gas must be within its oxygen limit deeper than planned by", unit: "depth" },
    ],
  },
  {
    id: "wishes",
    title: "What weighs how much",
    about: "In minutes under water, after everything that protects someone",
    fields: [
      { kind: "number", name: "wish_s", label: "A wish not met, for each diver", unit: "min", each: 60 },
      { kind: "number", name: "both_tasks_s", label: "Two in a team each with a task of their own, for each", unit: "min", each: 60 },
      { kind: "number", name: "first_together_s", label: "Two who never dived together, for each", unit: "min", each: 60 },
      { kind: "number", name: "mentor_debt_s", label: "A leader who has looked after others more than their share, for each such dive", unit: "min", each: 60 },
      { kind: "number", name: "other_mix_s", label: "Different gases in one team, for each diver", unit: "min", each: 60 },
    ],
  },
];
