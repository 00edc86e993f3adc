import { useState } from "preact/hooks";
import { accepting, holders } from "../../kernel/boatlog/deckwatch.ts";
import { names as joined } from "../words/format.ts";
import { Button, goInstead, LinkButton, List, Notice, Page, Row, type ScreenProps } from "../parts/index.ts";
import { holderIsOut } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { here } from "./boats.ts";
import { OnBoat, SyncStrip, type Names } from "./frame.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function HandOver({ params }: ScreenProps) {
  return (
    <OnBoat trip={params["trip"] ?? ""}>
      {(deck, names) => <HandOverPage deck={deck} names={names} forTeam={params["team"] ?? null} />}
    </OnBoat>
  );
}

/** Two taps and no password: the one who goes says to whom, the one who takes it says so. */
function HandOverPage({ deck, names, forTeam }: { readonly deck: Deck; readonly names: Names; readonly forTeam: string | null }) {
  const { log, view } = deck;
  const [again, setAgain] = useState(false);
  const holder = view.deck_holder;
  const held = holders(log.state, deck.boat);
  const offer = view.handover;
  const offered = offer !== null && offer.to !== null && !again ? offer.to : null;
  const going = forTeam === null ? [] : (view.teams[forTeam]?.members ?? []);
  const there = here(deck).filter(
    ([person, state]) => (person !== holder || held.size > 1) && !going.includes(person) && !["down", "marker_seen", "in_water", "transferred", "ashore"].includes(state.state),
  );
  const order = [...there].sort(([a, left], [b, right]) => Number(left.dives) - Number(right.dives) || names.full(a).localeCompare(names.full(b)));
  const propose = (person: string) => {
    setAgain(false);
    // The second tap belongs to whoever takes the deck: it must not be the bounce of the first.
    pageChanged();
    void log.write({ by: holder === null || holderIsOut(view) ? person : holder, kind: "deck_handed_over", subject: person, data: { from: holder } });
  };
  const accept = (person: string) =>
    void log.write({ by: person, kind: "deck_accepted", subject: person, data: { ...accepting(log.state, deck.boat) } }).then(() => goInstead(`/trips/${log.trip}/deck`));
  return (
    <>
      <SyncStrip deck={deck} />
      <Page
        title={offered === null ? "Who takes the deck?" : `${names.full(offered)}: do you take the deck?`}
        back={`/trips/${log.trip}/deck`}
        backLabel="Deck"
        note={holder === null ? "Nobody holds it now." : held.size > 1 ? `${joined([...held].map(names.full).sort())} each took it: neither goes down until one has it.` : `${names.full(holder)} holds it until someone else takes it.`}
      >
        {log.device === null && <Notice tone="stop">This phone is not enrolled: a leader brings the trip onto it first.</Notice>}
        {forTeam !== null && offered === null && (
          <Notice tone="warn">Whoever holds the deck stays on deck: hand it over before this team goes down.</Notice>
        )}
        {offered === null ? (
          <>
          <List label="Aboard">
            {order.map(([person, state]) => (
              <Row key={person} title={names.full(person)} note={state.dives ? "" : "not diving today"} onPress={() => propose(person)} />
            ))}
          </List>
          <div class="apart" />
          <LinkButton path={`/trips/${log.trip}/take-over`} size="large" wide>
            The deck phone is lost or dead
          </LinkButton>
          </>
        ) : (
          <>
            <p>You say who is down, who is up and who is aboard, and you see who is late. The deck page shows all of it.</p>
            <div class="heads">
              <DeckButton row="accept" tone="act" onTap={() => accept(offered)}>
                I am {names.full(offered)}: I have the deck
              </DeckButton>
            </div>
            <div class="apart" />
            <Button size="large" wide onPress={() => setAgain(true)}>
              Someone else
            </Button>
          </>
        )}
      </Page>
    </>
  );
}
