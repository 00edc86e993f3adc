import { hasJoined } from "../store/records.ts";
import type { TripLog } from "../store/trip_log.ts";
import { BATCH, exchange, type Wire } from "./exchange.ts";
import { noteOffset } from "./own_clock.ts";
import { Problem, Unreachable } from "./server.ts";

/** What the screen says about the network, in one word each; none of them stops anything. */
export type SyncState = "not_tried" | "in_step" | "no_network" | "not_enrolled" | "taken_off" | "refused";

export interface World {
  readonly now: () => number;
  /** 0 up to 1. */
  readonly random: () => number;
  /** The page is visible and the phone believes it has a network. */
  readonly awake: () => boolean;
  readonly after: (ms: number, work: () => void) => () => void;
}

const SOON_MS = 300;
const ORDINARY_MS = 5_000;
const LONGEST_MS = 120_000;
/** A line that is lost again and again is asked for no less at once (our own choice: some four kilobytes). */
const LEAST = 25;

/** Runs rounds with the server while the page is visible and online: at once after a write, else now and then, slower after failures. */
export class SyncLoop {
  state: SyncState = "not_tried";
  /** When the last round ended, by the log's time. */
  lastGoodAt: number | null = null;
  private failures = 0;
  private running = false;
  private again = false;
  private stopped = false;
  /** How many entries at once: a weak line never carries a long message to its end. */
  private most = BATCH;
  private cancel: (() => void) | null = null;
  private readonly unsubscribe: () => void;
  private seen: number;

  constructor(
    private readonly log: TripLog,
    private readonly wire: Wire,
    private readonly world: World,
    private readonly changed: () => void,
  ) {
    this.seen = log.entries.length;
    this.unsubscribe = log.subscribe(() => {
      const count = log.entries.length;
      if (count > this.seen && log.onlyHere > 0) this.plan(SOON_MS);
      this.seen = count;
    });
    this.plan(0);
  }

  stop(): void {
    this.stopped = true;
    this.unsubscribe();
    this.cancel?.();
    this.cancel = null;
  }

  /** Something changed for the better (a network, the page in sight): try now. */
  nudge(): void {
    this.failures = 0;
    this.plan(0);
  }

  /** The wait before the next ordinary round: doubled with each failure, spread so that ten phones do not call at once. */
  wait(): number {
    const base = Math.min(LONGEST_MS, ORDINARY_MS * 2 ** this.failures);
    return base * (0.7 + 0.6 * this.world.random());
  }

  private plan(ms: number): void {
    this.cancel?.();
    // A round that was under way when the loop was stopped ends later.
    if (!this.stopped) this.cancel = this.world.after(ms, () => void this.round());
  }

  private async round(): Promise<void> {
    if (this.running) {
      this.again = true;
      return;
    }
    if (!hasJoined(this.log.device)) return this.set("not_enrolled");
    if (!this.world.awake()) {
      this.set("no_network");
      return this.plan(this.wait());
    }
    this.running = true;
    try {
      const offset = await exchange(this.log, this.wire, this.world.now, this.most);
      this.failures = 0;
      this.most = BATCH;
      this.lastGoodAt = this.log.reckoned(this.world.now());
      if (offset !== null) await noteOffset(this.log, offset);
      this.set("in_step");
    } catch (error) {
      this.failures = Math.min(this.failures + 1, 10);
      if (error instanceof Unreachable) this.most = Math.max(LEAST, this.most >> 1);
      this.set(error instanceof Problem ? ([401, 403].includes(error.status) ? "taken_off" : "refused") : "no_network");
    } finally {
      this.running = false;
      const soon = this.again;
      this.again = false;
      this.plan(soon ? SOON_MS : this.wait());
    }
  }

  private set(state: SyncState): void {
    this.state = state;
    this.changed();
  }
}
