import { Keeper } from "../../src/store/keeper.ts";
import { make, type SnapshotBody } from "../../src/kernel/boatlog/snapshot.ts";
import { MemoryStore } from "../../src/store/memory.ts";
import { TripLog } from "../../src/store/trip_log.ts";
import { Problem, Unreachable, type RequestOptions } from "../../src/sync/server.ts";
import type { Wire } from "../../src/sync/exchange.ts";
import type { Entry } from "../../src/kernel/boatlog/entries.ts";

/** An invented trip with one pair and a deck hand, and a server that keeps to the published exchange of entries. */
export const id = (n: number): string => `${String(n).padStart(8, "0")}-0000-4000-8000-000000000000`;
export const TRIP = id(1);
export const [ANA, BEN, CLEO] = [id(11), id(12), id(13)];
export const DIVE = id(21);
export const TEAM = id(31);
export const START = Date.UTC(2027, 5, 12, 8, 0);

export const SNAPSHOT: SnapshotBody = {
  v: 1,
  trip: TRIP,
  made_at: START,
  starts_at: START,
  time_zone: "UTC",
  units: { depth: "m", pressure: "bar" },
  settings: {
    overdue_after_min: 10,
    method: "shorter",
    gf_low_pm: 400,
    gf_high_pm: 800,
    descent_cm_min: 1800,
    ascent_cm_min: 900,
    least_surface_interval_min: null,
    search_min: 1,
    safety_stop_cm: 500,
    safety_stop_s: 180,
    ascent_to_altitude_ft: 8000,
    beyond_40_m_enabled: false,
  },
  boat: null,
  people: [
    { id: ANA, role: "leader", dives: true, can_lead: true, earlier_dives: [] },
    { id: BEN, role: "diver", dives: true, can_lead: false, earlier_dives: [] },
    { id: CLEO, role: "crew", dives: false, can_lead: false, earlier_dives: null },
  ],
  dives: [
    {
      id: DIVE,
      number: 1,
      planned_at: null,
      depth: { unit: "m", hundredths: 1800 },
      bottom_time_s: 1800,
      run_time_s: 2300,
      teams: [
        {
          id: TEAM,
          members: [ANA, BEN],
          lead: ANA,
          limit_s: 1800,
          limited_by: "planned",
          limiting_diver: null,
          next_limit_s: null,
          next_limited_by: null,
          divers: [],
        },
      ],
    },
  ],
};

export interface Phone {
  readonly log: TripLog;
  readonly store: MemoryStore;
  clock: number;
}

export async function phone(device: number, ahead = 0): Promise<Phone> {
  const store = new MemoryStore();
  await store.putTrip(
    { trip: TRIP, hash: make(SNAPSHOT).hash, snapshot: SNAPSHOT, storedAt: START },
    { trip: TRIP, names: { [ANA]: "Ana Wick", [BEN]: "Ben Holm", [CLEO]: "Cleo Marsh" }, labels: {} },
    { trip: TRIP, device: id(device), token: `token ${device}`, label: "Phone", key: null },
  );
  let drawn = device * 1000;
  const made = { store, clock: START + ahead } as { -readonly [K in keyof Phone]: Phone[K] };
  const machine = {
    now: () => (made.clock += 1000),
    random: (bytes: number) => Uint8Array.from({ length: bytes }, () => (drawn = (drawn * 1103515245 + 12345) % 2147483648) % 256),
  };
  const log = await TripLog.open(new Keeper(async () => store, (work) => work()), TRIP, machine);
  if (log === null) throw new Error("the trip was not stored");
  made.log = log;
  return made;
}

/** Set union by what `same` tells apart (ids; the published one goes by marks), positions without gaps, an epoch: what the phone relies on and nothing else. */
export class Server implements Wire {
  kept: Entry[] = [];
  texts = new Map<string, { entry: string; salt: string; text: string }>();
  epoch = id(901);
  requests = 0;
  /** Requests still to be lost: before they arrive, or after they were carried out. */
  loseBefore = 0;
  loseAfter = 0;
  /** Device tokens that were taken off the trip. */
  takenOff = new Set<string>();
  /** An entry on which the whole request fails, as on a fault of the server's own. */
  chokes: (entry: Entry) => boolean = () => false;
  same: (entry: Entry) => string = (entry) => entry.id;
  refuse: (entry: Entry) => boolean = () => false;
  now = (): number => START;
  /** Who ashore expects the boat; null: a server of before, which does not say. */
  ashore: Readonly<Record<string, unknown>> | null = null;

  get<T>(path: string, options: RequestOptions): Promise<T> {
    return this.carry(options, () => {
      if (this.takenOff.has(options.device ?? "")) throw new Problem(403, "You may not do this.", "");
      const query = new URLSearchParams(path.split("?")[1]);
      const after = Number(query.get("after"));
      const entries = this.kept
        .map((entry, n) => ({ position: n + 1, entry }))
        .slice(after, after + Number(query.get("limit")));
      const texts = entries.flatMap(({ entry }) => this.texts.get(entry.id) ?? []);
      return { entries, texts, server_time: this.now(), epoch: this.epoch, position: this.kept.length, ...(this.ashore === null ? {} : { ashore: this.ashore }) };
    });
  }

  post<T>(_path: string, body: Readonly<Record<string, unknown>>, options: RequestOptions): Promise<T> {
    return this.carry(options, () => {
      if ((body["entries"] as Entry[]).some((entry) => this.chokes(entry))) throw new Problem(500, "The server made a mistake.", "");
      const accepted: string[] = [];
      const problems: { id: string; kept: boolean }[] = [];
      for (const entry of body["entries"] as Entry[]) {
        if (this.refuse(entry)) {
          problems.push({ id: entry.id, kept: false });
          continue;
        }
        if (!this.kept.some((other) => this.same(other) === this.same(entry))) this.kept.push(structuredClone(entry));
        accepted.push(entry.id);
      }
      for (const text of body["texts"] as { entry: string; salt: string; text: string }[]) this.texts.set(text.entry, text);
      return { accepted, problems, server_time: this.now(), epoch: this.epoch, position: this.kept.length, head: null };
    });
  }

  private async carry<T>(options: RequestOptions, work: () => unknown): Promise<T> {
    if (!options.device?.startsWith("token ")) throw new Error("no device token was sent");
    this.requests += 1;
    if (this.loseBefore-- > 0) throw new Unreachable();
    const answer = structuredClone(work());
    if (this.loseAfter-- > 0) throw new Unreachable();
    return answer as T;
  }
}
