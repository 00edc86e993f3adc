import { useState } from "preact/hooks";
import { happened } from "../../kernel/boatlog/claims.ts";
import { UNDO_MS } from "../../kernel/boatlog/corrections.ts";
import type { StoredEntry } from "../../store/records.ts";
import { Button, List, Notice, Page, Row } from "../parts/index.ts";
import { names as joined } from "../words/format.ts";
import type { Names } from "./frame.tsx";
import { said, whoWords } from "./said.ts";
import { pageChanged, tapped } from "./tap.ts";
import type { Deck } from "./use_trip.ts";
import { anotherPerson, anotherTeam, named, otherPeople, otherTeams } from "./wrong_name.ts";

type Said = Readonly<Record<string, unknown>>;

/** A wrong name in an entry: whose it was instead, one question a page, then both side by side. */
export function OtherName(props: {
  readonly deck: Deck;
  readonly names: Names;
  readonly stored: StoredEntry;
  readonly of: "person" | "team";
  readonly writing: boolean;
  readonly onSay: (said: Said) => void;
  readonly onBack: () => void;
}) {
  const { deck, names, stored, of } = props;
  const { entry } = stored;
  const listed = named(entry);
  const [wrong, setWrong] = useState<string | null>(of === "team" ? entry.subject : listed.length === 1 ? listed[0]! : null);
  const [right, setRight] = useState<string | null>(null);
  const who = (id: string) => whoWords(deck, names, id);
  const back = (
    <Button size="large" wide onPress={props.onBack}>
      Back: leave it as it is
    </Button>
  );
  const choose = (title: string, ids: readonly string[], onChoose: (id: string) => void) => (
    <Page title={title} note={said(deck, names, stored)}>
      <List label={title}>
        {[...ids]
          .sort((a, b) => who(a).localeCompare(who(b)))
          .map((id) => (
            <Row
              key={id}
              title={who(id)}
              note={of === "team" ? joined(deck.view.teams[id]!.members.map(names.full)) : ""}
              onPress={() => {
                // A second tap would choose whoever the next question has under the finger.
                if (!tapped("other name")) return;
                pageChanged();
                onChoose(id);
              }}
            />
          ))}
      </List>
      <div class="apart" />
      {back}
    </Page>
  );
  if (wrong === null) return choose("Which name is wrong?", listed, setWrong);
  if (right === null) return of === "team" ? choose("Which team was it?", otherTeams(deck.view, entry), setRight) : choose("Who was it?", otherPeople(deck.view, entry), setRight);
  // The kernel decides by when it is said; a few seconds less, so that what is read here still holds when it is tapped.
  const soon = entry.device === deck.log.device?.device && deck.now - entry.clock.ms < UNDO_MS - 5000 && Math.abs(deck.now - happened(deck.log.state, entry)) < UNDO_MS;
  const says = of === "team" ? anotherTeam(deck.view, entry, right) : anotherPerson(entry, wrong, right);
  const instead: StoredEntry = { ...stored, entry: { ...entry, subject: (says["subject"] as string | undefined) ?? entry.subject, data: { ...entry.data, ...(says["data"] as Said | undefined) } } };
  return (
    <Page title={`It was ${who(right)}?`} note="Both stay in the log.">
      <List label="Before and now">
        <Row title={said(deck, names, stored)} note="as entered" />
        <Row title={said(deck, names, instead)} note="as you say now" />
      </List>
      <Notice tone="warn">{soon ? "Said now, it counts as put right." : "Until two people say the same under Questions, the careful reading counts for both."}</Notice>
      <Button tone="act" size="deck" wide disabled={props.writing} onPress={() => tapped("other name") && props.onSay(says)}>
        It was {who(right)}, not {who(wrong)}
      </Button>
      <div class="apart" />
      {back}
    </Page>
  );
}
