/** Shapes of the server's answers about teams: proposed, announced, and why not. */
import type { AnnouncedTeam, Reason, TripDive } from "./answers.ts";
import type { Known, LimitName } from "./plan.ts";

export interface TeamsAnswer {
  readonly status: "optimal" | "feasible" | "impossible";
  readonly gap?: number | null;
  readonly teams: readonly ProposedTeam[];
  readonly not_placed: readonly NotPlacedDiver[];
  readonly alternatives?: readonly OtherDay[];
  readonly drop_outs?: readonly DropOut[];
  readonly total?: { readonly safety_penalty: number; readonly cost_s: number };
  readonly changed?: unknown;
  readonly why_not?: readonly WhyNot[];
  readonly divers?: readonly { readonly id: string; readonly proposal?: { readonly message: string } | null }[];
  readonly instead_of_three?: readonly { readonly team: readonly string[]; readonly offers: readonly { readonly message: string }[] }[];
  readonly guided_offers?: readonly { readonly divers: readonly string[]; readonly message: string }[];
  readonly robust?: { readonly days_compared: number; readonly all_equal_days_compared: boolean; readonly most_changed: number; readonly changed_in_all: number };
  readonly facts?: readonly Reason[];
  readonly impossible?: unknown;
  readonly warnings?: readonly { readonly code: string; readonly message: string }[];
}

/** Someone without a team: the rules against them, the facts that make it so, and what would give them a place. */
export interface NotPlacedDiver {
  readonly id: string;
  readonly reasons: readonly Reason[];
  readonly facts?: readonly Reason[];
  readonly message?: string;
  readonly remedies?: readonly { readonly code: string; readonly message: string }[];
}

interface Costs {
  readonly placed: number;
  readonly overrides: number;
  readonly safety_penalty: number;
  readonly cost_s: number;
}

/** A day beside the best one: `more` is what it costs more in all. */
export interface OtherDay {
  readonly teams: readonly ProposedTeam[];
  readonly not_placed: readonly string[];
  readonly more: Costs;
  readonly other_teams: readonly (readonly string[])[];
  readonly better: readonly { readonly diver: string; readonly min: number }[];
  readonly worse: readonly { readonly diver: string; readonly min: number }[];
}

/** What one person's staying ashore does to the others. */
export interface DropOut {
  readonly diver: string;
  readonly loses: readonly string[];
  readonly gains: readonly string[];
  readonly teams: readonly (readonly string[])[];
  readonly message: string;
}

/** Weeks before: whether a roster can be paired for a dive. */
export interface Pairability {
  readonly pairability: {
    readonly placed: number;
    readonly of: number;
    readonly critical: readonly { readonly diver: string; readonly loses: readonly string[]; readonly message: string }[];
    readonly one_more_leader: { readonly places: readonly string[]; readonly message: string } | null;
    readonly larger_cylinder: { readonly diver: string; readonly places: readonly string[]; readonly message: string } | null;
    readonly waiting_list: { readonly best_fit_first: readonly string[]; readonly each: readonly { readonly diver: string; readonly places: readonly string[]; readonly message: string }[] };
    readonly assumed: readonly { readonly diver: string; readonly what: readonly string[] }[];
    readonly next_steps: readonly { readonly diver: string; readonly lacks: readonly string[] | { readonly not_known: readonly string[] }; readonly steps: readonly { readonly message: string }[] }[];
    readonly work_up: readonly { readonly serves: readonly string[]; readonly message: string }[];
  } | null;
  readonly not_placed: readonly NotPlacedDiver[];
  /** Whose usual cylinder was taken to be full of air. */
  readonly full: readonly string[];
  readonly names: Readonly<Record<string, string>>;
}

export interface ProposedTeam {
  readonly divers: readonly string[];
  readonly kind?: "pair" | "three" | "guided";
  readonly ring?: readonly { readonly diver: string; readonly watches: string }[];
  readonly split?: readonly { readonly ends: string; readonly message: string }[];
  readonly lead: string | null;
  readonly limit_min: Known<number | null>;
  readonly limited_by: LimitName | null;
  readonly limiting_diver: string | null;
  readonly safety_penalty?: number;
  readonly cost_s?: number;
  readonly reasons: readonly Reason[];
}

export interface WhyNot {
  readonly divers: readonly string[];
  readonly chosen?: boolean;
  readonly rules?: readonly Reason[];
  readonly team?: { readonly safety_penalty: number; readonly cost_s: number };
  readonly day?: { readonly placed: number; readonly teams?: readonly (readonly string[])[]; readonly not_placed: readonly string[] };
  readonly more?: { readonly placed: number; readonly overrides: number; readonly safety_penalty: number; readonly cost_s: number };
}

export interface Wish {
  readonly kind: "together" | "apart";
  readonly divers: readonly string[];
  readonly strength: "must" | "prefer";
}

/** A rule set aside for one diver by someone else, with a reason that stays in the record. */
export interface Override {
  readonly rule: string;
  readonly diver: string;
  readonly reason: string;
}

export interface Asked {
  readonly overrides?: readonly Override[];
  readonly wishes?: readonly Wish[];
  readonly locked?: readonly (readonly string[])[];
  readonly forbidden?: readonly (readonly string[])[];
  readonly surface_cover?: readonly CoverRole[];
  readonly alternatives?: number;
  readonly guided?: readonly (readonly string[])[];
  readonly drop_outs?: boolean;
  readonly robust?: boolean;
  readonly least_change?: boolean;
  readonly expect_gas?: { readonly unit: string; readonly value: number };
}

/** The dives of a day paired together; `dives` of `DayTeamsFound` are their ids in the same order. */
export interface DayTeamsAnswer {
  readonly status: TeamsAnswer["status"];
  readonly dives: readonly {
    readonly dive: number;
    readonly teams: readonly (ProposedTeam & { readonly boat?: string | null })[];
    readonly not_placed: readonly NotPlacedDiver[];
  }[];
  /** Who goes on which boat, where more than one was asked for. */
  readonly boats?: readonly { readonly id: string; readonly divers: readonly string[]; readonly seats_left: number; readonly takes: { readonly persons?: number; readonly divers?: number } }[];
  readonly warnings?: readonly { readonly code: string; readonly message: string; readonly divers?: readonly string[] }[];
  readonly between_dives: { readonly reasons: readonly { readonly dive: number; readonly message: string }[] };
  readonly facts?: readonly Reason[];
}

export interface DayTeamsFound {
  readonly dives: readonly string[];
  readonly answer: DayTeamsAnswer;
}

/** Who has a role at the surface while others dive, and so does not dive. */
export interface CoverRole {
  readonly role: "boat_handler" | "lookout" | "oxygen" | "standby";
  readonly person: string;
}

/** With whom of a trip somebody would rather not dive: for themselves and the organisers alone. */
export interface RatherNot {
  readonly person: string;
  readonly name: string;
  readonly about: readonly string[];
  readonly choices: readonly { readonly id: string; readonly name: string }[];
}

export interface DiveTeams {
  readonly dive: TripDive;
  readonly proposal: {
    readonly id: string;
    readonly made_at: string;
    readonly asked: Asked;
    readonly answer: TeamsAnswer;
    /** People, gas, log or dive have changed since it was worked out. */
    readonly stale?: boolean;
  } | null;
  readonly announced: readonly AnnouncedTeam[];
  /** The teams last announced, also where they had to be withdrawn since. */
  readonly announced_before?: readonly (readonly string[])[];
}
