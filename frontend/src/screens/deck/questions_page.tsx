import { Empty, List, Page, Row, type ScreenProps } from "../parts/index.ts";
import { clockTime, names as joined } from "../words/format.ts";
import { OnTrip, SyncStrip } from "./frame.tsx";
import { said } from "./log_page.tsx";

/** What the entries leave open: which they are, whom it concerns, and which reading counts until people settle it. */
export function Questions({ params }: ScreenProps) {
  return (
    <OnTrip trip={params["trip"] ?? ""}>
      {(deck, names) => (
        <>
          <SyncStrip deck={deck} />
          <Page title="Questions to settle" back={`/trips/${deck.log.trip}/deck`} backLabel="Deck" note="Until they are settled the more careful reading counts.">
            {deck.view.questions.length === 0 && <Empty>Nothing is in doubt.</Empty>}
            <List label="Questions">
              {deck.view.questions.map((question) => (
                <Row
                  key={`${question.code} ${question.entries.join(" ")}`}
                  title={questionWords[question.code] ?? question.code.replaceAll("_", " ")}
                  note={joined(question.people.map(names.full))}
                  tone="warn"
                >
                  <ul class="claims">
                    {question.entries.map((id) => {
                      const stored = deck.log.entries.find((one) => one.id === id);
                      return stored === undefined ? null : (
                        <li key={id}>
                          {clockTime(stored.entry.at, deck.zone)} {said(deck, names, stored)}
                          {stored.entry.by !== null && `, said to be by ${names.full(stored.entry.by)}`}
                        </li>
                      );
                    })}
                  </ul>
                </Row>
              ))}
            </List>
          </Page>
        </>
      )}
    </OnTrip>
  );
}

const questionWords: Readonly<Record<string, string>> = {
  last_seen_not_known: "When were they last together? The moment one came up counts until it is known.",
  corrections_differ: "Two corrections of one entry differ",
  correction_not_settled: "A correction stands alone: a second person has to say the same",
  counted_by_eye_only: "Seen in a count, not asked, after having been in the water",
  departed_not_accounted_for: "The boat left while someone was not accounted for",
};
