import { joined, NotAFrame, readFrame, stillMissing, type Frame, type Gathered } from "../kernel/boatlog/frames.ts";
import type { PieceRecord } from "../store/records.ts";
import { MOST_PICTURES, OtherPictures, readClock, type ClockSeen } from "./pictures.ts";
import { collect, rowsOf } from "./pieces.ts";

/** Where pieces outlast a closed app. */
export interface Kept {
  readonly here: (trip: string) => Promise<readonly PieceRecord[]>;
  readonly keep: (piece: PieceRecord) => Promise<void>;
  readonly drop: (trip: string, whole: string) => Promise<void>;
}

/**
 * Reads another phone's pictures. Every text that a camera sees goes in; each row that is whole is given to `finish`, with
 * the other phone's clock where it was seen, and only that row is forgotten then. What is no picture of a boat log is
 * said and passed by.
 */
export class PictureReader {
  /** The rows begun, the one seen last first. */
  rows: readonly Gathered[] = [];
  /** What was wrong with the last picture, in words; "" for nothing. */
  trouble = "";
  private clock: ClockSeen | null = null;
  private finishing: string | null = null;

  /** `trip`: what the pieces are kept under, "" for a trip that is not here yet. */
  constructor(
    private readonly trip: string,
    private readonly kept: Kept,
    private readonly finish: (data: Uint8Array<ArrayBuffer>, clock: ClockSeen | null) => Promise<void>,
    private readonly changed: () => void,
    private readonly now: () => number,
  ) {}

  /** Goes on with what was read before the page was left or the app closed; a row that was whole by then is finished. */
  async begin(): Promise<void> {
    const records = await this.kept.here(this.trip);
    const read = this.rows.flatMap((row) => [...row.pieces].map(([index, piece]): Frame => ({ ...row, index, piece })));
    this.set([...read].reverse().reduce<readonly Gathered[]>(collect, rowsOf(records)));
    for (const whole of new Set(records.map((record) => record.whole))) if (!this.rows.some((row) => row.whole === whole)) this.forget(whole);
    const whole = this.rows.find((row) => stillMissing(row).length === 0);
    if (whole !== undefined) this.complete(whole);
  }

  read(text: string): void {
    const seen = readClock(text);
    if (seen !== null) {
      this.clock = { ...seen, readMs: this.now() };
      return;
    }
    let frame: Frame;
    try {
      frame = readFrame(text);
      if (frame.count > MOST_PICTURES) throw new NotAFrame("these are more pictures than can be read");
    } catch (error) {
      if (!(error instanceof NotAFrame)) throw error;
      return this.say(`Not read: ${error.message}.`);
    }
    if (frame.whole === this.finishing) return;
    const fresh = this.rows.every((row) => row.whole !== frame.whole || !row.pieces.has(frame.index));
    const before = this.rows;
    this.set(collect(before, frame));
    if (fresh) this.kept.keep({ trip: this.trip, ...frame }).catch(() => {});
    for (const { whole } of before) if (!this.rows.some((row) => row.whole === whole)) this.forget(whole);
    this.say("");
    const [row] = this.rows;
    if (row !== undefined && this.finishing === null && stillMissing(row).length === 0) this.complete(row);
  }

  /** Forgets what was read of the row in sight. */
  beginAnew(): void {
    const [row] = this.rows;
    if (row !== undefined) this.leave(row.whole);
    this.say("");
  }

  private complete(row: Gathered): void {
    let data: Uint8Array<ArrayBuffer>;
    try {
      data = joined(row) as Uint8Array<ArrayBuffer>;
    } catch (error) {
      if (!(error instanceof NotAFrame)) throw error;
      this.leave(row.whole);
      return this.say(`Not read: ${error.message}.`);
    }
    this.finishing = row.whole;
    this.finish(data, this.clock)
      .then(() => this.leave(row.whole))
      .catch((error: unknown) => {
        // What the disk refused is read whole: its next picture tries again. What is of something else is dropped.
        if (error instanceof OtherPictures) this.leave(row.whole);
        this.say(error instanceof OtherPictures ? error.message : "The phone could not store what it read. Keep both pages open and try again.");
      })
      .finally(() => {
        this.finishing = null;
      });
  }

  private leave(whole: string): void {
    this.forget(whole);
    this.set(this.rows.filter((row) => row.whole !== whole));
  }

  private forget(whole: string): void {
    this.kept.drop(this.trip, whole).catch(() => {});
  }

  private set(rows: readonly Gathered[]): void {
    this.rows = rows;
    this.changed();
  }

  private say(trouble: string): void {
    if (trouble === this.trouble) return;
    this.trouble = trouble;
    this.changed();
  }
}
