import { goInstead, List, Page, Row, type ScreenProps } from "../parts/index.ts";
import { IN_WATER } from "../../kernel/boatlog/presence.ts";
import { acting } from "./acting.ts";
import { here as onBoard } from "./boats.ts";
import { OnBoat, SyncStrip } from "./frame.tsx";
import { tapped } from "./tap.ts";

/** Before leaving port: whoever does not come is ashore by name, and the boat does not wait for an answer. */
export function Ashore({ params }: ScreenProps) {
  return (
    <OnBoat trip={params["trip"] ?? ""}>
      {(deck, names) => {
        const { log, view } = deck;
        const back = `/trips/${log.trip}/roll-call`;
        // One tap, one person: a second one would hit what the first made of the row.
        const write = (kind: string, person: string) => {
          if (tapped("ashore")) void log.write({ by: acting(view), kind, subject: person }).then(() => goInstead(back));
        };
        // Whoever is in the water comes up before anything else is said of them.
        const here = onBoard(deck).filter(([, { state }]) => !IN_WATER.has(state));
        const everyone = here.sort(
          ([a, left], [b, right]) => Number(left.accounted_for) - Number(right.accounted_for) || names.full(a).localeCompare(names.full(b)),
        );
        return (
          <>
            <SyncStrip deck={deck} />
            <Page title="Who stays ashore?" back={back} backLabel="Roll call" note="Only someone who does not come on the boat.">
              <List label="People">
                {everyone.map(([person, { state }]) =>
                  state === "ashore" ? (
                    <Row
                      key={person}
                      title={`${names.full(person)} stays ashore`}
                      note="Tap if this person came aboard after all"
                      tone="warn"
                      onPress={() => write("aboard", person)}
                    />
                  ) : (
                    <Row key={person} title={names.full(person)} onPress={() => write("ashore", person)} />
                  ),
                )}
              </List>
            </Page>
          </>
        );
      }}
    </OnBoat>
  );
}
