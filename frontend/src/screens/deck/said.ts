import { happened } from "../../kernel/boatlog/claims.ts";
import { moved } from "../../kernel/boatlog/corrections.ts";
import { steps } from "../../kernel/boatlog/emergency.ts";
import type { StoredEntry } from "../../store/records.ts";
import { clockTime, depth, minutes, names as joined, percentOxygen, pressure } from "../words/format.ts";
import { questionText } from "../words/questions.ts";
import { boatName } from "./boats.ts";
import { numbered, type Names } from "./frame.tsx";
import type { Pressure as Gauge } from "./gauge.tsx";
import type { Deck } from "./use_trip.ts";

const careWords: Readonly<Record<string, string>> = { rescue: "the rescue crew", medical: "a doctor or ambulance", skipper: "the skipper there", club: "someone of the club" };

/** Who took somebody over, and in whose care. */
export function givenTo({ entry, text }: Pick<StoredEntry, "entry" | "text">): string {
  const care = careWords[String(entry.data["care"])];
  return `${text?.text ?? "others, no name given"}${care === undefined ? "" : ` (${care})`}`;
}

const feels: Readonly<Record<string, string>> = { well: "says: well", not_well: "is not well", no_answer: "was asked and did not answer" };

/** An entry in plain words. What a newer phone wrote, and this one does not understand, is shown by its kind's own name. */
export function said(deck: Deck, names: Names, { entry, text }: StoredEntry): string {
  if (deck.log.state.aside.get("not_understood")?.includes(entry) === true) return entry.kind.replaceAll("_", " ");
  const person = (id: unknown) => (typeof id === "string" ? names.full(id) : "");
  const people = (ids: unknown) => joined(Array.isArray(ids) ? ids.map(person) : []);
  const data = entry.data;
  const team = () => teamWords(deck, entry.subject);
  const words: Readonly<Record<string, () => string>> = {
    snapshot_taken: () => "The trip was stored on a phone",
    clock_compared: () =>
      data["how"] === "step" ? "A phone's clock jumped" : `A phone's clock was compared with ${data["how"] === "phone" ? "another phone's" : "the server's"}`,
    deck_handed_over: () => `The deck was offered to ${person(entry.subject)}`,
    deck_accepted: () => `${person(entry.subject)} took the deck`,
    down: () => `${team()} down: ${people(data["members"])}`,
    surfaced: () => `Up: ${people(data["people"])}`,
    surfaced_alone: () => `Up alone: ${person(entry.subject)}`,
    back_aboard: () => `Aboard: ${person(entry.subject)}`,
    aboard: () => `Aboard: ${person(entry.subject)}`,
    ashore: () => `Ashore: ${person(entry.subject)}`,
    team_changed: () => ((data["members"] as unknown[]).length === 0 ? `${team()} does not dive` : `${team()} is now ${people(data["members"])}`),
    marker_seen: () => `${team()}: marker seen`,
    left_bottom: () => `${team()} started up`,
    depth_reported: () => `Depth ${depth(data["depth"] as { unit: "m" | "ft"; hundredths: number })}, read by ${person(entry.subject)}`,
    roll_call_taken: () => `Roll call: ${people(data["seen"])} ${data["method"] === "seen" ? "seen" : "answered"}`,
    departed: () => (data["place"] === "port" ? "Left port" : "Left the site"),
    person_went_in: () => `${person(entry.subject)} went in`,
    separated: () => `${team()}: lost each other`,
    correction: () => corrected(deck, names, entry),
    overdue_quieted: () => `${team()}: sound off for a while, still overdue`,
    emergency_started: () => "Emergency plan started",
    emergency_ended: () => "Emergency plan ended",
    overdue_reached: () => `${team()} overdue: ${people(data["people"])}`,
    seen_at_surface: () => `In sight again: ${person(entry.subject)}`,
    lost_from_sight: () => `Lost from sight: ${person(entry.subject)}`,
    surface_cover_confirmed: () => `Watch named, flag ${data["flag_up"] === true ? "up" : "not up"}, engine ${data["engine_off"] === true ? "off" : "running"}`,
    briefed: () => `Heard the briefing: ${people(data["people"])}`,
    conditions_found: () => "The sea as found",
    gas_checked: () => `Cylinder ${String(data["cylinder"])} of ${person(entry.subject)}: ${pressure(data["pressure"] as Gauge)}${typeof data["o2_pm"] === "number" ? `, ${percentOxygen(data["o2_pm"])}` : ", not analysed"}`,
    pressure_reported: () => `Gauge of ${person(entry.subject)}: ${pressure(data["pressure"] as Gauge)}`,
    effort_said: () => `Effort ${String(data["effort"])} of 5: ${person(entry.subject)}`,
    sits_out: () => `Sits out: ${person(entry.subject)}`,
    fit_to_dive_said: () => `Asked whether fit to dive: ${person(entry.subject)}`,
    plan_changed: () => `The plan of a dive changed to ${depth(data["depth"] as { unit: "m" | "ft"; hundredths: number })}, ${minutes(Number(data["bottom_time_s"]))} min`,
    dive_called_off: () => "A dive was called off",
    incident: () => (text === null ? "An incident" : `Incident: ${text.text}`),
    note: () => (text === null ? "A remark" : `Remark: ${text.text}`),
    phone_lost: () => "The phone that kept the deck was lost",
    joined: () => `${person(entry.subject)} joined`,
    count_finished: () => "A count ended",
    override: () => "Two people decided to leave all the same",
    recall_given: () => `Called up: ${joined((data["teams"] as string[]).map((id) => teamWords(deck, id)))}`,
    recall_acknowledged: () => `${team()} understood the recall`,
    turned: () => `${team()} turned`,
    team_check_done: () => `${team()} checked each other`,
    held_from_diving: () => (data["released"] === true ? `Released to dive again: ${person(entry.subject)}` : `Held from diving: ${person(entry.subject)}`),
    ascended_too_fast: () => `Came up too fast: ${person(entry.subject)}`,
    stop_missed: () => `Missed a stop: ${person(entry.subject)}`,
    symptoms_asked: () => `${person(entry.subject)} ${feels[String(data["said"])] ?? "was asked how they feel"}`,
    trip_ended: () => "The trip ended",
    question_settled: () => `${joined([entry.by, data["with"]].map(person))} looked at a question: ${questionText(String(data["code"]))}`,
    oxygen_started: () => `Oxygen started: ${person(entry.subject)}`,
    oxygen_stopped: () => `Oxygen stopped: ${person(entry.subject)}`,
    transferred: () => typeof data["boat"] === "string" ? `Said ${text === null ? "" : `by ${text.text} `}to be on ${boatName(deck, data["boat"])}: ${person(entry.subject)}` : `Given over to ${givenTo({ entry, text })}: ${person(entry.subject)}`,
    distress_call_made: () => "A call for help was made",
    procedure_step_done: () => `Step done: ${stepWords(deck, String(data["step"]))}`,
  };
  const told = words[entry.kind]?.() ?? entry.kind.replaceAll("_", " ");
  // Of another boat than this phone's the entry says which.
  return typeof data["boat"] === "string" && data["boat"] !== deck.boat && entry.kind !== "transferred" ? `${told} (${boatName(deck, data["boat"])})` : told;
}

/** A person by name, or a team by its number. */
export function whoWords(deck: Deck, names: Names, id: string): string {
  return id in deck.view.people ? names.full(id) : teamWords(deck, id);
}

/** What a correction says instead: that it did not happen, somebody else, another time, another depth. */
function corrected(deck: Deck, names: Names, entry: StoredEntry["entry"]): string {
  const right = moved(entry.data, happened(deck.log.state, entry) - entry.at);
  const other = right["data"] as (Readonly<Record<"people" | "members" | "seen", readonly string[] | undefined>> & { readonly depth?: { unit: "m" | "ft"; hundredths: number } }) | undefined;
  // What a correction brings in is any object: only what can be read is said.
  const people = [other?.people, other?.members, other?.seen].find(Array.isArray) as readonly string[] | undefined;
  if (typeof right["subject"] === "string") return `Corrected: it was ${whoWords(deck, names, right["subject"])}`;
  if (right["void"] === true) return deck.log.entry(entry.corrects ?? "")?.kind === "correction" ? "Taken back: a correction" : "Taken back: an earlier entry did not happen";
  if (people !== undefined) return `Corrected: it was ${joined(people.map(names.full))}`;
  if (typeof right["at"] === "number") return `Corrected: it was at ${clockTime(right["at"], deck.zone)}`;
  return typeof other?.depth?.hundredths !== "number" ? "Corrected: an earlier entry" : `Corrected: the depth was ${depth(other.depth)}`;
}

function stepWords(deck: Deck, step: string): string {
  return steps(deck.log.snapshot).find((one) => one.step === step)?.say ?? step.replaceAll("_", " ");
}

function teamWords(deck: Deck, team: string): string {
  const found = numbered(deck)
    .flatMap((dive) => dive.teams)
    .find((one) => one.id === team);
  return found === undefined ? "A team" : `Team ${found.number}`;
}
