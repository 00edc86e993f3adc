import { atWords, clockWords, depthWords, ofAll, positionWords } from "../../kernel/boatlog/radio.ts";
import type { State } from "../../kernel/boatlog/fold.ts";
import type { Fix } from "../../kernel/boatlog/lost.ts";
import { mixOf } from "../../kernel/boatlog/surfaced.ts";
import type { DoneDive, View } from "../../kernel/boatlog/view.ts";
import { givenOxygen } from "./oxygen.ts";

/** Whether this person is here and cared for, not looked for: then the words over the radio are others. */
export function isCaredFor(view: View, person: string): boolean {
  const known = view.people[person];
  return known !== undefined && known.held_why.some((why) => why !== "held") && ["aboard", "up"].includes(known.state);
}

const WHY: Readonly<Record<string, string>> = {
  symptoms: "The diver is not well after the dive.",
  fast_ascent: "The diver came up too fast.",
  stop_missed: "The diver missed a stop.",
};

/**
 * To be read aloud for a diver who is not well: who calls, where, what is wrong, what is asked for, then what a doctor asks
 * first. The order is that of the urgency message, from memory; what was felt is said by whoever stands beside the diver.
 */
export function careWords(state: State, view: View, person: string, boat: string, callSign: string, here: Fix | null): string[] {
  const known = view.people[person];
  const sign = callSign === "" ? "" : `, call sign ${callSign}`;
  const lines = ["PAN PAN, PAN PAN, PAN PAN.", `This is ${boat}, ${boat}, ${boat}${sign}.`];
  lines.push(here === null ? "My position: read it from the plotter." : `My position: ${positionWords(here)}, within ${here.accuracy_m} metres.`);
  for (const why of known?.held_why ?? []) if (WHY[why] !== undefined) lines.push(WHY[why]);
  lines.push("I need medical advice.");
  const dives = known?.dives_done ?? [];
  lines.push(dives.length === 0 ? "No dive on this trip is entered." : `Dives on this trip: ${dives.length}.`);
  dives.forEach((dive, n) => lines.push(`Dive ${n + 1}: ${diveWords(dive)}. ${gasWords(state, person, dive)}`));
  lines.push(oxygenWords(state, person, known?.on_oxygen ?? false));
  lines.push("Now say how the diver feels, where, and since when.", ofAll(view), "Over.");
  return lines;
}

function diveWords({ down, surfaced, depth }: DoneDive): string {
  const start = down === null ? "went down, not known when" : `down ${atWords(down[0], down[1] - down[0])}`;
  const end = surfaced === null ? "up, not known when" : `up ${atWords(surfaced[0], surfaced[1] - surfaced[0])}`;
  return `${start}, ${end}, deepest ${depthWords(depth, null)}`;
}

function gasWords(state: State, person: string, dive: DoneDive): string {
  const { o2E4, analysed } = mixOf(state, person, dive.dive, dive.down?.[1] ?? 0);
  if (o2E4 === null) return "Gas not known.";
  const gas = o2E4 === 2100 ? "Air" : `${o2E4 / 100} per cent oxygen`;
  return analysed ? `${gas}.` : `${gas}, not analysed.`;
}

function oxygenWords(state: State, person: string, on: boolean): string {
  const own = givenOxygen(state, person);
  const last = own.at(-1);
  if (last === undefined) return "No oxygen given yet.";
  return on || last.to === null ? `On oxygen since ${clockWords(last.from)}, ${last.flow} litres a minute.` : `Oxygen from ${clockWords(last.from)} to ${clockWords(last.to)}.`;
}
