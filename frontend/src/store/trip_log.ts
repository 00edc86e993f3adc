import { append as extend, isUnaltered, type Draft } from "../kernel/boatlog/chain.ts";
import { ownError, ownOffset } from "../kernel/boatlog/claims.ts";
import { compare, receive as clockAfter, type Clock } from "../kernel/boatlog/clock.ts";
import { moved } from "../kernel/boatlog/corrections.ts";
import { dataProblems, markOf, textHash, uuid7, type Entry } from "../kernel/boatlog/entries.ts";
import { add, fold, type State } from "../kernel/boatlog/fold.ts";
import { lastOffset, type Offset } from "../kernel/boatlog/offsets.ts";
import { ENTRY } from "../kernel/boatlog/schema.ts";
import { boatsOfTrip, read, type Snapshot } from "../kernel/boatlog/snapshot.ts";
import { view, type View } from "../kernel/boatlog/view.ts";
import { ClockWatch, type Watching } from "./clock_watch.ts";
import type { Keeper } from "./keeper.ts";
import { withShore, type Cursor, type DeviceRecord, type Head, type NamesRecord, type SnapshotRecord, type StoredEntry, type StrayRecord, type Text } from "./records.ts";
import { ownEnd } from "./own_end.ts";
import { emptyHead, withNews, type Store } from "./store.ts";
import { tellOtherWindows } from "./windows.ts";

/** What a screen asks to be written, every time in it by the log's clock: the rest (id, clock, chain) is the phone's business. */
export interface Act {
  readonly by: string | null;
  readonly kind: string;
  readonly subject: string;
  readonly data?: Readonly<Record<string, unknown>>;
  /** When it happened, if that is not now. */
  readonly at?: number;
  readonly corrects?: string;
  readonly text?: string;
}

interface Machine extends Watching {
  readonly random: (bytes: number) => Uint8Array<ArrayBuffer>;
  /** Of several boats the one that this phone is on, kept by trip. */
  readonly boat?: Beside;
  /** The hashes of what was written while the disk took nothing, so that after a crash the phone knows it for its own. */
  readonly inMemory?: Beside;
}

interface Beside {
  readonly read: (trip: string) => string | null;
  readonly keep: (trip: string, text: string) => void;
}

/** What is about the boat on which it is entered, unless it says of which; whoever is transferred goes to another one. */
const ofThisBoat = (kind: string): boolean => kind !== "transferred" && "boat" in (ENTRY.$defs?.[kind]?.properties ?? {});

const KEEP_SHORE_MS = 60_000;
/** As many letters as a hundred hashes have: what is written in memory comes home within a few, or never. */
const KEEP_HASHES = 6_500;

/** One trip on this phone: what is stored, folded, with the writer for it. The screen changes only after the disk has it. */
export class TripLog {
  private stored: ReadonlyMap<string, StoredEntry>;
  private folded: State;
  private cached: View | null = null;
  /** The latest stamp met in entries from elsewhere: what this phone writes after reading them is stamped later. */
  private met: Clock | null = null;
  private readonly listeners = new Set<() => void>();
  /** Over the clock of a phone that writes. */
  private readonly watch: ClockWatch | null;
  private chosen: string | null = null;
  private shoreKept = 0;

  private constructor(
    private readonly keeper: Keeper,
    private readonly machine: Machine,
    readonly record: SnapshotRecord,
    private namesRecord: NamesRecord,
    readonly device: DeviceRecord | null,
    entries: readonly StoredEntry[],
  ) {
    this.stored = new Map(entries.map((one) => [one.id, one]));
    this.folded = fold(read(record.snapshot), entries.map((one) => one.entry));
    this.meet(entries);
    this.chosen = machine.boat?.read(record.trip) ?? null;
    this.watch = device === null ? null : new ClockWatch(this, machine);
  }

  /** Null when the trip is not on this phone. */
  static async open(keeper: Keeper, trip: string, machine: Machine): Promise<TripLog | null> {
    const [record, names, device] = await keeper.use((store) => Promise.all([store.snapshot(trip), store.names(trip), store.device(trip)]));
    if (record === null) return null;
    if (device !== null) await keeper.learnHead(device.device);
    const entries = await keeper.entries(trip);
    const log = new TripLog(keeper, machine, record, names ?? { trip, names: {}, labels: {} }, device, entries);
    if (device !== null) keeper.onEmptied(device.device, (store, head) => log.storeAgain(store, head));
    await log.watch?.opened();
    return log;
  }

  get trip(): string {
    return this.record.trip;
  }
  get snapshot(): Snapshot {
    return this.folded.snapshot;
  }
  get state(): State {
    return this.folded;
  }
  get labels(): NamesRecord["labels"] {
    return this.namesRecord.labels;
  }
  /** Who ashore expects the boat, as the server had it at `at` (ms, its time): it may change while the boat is out. */
  async expect(told: NamesRecord["labels"], at: number): Promise<void> {
    const labels = withShore(this.labels, told, at);
    const same = JSON.stringify(labels) === JSON.stringify({ ...this.labels, ashore_at: at });
    this.namesRecord = { ...this.namesRecord, labels };
    // A round is made every few seconds: the same again goes to the disk once in a while only.
    if (same && at - this.shoreKept < KEEP_SHORE_MS) return;
    this.shoreKept = at;
    // A disk that does not take it keeps no entry from being handed in: it is shown all the same.
    await this.keeper.use((store) => store.putNames(this.namesRecord)).catch(() => {});
    if (!same) this.tell();
  }

  get entries(): readonly StoredEntry[] {
    return [...this.stored.values()];
  }
  /** Of several boats the one that this phone is on; null: one boat goes, or nobody has said. */
  get boat(): string | null {
    return this.chosen !== null && boatsOfTrip(this.snapshot).includes(this.chosen) ? this.chosen : null;
  }
  isOn(boat: string): void {
    this.chosen = boat;
    this.machine.boat?.keep(this.trip, boat);
    this.tell();
  }
  /** Entries that no server has confirmed: they are on this phone alone. */
  get onlyHere(): number {
    let n = 0;
    for (const one of this.stored.values()) if (one.sent !== 1) n += 1;
    return n;
  }
  get refused(): number {
    let n = 0;
    for (const one of this.stored.values()) if (one.sent === 2) n += 1;
    return n;
  }
  /** Entries that are not even on this phone's disk. */
  get onlyInMemory(): number {
    return this.keeper.onlyInMemory;
  }

  /** Of several that claim one id, one that is as it was written. */
  entry(id: string): Entry | undefined {
    const all = this.folded.byId.get(id) ?? [];
    return (all.length > 1 ? all.find(isUnaltered) : undefined) ?? this.stored.get(id)?.entry;
  }

  /** A person's name; of someone who joined on the quay it stands beside their entry. */
  name(person: string): string {
    const known = this.namesRecord.names[person];
    if (known !== undefined) return known;
    for (const { entry, text } of this.stored.values()) if (entry.kind === "joined" && entry.subject === person && text !== null) return text.text;
    return "a person without a name here";
  }

  /** The log's time when this phone's own clock says `ownMs`: a clock known to be wrong is put right. */
  reckoned(ownMs: number): number {
    return ownMs + this.offset;
  }

  /** How far that may be off (ms). */
  get unsureMs(): number {
    return this.device === null ? 0 : ownError(this.folded, this.device.device);
  }

  /**
   * How long this phone slept or was closed since its clock was last known to be right (ms). Its clock may have been set
   * forward by as much meanwhile: a wait must not count on that time until somebody says what time it is.
   */
  get asleepMs(): number {
    return this.watch?.asleepMs ?? 0;
  }

  /** Somebody says that the clock is right: what looked like a sleep was one. */
  clockIsRight(): void {
    this.watch?.isRight();
  }

  /** Somebody says that it is not: by how much of the sleep it was set forward, nobody knows. */
  async clockWasSet(): Promise<void> {
    await this.watch?.wasSet();
  }

  /** What this phone last wrote of its own clock; null: it was never compared. */
  get compared(): Offset | null {
    return this.device === null ? null : lastOffset(this.folded, this.device.device);
  }

  private get offset(): number {
    return this.device === null ? 0 : ownOffset(this.folded, this.device.device);
  }

  /** The view at `now` by the log's time (see `reckoned`). */
  view(now: number): View {
    if (this.cached === null || this.cached.at !== now) this.cached = view(this.folded, now);
    return this.cached;
  }

  /** Notices that this phone's clock was moved since it was last right: by how much is written before anything else is. */
  async lookAtClock(): Promise<void> {
    await this.watch?.look();
  }

  async write(act: Act): Promise<Entry> {
    await this.lookAtClock();
    this.watch?.writes();
    return this.put(act);
  }

  /** Writes down that this phone's clock was moved. */
  putStep(offset: Offset): Promise<Entry> {
    return this.put({ by: null, kind: "clock_compared", subject: this.device?.device ?? "", data: { ...offset, how: "step" } });
  }

  private async put(act: Act): Promise<Entry> {
    const device = this.device;
    if (device === null) throw new Error("This phone is not enrolled for the trip.");
    const { offset } = this;
    const now = this.machine.now();
    // Stamped by the log's time: a clock known to be fast would place what it writes after everyone else's.
    const stamp = Math.max(0, now + (act.kind === "clock_compared" ? Number(act.data?.["offset_ms"]) : offset));
    const random = this.machine.random(10);
    const id = uuid7(stamp, random);
    const text: Text | null = act.text === undefined ? null : { salt: hex(this.machine.random(16)), text: storable(act.text) };
    const draft: Draft = {
      trip: this.trip,
      device: device.device,
      by: act.by,
      // An entry keeps this phone's own clock throughout: whoever reads it puts all of it right alike.
      at: act.at === undefined ? now : act.at - offset,
      kind: act.kind,
      subject: act.subject,
      data: moved(this.withBoat(act), -offset),
      ...(text === null ? {} : { text_hash: textHash(text.salt, text.text) }),
      ...(act.corrects === undefined ? {} : { corrects: act.corrects }),
    };
    // What no phone would understand must not look written: it would change nothing on any deck.
    const [wrong] = dataProblems(draft);
    if (wrong !== undefined) throw new Error(`This cannot be entered: ${act.kind}${wrong.pointer} ${wrong.message}.`);
    const stored = await this.keeper.append(device.device, id, (head) => ({
      entry: extend(head.hash === null ? null : { seq: head.seq, hash: head.hash }, later(head.hash === null ? null : head.clock, this.met), stamp, random, draft),
      text,
    }));
    if (this.onlyInMemory > 0) this.machine.inMemory?.keep(this.trip, `${this.machine.inMemory.read(this.trip) ?? ""} ${stored.entry.hash}`.slice(-KEEP_HASHES));
    this.take([stored]);
    tellOtherWindows(this.trip);
    return stored.entry;
  }

  private withBoat({ kind, data = {} }: Act): Readonly<Record<string, unknown>> {
    return this.boat === null || !ofThisBoat(kind) || "boat" in data ? data : { ...data, boat: this.boat };
  }

  unsent(most: number): Promise<readonly StoredEntry[]> {
    return this.keeper.unsent(this.trip, most);
  }

  /** Notes what the server answered in `epoch`: it holds these entries (1) or refused them (2). */
  async mark(epoch: string, ids: readonly string[], sent: 1 | 2): Promise<void> {
    const noted = await this.keeper.mark(this.trip, epoch, ids, sent).catch(async (error: unknown) => {
      // What is in memory alone was noted there.
      await this.reread().catch(() => {});
      throw error;
    });
    if (!noted) return;
    const next = new Map(this.stored);
    for (const id of ids) {
      const there = next.get(id);
      if (there !== undefined) next.set(id, { ...there, sent });
    }
    this.stored = next;
    this.tell();
  }

  /** Union with what came from elsewhere; `cursor` null: not from the server. */
  async receive(entries: readonly StoredEntry[], cursor: Cursor | null): Promise<void> {
    let kept = this.apart(entries);
    const fresh = await this.keeper.use(async (store) => store.receive(kept, cursor, await this.cameBack(store, kept)));
    if (kept.some((one) => !this.stored.has(one.id) && !fresh.includes(one))) {
      // Another window took some of these in: of one id it may hold the other copy.
      await this.reread();
      kept = this.apart(entries);
      await this.keeper.use((store) => store.receive(kept, cursor));
    }
    if (kept.length > 0) {
      this.take(kept);
      tellOtherWindows(this.trip);
    }
  }

  /** The end of this phone's own chain on the disk, where entries that only memory held take it further. */
  private async cameBack(store: Store, kept: readonly StoredEntry[]): Promise<Head | undefined> {
    const { device } = this.device ?? {};
    const own = this.machine.inMemory?.read(this.trip) ?? "";
    // A database that was thrown away is known by a chain that ends too early: then the whole trip is stored again.
    if (device === undefined || own === "" || kept.every(({ entry }) => entry.device !== device) || (await store.device(this.trip)) === null) return undefined;
    return ownEnd(device, own, (await store.head(device)) ?? emptyHead(device), [...(await store.entries(this.trip)), ...kept]);
  }

  /** An entry is one by its mark, not by its id: a copy that says something else is kept beside the first, under both. */
  private apart(entries: readonly StoredEntry[]): readonly StoredEntry[] {
    const first = new Map<string, string>();
    return entries.map((one) => {
      const there = this.stored.get(one.id);
      const mark = markOf(one.entry);
      const known = there === undefined ? (first.get(one.id) ?? mark) : markOf(there.entry);
      first.set(one.id, known);
      return known === mark ? one : { ...one, id: `${one.entry.id} ${mark}` };
    });
  }

  /** What other phones' pictures held that is no entry here, as it came. */
  strays(): Promise<readonly StrayRecord[]> {
    return this.keeper.use((store) => store.strays(this.trip));
  }

  keepStrays(strays: readonly StrayRecord[]): Promise<void> {
    return strays.length === 0 ? Promise.resolve() : this.keeper.use((store) => store.keepStrays(strays));
  }

  cursor(): Promise<Cursor | null> {
    return this.keeper.use((store) => store.cursor(this.trip));
  }

  async offerAllAgain(epoch: string): Promise<void> {
    await this.keeper.offerAllAgain({ trip: this.trip, epoch, after: 0 });
    this.stored = new Map([...this.stored].map(([id, one]) => [id, { ...one, sent: 0 as const }]));
    this.tell();
    tellOtherWindows(this.trip);
  }

  private async storeAgain(store: Store, head: Head): Promise<void> {
    // Another window may have joined anew meanwhile.
    await store.putTrip(this.record, this.namesRecord, (await store.device(this.trip)) ?? this.device, this.entries);
    await store.receive([], null, head);
  }

  async bringHome(): Promise<void> {
    await this.keeper.bringHome();
    if (this.device !== null) await this.keeper.fillAgain(this.device.device);
  }

  /** Reads again what another window of this phone wrote. */
  async reread(): Promise<void> {
    this.take(await this.keeper.entries(this.trip), true);
  }

  subscribe(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  tell(): void {
    for (const listener of this.listeners) listener();
  }

  private meet(entries: readonly StoredEntry[]): void {
    const now = this.reckoned(this.machine.now());
    for (const one of entries) this.met = clockAfter(this.met, one.entry.clock, now);
  }

  /** `read`: as they are stored, so that what is no longer known to be at the server is not said to be. */
  private take(entries: readonly StoredEntry[], read = false): void {
    const next = new Map(this.stored);
    const fresh: StoredEntry[] = [];
    let changed = false;
    for (const one of entries) {
      const there = next.get(one.id);
      if (there === undefined) {
        this.folded = add(this.folded, one.entry);
        fresh.push(one);
      }
      const now = there === undefined || (read && there.sent !== one.sent) ? one : withNews(there, one);
      if (now === null) continue;
      next.set(one.id, now);
      changed = true;
    }
    if (!changed) return;
    this.meet(fresh);
    // What was compared before says nothing of a sleep since.
    const own = fresh.filter(({ entry }) => entry.kind === "clock_compared" && entry.device === this.device?.device);
    if (own.length > 0) this.watch?.settle();
    this.stored = next;
    this.cached = null;
    // Compared with another clock, not with itself.
    if (own.some(({ entry }) => entry.data["how"] !== "step")) return this.clockIsRight();
    this.tell();
  }
}

function later(left: Clock | null, right: Clock | null): Clock | null {
  if (left === null || right === null) return left ?? right;
  return compare(left, right) >= 0 ? left : right;
}

function hex(bytes: Uint8Array): string {
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Text as every database and line keeps it: half letters, as a cut emoji leaves them, and null characters are replaced. */
export function storable(text: string): string {
  return [...text].map((letter) => (letter === "\0" || /^[\ud800-\udfff]$/.test(letter) ? "\ufffd" : letter)).join("");
}
