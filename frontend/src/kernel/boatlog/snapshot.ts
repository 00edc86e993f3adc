// The trip snapshot: roster, plan and settings that a boat log starts from. It holds no names.
// The twin of boatlog/snapshot.py; a Snapshot is the parsed JSON itself, with its hash.

import { NotCanonical, canonical, utf8 } from "./canonical.ts";
import { SNAPSHOT, problems } from "./schema.ts";
import type { Trouble } from "./schema.ts";
import { sha256Hex } from "./sha256.ts";

export interface DepthQuantity {
  readonly unit: "m" | "ft";
  readonly hundredths: number;
}

export interface PressureQuantity {
  readonly unit: "bar" | "psi";
  readonly value: number;
}

export interface Settings {
  readonly overdue_after_min: number | null;
  readonly method: "shorter" | "table" | "tissue";
  readonly gf_low_pm: number;
  readonly gf_high_pm: number;
  readonly descent_cm_min: number;
  readonly ascent_cm_min: number;
  readonly least_surface_interval_min: number | null;
  readonly search_min: number;
  readonly safety_stop_cm: number;
  readonly safety_stop_s: number;
  readonly ascent_to_altitude_ft: number;
  readonly beyond_40_m_enabled: boolean;
  readonly no_fly_wait_min?: number | null;
  readonly counts_needed?: 1 | 2;
  readonly due_soon_min?: number;
  readonly quiet_min?: number;
  readonly club_wait_beyond_limit_min?: number | null;
  readonly club_wait_other_gas_min?: number | null;
  readonly rest_after_beyond_limit_min?: number | null;
}

export interface EarlierDive {
  readonly depth: DepthQuantity;
  readonly bottom_time_s: number;
  readonly o2_pm: number;
  readonly surfaced_at: number;
}

export interface Person {
  readonly id: string;
  readonly role: string;
  readonly dives: boolean;
  readonly can_lead: boolean;
  readonly earlier_dives: readonly EarlierDive[] | null;
  /** Where several boats go. */
  readonly boat?: string;
}

export interface TeamDiver {
  readonly id: string;
  readonly minimum_gas: PressureQuantity | null;
  readonly turn_pressure: PressureQuantity | null;
  readonly o2_pm: number | null;
  readonly cylinder_dl?: number | null;
  readonly rmv_low_dl_min?: number | null;
}

export interface PlannedTeam {
  readonly id: string;
  readonly members: readonly string[];
  readonly lead: string | null;
  readonly limit_s: number | null;
  readonly limited_by: string | null;
  readonly limiting_diver: string | null;
  readonly next_limit_s: number | null;
  readonly next_limited_by: string | null;
  readonly divers: readonly TeamDiver[];
}

export interface PlannedDive {
  readonly id: string;
  readonly number: number;
  readonly planned_at: number | null;
  readonly depth: DepthQuantity;
  readonly bottom_time_s: number;
  readonly run_time_s: number;
  readonly teams: readonly PlannedTeam[];
}

/** One step of the club's lost-diver procedure. `within_s`: after overdue; null: no time set. */
export interface ProcedureStep {
  readonly step: string;
  readonly say: string;
  readonly within_s: number | null;
}

export interface SnapshotBody {
  readonly v: 1;
  readonly trip: string;
  readonly made_at: number;
  readonly starts_at: number;
  readonly time_zone: string;
  readonly units: { readonly depth: "m" | "ft"; readonly pressure: "bar" | "psi" };
  readonly settings: Settings;
  readonly boat: string | null;
  readonly people: readonly Person[];
  readonly dives: readonly PlannedDive[];
  readonly lost_diver?: readonly ProcedureStep[];
}

export interface Snapshot extends SnapshotBody {
  readonly hash: string;
}

/** The value is not a trip snapshot; `problems` names every field that is wrong. */
export class NotASnapshot extends Error {
  readonly problems: readonly Trouble[];

  constructor(found: readonly Trouble[]) {
    super(found.map((trouble) => `${trouble.pointer}: ${trouble.message}`).join("; "));
    this.problems = found;
  }
}

/** The boats of the trip by id; empty where fewer than two go: then nothing is said by boat. */
export function boatsOfTrip(snapshot: Pick<SnapshotBody, "people">): readonly string[] {
  const found = [...new Set(snapshot.people.map(({ boat }) => boat).filter((boat) => boat !== undefined))].sort();
  return found.length > 1 ? found : [];
}

/** The canonical text of a snapshot and its SHA-256. Throws NotASnapshot, naming all that is wrong. */
export function make(value: unknown): { text: string; hash: string } {
  const found = problems(SNAPSHOT, value, SNAPSHOT);
  if (found.length === 0) {
    try {
      const text = canonical(value);
      return { text, hash: sha256Hex(utf8(text)) };
    } catch (error) {
      if (!(error instanceof NotCanonical)) throw error;
      found.push({ pointer: error.pointer, code: "not_canonical", message: error.why });
    }
  }
  throw new NotASnapshot(found);
}

/** The snapshot in a parsed JSON value, as the server sent it. Throws NotASnapshot. */
export function read(value: unknown): Snapshot {
  const { hash } = make(value);
  return { ...(value as SnapshotBody), hash };
}
