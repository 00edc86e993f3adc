import { STEP_MS } from "../kernel/boatlog/offsets.ts";

/** The phone's wall clock beside a steady one that no hand can set. Steady: ms since the page began, asleep it may stand still. */
export interface Clocks {
  readonly wall: () => number;
  readonly steady: () => number;
  /** How often the page has gone out of sight so far: it may have slept then. */
  readonly hides: () => number;
}

/** A jump of the wall clock. `awake`: the page was in sight all the while, so that no sleep explains it. */
export interface Step {
  readonly ms: number;
  readonly awake: boolean;
}

/** Notices when this phone's clock is moved: the log's time and the steady clock have to keep their distance. */
export class Steady {
  /**
   * How far (ms) the wall clock has run ahead of the steady one out of sight, since somebody last said what time it is: the
   * phone slept, or its clock was set forward meanwhile. Nothing on the phone can tell the two apart.
   */
  asleepMs = 0;
  private distance: number;
  private hides: number;

  constructor(
    private readonly clocks: Clocks,
    offsetMs: number,
  ) {
    this.distance = clocks.wall() + offsetMs - clocks.steady();
    this.hides = clocks.hides();
  }

  /** The jump since it was last right, for a clock that is `offsetMs` off as far as is known; null: none. */
  step(offsetMs: number): Step | null {
    const ms = Math.round(this.clocks.wall() + offsetMs - this.clocks.steady() - this.distance);
    const awake = this.hides === this.clocks.hides();
    if (ms > 0 && !awake) {
      this.asleepMs += ms;
      this.settle(offsetMs);
    } else if (Math.abs(ms) > STEP_MS) return { ms, awake };
    this.hides = this.clocks.hides();
    return null;
  }

  /** The clock was compared, or its jump written down: it is right by that from here on. */
  settle(offsetMs: number): void {
    this.distance = this.clocks.wall() + offsetMs - this.clocks.steady();
    this.hides = this.clocks.hides();
  }
}
