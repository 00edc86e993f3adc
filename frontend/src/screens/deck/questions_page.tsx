import { useState } from "preact/hooks";
import { MAY_BE_LEFT } from "../../kernel/boatlog/looked_at.ts";
import { maySettle } from "../../kernel/boatlog/settling.ts";
import { happened, unsure } from "../../kernel/boatlog/claims.ts";
import type { QuestionView } from "../../kernel/boatlog/view.ts";
import { Button, Buttons, Empty, LinkButton, List, Notice, Page, Row, type ScreenProps } from "../parts/index.ts";
import { clockTime, depth, names as joined } from "../words/format.ts";
import { withDoubt } from "../words/unsure.ts";
import { questionText } from "../words/questions.ts";
import { OnTrip, SyncStrip, type Names } from "./frame.tsx";
import { said, whoWords } from "./said.ts";
import { LookedAt } from "./looked_at.tsx";
import { answers, asked, elsewhere, say as sayTo, type Answer } from "./settle.ts";
import type { Deck } from "./use_trip.ts";

export function Questions({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <QuestionsPage deck={deck} names={names} />}</OnTrip>;
}

/** What the entries leave open, which reading counts until then, and the answers: two people say the same, each by name. */
function QuestionsPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view } = deck;
  const [chosen, choose] = useState<Answer | null>(null);
  const questions = asked(log, view.questions);
  if (chosen !== null) return <WhoSays deck={deck} names={names} answer={chosen} onDone={() => choose(null)} />;
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title="Questions to settle" back={`/trips/${log.trip}/deck`} backLabel="Deck" note="Until two people say the same the more careful reading counts.">
        {questions.length === 0 ? (
          <Empty>Nothing is in doubt.</Empty>
        ) : (
          <List label="Questions">
            {questions.map((question) => (
              <Row
                key={`${question.code} ${question.entries.join(" ")}`}
                title={questionText(question.code)}
                note={joined(question.people.map(names.full))}
                tone="warn"
              >
                <Claims deck={deck} names={names} question={question} onChoose={choose} />
              </Row>
            ))}
          </List>
        )}
      </Page>
    </>
  );
}

function Claims(props: { readonly deck: Deck; readonly names: Names; readonly question: QuestionView; readonly onChoose: (answer: Answer) => void }) {
  const { deck, names, question } = props;
  const offered = answers(deck.log, question);
  const page = elsewhere[question.code];
  return (
    <>
      <ul class="claims">
        {question.entries.map((id) => {
          const stored = deck.log.entries.find((one) => one.id === id);
          return stored === undefined ? null : (
            <li key={id}>
              {withDoubt(clockTime(happened(deck.log.state, stored.entry), deck.zone), unsure(deck.log.state, stored.entry))} {said(deck, names, stored)}
              {stored.entry.by !== null && `, said to be by ${names.full(stored.entry.by)}`}
            </li>
          );
        })}
      </ul>
      {offered.length > 0 && (
        <Buttons>
          {offered.map((answer) => (
            <Button key={answer.key} size="large" onPress={() => props.onChoose(answer)}>
              {words(deck, names, answer)}
            </Button>
          ))}
        </Buttons>
      )}
      {page !== undefined && (
        <Buttons>
          <LinkButton path={`/trips/${deck.log.trip}/${page.path}`} size="large">
            {page.label}
          </LinkButton>
        </Buttons>
      )}
      {MAY_BE_LEFT.has(question.code) && <LookedAt deck={deck} names={names} question={question} />}
    </>
  );
}

function WhoSays(props: { readonly deck: Deck; readonly names: Names; readonly answer: Answer; readonly onDone: () => void }) {
  const { deck, names, answer } = props;
  const [writing, setWriting] = useState(false);
  const able = Object.keys(deck.view.people).filter((person) => answer.about.every((entry) => maySettle(entry, person, answer.not_by, answer.also)));
  const say = async (person: string) => {
    if (writing) return;
    setWriting(true);
    await sayTo(deck.log, answer, person);
    props.onDone();
  };
  return (
    <Page title="Who says so?" note={words(deck, names, answer)}>
      <Notice>{answer.not_by.length > 0 ? "The second person to say it settles it." : "It counts once a second person says the same. Nothing is deleted."}</Notice>
      <List label="Who says so">
        {able
          .sort((a, b) => names.full(a).localeCompare(names.full(b)))
          .map((person) => (
            <Row key={person} title={names.full(person)} onPress={() => void say(person)} />
          ))}
      </List>
      <div class="apart" />
      <Button size="large" wide onPress={props.onDone}>
        Nobody: back
      </Button>
    </Page>
  );
}

function words(deck: Deck, names: Names, { says, entry, not_by }: Answer): string {
  if (says === "right") {
    const before = not_by.length === 0 ? "" : `, as ${joined(not_by.map(names.short))} said`;
    return `${clockTime(happened(deck.log.state, entry), deck.zone)} is right${before}`;
  }
  const stored = deck.log.entries.find((one) => one.id === (says === "same" ? entry.corrects : entry.id));
  const what = stored === undefined ? "the entry" : `${said(deck, names, stored)}, ${clockTime(happened(deck.log.state, stored.entry), deck.zone)}`;
  if (says === "not") return `It did not happen: ${what}`;
  if (stored?.entry.kind === "correction" && entry.data["void"] === true && says === "same") return `Yes, this is wrong: ${what}`;
  const another = entry.data["subject"];
  if (typeof another === "string") return `Yes, it was ${whoWords(deck, names, another)}, not: ${what}`;
  if (entry.data["void"] === true) return `Yes, it did not happen: ${what}`;
  const at = entry.data["at"];
  const right = (entry.data["data"] as { readonly depth?: { unit: "m" | "ft"; hundredths: number } } | undefined)?.depth;
  if (typeof right?.hundredths === "number") return `Yes, the depth was ${depth(right)}. Not: ${what}`;
  return typeof at === "number" ? `Yes, it was at ${clockTime(at + happened(deck.log.state, entry) - entry.at, deck.zone)}. Not: ${what}` : `Yes, as corrected: ${what}`;
}
