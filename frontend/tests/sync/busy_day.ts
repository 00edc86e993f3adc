// A busy day of twelve people in five teams, two dives, a count before and after each: what a deck phone writes, in its shape.
import { Keeper } from "../../src/store/keeper.ts";
import { TripLog, type Act } from "../../src/store/trip_log.ts";
import { phone, START, TRIP, type Phone } from "./boat.ts";

const uuid = (): string => crypto.randomUUID();

/** The phone's log with a chance of its own: ids as random as real ones, for what is measured must not pack better. */
export async function measuring(device: number): Promise<{ readonly log: TripLog; readonly at: (ms: number) => void }> {
  const { store }: Phone = await phone(device);
  let clock = START;
  const machine = { now: () => (clock += 700 + Math.floor(Math.random() * 9000)), random: (bytes: number) => crypto.getRandomValues(new Uint8Array(bytes)) };
  const log = (await TripLog.open(new Keeper(async () => store, (work) => work()), TRIP, machine))!;
  return { log, at: (ms) => (clock = ms) };
}

/** At least `most` acts, one day after the other; every one is a kind and data as the screens write them. */
export function busyDay(most: number): Act[] {
  const made: Act[] = [];
  while (made.length < most) made.push(...day());
  return made.slice(0, most);
}

function day(): Act[] {
  const people = Array.from({ length: 12 }, uuid);
  const crew = [uuid(), uuid()];
  const teams = [0, 1, 2, 3, 4].map((n) => ({ id: uuid(), members: n < 3 ? people.slice(2 * n, 2 * n + 2) : people.slice(6 + 3 * (n - 3), 9 + 3 * (n - 3)) }));
  const dives = [uuid(), uuid()];
  const by = crew[0]!;
  const acts: Act[] = [];
  const say = (kind: string, subject: string, data: Record<string, unknown> = {}, text?: string) => acts.push({ by, kind, subject, data, ...(text === undefined ? {} : { text }) });
  const any = (most: number) => Math.floor(Math.random() * most);
  const fix = () => ({ lat_e6: 38_600_000 + any(9000), lon_e6: -28_700_000 - any(9000), accuracy_m: 4 + any(20), age_s: any(60) });
  const called = (place: "port" | "site") => {
    const count = uuid();
    for (const person of [...people, ...crew]) say("roll_call_taken", TRIP, { count, seen: [person], method: "answered", place });
    say("count_finished", TRIP, { count, method: "answered", heads: null, place });
    say("departed", TRIP, { place });
  };
  say("deck_accepted", by, { from: null });
  called("port");
  for (const dive of dives) {
    say("surface_cover_confirmed", dive, { boat_handler: crew[1]!, lookout: by, oxygen: by, standby: null, flag_up: true, engine_off: true });
    say("conditions_found", dive, { current_tenths_kn: any(12), current_toward_deg: 10 * any(36), wind_kn: any(20), wave_cm: 10 * any(12), visibility_cm: 100 * any(20), fix: fix() });
    for (const { id, members } of teams) {
      say("team_check_done", id, { lines: 5, pressures: members.map((person) => ({ person, pressure: { unit: "bar", value: 180 + any(50) } })) });
      say("down", id, { dive, members, fix: fix() });
    }
    for (const { id, members } of teams) {
      if (any(3) === 0) say("marker_seen", id, { fix: fix() });
      say("surfaced", id, { dive, people: members, fix: fix() });
      for (const person of members) {
        say("back_aboard", person);
        say("depth_reported", person, { dive, depth: { unit: "m", hundredths: 1200 + 10 * any(120) } });
        say("pressure_reported", person, { dive, pressure: { unit: "bar", value: 50 + any(60) } });
        say("symptoms_asked", person, { dive, after_min: 10, said: "well" });
      }
    }
    called("site");
    say("note", TRIP, {}, `Wind went to the west, ${any(30)} boats at the second mooring, two seals at the ladder.`);
  }
  return acts;
}
