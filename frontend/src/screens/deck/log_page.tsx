import { happened, unsure } from "../../kernel/boatlog/claims.ts";
import { steps } from "../../kernel/boatlog/emergency.ts";
import type { StoredEntry } from "../../store/records.ts";
import { Button, List, Page, Reason, Row, type ScreenProps } from "../parts/index.ts";
import { clockTime, depth, names as joined } from "../words/format.ts";
import { questionText } from "../words/questions.ts";
import { withDoubt } from "../words/unsure.ts";
import { acting } from "./acting.ts";
import { numbered, OnTrip, SyncStrip, type Names } from "./frame.tsx";
import { Trouble } from "./log_trouble.tsx";
import type { Deck } from "./use_trip.ts";

export function LogScreen({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <LogPage deck={deck} names={names} />}</OnTrip>;
}

/** Newest first. Nothing is edited: what was wrong is said in a further entry, and both stay. */
function LogPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, zone, view } = deck;
  const newest = [...log.entries].sort((a, b) => b.entry.clock.ms - a.entry.clock.ms || b.entry.clock.n - a.entry.clock.n);
  const corrected = new Set(newest.flatMap(({ entry }) => (entry.corrects === undefined ? [] : [entry.corrects])));
  const wrong = (stored: StoredEntry) =>
    void log.write({
      by: acting(view),
      kind: "correction",
      subject: stored.entry.subject,
      corrects: stored.id,
      data: { reason: "did_not_happen", void: true },
    });
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title="Boat log" back={`/trips/${log.trip}`} backLabel="Trip" note="Nothing is changed or deleted here; a correction is a further entry.">
        <Trouble deck={deck} said={(stored) => said(deck, names, stored)} />
        <List label="Entries, newest first">
          {newest.map((stored) => (
            <Row
              key={stored.id}
              title={said(deck, names, stored)}
              note={`${withDoubt(clockTime(happened(log.state, stored.entry), zone), unsure(log.state, stored.entry))}${stored.entry.by === null ? "" : `, said to be by ${names.full(stored.entry.by)}`}${corrected.has(stored.id) ? ", corrected" : ""}`}
              side={stored.sent === 1 ? "" : stored.sent === 2 ? "refused by the server" : "only here"}
            >
              {correctable.has(stored.entry.kind) && !corrected.has(stored.id) && (
                <Reason title="This was wrong">
                  <Button onPress={() => wrong(stored)}>It did not happen</Button>
                </Reason>
              )}
            </Row>
          ))}
        </List>
      </Page>
    </>
  );
}

const feels: Readonly<Record<string, string>> = { well: "says: well", not_well: "is not well", no_answer: "was asked and did not answer" };

const correctable = new Set(["aboard", "ashore", "down", "surfaced", "surfaced_alone", "back_aboard", "marker_seen", "left_bottom", "depth_reported", "person_went_in", "roll_call_taken", "departed", "trip_ended"]);

/** An entry in plain words. Kinds that a newer phone wrote are shown by their own name. */
export function said(deck: Deck, names: Names, { entry }: StoredEntry): string {
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
    correction: () => (data["void"] === true ? "Taken back: an earlier entry did not happen" : "Corrected: an earlier entry"),
    overdue_quieted: () => `${team()}: sound off for a while, still overdue`,
    emergency_started: () => "Emergency plan started",
    emergency_ended: () => "Emergency plan ended",
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
    transferred: () => `Given over: ${person(entry.subject)}`,
    distress_call_made: () => "A call for help was made",
    procedure_step_done: () => `Step done: ${stepWords(deck, String(data["step"]))}`,
  };
  return words[entry.kind]?.() ?? entry.kind.replaceAll("_", " ");
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
