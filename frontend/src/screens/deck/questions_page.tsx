import { Empty, List, Page, Row, type ScreenProps } from "../parts/index.ts";
import { clockTime, names as joined } from "../words/format.ts";
import { questionText } from "../words/questions.ts";
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
            {deck.view.questions.length === 0 ? (
              <Empty>Nothing is in doubt.</Empty>
            ) : (
            <List label="Questions">
              {deck.view.questions.map((question) => (
                <Row
                  key={`${question.code} ${question.entries.join(" ")}`}
                  title={questionText(question.code)}
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
            )}
          </Page>
        </>
      )}
    </OnTrip>
  );
}
