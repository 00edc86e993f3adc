/** Shapes of the server's answers about where a diver stands after a dive. */
import type { Known } from "./plan.ts";

export interface DiverStatus {
  readonly diver: string;
  readonly person: string;
  readonly name: string;
  readonly group: Known<string | null>;
  readonly surfaced_at: string | null;
  readonly next_dive: { readonly id: string; readonly number: number } | null;
  readonly earliest_next_dive_at: Known<string | null>;
  readonly no_fly_until: Known<string | null>;
  /** Until when no road over a pass, and how high it is; null before the first dive. */
  readonly no_road?: { readonly until: Known<string | null>; readonly to_altitude_ft: number } | null;
  readonly why: readonly string[];
  /** What the entries of the boat leave open about this diver. */
  readonly questions?: readonly { readonly code: string; readonly entries: readonly string[] }[];
}

export interface TripStatus {
  readonly trip: string;
  readonly as_of: string;
  readonly divers: readonly DiverStatus[];
}
