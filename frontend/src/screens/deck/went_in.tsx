import { Empty, goInstead, List, Page, Row, type ScreenProps } from "../parts/index.ts";
import { acting } from "./acting.ts";
import { here } from "./boats.ts";
import { OnBoat } from "./frame.tsx";
import { tapped } from "./tap.ts";

/** A swimmer, or someone freeing the anchor: every body in the water opens the count again. */
export function WentIn({ params }: ScreenProps) {
  return (
    <OnBoat trip={params["trip"] ?? ""}>
      {(deck, names) => {
        const { log, view } = deck;
        const back = `/trips/${log.trip}/deck`;
        const by = acting(view);
        // One tap, one person: what is entered moves the names under the finger before the page is left.
        const write = (kind: string, person: string) => {
          if (tapped("went in")) void log.write({ by, kind, subject: person }).then(() => goInstead(back));
        };
        const everyone = here(deck);
        const swimming = everyone.filter(([, state]) => state.state === "in_water");
        // Someone who stayed ashore or went to another boat may go in from there: then the sea has them, not the list.
        const dry = everyone.filter(([, state]) => ["aboard", "unknown", "transferred", "ashore"].includes(state.state));
        return (
          <Page title="Who went in?" back={back} backLabel="Deck" note="Without diving: to swim, to free the anchor, to help.">
            {swimming.length > 0 && (
              <List label="In the water">
                {swimming.map(([person]) => (
                  <Row key={person} title={`${names.full(person)} is in the water`} note="Tap when back aboard" tone="warn" onPress={() => write("back_aboard", person)} />
                ))}
              </List>
            )}
            {dry.length === 0 && <Empty>Nobody is known to be aboard.</Empty>}
            <List label="Aboard">
              {dry.map(([person, { state }]) => (
                <Row key={person} title={names.full(person)} note={state === "transferred" ? "gone to others" : state === "ashore" ? "ashore" : ""} onPress={() => write("person_went_in", person)} />
              ))}
            </List>
          </Page>
        );
      }}
    </OnBoat>
  );
}
