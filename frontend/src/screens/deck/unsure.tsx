import { useState } from "preact/hooks";
import { unsure } from "../../kernel/boatlog/claims.ts";
import type { Entry } from "../../kernel/boatlog/entries.ts";
import { ownCompared } from "../../sync/own_clock.ts";
import { Button, Buttons, LinkButton, Reason } from "../parts/index.ts";
import { clockTime } from "../words/format.ts";
import { farWords, lengthWords, unsureWords } from "../words/unsure.ts";
import type { Deck } from "./use_trip.ts";

const DOWN: ReadonlySet<string> = new Set(["down"]);

interface UnsureProps {
  readonly deck: Deck;
  /** Which time it is: "Time down and due". */
  readonly label: string;
  readonly span: readonly [number, number] | null;
  /** The entries it rests on. */
  readonly entries: readonly string[];
  /** Which end counts until it is settled. */
  readonly counts: "earlier" | "shorter" | "longer";
}

/** Beside a time that is in doubt: by how much, and why one tap away. Nothing where the doubt is under a minute. */
export function Unsure({ deck, label, span, entries, counts }: UnsureProps) {
  const words = span === null ? "" : unsureWords(span[1] - span[0]);
  if (words === "") return null;
  const why = reasons(deck, entries.map((id) => deck.log.entry(id)).filter((entry) => entry !== undefined));
  return (
    <Reason title={`${label}: ${words}`}>
      {why.map((text) => (
        <p key={text}>{text}</p>
      ))}
      <p>Until it is known the {counts} one counts.</p>
      {deck.view.questions.some((question) => question.entries.some((id) => entries.includes(id))) && (
        <LinkButton path={`/trips/${deck.log.trip}/questions`}>Questions to settle</LinkButton>
      )}
    </Reason>
  );
}

/** The entries that say when these people went down on a dive. */
export function downEntries(deck: Deck, people: readonly string[], dive: string): readonly string[] {
  return entriesOf(deck, people, dive).filter((id) => DOWN.has(deck.log.entry(id)?.kind ?? ""));
}

/** The entries that say when this person last came up. */
export function upEntries(deck: Deck, person: string): readonly string[] {
  const last = (deck.view.people[person]?.dives_done ?? []).at(-1);
  return (last?.entries ?? []).filter((id) => !["down", "left_bottom"].includes(deck.log.entry(id)?.kind ?? ""));
}

/** The entries that a dive of these people rests on. */
export function entriesOf(deck: Deck, people: readonly string[], dive: string): readonly string[] {
  const made = people.flatMap((person) => (deck.view.people[person]?.dives_done ?? []).filter((one) => one.dive === dive));
  return [...new Set(made.flatMap(({ entries }) => entries))];
}

function reasons(deck: Deck, entries: readonly Entry[]): readonly string[] {
  const found = new Set<string>();
  for (const entry of entries) {
    const doubt = unsureWords(unsure(deck.log.state, entry));
    if (doubt !== "") found.add(`${entry.device === deck.log.device?.device ? "This phone's" : "Another phone's"} clock was ${doubt} then: it had been moved, or could not be compared well.`);
    const { earliest, latest } = entry.data as { earliest?: number; latest?: number };
    if (earliest !== undefined || latest !== undefined) found.add("The moment was told from memory, as a time from and to.");
  }
  if (found.size === 0) found.add("Entries say different times.");
  return [...found];
}

/** In sight on every deck page: this phone's own clock is in doubt, or wrong and put right. */
export function OwnClock({ deck }: { readonly deck: Deck }) {
  const { log, now, zone } = deck;
  const doubt = unsureWords(log.unsureMs);
  const ahead = -log.reckoned(0);
  if (deck.asleep > 0) return <Asleep deck={deck} />;
  if (doubt !== "") {
    return (
      <div class="strip warn" role="status">
        <Reason title={`Clock: ${doubt}`}>
          <p>{ownCompared(log)?.data["how"] === "step" ? "This phone's clock was set, or the phone slept." : "This phone's clock does not agree with another phone's, or could not be compared well."}</p>
          <p>Until it has a network for a moment, times due come early and waits are long. Go by a watch.</p>
        </Reason>
      </div>
    );
  }
  if (unsureWords(Math.abs(ahead)) === "") return null;
  return (
    <div class="strip" role="status">
      {`This phone's own clock is ${farWords(ahead)} ${ahead > 0 ? "ahead" : "behind"}. The times here are put right: it is ${clockTime(now, zone)}.`}
    </div>
  );
}

/** After a sleep nothing on the phone tells from a clock set forward: a person with a watch does. */
function Asleep({ deck }: { readonly deck: Deck }) {
  const { log, now, zone } = deck;
  const [no, sayNo] = useState(false);
  const long = lengthWords(deck.asleep);
  return (
    <div class="strip warn" role="status" data-asleep>
      {no ? (
        <span>Then times due come early and waits are long, until this phone meets the server or reads another phone.</span>
      ) : (
        <span>
          This phone slept for {long}, or its clock was set forward. Does a watch say <b>{clockTime(now, zone)}</b>? Until then waits count {long} more.
        </span>
      )}
      <Buttons>
        <Button key="yes" onPress={() => (no ? sayNo(false) : log.clockIsRight())}>
          {no ? "Back" : "Yes, it does"}
        </Button>
        <Button key="no" onPress={() => (no ? void log.clockWasSet() : sayNo(true))}>
          {no ? "The clock was set" : "No"}
        </Button>
      </Buttons>
    </div>
  );
}
