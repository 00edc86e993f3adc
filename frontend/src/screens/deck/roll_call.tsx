import { useState } from "preact/hooks";
import { happened } from "../../kernel/boatlog/claims.ts";
import { Button, Buttons, Choice, goInstead, LinkButton, Notice, Page, Reason, Section, type ScreenProps } from "../parts/index.ts";
import { clockTime, count as counted, names as joined } from "../words/format.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { OnTrip, SyncStrip, type Names } from "./frame.tsx";
import { LeaveAllTheSame } from "./override.tsx";
import type { Deck } from "./use_trip.ts";

export function RollCall({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <RollCallPage deck={deck} names={names} />}</OnTrip>;
}

type Method = "answered" | "seen";

/** Everyone by name, one tap each; the boat does not leave while anyone is not accounted for. */
function RollCallPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view, zone } = deck;
  const [count, setCount] = useState<string>(() => begun(deck) ?? crypto.randomUUID());
  const [method, setMethod] = useState<Method>("answered");
  const [named, setNamed] = useState<string | null>(null);
  const caller = named ?? acting(view);
  const place = log.entries.some(({ entry }) => entry.kind === "departed") ? "site" : "port";
  const mine = view.roll_call.counts.find((one) => one.count === count);
  const seen = new Set(mine?.seen ?? []);
  const called = Object.entries(view.people)
    .filter(([, state]) => state.state !== "ashore")
    .map(([person]) => person)
    .sort((a, b) => names.full(a).localeCompare(names.full(b)));
  const open = called.filter((person) => !seen.has(person));
  const inWater = (person: string) => ["down", "marker_seen", "in_water"].includes(view.people[person]?.state ?? "");
  const missing = [...view.departure.not_accounted_for].sort((a, b) => Number(inWater(b)) - Number(inWater(a)) || names.full(a).localeCompare(names.full(b)));
  const finish = () => log.write({ by: caller, kind: "count_finished", subject: log.trip, data: { count, method, heads: null, place } });
  const name = async (person: string) => {
    await log.write({ by: caller, kind: "roll_call_taken", subject: log.trip, data: { count, seen: [person], method, place } });
    // The last name ends the count by itself: no further tap on a normal day.
    if (mine?.finished_at == null && open.every((other) => other === person)) await finish();
  };
  const leave = () => void log.write({ by: caller, kind: "departed", subject: log.trip, data: { place } }).then(() => goInstead(`/trips/${log.trip}/deck`));
  const left = lastDeparture(deck);
  const others = view.roll_call.counts.filter((one) => one.count !== count);
  const blocked = view.departure.blocked;
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title="Roll call" back={`/trips/${log.trip}/deck`} backLabel="Deck" note="Call each name and wait for that person's own answer.">
        {blocked && missing.length > 0 ? (
          <div class="missing" role="alert">
            <p class="missing-title">Do not leave. Not accounted for:</p>
            <p class="missing-names">{joined(missing.map(names.full))}</p>
          </div>
        ) : missing.length > 0 ? (
          <div class="missing" role="alert">
            <p class="missing-title">Two people decided to leave. Not accounted for, still:</p>
            <p class="missing-names">{joined(missing.map(names.full))}</p>
          </div>
        ) : blocked && open.length > 0 ? (
          <div class="missing clear" role="status">
            <p class="missing-title">{seen.size === 0 ? "Count again before the boat leaves" : "Do not leave yet. Still to be called:"}</p>
            <p class="missing-names">{seen.size === 0 ? `${counted(called.length, "name")} to call` : joined(open.map(names.full))}</p>
          </div>
        ) : blocked ? (
          <div class="missing clear" role="status">
            <p class="missing-title">This count is done</p>
            <p class="missing-names">Now a second person counts</p>
          </div>
        ) : (
          <div class="missing clear" role="status">
            <p class="missing-title">Everyone is accounted for by name</p>
            <p class="missing-names">{called.length} aboard</p>
          </div>
        )}
        <Compared deck={deck} names={names} />
        {caller === null ? (
          <Notice tone="warn">
            <p>Who calls the names? Tap your name.</p>
            <CallerChoice names={names} called={called} caller={caller} onChoose={setNamed} />
          </Notice>
        ) : (
          <>
            <div class="roll" role="group" aria-label="Names">
              {called.map((person) =>
                seen.has(person) ? (
                  <p key={person} class="head done">
                    {names.full(person)} {method === "answered" ? "answered" : "was seen"}
                  </p>
                ) : inWater(person) ? (
                  <p key={person} class="head still">
                    {names.full(person)} is in the water
                  </p>
                ) : (
                  <DeckButton key={person} row={`call ${person}`} tone="plain" label={`${names.full(person)} ${method}`} onTap={() => void name(person)}>
                    {names.full(person)}
                  </DeckButton>
                ),
              )}
            </div>
            {blocked ? (
              <p class="lead">
                {counted(open.length, "name")} to go in this count, called by {names.full(caller)}.
              </p>
            ) : (
              <Button tone={missing.length > 0 ? "stop" : "act"} size="deck" wide onPress={leave}>
                {place === "port" ? "Leave port" : "Leave the site"}
                {missing.length > 0 && ` without ${joined(missing.map(names.short))}`}
              </Button>
            )}
            {left !== null && <p class="lead">Last left at {clockTime(left, zone)}.</p>}
            {seen.size > 0 && open.length > 0 && mine?.finished_at == null && (
              <Reason title="This count is over, and names are missing">
                <p>It then stands as it is, beside the other count.</p>
                <Button size="large" wide onPress={() => void finish()}>
                  End this count without {joined(open.map(names.short))}
                </Button>
              </Reason>
            )}
            {blocked && missing.length > 0 && <LeaveAllTheSame deck={deck} names={names} missing={missing} />}
            {place === "port" && (
              <LinkButton path={`/trips/${log.trip}/ashore`} size="large" wide>
                Somebody stays ashore
              </LinkButton>
            )}
            <Section>
              <Reason title="A second count, by someone else" open={view.roll_call.needed > 1 && open.length === 0 && blocked}>
              <p>Two people count, each for themselves, and the two are compared.</p>
              {others.map((one) => (
                <p key={one.count}>
                  Counted by {one.by.length === 0 ? "someone" : joined(one.by.map(names.full))}: {one.seen.length} of {called.length},{" "}
                  {one.active ? "each answered" : "seen, not asked"}
                  {one.finished_at === null ? ", still going" : ", ended"}
                  {one.seen.length < called.length && `; without ${joined(called.filter((person) => !one.seen.includes(person)).map(names.full))}`}
                </p>
              ))}
              <Choice<Method>
                label="How this count is taken"
                value={method}
                options={[
                  { value: "answered", label: "Each named person answers" },
                  { value: "seen", label: "Each named person is seen", note: "does not bring anyone out of the water" },
                ]}
                onChange={(value) => {
                  setMethod(value);
                  setCount(crypto.randomUUID());
                }}
              />
              <p>Who counts now?</p>
              <CallerChoice
                names={names}
                called={called}
                caller={caller}
                onChoose={(person) => {
                  setNamed(person);
                  setCount(crypto.randomUUID());
                }}
              />
              </Reason>
            </Section>
          </>
        )}
        <LinkButton path={`/trips/${log.trip}/went-in`} wide>
          Somebody went in again
        </LinkButton>
        <LinkButton path={`/trips/${log.trip}/record`} tone="quiet" wide>
          The written record
        </LinkButton>
      </Page>
    </>
  );
}

/** Two ended counts beside each other: the same names, or who is in one and not in the other. */
function Compared({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { stage, differ } = deck.view.roll_call;
  if (stage === "agree") return <p class="lead">Two counts agree, name by name.</p>;
  if (stage !== "recount" && stage !== "emergency") return null;
  const who = joined(differ.map(names.full));
  return (
    <Notice tone="stop">
      <p>
        {stage === "recount" ? "The two counts do not agree. Both count again, each alone." : "The counts still differ. This is an emergency until they agree."}
        {who !== "" && ` In doubt: ${who}.`}
      </p>
      {stage === "emergency" && (
        <LinkButton path={`/trips/${deck.log.trip}/emergency`} tone="stop" size="large" wide>
          Emergency
        </LinkButton>
      )}
    </Notice>
  );
}

function CallerChoice(props: {
  readonly names: Names;
  readonly called: readonly string[];
  readonly caller: string | null;
  readonly onChoose: (person: string) => void;
}) {
  return (
    <Buttons>
      {props.called.map((person) => (
        <Button
          key={person}
          pressed={person === props.caller}
          tone={person === props.caller ? "act" : "plain"}
          onPress={() => props.onChoose(person)}
        >
          {props.names.short(person)}
        </Button>
      ))}
    </Buttons>
  );
}

/** The count that the deck holder began and that nothing has opened again: a reload or another page does not lose it. */
function begun(deck: Deck): string | null {
  const by = acting(deck.view);
  return deck.view.roll_call.counts.filter((one) => one.active && one.by.length === 1 && one.by[0] === by).at(-1)?.count ?? null;
}

function lastDeparture(deck: Deck): number | null {
  let last: number | null = null;
  for (const { entry } of deck.log.entries) if (entry.kind === "departed") last = Math.max(last ?? 0, happened(deck.log.state, entry));
  return last;
}
