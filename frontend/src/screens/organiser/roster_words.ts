/** What a line of the roster says, and what is missing in it. */
import type { RosterDiver } from "../words/answers.ts";

/** The facts without which a diver cannot be placed or planned, in the order in which one would ask for them. */
export function missingIn(diver: RosterDiver): string[] {
  const missing: string[] = [];
  if (diver.certified_depth === null) missing.push("certified depth");
  if (diver.fitness !== "in date" && diver.fitness !== "restricted") missing.push("fitness declaration");
  if (diver.last_dive === null) missing.push("date of last dive");
  if (diver.dives === null) missing.push("number of dives");
  return missing;
}

/** Fitness says no more than whether to ask: never an illness. */
export function fitnessWords(fitness: string): string {
  if (fitness === "in date") return "fitness in date";
  if (fitness === "restricted") return "fitness restricted: ask the diver";
  return "fitness: ask the diver";
}

const evidences: Readonly<Record<string, string>> = { said: "said", shown: "shown", seen: "card seen" };

export function evidenceWords(evidence: string | null): string {
  return evidence === null ? "" : (evidences[evidence] ?? evidence);
}

/** Those whose name, number or certification holds every word typed, in any order, whatever the accents. */
export function found(divers: readonly RosterDiver[], typed: string): RosterDiver[] {
  const words = plain(typed).split(/\s+/).filter((word) => word !== "");
  return divers.filter((diver) => {
    const text = plain(`${diver.name} ${diver.member_number} ${diver.certification ?? ""}`);
    return words.every((word) => text.includes(word));
  });
}

function plain(text: string): string {
  return text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
}
