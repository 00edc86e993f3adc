import { MemoryStore } from "./memory.ts";
import type { Head, MakeEntry, StoredEntry } from "./records.ts";
import { headAfter, type Store } from "./store.ts";

type Lock = <T>(work: () => Promise<T>) => Promise<T>;

/**
 * Writes for one phone. A database that fails is opened again and asked once more; if it fails still, the entry is kept
 * in memory, `onlyInMemory` says so, and every later write first tries to bring it home.
 */
export class Keeper {
  private store: Store | null = null;
  private readonly spare = new MemoryStore();
  private homeless: StoredEntry[] = [];
  private lastHead: Head | null = null;

  constructor(
    private readonly open: (onLost: () => void) => Promise<Store>,
    private readonly lock: Lock = oneWriter,
    private readonly changed: () => void = () => {},
  ) {}

  /** How many entries would be lost if the page were closed now. */
  get onlyInMemory(): number {
    return this.homeless.length;
  }

  /** Runs `work` on the database, opening it again and trying once more if it fails. */
  async use<T>(work: (store: Store) => Promise<T>): Promise<T> {
    try {
      return await work(await this.present());
    } catch {
      this.drop();
      return work(await this.present());
    }
  }

  async append(device: string, id: string, make: MakeEntry): Promise<StoredEntry> {
    return this.lock(async () => {
      const refusal: { error?: unknown } = {};
      const guarded: MakeEntry = (head) => {
        try {
          return make(head);
        } catch (error) {
          refusal.error = error;
          throw error;
        }
      };
      try {
        await this.bringHome();
        const stored = await this.use((store) => store.append(device, id, guarded));
        this.lastHead = headAfter(device, stored);
        return stored;
      } catch (error) {
        if ("error" in refusal) throw refusal.error;
        console.error("The phone's database does not take the entry; it is kept in memory.", error);
        return this.keepInMemory(device, id, make);
      }
    });
  }

  /** Everything known about the trip, what is only in memory included. */
  async entries(trip: string): Promise<readonly StoredEntry[]> {
    const kept = await this.use((store) => store.entries(trip)).catch(() => []);
    const ids = new Set(kept.map((stored) => stored.id));
    return [...kept, ...this.homeless.filter((stored) => stored.trip === trip && !ids.has(stored.id))];
  }

  /** Tells the keeper where the chain ends, so that memory could go on from there. */
  async learnHead(device: string): Promise<void> {
    this.lastHead = await this.use((store) => store.head(device)).catch(() => null);
  }

  async bringHome(): Promise<void> {
    const head = this.lastHead;
    if (this.homeless.length === 0 || head === null) return;
    const waiting = this.homeless;
    await this.use((store) => store.receive(waiting, null, head));
    this.homeless = [];
    this.changed();
  }

  private async keepInMemory(device: string, id: string, make: MakeEntry): Promise<StoredEntry> {
    if (this.lastHead !== null && this.lastHead.device === device) await this.spare.receive([], null, this.lastHead);
    const stored = await this.spare.append(device, id, make);
    if (!this.homeless.some((other) => other.id === stored.id)) this.homeless = [...this.homeless, stored];
    this.lastHead = headAfter(device, stored);
    this.changed();
    return stored;
  }

  private async present(): Promise<Store> {
    this.store ??= await this.open(() => {
      this.store = null;
    });
    return this.store;
  }

  private drop(): void {
    try {
      this.store?.close();
    } catch {
      // A dead connection may refuse even this.
    }
    this.store = null;
  }
}

/** One writer per phone, whatever tabs are open; browsers without locks still serialise the transactions themselves. */
const oneWriter: Lock = (work) => alone("teamdive-writer", work);

/** No other window of this phone does work of that name meanwhile. */
export async function alone<T>(name: string, work: () => Promise<T>): Promise<T> {
  if (typeof navigator === "undefined" || navigator.locks === undefined) return work();
  return (await navigator.locks.request(name, work)) as T;
}
