/** Shapes of the server's answers about teams: proposed, announced, and why not. */
import type { AnnouncedTeam, Reason, TripDive } from "./answers.ts";
import type { Known, LimitName } from "./plan.ts";

export interface TeamsAnswer {
  readonly status: "optimal" | "feasible" | "impossible";
  readonly gap?: number | null;
  readonly teams: readonly ProposedTeam[];
  readonly not_placed: readonly { readonly id: string; readonly reasons: readonly Reason[] }[];
  readonly total?: { readonly safety_penalty: number; readonly cost_s: number };
  readonly changed?: unknown;
  readonly why_not?: readonly WhyNot[];
  readonly divers?: readonly { readonly id: string; readonly proposal?: { readonly message: string } | null }[];
  readonly instead_of_three?: readonly { readonly team: readonly string[]; readonly offers: readonly { readonly message: string }[] }[];
  readonly guided_offers?: readonly { readonly message: string }[];
  readonly facts?: readonly Reason[];
  readonly impossible?: unknown;
  readonly warnings?: readonly { readonly code: string; readonly message: string }[];
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
  readonly day?: { readonly placed: number; readonly not_placed: readonly string[] };
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
}

/** Who has a role at the surface while others dive, and so does not dive. */
export interface CoverRole {
  readonly role: "boat_handler" | "lookout" | "oxygen" | "standby";
  readonly person: string;
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
}
