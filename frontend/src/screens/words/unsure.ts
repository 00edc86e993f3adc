import { DISPUTE_MS } from "../../kernel/boatlog/claims.ts";

/** "about 3 min uncertain"; nothing under a minute, the unit of the tables and of every time that is shown. */
export function unsureWords(ms: number): string {
  return ms < DISPUTE_MS ? "" : `about ${lengthWords(ms)} uncertain`;
}

/** A time in words, with its doubt behind it where there is one. */
export function withDoubt(text: string, ms: number): string {
  const doubt = unsureWords(ms);
  return doubt === "" ? text : `${text}, ${doubt}`;
}

/** 40 s, 3 min, 2 h 30 min: rounded up, so that no doubt is made smaller. */
export function lengthWords(ms: number, whole: (n: number) => number = Math.ceil): string {
  if (ms < DISPUTE_MS) return `${Math.max(1, whole(ms / 1000))} s`;
  const all = whole(ms / 60_000);
  if (all < 120) return `${all} min`;
  return all % 60 === 0 ? `${all / 60} h` : `${Math.floor(all / 60)} h ${all % 60} min`;
}

/** How far a clock is off: to the nearest, for nothing is safer for being said larger. */
export function farWords(ms: number): string {
  return lengthWords(Math.abs(ms), Math.round);
}
