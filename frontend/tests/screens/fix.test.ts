import { expect, test, vi } from "vitest";
import { askFix, fixNow } from "../../src/screens/parts/fix.ts";

test("a position is whole numbers with its age, and too old a one is no fix", async () => {
  const seen = Date.UTC(2027, 5, 12, 10, 0);
  vi.useFakeTimers({ now: seen });
  expect(fixNow()).toBeNull();
  const coords = { latitude: 38.6012341, longitude: -28.7000004, accuracy: 11.2 };
  // The platform's own answer: the shape is that of the W3C Geolocation API.
  vi.stubGlobal("navigator", { geolocation: { getCurrentPosition: (done: (position: unknown) => void) => done({ coords, timestamp: seen - 4_000 }) } });
  expect(await askFix()).toBe(true);
  expect(fixNow(seen)).toEqual({ lat_e6: 38_601_234, lon_e6: -28_700_000, accuracy_m: 12, age_s: 4 });
  expect(fixNow(seen + 590_000)).toMatchObject({ age_s: 594 });
  expect(fixNow(seen + 600_000)).toBeNull();
  vi.unstubAllGlobals();
  vi.useRealTimers();
});
