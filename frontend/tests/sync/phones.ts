// Two to ten phones at sea with everything that goes wrong: lost, doubled, late and broken-off messages, crashes between
// any two writes, a disk that fails for a while, wrong clocks and clocks that jump. One seed is one schedule.
import { check } from "../../src/kernel/boatlog/chain.ts";
import type { Entry } from "../../src/kernel/boatlog/entries.ts";
import { fold } from "../../src/kernel/boatlog/fold.ts";
import { make, read, type SnapshotBody } from "../../src/kernel/boatlog/snapshot.ts";
import { view } from "../../src/kernel/boatlog/view.ts";
import { Keeper } from "../../src/store/keeper.ts";
import { MemoryStore } from "../../src/store/memory.ts";
import type { Store } from "../../src/store/store.ts";
import { TripLog, type Act } from "../../src/store/trip_log.ts";
import { exchange, type Wire } from "../../src/sync/exchange.ts";
import { Problem, Unreachable, type RequestOptions } from "../../src/sync/server.ts";

export type Random = () => number;

/** Marsaglia's xorshift on 32 bits: repeatable, and good enough to shuffle with. */
export function seeded(seed: number): Random {
  let state = (seed * 2654435761 + 1) >>> 0 || 1;
  return () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
}
const below = (random: Random, n: number): number => Math.floor(random() * n);
const one = <T>(random: Random, from: readonly T[]): T => from[below(random, from.length)]!;
const some = <T>(random: Random, from: readonly T[]): T[] => from.filter(() => random() < 0.6);
function shuffled<T>(random: Random, from: readonly T[]): T[] {
  const left = [...from];
  return from.map(() => left.splice(below(random, left.length), 1)[0]!);
}

/** The battery is out: nothing of this process runs on. */
class Crashed extends Error {}

/** A disk under a store: it may die with the phone before or after any one write, or refuse a few and then work again. */
class Disk {
  /** Writes until the phone dies; whether that one still reaches the disk. */
  dieIn: number | null = null;
  dieAfter = false;
  /** Writes that fail without any crash. */
  refuse = 0;
  dead = false;

  constructor(readonly store: MemoryStore) {}

  async write<T>(work: () => Promise<T>): Promise<T> {
    if (this.dead) throw new Crashed();
    if (this.refuse > 0) {
      this.refuse -= 1;
      throw new Error("the disk refuses");
    }
    const last = this.dieIn !== null && this.dieIn-- <= 0;
    if (last && !this.dieAfter) this.die();
    const done = await work();
    if (last) this.die();
    return done;
  }

  private die(): never {
    this.dead = true;
    throw new Crashed();
  }

  /** The store as one process sees it; after a crash this one answers no more. */
  open(): Store {
    const { store } = this;
    const alive = <T>(work: () => Promise<T>): Promise<T> => (this.dead ? Promise.reject(new Crashed()) : work());
    return {
      kind: "memory",
      snapshots: () => alive(() => store.snapshots()),
      snapshot: (trip) => alive(() => store.snapshot(trip)),
      names: (trip) => alive(() => store.names(trip)),
      device: (trip) => alive(() => store.device(trip)),
      head: (device) => alive(() => store.head(device)),
      entries: (trip) => alive(() => store.entries(trip)),
      unsent: (trip, most) => alive(() => store.unsent(trip, most)),
      cursor: (trip) => alive(() => store.cursor(trip)),
      pieces: (trip) => alive(() => store.pieces(trip)),
      keepPiece: (...all) => this.write(() => store.keepPiece(...all)),
      dropPieces: (...all) => this.write(() => store.dropPieces(...all)),
      strays: (trip) => alive(() => store.strays(trip)),
      keepStrays: (...all) => this.write(() => store.keepStrays(...all)),
      putTrip: (...all) => this.write(() => store.putTrip(...all)),
      putNames: (...all) => this.write(() => store.putNames(...all)),
      append: (...all) => this.write(() => store.append(...all)),
      receive: (...all) => this.write(() => store.receive(...all)),
      mark: (...all) => this.write(() => store.mark(...all)),
      offerAllAgain: (...all) => this.write(() => store.offerAllAgain(...all)),
      close: () => {},
    };
  }
}

/** A line on which requests are lost on either way, arrive twice, arrive late, or break off in the middle of a batch. */
class Line implements Wire {
  broken = true;
  private readonly late: (() => Promise<unknown>)[] = [];

  constructor(
    private readonly wire: Wire,
    private readonly random: Random,
    private readonly tally: Tally,
  ) {}

  async get<T>(path: string, options: RequestOptions): Promise<T> {
    if (this.broken && this.random() < 0.15) return this.lost("asked");
    await this.deliverLate();
    const answer = await this.wire.get<T>(path, options);
    if (this.broken && this.random() < 0.1) return this.lost("answer");
    return answer;
  }

  async post<T>(path: string, body: Readonly<Record<string, unknown>>, options: RequestOptions): Promise<T> {
    const fate = this.broken ? this.random() : 1;
    if (fate < 0.1) return this.lost("asked");
    if (fate < 0.2) {
      this.late.push(() => this.wire.post(path, body, options));
      return this.lost("late");
    }
    if (fate < 0.3) {
      const entries = body["entries"] as Entry[];
      await this.wire.post(path, { ...body, entries: entries.slice(0, below(this.random, entries.length)), head: null }, options);
      return this.lost("half");
    }
    await this.deliverLate();
    const answer = await this.wire.post<T>(path, body, options);
    if (fate < 0.4) {
      this.tally.count("twice");
      return this.wire.post<T>(path, body, options);
    }
    if (fate < 0.55) return this.lost("answer");
    return answer;
  }

  /** Whatever was held back arrives now, in another order. */
  async deliverLate(): Promise<void> {
    for (const send of shuffled(this.random, this.late.splice(0))) await send().catch(() => {});
  }

  private lost(what: string): never {
    this.tally.count(what);
    throw new Unreachable();
  }
}

export class Tally {
  readonly counts: Record<string, number> = {};
  count(what: string): void {
    this.counts[what] = (this.counts[what] ?? 0) + 1;
  }
}

export interface Enrolled {
  readonly device: string;
  readonly token: string;
}

interface Phone {
  readonly enrolled: Enrolled;
  disk: Disk;
  log: TripLog;
  /** A second window of the same phone on the same disk; null: it has one. */
  other: TripLog | null;
  clock: number;
  /** Hashes kept beside the database, which a crash leaves. */
  beside: string;
  /** Written while the disk refused: the screen says of them that they are in memory only, and a crash takes them. */
  inMemory: string[];
}

export interface World {
  readonly snapshot: SnapshotBody;
  readonly phones: readonly Enrolled[];
  readonly wire: Wire;
  /** What the server holds at the end. */
  readonly held: () => Promise<readonly Entry[]>;
  /** Sets the server back to what it held some time ago, under a new epoch; null where this server cannot be. */
  readonly restore: (() => void) | null;
  /** Takes a phone off the trip; null where this server cannot. */
  readonly takeOff: ((phone: Enrolled) => void) | null;
  readonly steps: number;
}

const MINUTE = 60_000;

/** As text, whatever order the keys came in. */
function inOrder(value: unknown): string {
  const sorted = (_key: string, each: unknown) =>
    typeof each === "object" && each !== null && !Array.isArray(each) ? Object.fromEntries(Object.entries(each).sort(([a], [b]) => (a < b ? -1 : 1))) : each;
  return JSON.stringify(value, sorted);
}

/** Runs one schedule; throws where an entry was lost or two phones end apart. Answers the log that all hold. */
export async function sail(seed: number, world: World, tally: Tally): Promise<{ readonly held: readonly Entry[]; readonly forgotten: ReadonlySet<string> }> {
  const random = seeded(seed);
  const { snapshot } = world;
  const line = new Line(world.wire, random, tally);
  const start = snapshot.starts_at ?? snapshot.made_at;
  const acknowledged = new Set<string>();
  const takenOff = new Set<string>();
  /** In memory only when the phone died: handed on before, such an entry is the other side of a fork, and both are kept. */
  const forgotten = new Set<string>();
  const phones: Phone[] = [];
  for (const enrolled of world.phones) {
    const disk = new Disk(new MemoryStore());
    await disk.store.putTrip(
      { trip: snapshot.trip, hash: make(snapshot).hash, snapshot, storedAt: start },
      { trip: snapshot.trip, names: {}, labels: {} },
      { trip: snapshot.trip, ...enrolled, label: "Phone", key: null },
    );
    const wrong = random() < 0.3 ? Math.round((random() - 0.5) * 120 * MINUTE) : Math.round((random() - 0.5) * 4000);
    const phone = { enrolled, disk, clock: start + wrong, beside: "", inMemory: [] as string[] } as Phone;
    await boot(phone, random);
    phones.push(phone);
  }

  async function boot(phone: Phone, draw: Random): Promise<void> {
    const disk = Object.assign(new Disk(phone.disk.store), { dieIn: null });
    const machine = {
      now: () => (phone.clock += 1 + below(draw, 400)),
      random: (bytes: number) => Uint8Array.from({ length: bytes }, () => below(draw, 256)),
      inMemory: { read: () => phone.beside, keep: (_: string, text: string) => void (phone.beside = text) },
    };
    const open = async (): Promise<TripLog> => {
      const log = await TripLog.open(new Keeper(async () => disk.open(), (work) => work()), snapshot.trip, machine);
      if (log === null) throw new Error("the trip is gone from the disk");
      return log;
    };
    Object.assign(phone, { disk, log: await open(), other: draw() < 0.3 ? await open() : null, inMemory: [] });
  }

  /** One of the phone's windows; the other one's writes are told to it, or not yet. */
  async function windowOf(phone: Phone): Promise<TripLog> {
    if (phone.other === null || random() < 0.5) return phone.log;
    if (random() < 0.5) await phone.other.reread();
    tally.count("other window");
    return phone.other;
  }

  /** Work of one phone, which may die in it: then it starts again from its disk. */
  async function doing(phone: Phone, work: () => Promise<void>): Promise<void> {
    try {
      await work();
    } catch (error) {
      const expected = phone.disk.dead || error instanceof Unreachable || (error instanceof Problem && error.status === 403);
      // A disk that refuses twice in a row breaks off a round, as a dead handle does.
      if (!expected && !(error instanceof Error && error.message === "the disk refuses")) throw error;
    }
    if (!phone.disk.dead) {
      const onDisk = new Set((await phone.disk.store.entries(snapshot.trip)).map(({ id }) => id));
      for (const id of phone.inMemory) {
        if (onDisk.has(id)) acknowledged.add(id);
        // Meanwhile the other window may write in the same place: a fork that is reported.
        else if (phone.other !== null) forgotten.add(id);
      }
      phone.inMemory = phone.inMemory.filter((id) => !onDisk.has(id));
      return;
    }
    tally.count("crash");
    for (const id of phone.inMemory) forgotten.add(id);
    await boot(phone, random);
  }

  async function write(phone: Phone): Promise<void> {
    const written = await (await windowOf(phone)).write(act(phone));
    // What a phone says while it dies, nobody has read.
    if (!phone.disk.dead) phone.inMemory.push(written.id);
  }

  function act(phone: Phone): Act {
    const people = snapshot.people.map((person) => person.id);
    const dive = one(random, snapshot.dives);
    const team = one(random, dive.teams);
    const by = one(random, people);
    const at = random() < 0.2 ? { at: phone.clock - below(random, 30) * MINUTE } : {};
    const more = { by, ...at };
    const about = { team: team.id, dive: dive.id };
    const own = phone.log.entries.filter(({ entry }) => entry.kind === "down");
    switch (below(random, 9)) {
      case 0:
        return { ...more, kind: "deck_accepted", subject: one(random, people), data: { from: null } };
      case 1:
      case 2:
        return { ...more, kind: "down", subject: team.id, data: { dive: dive.id, members: [...team.members] } };
      case 3:
        return { ...more, kind: "surfaced", subject: team.id, data: { dive: dive.id, people: [one(random, team.members)] } };
      case 4:
        return { ...more, kind: "surfaced_alone", subject: one(random, team.members), data: about };
      case 5:
        return { ...more, kind: "back_aboard", subject: one(random, people) };
      case 6: {
        const depth = { unit: snapshot.units.depth, hundredths: 100 * (5 + below(random, 30)) };
        return { ...more, kind: "depth_reported", subject: one(random, team.members), data: { dive: dive.id, depth } };
      }
      case 7:
        if (own.length > 0) {
          const { entry } = one(random, own);
          return { by, kind: "correction", subject: entry.subject, corrects: entry.id, data: { reason: "mistyped", void: true }, text: "that was another team" };
        }
        return { ...more, kind: "note", subject: snapshot.trip, text: "wind from the west" };
      default:
        return { ...more, kind: "note", subject: snapshot.trip, text: `seen at ${below(random, 1000)}` };
    }
  }

  /** One phone hands what it has to another, with no network: any order, some of it twice, some not at all. */
  async function meet(from: Phone, to: Phone): Promise<void> {
    const given = shuffled(random, some(random, from.log.entries));
    const cursor = (await to.log.cursor()) ?? { trip: snapshot.trip, epoch: null, after: 0 };
    await to.log.receive([...given, ...some(random, given)].map((stored) => ({ ...stored, sent: 0 as const })), cursor);
    tally.count("met");
  }

  const meetServer = async (phone: Phone) => {
    const windows = phone.other !== null && random() < 0.5 ? [phone.log, phone.other] : [await windowOf(phone)];
    // Both at once, as two windows in sight do.
    const ends = await Promise.allSettled(windows.map((log) => exchange(log, line, () => phone.clock)));
    for (const end of ends) if (end.status === "rejected") throw end.reason;
  };
  const round = (phone: Phone) => doing(phone, () => meetServer(phone));
  for (let step = 0; step < world.steps; step += 1) {
    for (const phone of phones) phone.clock += below(random, 2 * MINUTE);
    const phone = one(random, phones);
    const fate = random();
    if (fate < 0.06) Object.assign(phone.disk, { dieIn: below(random, 3), dieAfter: random() < 0.5 });
    else if (fate < 0.1) phone.disk.refuse = 1 + below(random, 4);
    else if (fate < 0.14) phone.clock += Math.round((random() - 0.5) * 40 * MINUTE);
    else if (fate < 0.2) await doing(phone, () => meet(one(random, phones), phone));
    else if (fate < 0.22 && world.restore !== null) world.restore();
    else if (fate < 0.225 && world.takeOff !== null && takenOff.size + 2 < phones.length) {
      world.takeOff(phone.enrolled);
      takenOff.add(phone.enrolled.device);
    } else if (fate < 0.7) await doing(phone, () => write(phone));
    else await Promise.all(some(random, phones).map(round));
  }

  // Back in port: the line holds, the disks work, and every phone meets the server until nothing is new.
  await line.deliverLate();
  line.broken = false;
  for (const phone of phones) Object.assign(phone.disk, { dieIn: null, refuse: 0 });
  for (let again = 0; again < 3; again += 1) for (const phone of phones) for (const log of [phone.log, phone.other]) if (log !== null) await doing(phone, async () => void (await exchange(log, line, () => phone.clock)));
  for (const { log } of phones) await log.reread();

  const held = await world.held();
  const there = new Set(held.map((entry) => entry.id));
  if (there.size !== held.length) throw new Error("the server holds an entry twice");
  const missing = [...acknowledged].filter((id) => !there.has(id));
  if (missing.length > 0) throw new Error(`${missing.length} entries that were acknowledged are lost: ${missing.join(", ")}`);
  const now = start + 24 * 60 * MINUTE;
  const fromNothing = inOrder(view(fold(read(snapshot), held), now));
  for (const phone of phones) {
    if (takenOff.has(phone.enrolled.device)) continue;
    const here = new Set(phone.log.entries.map((stored) => stored.id));
    if (here.size !== there.size || [...here].some((id) => !there.has(id))) throw new Error(`${phone.enrolled.device} holds ${here.size} of ${there.size}`);
    if (phone.log.onlyHere > 0 || phone.log.onlyInMemory > 0) throw new Error(`${phone.enrolled.device} still keeps something alone`);
    if (inOrder(phone.log.view(now)) !== fromNothing) throw new Error(`${phone.enrolled.device} sees another deck than the fold from nothing`);
  }
  for (const phone of phones) {
    const chain = held.filter((entry) => entry.device === phone.enrolled.device);
    const trouble = check(chain).filter(({ entries }) => !entries.some((id) => forgotten.has(id)));
    if (trouble.length > 0) throw new Error(`the chain of ${phone.enrolled.device} is broken: ${JSON.stringify(trouble)}`);
  }
  tally.counts["acknowledged"] = (tally.counts["acknowledged"] ?? 0) + acknowledged.size;
  return { held, forgotten };
}
