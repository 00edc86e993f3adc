// What it costs who dives with whom on more dives than one. The twin of pairing/several_between.py.

import { type Several, bitCount, matesOf } from "./several.ts";

/** `mates[k][i]`: the team of diver i on dive k, one bit past the last diver where i is left out, 0 while open. */
export class Between {
  private readonly several: Several;
  private readonly shift: number;
  private readonly mates: number[][];
  private readonly teams: number[][];
  private readonly permitted: readonly ReadonlySet<number>[];

  constructor(several: Several) {
    const { size, before, dives } = several;
    this.several = several;
    this.shift = before.length > 0 ? 1 : 0;
    this.mates = before.length > 0 ? [matesOf(size, before)] : [];
    for (const _ of dives) this.mates.push(Array<number>(size).fill(0));
    this.teams = before.length > 0 ? [[...before]] : [];
    for (const _ of dives) this.teams.push([]);
    // Teams that each dive permits; where the rules bar a team on one of two dives it cannot stay together.
    this.permitted = dives.map((dive) => new Set(dive.columns.flat().map((column) => column.bits)));
  }

  /** What deciding this team, or leaving this diver out, costs against what is decided on other dives. */
  priceOf(at: number, bits: number, out: boolean): bigint {
    const { size, partners, price } = this.several;
    const here = at + this.shift;
    if (partners === "either") return 0n;
    const value = out ? 1 << size : bits;
    let count = 0;
    for (let diver = 0; diver < size; diver++) {
      if (((bits >> diver) & 1) === 0) continue;
      if (partners === "keep") {
        for (const other of [here - 1, here + 1]) {
          const decided = this.mates[other]?.[diver] ?? 0;
          count += decided !== 0 && decided !== value ? 1 : 0;
        }
      } else if (!out) {
        let met = 0;
        this.mates.forEach((mates, other) => {
          if (other !== here) met |= mates[diver]!;
        });
        count += bitCount(met & bits & ~(1 << diver));
      }
    }
    return price * BigInt(count);
  }

  decide(at: number, bits: number, out: boolean): void {
    const here = at + this.shift;
    const value = out ? 1 << this.several.size : bits;
    for (let diver = 0; diver < this.several.size; diver++) {
      if ((bits >> diver) & 1) this.mates[here]![diver] = value;
    }
    if (!out) this.teams[here]!.push(bits);
  }

  undo(at: number, bits: number): void {
    const here = at + this.shift;
    for (let diver = 0; diver < this.several.size; diver++) {
      if ((bits >> diver) & 1) this.mates[here]![diver] = 0;
    }
    if (this.teams[here]!.at(-1) === bits) this.teams[here]!.pop();
  }

  /** What those still open will cost for certain: see several_between.py. */
  certain(free: readonly number[]): bigint {
    if (this.several.partners !== "keep") return 0n;
    let count = 0;
    this.teams.forEach((teams, here) => {
      for (const other of [here - 1, here + 1]) {
        if (other < this.shift || other >= this.teams.length) continue;
        const openThere = free[other - this.shift]!;
        for (const bits of teams) {
          const left = bits & openThere;
          if (left !== 0 && (left !== bits || !this.permitted[other - this.shift]!.has(bits))) count += bitCount(left);
        }
      }
    });
    return this.several.price * BigInt(count);
  }

  /** All that later decisions still depend on: see several_between.py. */
  open(free: readonly number[]): number[] {
    const { partners, size } = this.several;
    if (partners === "either") return [];
    const found: number[] = [];
    const out = 1 << size;
    this.teams.forEach((teams, here) => {
      let elsewhere = 0;
      free.forEach((bits, at) => {
        const near = Math.abs(at + this.shift - here) === 1 || partners === "change";
        if (near && at + this.shift !== here) elsewhere |= bits;
      });
      found.push(...teams.filter((bits) => (bits & elsewhere) !== 0).sort((a, b) => a - b));
      let left = out;
      this.mates[here]!.forEach((one, i) => {
        if (one === out && (elsewhere >> i) & 1) left |= 1 << i;
      });
      found.push(left);
    });
    return found;
  }
}
