import { MemoryStore } from "./memory.ts";
import type { Cursor, Head, MakeEntry, StoredEntry } from "./records.ts";
import { headAfter, type Store } from "./store.ts";

type Lock = <T>(work: () => Promise<T>) => Promise<T>;

/** A database that has not answered by then is taken for dead (our own choice: a slow disk takes a second or two). */
const ANSWER_MS = 5_000;
/** How long a window waits for another one that holds the writer's place: the database puts them in order too. */
const TURN_MS = 2_000;

/** The database did not answer: it may do the work yet. */
class NoAnswer extends Error {}

/** The chain on the disk ends before where it ended already: the browser threw the database away and began a new one. */
class Emptied extends Error {}

/**
 * Writes for one phone. A database that fails is opened again and asked once more; if it fails still, the entry is kept
 * in memory, `onlyInMemory` says so, and every later write first tries to bring it home.
 */
export class Keeper {
  private store: Store | null = null;
  private opening: Promise<Store> | null = null;
  private readonly spare = new MemoryStore();
  private homeless: readonly StoredEntry[] = [];
  /** In which of its epochs the server answered about an entry that only memory holds. */
  private readonly answered = new Map<string, string>();
  /** Where each chain ends that this window knows: a phone has one for every trip. */
  private readonly heads = new Map<string, Head>();
  /** How a trip is stored again from memory, by the phone's own chain in it. */
  private readonly refills = new Map<string, (store: Store, head: Head) => Promise<void>>();
  /** The database does not answer: nobody on deck waits for it again before it does. */
  private hung = false;

  constructor(
    private readonly open: (onLost: () => void) => Promise<Store>,
    private readonly lock: Lock = oneWriter,
    private readonly changed: () => void = () => {},
    private readonly answerMs = ANSWER_MS,
  ) {}

  /** How many entries would be lost if the page were closed now. */
  get onlyInMemory(): number {
    return this.homeless.filter(({ sent }) => sent !== 1).length;
  }

  /** Runs `work` on the database, opening it again and trying once more if it fails. */
  async use<T>(work: (store: Store) => Promise<T>): Promise<T> {
    try {
      return await this.once(work);
    } catch {
      this.drop();
      return this.once(work);
    }
  }

  async append(device: string, id: string, make: MakeEntry): Promise<StoredEntry> {
    return this.lock(async () => {
      const refusal: { error?: unknown } = {};
      let before: { readonly hash: string | null; readonly made: ReturnType<MakeEntry> } | null = null;
      const guarded: MakeEntry = (head) => {
        if (head.seq < (this.heads.get(device)?.seq ?? 0)) throw new Emptied("The phone's database is not the one it was.");
        // Another window may have written: should the database fall silent now, memory goes on from here.
        this.heads.set(device, head);
        try {
          // Made once on one head: what a database writes late must be what memory kept meanwhile.
          if (before?.hash !== head.hash || before === null) before = { hash: head.hash, made: make(head) };
          return before.made;
        } catch (error) {
          refusal.error = error;
          throw error;
        }
      };
      if (this.hung) return this.keepInMemory(device, id, guarded);
      try {
        await this.bringHome();
        const append = () => this.use((store) => store.append(device, id, guarded));
        const stored = await append().catch(async (error: unknown) => {
          if (!(error instanceof Emptied)) throw error;
          await this.fillAgain(device);
          return append();
        });
        this.heads.set(device, headAfter(device, stored));
        return stored;
      } catch (error) {
        if ("error" in refusal) throw refusal.error;
        console.error("The phone's database does not take the entry; it is kept in memory.", error);
        if (error instanceof NoAnswer) this.waitForAnswer();
        // It may be read though it cannot be written: another window may have written since.
        else await this.learnHead(device).catch(() => {});
        return this.keepInMemory(device, id, guarded);
      }
    });
  }

  /** Everything known about the trip, what is only in memory included. */
  async entries(trip: string): Promise<readonly StoredEntry[]> {
    const kept = await this.use((store) => store.entries(trip));
    const ids = new Set(kept.map((stored) => stored.id));
    return [...kept, ...this.homeless.filter((stored) => stored.trip === trip && !ids.has(stored.id))];
  }

  /** What no server has, first of all what a closed page would lose. */
  async unsent(trip: string, most: number): Promise<readonly StoredEntry[]> {
    const waiting = this.homeless.filter((stored) => stored.trip === trip && stored.sent === 0);
    const kept = await this.use((store) => store.unsent(trip, most)).catch((error: unknown) => {
      if (waiting.length === 0) throw error;
      return [];
    });
    return [...waiting, ...kept].slice(0, most);
  }

  /** Whether it was noted: not where the server has begun a new epoch meanwhile, which may lack them. */
  async mark(trip: string, epoch: string, ids: readonly string[], sent: 1 | 2): Promise<boolean> {
    const inMemory = new Set(this.homeless.flatMap(({ id }) => (ids.includes(id) ? [id] : [])));
    this.homeless = this.homeless.map((stored) => (inMemory.has(stored.id) ? { ...stored, sent } : stored));
    for (const id of inMemory) this.answered.set(id, epoch);
    const onDisk = ids.filter((id) => !inMemory.has(id));
    return onDisk.length === 0 || this.use((store) => store.mark(trip, epoch, onDisk, sent));
  }

  async offerAllAgain(cursor: Cursor): Promise<void> {
    this.homeless = this.homeless.map((stored) => (stored.trip === cursor.trip ? { ...stored, sent: 0 } : stored));
    await this.use((store) => store.offerAllAgain(cursor));
  }

  /** Tells the keeper where the chain ends, so that memory could go on from there. */
  async learnHead(device: string): Promise<void> {
    const head = await this.use((store) => store.head(device));
    if (head !== null && head.seq > (this.heads.get(device)?.seq ?? 0)) this.heads.set(device, head);
  }

  /** What to do where the browser threw this chain's database away while its log is in memory still. */
  onEmptied(device: string, refill: (store: Store, head: Head) => Promise<void>): void {
    this.refills.set(device, refill);
  }

  /** Where nothing is written nobody else would notice that the database was thrown away, and offer what it held. */
  async fillAgain(device: string): Promise<void> {
    const known = this.heads.get(device);
    if (known === undefined || this.homeless.length > 0) return;
    const head = await this.use((store) => store.head(device));
    if (known.seq > (head?.seq ?? 0)) await this.use((store) => this.refills.get(device)!(store, known));
  }

  async bringHome(): Promise<void> {
    const waiting = this.homeless;
    if (waiting.length === 0) return;
    for (const device of new Set(waiting.map(({ entry }) => entry.device))) {
      const own = waiting.filter(({ entry }) => entry.device === device);
      // No further than what comes with it: an entry kept in memory meanwhile is not on the disk yet.
      await this.use((store) => store.receive(own.map((one) => ({ ...one, sent: 0 as const })), null, headAfter(device, own.at(-1)!)));
    }
    const home = new Set(waiting.map(({ id }) => id));
    // The disk knows whether another window met a later epoch, whose server may lack what was handed in from memory.
    for (const { id, trip, sent } of this.homeless) if (sent !== 0 && home.has(id)) await this.use((store) => store.mark(trip, this.answered.get(id)!, [id], sent));
    this.homeless = this.homeless.filter(({ id }) => !home.has(id));
    this.changed();
  }

  private async keepInMemory(device: string, id: string, make: MakeEntry): Promise<StoredEntry> {
    const head = this.heads.get(device);
    if (head !== undefined) await this.spare.receive([], null, head);
    const stored = await this.spare.append(device, id, make);
    if (!this.homeless.some((other) => other.id === stored.id)) this.homeless = [...this.homeless, stored];
    this.heads.set(device, headAfter(device, stored));
    this.changed();
    return stored;
  }

  /** Until the database answers again, everything goes to memory at once; then it is brought home. */
  private waitForAnswer(): void {
    if (this.hung) return;
    this.hung = true;
    const ask = (): void => {
      this.once((store) => store.snapshots())
        .then(() => {
          this.hung = false;
          return this.bringHome();
        })
        .catch(() => {
          this.drop();
          if (this.hung) setTimeout(ask, this.answerMs);
        });
    };
    ask();
  }

  private async once<T>(work: (store: Store) => Promise<T>): Promise<T> {
    let timer: ReturnType<typeof setTimeout> | undefined;
    const late = new Promise<never>((_, fail) => {
      timer = setTimeout(() => fail(new NoAnswer("The phone's database does not answer.")), this.answerMs);
    });
    try {
      return await Promise.race([this.present().then(work), late]);
    } finally {
      clearTimeout(timer);
    }
  }

  private present(): Promise<Store> {
    if (this.store !== null) return Promise.resolve(this.store);
    const opening = (this.opening ??= this.open(() => {
      this.store = null;
    }));
    return opening.then(
      (store) => {
        if (this.opening === opening) [this.store, this.opening] = [store, null];
        return store;
      },
      (error: unknown) => {
        if (this.opening === opening) this.opening = null;
        throw error;
      },
    );
  }

  private drop(): void {
    try {
      this.store?.close();
    } catch {
      // A dead connection may refuse even this.
    }
    this.store = null;
    this.opening = null;
  }
}

/** One writer per phone, whatever tabs are open; browsers without locks still serialise the transactions themselves. */
const oneWriter: Lock = (work) => alone("teamdive-writer", work);

/** No other window of this phone does work of that name meanwhile; one that keeps its place and does nothing is passed by. */
export async function alone<T>(name: string, work: () => Promise<T>): Promise<T> {
  if (typeof navigator === "undefined" || navigator.locks === undefined) return work();
  let begun = false;
  const mine = () => {
    begun = true;
    return work();
  };
  try {
    return (await navigator.locks.request(name, { signal: AbortSignal.timeout(TURN_MS) }, mine)) as T;
  } catch (error) {
    if (begun) throw error;
    return work();
  }
}
