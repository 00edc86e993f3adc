import type { Fix } from "../../kernel/boatlog/lost.ts";

/**
 * Where this phone last knew itself to be. It is watched in the background and asked for only once, at the dock: a tap
 * takes what is there, with its age, and never waits for it.
 */
interface Seen {
  readonly fix: Fix;
  readonly at: number;
}

/** Older than this it says too little of a boat that moves: then it is "no fix". Our own choice. */
const TOO_OLD_MS = 10 * 60_000;
const AGAIN_MS = 30_000;
const ALLOWED = "teamdive.position_allowed";

export type Leave = "given" | "refused" | "not_asked" | "none";

let last: Seen | null = null;
let watchers = 0;
let watch: number | null = null;
let again: ReturnType<typeof setInterval> | undefined;

/** Whether the phone may say where it is; asks nobody. */
export async function fixLeave(): Promise<Leave> {
  if (!("geolocation" in navigator)) return "none";
  try {
    const { state } = await navigator.permissions.query({ name: "geolocation" });
    return state === "granted" ? "given" : state === "denied" ? "refused" : "not_asked";
  } catch {
    // A browser that does not tell: what was answered at the dock.
    return remembered() ? "given" : "not_asked";
  }
}

/** Asks the person, once, at the dock; true when the phone may say where it is. */
export async function askFix(): Promise<boolean> {
  if (!("geolocation" in navigator)) return false;
  return new Promise((done) => {
    navigator.geolocation.getCurrentPosition(
      (position) => {
        take(position);
        remember();
        done(true);
      },
      // Allowed and no satellite yet is a yes: the watch goes on looking.
      (error) => {
        const allowed = error.code !== error.PERMISSION_DENIED;
        if (allowed) remember();
        done(allowed);
      },
      { enableHighAccuracy: true, timeout: 20_000, maximumAge: 0 },
    );
  });
}

/** Keeps the last position fresh while a page of the trip is open; returns the end of it. Never asks. */
export function watchFix(): () => void {
  watchers += 1;
  void begin();
  return () => {
    watchers -= 1;
    if (watchers === 0 && watch !== null) {
      navigator.geolocation.clearWatch(watch);
      clearInterval(again);
      watch = null;
    }
  };
}

async function begin(): Promise<void> {
  if (watch !== null || (await fixLeave()) !== "given" || watchers === 0 || watch !== null) return;
  watch = navigator.geolocation.watchPosition(take, () => {}, { enableHighAccuracy: true, maximumAge: 0 });
  // Some phones call a watch only when they have moved: a boat at anchor still has a position.
  again = setInterval(() => document.visibilityState === "visible" && navigator.geolocation.getCurrentPosition(take, () => {}, { enableHighAccuracy: true, timeout: 20_000, maximumAge: 0 }), AGAIN_MS);
}

/** Starts the watch that a person has just allowed, where a page asked for one. */
export function allowedNow(): void {
  if (watchers > 0) void begin();
}

/** The last position with its age, in whole numbers as the log holds them; null: no fix. */
export function fixNow(now = Date.now()): Fix | null {
  if (last === null) return null;
  const age = Math.max(0, now - last.at);
  return age > TOO_OLD_MS ? null : { ...last.fix, age_s: Math.floor(age / 1000) };
}

function take({ coords, timestamp }: GeolocationPosition): void {
  const received = Date.now();
  last = {
    fix: { lat_e6: Math.round(coords.latitude * 1e6), lon_e6: Math.round(coords.longitude * 1e6), accuracy_m: Math.min(100_000, Math.ceil(coords.accuracy)) },
    // A stamp ahead of the phone's own clock is no reason to call it younger than it is.
    at: timestamp > 0 ? Math.min(received, timestamp) : received,
  };
}

function remember(): void {
  try {
    localStorage.setItem(ALLOWED, "yes");
  } catch {
    // Then it is asked again next time.
  }
}

function remembered(): boolean {
  try {
    return localStorage.getItem(ALLOWED) !== null;
  } catch {
    return false;
  }
}
