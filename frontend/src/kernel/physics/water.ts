// Metres of water and gauge depth. The twin of physics/water.py, which carries the sources.

export type Water = "salt" | "fresh";

export const DENSITY_KG_M3: Record<Water, number> = { salt: 1025.97, fresh: 1000.0 };
export const GRAVITY_M_S2 = 9.80665;
export const PASCALS_PER_BAR = 100_000.0;
export const PASCALS_PER_MSW = 10_000.0;

/** Pressure of a column of `metres` of water, without the air above it. */
export function gaugePressureBar(metres: number, water: Water): number {
  return (metres * DENSITY_KG_M3[water] * GRAVITY_M_S2) / PASCALS_PER_BAR;
}

/** What a depth gauge (1 msw = 10,000 Pa) shows under `metres` of water. */
export function gaugeDepthMsw(metres: number, water: Water): number {
  return (metres * DENSITY_KG_M3[water] * GRAVITY_M_S2) / PASCALS_PER_MSW;
}

/** Metres of water over a gauge that shows `msw`. */
export function metresOfWater(msw: number, water: Water): number {
  return (msw * PASCALS_PER_MSW) / (DENSITY_KG_M3[water] * GRAVITY_M_S2);
}
