import { ending, type StepView } from "../../kernel/boatlog/emergency.ts";
import type { Act } from "../../store/trip_log.ts";
import { happened, standing } from "../../kernel/boatlog/claims.ts";
import type { Entry } from "../../kernel/boatlog/entries.ts";
import { facts } from "../../kernel/boatlog/facts.ts";
import { fixNow } from "../parts/fix.ts";
import { Button, Buttons, Empty, LinkButton, List, Notice, Page, Reason, Row, Section, type ScreenProps } from "../parts/index.ts";
import { useWakeLock } from "../parts/wake_lock.ts";
import { clockTime, count, minutes, minutesToWait, names as joined } from "../words/format.ts";
import { acting } from "./acting.ts";
import { here as onBoard } from "./boats.ts";
import { isCaredFor } from "./care_words.ts";
import { DeckButton } from "./deck_button.tsx";
import { OnTrip, oxygenAboard, SyncStrip, type Names } from "./frame.tsx";
import { givenOxygen, oxygenEndsAt } from "./oxygen.ts";
import { givenTo } from "./said.ts";
import { tapped } from "./tap.ts";
import { Release } from "./release.tsx";
import type { Deck } from "./use_trip.ts";
import { WhomToCall } from "./whom_to_call.tsx";

const whyWords: Readonly<Record<string, string>> = {
  started: "The emergency plan was started.",
  distress_call: "A call for help was made.",
  symptoms: "Someone is not well.",
  fast_ascent: "Someone came up too fast.",
  oxygen: "Someone was given oxygen.",
  stop_missed: "Someone missed a stop.",
  counts_differ: "Two counts differ or lack a name, and the recount too.",
  overdue: "Someone is overdue.",
};

const calls: readonly { readonly to: string; readonly means: string; readonly label: string }[] = [
  { to: "coastguard", means: "voice_radio", label: "Coastguard, by radio" },
  { to: "coastguard", means: "phone", label: "Coastguard, by phone" },
  { to: "ambulance", means: "phone", label: "Ambulance" },
  { to: "boats_near", means: "voice_radio", label: "Boats near by" },
];

export function Emergency({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <EmergencyPage deck={deck} names={names} />}</OnTrip>;
}

/** What goes on, the club's steps with their times, the people it is about, and who ends it. */
function EmergencyPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  useWakeLock();
  const { log, view, zone } = deck;
  const path = `/trips/${log.trip}`;
  const { open, why, since } = view.emergency_page;
  const people = concerned(deck);
  const write = (act: Omit<Act, "by">) => void log.write({ by: acting(view), ...act });
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title="Emergency" back={`${path}/deck`} backLabel="Deck" note={since === null ? "Nothing is entered as an emergency." : `Since ${clockTime(since, zone)}`}>
        {open && (
          <Notice tone="stop">
            {why.map((each) => (
              <p key={each}>{whyWords[each] ?? each.replaceAll("_", " ")}</p>
            ))}
            <p>
              <b>{joined(people.map(names.full))}</b>
            </p>
          </Notice>
        )}
        {!view.emergency && (
          <DeckButton row="start" tone="stop" onTap={() => write({ kind: "emergency_started", subject: log.trip, data: { people } })}>
            Start the emergency plan
          </DeckButton>
        )}
        <ProcedureSteps deck={deck} names={names} onDone={(step) => write({ kind: "procedure_step_done", subject: log.trip, data: { step } })} />
        <WhomToCall deck={deck} />
        <Section title="The people">
          {people.length === 0 && <Empty>Nobody is named.</Empty>}
          <OxygenLeft deck={deck} />
          <div class="cards">
            {people.map((person) => (
              <Person key={person} deck={deck} names={names} person={person} onWrite={write} />
            ))}
          </div>
          <LinkButton path={`${path}/not-well`} size="large" wide>
            Somebody is not well
          </LinkButton>
        </Section>
        <Section title="A call for help was made">
          <div class="heads">
            {calls.map(({ to, means, label }) => (
              <DeckButton
                key={label}
                row={label}
                tone="plain"
                size="large"
                onTap={() => write({ kind: "distress_call_made", subject: log.trip, data: { to, means, urgency: "distress", people, fix: fixNow() } })}
              >
                {label}
              </DeckButton>
            ))}
          </div>
          <CallsMade deck={deck} />
        </Section>
        {open && <Ending deck={deck} names={names} />}
        <p class="lead">The club's own sheet and the coastguard come first; whoever leads the rescue decides.</p>
      </Page>
    </>
  );
}

/** Whom the emergency is about, and who of this boat is apart or out of sight; once the plan runs, all of it who are not aboard. */
function concerned(deck: Deck): readonly string[] {
  const { view } = deck;
  const away = ["down", "marker_seen", "in_water", "up", "unknown"];
  const more = onBoard(deck).flatMap(([person, { state, separated, accounted_for: here }]) =>
    state === "lost_from_sight" || separated || (view.emergency && !here && away.includes(state)) ? [person] : [],
  );
  return [...new Set([...view.emergency_page.people, ...more])];
}

/** Steps in sight at once. */
const AT_ONCE = 3;

function ProcedureSteps(props: { readonly deck: Deck; readonly names: Names; readonly onDone: (step: string) => void }) {
  const { view, zone, latest: now } = props.deck;
  const running = view.procedure;
  if (running === null) return null;
  const open = running.steps.filter((step) => step.done_at === null);
  const next = open[0]?.step;
  const lastDone = running.steps.filter((step) => step.done_at !== null).at(-1);
  // What is late, what comes next and what was done last: the people and the words for the radio stay near.
  const near = new Set([lastDone, ...open.slice(0, AT_ONCE), ...open.filter((step) => step.late)]);
  const first = running.steps.filter((step) => near.has(step));
  const rest = running.steps.filter((step) => !near.has(step));
  const row = (step: StepView) => (
    <Row
      key={step.step}
      title={step.say}
      tone={step.late ? "stop" : step.step === next ? "warn" : "plain"}
      note={
        step.done_at !== null
          ? `Done ${clockTime(step.done_at, zone)}${step.by === null ? "" : `, ${props.names.short(step.by)}`}`
          : step.due_at === null
            ? ""
            : step.late
              ? `Was to be done by ${clockTime(step.due_at, zone)}`
              : `By ${clockTime(step.due_at, zone)}, ${minutesToWait((step.due_at - now) / 1000)} min left`
      }
    >
      {step.done_at === null && (
        <p class="step-done">
          <DeckButton row={`step ${step.step}`} tone={step.step === next ? "act" : "plain"} size="large" label={`Done: ${step.say}`} onTap={() => props.onDone(step.step)}>
            Done
          </DeckButton>
        </p>
      )}
    </Row>
  );
  return (
    <Section title={`Steps, since ${clockTime(running.started_at, zone)}`}>
      {running.counts_from < running.started_at && running.steps.some((step) => step.due_at !== null) && <p>The minutes count from {clockTime(running.counts_from, zone)}, when the first was overdue.</p>}
      {!running.own && <p>General steps, to be replaced by the club’s own. Do what the coastguard says first.</p>}
      <List label="Steps">{first.map(row)}</List>
      {rest.length > 0 && (
        <Reason title={`The other ${rest.length} steps`}>
          <List label="The other steps">{rest.map(row)}</List>
        </Reason>
      )}
    </Section>
  );
}

function Person(props: { readonly deck: Deck; readonly names: Names; readonly person: string; readonly onWrite: (act: Omit<Act, "by">) => void }) {
  const { deck, names, person, onWrite } = props;
  const known = deck.view.people[person];
  if (known === undefined) return null;
  // Whoever is given oxygen is within reach, counted or not.
  const here = ["aboard", "unknown", "up"].includes(known.state);
  const cared = lastCare(deck, person);
  return (
    <article class="card">
      <h3>{names.full(person)}</h3>
      {cared !== "" && <p>{cared}</p>}
      {((known.state !== "aboard" && !known.accounted_for) || isCaredFor(deck.view, person)) && (
        <LinkButton path={`/trips/${deck.log.trip}/lost/${person}`} tone="act" size="large" wide>
          Words for the radio
        </LinkButton>
      )}
      {here && (
        <Buttons even>
          <DeckButton
            row={`oxygen ${person}`}
            tone={known.on_oxygen ? "plain" : "act"}
            size="large"
            label={`${names.full(person)}: oxygen ${known.on_oxygen ? "stopped" : "started"}`}
            onTap={() => onWrite({ kind: known.on_oxygen ? "oxygen_stopped" : "oxygen_started", subject: person })}
          >
            Oxygen {known.on_oxygen ? "stopped" : "started"}
          </DeckButton>
          <LinkButton path={`/trips/${deck.log.trip}/transferred/${person}`} size="large">
            Given over to others
          </LinkButton>
        </Buttons>
      )}
      {known.held && (
        <>
          <p>Held from diving; limits and the time before flying are withdrawn.</p>
          <LinkButton path={`/trips/${deck.log.trip}/felt/${person}`}>What was felt, in words</LinkButton>
          <Release deck={deck} names={names} person={person} />
        </>
      )}
    </article>
  );
}

/** How long the oxygen aboard still lasts whoever is given it; what is not written down is read off its gauge. */
function OxygenLeft({ deck }: { readonly deck: Deck }) {
  const given = givenOxygen(deck.log.state);
  const breathing = given.filter(({ to }) => to === null);
  if (breathing.length === 0) return null;
  const litres = oxygenAboard(deck);
  const ends = litres === null ? null : oxygenEndsAt(litres, given, deck.latest);
  const left = ends === null ? 0 : minutes((ends - deck.latest) / 1000);
  const flows = [...new Set(breathing.map(({ flow }) => flow))].join(" and ");
  return (
    <Notice tone={ends !== null && left < SOON_OUT_MIN ? "stop" : "warn"}>
      {ends === null ? (
        <p>How long the oxygen lasts is not known here: read its gauge. {count(breathing.length, "person breathes", "people breathe")} it.</p>
      ) : (
        <p>
          Oxygen for <b>{left} min</b>, until <b>{clockTime(ends, deck.zone)}</b>: {litres} L when full, {flows} L a minute for {count(breathing.length, "person", "people")}. Its gauge comes first.
        </p>
      )}
    </Notice>
  );
}

/** Our own choice: time to change a cylinder or to tell whoever is coming. */
const SOON_OUT_MIN = 10;

/** Oxygen since when, and who took the person over: what whoever comes asks first. */
function lastCare(deck: Deck, person: string): string {
  const { log, view, zone } = deck;
  const last = (kind: string) =>
    (log.state.byKind.get(kind) ?? [])
      .filter((entry) => entry.subject === person && standing(log.state, entry) !== null)
      .sort((a, b) => happened(log.state, a) - happened(log.state, b))
      .at(-1);
  const at = (entry: Entry) => clockTime(happened(log.state, entry), zone);
  const [from, to, given] = [last("oxygen_started"), last("oxygen_stopped"), last("transferred")];
  const said: string[] = [];
  if (from !== undefined) said.push(view.people[person]?.on_oxygen === true || to === undefined ? `On oxygen since ${at(from)}.` : `Oxygen from ${at(from)} to ${at(to)}.`);
  const stored = log.entries.find(({ id }) => id === given?.id);
  if (stored !== undefined && view.people[person]?.state === "transferred") said.push(`Given over to ${givenTo(stored)}, ${at(stored.entry)}.`);
  return said.join(" ");
}

function CallsMade({ deck }: { readonly deck: Deck }) {
  const made = deck.log.entries
    .filter(({ entry }) => entry.kind === "distress_call_made")
    .map(({ id, entry }) => ({ id, entry, at: happened(deck.log.state, entry) }))
    .sort((a, b) => a.at - b.at);
  return (
    <>
      {made.map(({ id, entry, at }) => (
        <p key={id}>
          {clockTime(at, deck.zone)}: {calls.find(({ to, means }) => to === entry.data["to"] && means === entry.data["means"])?.label ?? "a call"}
        </p>
      ))}
    </>
  );
}

/** A named person ends it; nobody becomes accounted for by that. */
function Ending({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view } = deck;
  const here = Object.entries(view.people).filter(([, { state }]) => state === "aboard" || state === "unknown");
  return (
    <Reason title="The emergency is over: who says so?">
      <p>Whoever is overdue or not accounted for stays so.</p>
      <Buttons>
        {here.map(([person]) => (
          <Button key={person} onPress={() => tapped("over") && void log.write({ by: person, kind: "emergency_ended", subject: log.trip, data: { ...ending(log.state, facts(log.state).holds) } })}>
            {names.full(person)}
          </Button>
        ))}
      </Buttons>
    </Reason>
  );
}
