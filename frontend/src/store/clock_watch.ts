import { STEP_MS, stepped, type Offset } from "../kernel/boatlog/offsets.ts";
import { alone } from "./keeper.ts";
import { Steady, type Clocks, type Step } from "./steady.ts";

export interface Watching {
  readonly now: () => number;
  /** A steady clock beside the one that hands can set; without it jumps go unnoticed. */
  readonly clocks?: Clocks;
  /** The latest that this phone's clock is known to have said, kept while the app is closed. */
  readonly seen?: { readonly read: (trip: string) => Seen | null; readonly keep: (trip: string, seen: Seen) => void };
}

/** What the clock said, and how long the phone had slept since its clock was last known to be right (ms). */
export interface Seen {
  readonly ms: number;
  readonly asleepMs: number;
}

/** What is needed of the log of a phone whose clock is watched. */
interface Watched {
  readonly trip: string;
  /** What this phone last wrote of its own clock; null: it was never compared. */
  readonly compared: Offset | null;
  putStep(offset: Offset): Promise<unknown>;
  reread(): Promise<void>;
  tell(): void;
}

/** How often what the clock says is kept for after a restart. */
const KEEP_SEEN_MS = 5_000;
const RIGHT: Offset = { offset_ms: 0, error_ms: 0 };

/** Whether this phone's clock was moved, in sight, asleep or closed: by how much is written before anything else is. */
export class ClockWatch {
  private readonly steady: Steady | null;
  private noting: Promise<void> | null = null;
  private kept = 0;
  /** What this window did not see itself: asleep before it opened, or closed. */
  private closedMs = 0;
  private wroteSince = false;

  constructor(
    private readonly log: Watched,
    private readonly machine: Watching,
  ) {
    this.steady = machine.clocks === undefined ? null : new Steady(machine.clocks, this.measured);
  }

  /** Takes up what was kept while the app was closed. */
  async opened(): Promise<void> {
    const seen = this.machine.seen?.read(this.log.trip) ?? null;
    if (seen !== null) this.closedMs = seen.asleepMs + Math.max(0, this.machine.now() - seen.ms);
    await this.note(() => this.stepWhileClosed());
  }

  /** See `TripLog.asleepMs`. */
  get asleepMs(): number {
    return this.closedMs + (this.steady?.asleepMs ?? 0);
  }

  isRight(): void {
    this.closedMs = 0;
    this.wroteSince = false;
    if (this.steady !== null) this.steady.asleepMs = 0;
    this.keepSeen(this.machine.now());
    this.log.tell();
  }

  async wasSet(): Promise<void> {
    const { asleepMs } = this;
    if (asleepMs === 0) return;
    const known = this.log.compared;
    // What was written before the sleep stays as sure as it was; what came since may be off as well.
    const before = this.wroteSince ? [] : [known ?? RIGHT];
    for (const offset of [...before, stepped(known, asleepMs, true)]) await this.log.putStep(offset);
    this.isRight();
  }

  /** An entry is about to be written: by a clock that may have been set in its sleep. */
  writes(): void {
    this.wroteSince ||= this.asleepMs > 0;
  }

  /** The clock was compared, or its jump written down. */
  settle(): void {
    this.steady?.settle(this.measured);
  }

  async look(): Promise<void> {
    if (this.noting === null && this.step() !== null) this.noting = this.note(() => this.step()).finally(() => (this.noting = null));
    await this.noting;
    const now = this.machine.seen === undefined ? this.kept : this.machine.now();
    if (Math.abs(now - this.kept) >= KEEP_SEEN_MS) this.keepSeen(now);
  }

  private get measured(): number {
    return this.log.compared?.offset_ms ?? 0;
  }

  private keepSeen(now: number): void {
    this.kept = now;
    this.machine.seen?.keep(this.log.trip, { ms: now, asleepMs: this.asleepMs });
  }

  private step(): Step | null {
    return this.steady?.step(this.measured) ?? null;
  }

  /** Earlier than it was already: set back by at least that while the app was closed. */
  private stepWhileClosed(): Step | null {
    const seen = this.machine.seen?.read(this.log.trip) ?? null;
    const back = seen === null ? 0 : this.machine.now() - seen.ms;
    return back < -STEP_MS ? { ms: back, awake: false } : null;
  }

  /** The offset up to the jump, so that what came before stays as sure as it was, then the one from there on. */
  private async note(look: () => Step | null): Promise<void> {
    if (look() === null) return;
    const work = async () => {
      // Another window of this phone may have written the same jump down.
      await this.log.reread();
      const step = look();
      if (step === null) return;
      const known = this.log.compared;
      for (const offset of [known ?? RIGHT, stepped(known, step.ms, step.awake)]) await this.log.putStep(offset);
      this.keepSeen(this.machine.now());
    };
    // What a person wants written must not fail because this did.
    await alone("teamdive-clock", work).catch((error: unknown) => console.error("The jump of the clock could not be written down.", error));
  }
}
