/** A policy as typed, what is usual, and the policy that is sent: empty means usual, or off. */
import { policyJson } from "../../kernel/calculations/policy_reading.ts";
import { USUAL_POLICY } from "../../kernel/pairing/model.ts";
import { number } from "../words/units.ts";
import type { NumberOf, NumbersOf, PolicyField, PolicyGroup } from "./policy_fields.ts";

type Policy = Readonly<Record<string, unknown>>;
export type TypedPolicy = Readonly<Record<string, string>>;

const ROLES: readonly (readonly [string, string])[] = [
  ["boat_handler", "boat handler"],
  ["lookout", "lookout"],
  ["oxygen", "oxygen"],
  ["standby", "standby"],
];
/** Every two roles, as the policy names them and in words. */
export const ROLE_PAIRS: readonly { readonly key: string; readonly label: string }[] = ROLES.flatMap(([one, word], n) => ROLES.slice(n + 1).map(([other, second]) => ({ key: `${one}+${other}`, label: `${word} and ${second}` })));

/** What holds where the club says nothing, as the calculation itself has it. */
export function usual(unit: "m" | "ft"): Policy {
  return policyJson(USUAL_POLICY, unit) as Policy;
}

/** The text of a field; choices, ticks and roles as they are kept. */
export function typedPolicy(group: PolicyGroup, policy: Policy, unit: "m" | "ft"): TypedPolicy {
  const normal = usual(unit);
  return Object.fromEntries(group.fields.map((field) => [field.name, typed(field, policy[field.name], normal[field.name])]));
}

function typed(field: PolicyField, said: unknown, normal: unknown): string {
  if (field.kind === "choice") return String(said ?? normal);
  if (field.kind === "yes") return said === true ? "yes" : "";
  if (field.kind === "roles") return groupsOf(said ?? normal).join(" ");
  if (said === undefined || said === null) return "";
  return text(field, said);
}

function text(field: NumberOf | NumbersOf, value: unknown): string {
  return Array.isArray(value) ? value.join(", ") : String(Number(value) / (field.kind === "number" ? (field.each ?? 1) : 1));
}

function groupsOf(value: unknown): string[] {
  return Array.isArray(value) ? value.map((group) => (group as string[]).join("+")) : [];
}

/** "Usual: 3 m" or that the rule is off, for the hint of a field. */
export function usualText(field: NumberOf | NumbersOf, unit: "m" | "ft"): string {
  const value = usual(unit)[field.name];
  return value === null || value === undefined ? "Left empty: no such rule." : `Left empty: ${[text(field, value), unitOf(field, unit)].join(" ").trim()}.`;
}

export function unitOf(field: NumberOf | NumbersOf, unit: "m" | "ft"): string {
  return field.unit === "depth" ? unit : field.unit;
}

/** What is wrong with a field as typed; undefined where it is empty or right. */
export function policyMistake(field: PolicyField, written: string): string | undefined {
  if (written.trim() === "" || (field.kind !== "number" && field.kind !== "numbers")) return undefined;
  if (field.kind === "number") {
    const value = number(written);
    if (value === null || value < 0) return "A number, or leave it empty.";
    return field.whole === true && !Number.isInteger(value) ? "A whole number, or leave it empty." : undefined;
  }
  const values = listOf(written);
  if (values.some((value) => value === null || value < 0)) return "Numbers with commas between them, or leave it empty.";
  if (field.many !== undefined && values.length !== field.many) return `${field.many} numbers with commas between them.`;
  return values.some((value, n) => n > 0 && Number(value) <= Number(values[n - 1])) ? "Each greater than the one before." : undefined;
}

function listOf(written: string): (number | null)[] {
  return written.split(/[,;]\s+|;|,(?=\s)|\s+/).filter((part) => part.trim() !== "").map((part) => number(part.replace(/,$/, "")));
}

/** The whole policy with the fields of one group as typed; what is left empty is left out. */
export function policyBody(group: PolicyGroup, written: TypedPolicy, before: Policy): Policy {
  const names = new Set(group.fields.map((field) => field.name));
  const kept = Object.entries(before).filter(([name]) => !names.has(name));
  const said = group.fields.flatMap((field) => {
    const value = valueOf(field, written[field.name] ?? "");
    return value === undefined ? [] : [[field.name, value] as const];
  });
  return Object.fromEntries([...kept, ...said]);
}

function valueOf(field: PolicyField, written: string): unknown {
  if (field.kind === "choice") return written;
  if (field.kind === "yes") return written === "yes" ? true : undefined;
  if (field.kind === "roles") return written.split(" ").filter(Boolean).map((group) => group.split("+"));
  if (written.trim() === "") return undefined;
  if (field.kind === "numbers") return listOf(written);
  return Math.round((number(written) ?? 0) * (field.each ?? 1) * 1000) / 1000;
}
