/** Shapes of the server's answers that the organiser's and the diver's screens read. */
import type { Depth } from "./format.ts";
import type { Known, LimitName, Limits } from "./plan.ts";

export type * from "./answers_import.ts";
export type * from "./answers_shore.ts";
export type * from "./answers_status.ts";

export interface Club {
  readonly id: string;
  readonly name: string;
  readonly role: "organiser" | "leader" | "diver";
  readonly diver: string | null;
  readonly time_zone: string;
  readonly units: { readonly depth: "m" | "ft"; readonly pressure: "bar" | "psi"; readonly volume: "l" | "cuft" };
  readonly settings: {
    readonly overdue_after_min: number | null;
    readonly counts_needed: 1 | 2;
    readonly quiet_min: number | null;
    readonly due_soon_min: number | null;
    readonly lost_diver: readonly { readonly say: string; readonly after_min: number | null }[];
    readonly rescue_contact: string;
    readonly radio_channel: string;
    readonly call_sign: string;
    readonly oxygen_l: number | null;
    readonly shore_call_every_min: number | null;
    readonly shore_calls_before_next: number | null;
    readonly method: "shorter" | "table" | "tissue";
    readonly gf: readonly [number, number];
    readonly least_surface_interval_min: number | null;
    readonly no_fly_wait_min: number | null;
    readonly club_wait_beyond_limit_min: number | null;
    readonly club_wait_other_gas_min: number | null;
    readonly rest_after_beyond_limit_min: number | null;
    readonly gas?: { readonly gas_law?: "real" | "published"; readonly fill_temp_c?: number; readonly gas_margin_percent?: number; readonly stressed_rmv_l_min?: number };
    readonly policy?: Readonly<Record<string, unknown>>;
    readonly beyond_40_m_enabled: boolean;
  };
  readonly may: { readonly read_divers: boolean; readonly import_roster: boolean; readonly manage_club: boolean; readonly manage_accounts?: boolean; readonly keep_wishes?: boolean; readonly add_trip: boolean };
}

export interface RosterDiver {
  readonly id: string;
  readonly name: string;
  readonly member_number: string;
  readonly certified_depth: Depth | null;
  readonly certification: string | null;
  readonly certified_until?: string | null;
  readonly evidence: "said" | "shown" | "seen" | null;
  readonly fitness: string;
  readonly can_lead: boolean;
  readonly supervised: boolean;
  readonly dives: number | null;
  readonly last_dive: string | null;
  readonly account: boolean;
}

export interface DiverRecord extends RosterDiver {
  readonly email: string;
  readonly phone: string;
  readonly born: string | null;
  readonly emergency_contact: string;
  readonly club: string;
  /** Of somebody under age: whether the written consent is on file, and which divers of the club are guardians. */
  readonly guardian_consent: boolean | null;
  readonly guardians: readonly { readonly id: string; readonly name: string }[];
  readonly notes?: string;
  /** Of the account in the club, for leaders and organisers; null without one. */
  readonly role?: Club["role"] | null;
  readonly units: { readonly depth: "m" | "ft"; readonly pressure: "bar" | "psi"; readonly volume: "l" | "cuft" };
  readonly rmv_l_min: string | null;
  readonly rmv_sd_l_min: string | null;
  readonly certifications: readonly { id: string; name: string; organisation: string; depth: Depth | null; on: string | null; until?: string | null; evidence: string }[];
  readonly cylinders: readonly Cylinder[];
  readonly stated: { readonly dives: number | null; readonly dives_last_year: number | null; readonly last_dive: string | null; readonly deepest: Depth | null };
}

export interface Cylinder {
  readonly id: string;
  readonly label: string;
  readonly volume: string;
  readonly volume_unit: "l" | "cuft";
  readonly working_pressure: number | null;
  readonly pressure_unit: "bar" | "psi";
  readonly redundant: boolean;
}

export interface TripSummary {
  readonly id: string;
  readonly name: string;
  readonly club: string;
  readonly boat: { readonly id: string; readonly name: string } | null;
  /** Where several go, those that people are seated on: id to name. */
  readonly boats?: Readonly<Record<string, string>>;
  readonly starts_at: string;
  readonly time_zone: string;
  readonly state: "planned" | "ready";
  /** When the boat log said that the trip was over, with everyone accounted for. */
  readonly ended_at?: string | null;
  readonly booked: number;
  readonly dives: number;
  readonly hash: string | null;
  readonly me: string | null;
  readonly may: { readonly plan: boolean };
}

export type Role = "organiser" | "leader" | "diver" | "crew" | "guest";

export interface Booking {
  readonly id: string;
  readonly diver?: string | null;
  readonly name: string;
  readonly role: Role;
  readonly dives: boolean;
  readonly can_lead?: boolean;
  readonly earlier_dives?: readonly unknown[] | null;
  /** Dives of the last days that the boat logs of other trips tell; they count without being entered. */
  readonly dives_in_logs?: number;
  readonly flies_at?: string | null;
  /** Of several boats, the one they go on. */
  readonly boat?: string | null;
}

export interface Reason {
  readonly code: string;
  readonly message?: string;
  readonly divers?: readonly string[];
  readonly safety?: number;
  readonly seconds?: number;
  readonly overridable?: boolean;
  readonly source?: string;
}

export interface AnnouncedTeam {
  readonly id: string;
  readonly number: number;
  readonly members: readonly string[];
  readonly lead: string | null;
  readonly guided?: boolean;
  readonly plan: PlanAnswer | null;
  readonly reasons: readonly Reason[];
  readonly announced_at?: string;
}

/** The cylinder one person takes on one dive, as read at the dock. */
export interface GasCheck {
  readonly person: string;
  readonly cylinder: string;
  readonly volume: string;
  readonly volume_unit: "l" | "cuft";
  readonly working_pressure: number;
  readonly pressure_unit: "bar" | "psi";
  readonly start_pressure: number | null;
  readonly o2_pm: number;
  readonly analysed_o2_pm: number | null;
  readonly analysed_by: string | null;
}

export type TurnRule = "all_usable" | "halves" | "thirds";

export interface TripDive {
  readonly id: string;
  readonly number: number;
  readonly site: { readonly id: string; readonly name: string } | null;
  readonly planned_at: string | null;
  readonly depth: Depth;
  readonly bottom_time_s: number;
  readonly work: string;
  readonly return: "same_point" | "free_ascent";
  readonly turn_rule?: TurnRule | null;
  readonly along_current?: { readonly first: "with" | "against"; readonly swim_kn: number } | null;
  readonly task_unit_min?: number | null;
  readonly demands: {
    readonly current_kn?: number | null;
    readonly visibility_m?: number | null;
    readonly water_temp_c?: number | null;
    readonly night?: boolean;
    readonly task?: { readonly kind: string; readonly level: number } | null;
    readonly site_kind?: readonly string[];
  };
  /** For those who plan the trip only. */
  readonly left_out?: readonly string[];
  readonly gas?: readonly GasCheck[];
  readonly teams: readonly AnnouncedTeam[];
}

export interface Trip extends TripSummary {
  readonly bookings: readonly Booking[];
  readonly dives_planned: readonly TripDive[];
  readonly not_ready: readonly { readonly code: string; readonly message: string; readonly remedy: string; readonly pointer: string }[];
}

export interface PlanAnswer {
  readonly depth_unit?: "m" | "ft";
  readonly pressure_unit?: "bar" | "psi";
  /** Whose certified depth a leader set aside for this dive, and why. */
  readonly overrides?: readonly { readonly diver: string; readonly by: string; readonly reason: string }[];
  readonly team: {
    readonly limits: Limits;
    readonly limit_min: Known<number | null>;
    readonly limited_by: LimitName | null;
    readonly limiting_diver: string | null;
    /** The least of what is known, where the limit itself is not. */
    readonly at_most?: { readonly min: number; readonly limited_by: LimitName; readonly diver: string | null } | null;
    readonly next_limit?: { readonly min: number | null; readonly limited_by: LimitName | null; readonly diver: string | null } | null;
    readonly first_to_turn?: Known<{ readonly diver: string; readonly probability: Known<number> } | null>;
    readonly last_start_min?: Known<number | null> | null;
    readonly run_time_min?: Known<number | null>;
    readonly buys_time?: readonly BuysTime[];
  };
  readonly divers: readonly PlanDiver[];
  readonly surface_interval?: Known<IntervalAnswer> | null;
  readonly interval_steps?: Known<StepsAnswer>;
  readonly next_dive?: { readonly surface_interval: Known<IntervalAnswer> };
  readonly what_if?: readonly WhatIf[];
  /** What staying past the no-stop limit would oblige: told, never planned. */
  readonly overstay?: Known<readonly OverstayAnswer[]>;
  readonly sources?: unknown;
  readonly warnings?: readonly { readonly code: string; readonly pointer: string; readonly message: string }[];
  readonly method?: "shorter" | "table" | "tissue";
  readonly gf?: readonly [number, number];
}

/** A time past the team's tissue limit and what the diver who owes most would owe. */
export interface OverstayAnswer {
  readonly past_min: number;
  readonly bottom_time_min: number;
  readonly diver: string;
  readonly stops: readonly { readonly depth: number; readonly min: number }[];
  readonly stop_min: number;
  readonly ascent_min: number;
  readonly caution: string;
}

/** One thing changed: whose (null: everyone's), by and to how much in `unit`. */
export interface Change {
  readonly change: string;
  readonly diver?: string | null;
  readonly by?: number | null;
  readonly to?: number | null;
  readonly unit?: string;
  /** Who dives in that diver's place. */
  readonly with?: string;
}

export interface IntervalAnswer {
  readonly min?: number;
  readonly none?: string;
  readonly message?: string;
  readonly without?: readonly { readonly without: string; readonly with: string | null; readonly min?: number; readonly none?: string }[];
}

export interface StepsAnswer {
  readonly steps: readonly { readonly after_min: number; readonly limit_min: number; readonly gain_min: number; readonly limited_by: LimitName; readonly diver: string | null }[];
  readonly message: string;
}

/** When a diver must be at the surface for a known flight; minutes from the descent. */
export interface FlightAnswer {
  readonly latest_surfacing_min: Known<number>;
  readonly surfaces_min: number;
  readonly spare_min: Known<number>;
  readonly message: string;
}

export interface OrderAnswer {
  readonly order: {
    readonly best: readonly number[] | null;
    readonly orders: readonly { readonly dives: readonly number[]; readonly waiting_min?: Known<number | null>; readonly message: string }[];
  };
}

export interface BuysTime extends Change {
  readonly limit_min: Known<number | null>;
  readonly limited_by?: LimitName | null;
  readonly limiting_diver?: string | null;
  readonly gain_min: Known<number | null>;
}

export interface WhatIf extends Change {
  readonly limit_min?: Known<number | null>;
  readonly limited_by?: LimitName | null;
  readonly limiting_diver?: string | null;
  readonly refused?: { readonly code: string; readonly message: string };
  readonly message?: string;
}

export interface PlanDiver {
  readonly id: string;
  readonly limits: Limits;
  readonly limit_min: Known<number | null>;
  readonly limited_by: LimitName | null;
  readonly minimum_gas: Known<number | null>;
  readonly turn_pressure: Known<number | null>;
  readonly turn_rule?: TurnRule | null;
  readonly breathing?: { readonly planned_l_min: Known<number>; readonly log?: { readonly dives: number; readonly own_weight_percent: number } };
  readonly gas_at_surface?: Known<number | null>;
  readonly mod?: Known<number | null>;
  readonly group_after?: Known<string | null>;
  readonly flight?: FlightAnswer;
  readonly frees?: string;
}

export interface Message {
  readonly id: string;
  readonly kind: string;
  readonly call: "reminder" | "alarm";
  readonly trip: string;
  readonly trip_name: string;
  readonly dive: string | null;
  readonly due_at: string;
  readonly sent_at: string;
  readonly read_at: string | null;
  readonly text: string;
  /** The float plan that a contact ashore was told of; null: this is no such message. */
  readonly link?: string | null;
  /** What the record says since the message was sent; null where it still holds. */
  readonly since?: string | null;
  readonly why: readonly string[];
}

/** The clubs of the answer of GET /api/me. */
export function clubsOf(me: Readonly<Record<string, unknown>> | undefined): readonly Club[] {
  const clubs = me?.["clubs"];
  return Array.isArray(clubs) ? (clubs as Club[]) : [];
}

/** The clubs in which this person plans trips or keeps the roster. */
export function organisedBy(me: Readonly<Record<string, unknown>> | undefined): readonly Club[] {
  return clubsOf(me).filter((club) => club.may.read_divers || club.may.add_trip);
}
