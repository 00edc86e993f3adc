/** How times, lengths and limits are written: whole minutes only, rounded so that no one is promised more than there is. */
const zoneFormats = new Map<string, Intl.DateTimeFormat>();

function formatter(zone: string, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = `${zone} ${JSON.stringify(options)}`;
  let found = zoneFormats.get(key);
  if (found === undefined) {
    try {
      found = new Intl.DateTimeFormat("en-GB", { ...options, timeZone: zone });
    } catch {
      found = new Intl.DateTimeFormat("en-GB", { ...options, timeZone: "UTC", timeZoneName: "short" });
    }
    zoneFormats.set(key, found);
  }
  return found;
}

/** An entry may tell any instant: one that no calendar has must not take the page away. */
function told(ms: number, zone: string, options: Intl.DateTimeFormatOptions): string {
  return Number.isNaN(new Date(ms).getTime()) ? "no such time" : formatter(zone, options).format(ms);
}

/** 10:42, at the place of the trip. */
export function clockTime(ms: number, zone: string): string {
  return told(ms, zone, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
}

/** Sat 12 Jun, 10:42. */
export function dayAndTime(ms: number, zone: string): string {
  return `${day(ms, zone)}, ${clockTime(ms, zone)}`;
}

/** Sat 12 Jun. */
export function day(ms: number, zone: string): string {
  return told(ms, zone, { weekday: "short", day: "numeric", month: "short" }).replace(",", "");
}

/** A limit or time left: whole minutes, rounded down. */
export function minutes(seconds: number): number {
  return Math.floor(seconds / 60);
}

/** A wait still to come: whole minutes, rounded up. */
export function minutesToWait(seconds: number): number {
  return Math.ceil(seconds / 60);
}

function two(n: number): string {
  return String(n).padStart(2, "0");
}

/** An interval: 53 min, or 1 h 05 min. */
export function span(seconds: number): string {
  const all = Math.floor(seconds / 60);
  return all < 60 ? `${all} min` : `${Math.floor(all / 60)} h ${two(all % 60)} min`;
}

export interface Depth {
  readonly unit: "m" | "ft";
  readonly hundredths: number;
}

export function depth(value: Depth): string {
  return `${value.hundredths / 100} ${value.unit}`;
}

export function pressure(value: { readonly unit: "bar" | "psi"; readonly value: number }): string {
  return `${value.value} ${value.unit}`;
}

export function percentOxygen(perMille: number): string {
  return perMille === 210 ? "air" : `${perMille / 10} % oxygen`;
}

/** What binds, said so that it fits after "because of". */
export const limitWords: Readonly<Record<string, string>> = {
  table_no_stop: "the table's no-stop limit",
  tissue_no_stop: "the tissue model's no-stop limit",
  gas: "gas",
  oxygen: "oxygen exposure",
  certified_depth: "certified depth",
  planned: "the planned bottom time",
  first_exposure: "the club’s limit for a first time",
};

/** "Ana", "Ana and Ben", "Ana, Ben and Cleo". */
export function names(all: readonly string[]): string {
  if (all.length <= 1) return all.join("");
  return `${all.slice(0, -1).join(", ")} and ${all.at(-1) ?? ""}`;
}

/** "1 diver", "2 divers". */
export function count(n: number, one: string, many = `${one}s`): string {
  return `${n} ${n === 1 ? one : many}`;
}
