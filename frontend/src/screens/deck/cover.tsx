import { useState } from "preact/hooks";
import { Button, Buttons, goInstead, List, Page, Row, type ScreenProps } from "../parts/index.ts";
import { acting } from "./acting.ts";
import { coverHere, here } from "./boats.ts";
import { DeckButton } from "./deck_button.tsx";
import { numbered, OnTrip, SyncStrip, type Names } from "./frame.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function Cover({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <CoverPage deck={deck} names={names} dive={params["dive"] ?? ""} />}</OnTrip>;
}

const roles = [
  ["boat_handler", "Who handles the boat?", "Boat"],
  ["lookout", "Who keeps the lookout?", "Lookout"],
  ["oxygen", "Who gives oxygen if it is needed?", "Oxygen"],
  ["standby", "Who goes in as standby?", "Standby"],
] as const;
type Role = (typeof roles)[number][0];
type Chosen = Readonly<Record<Role, string | null>>;

/** Who stays out of the water as what, the flag, the engine: said once before a team goes down, as last said before. */
function CoverPage({ deck, names, dive }: { readonly deck: Deck; readonly names: Names; readonly dive: string }) {
  const { log, view } = deck;
  const back = `/trips/${log.trip}/deck`;
  const [chosen, choose] = useState<Chosen>(() => before(deck, dive));
  const [asking, ask] = useState<Role | null>(null);
  const [flag, setFlag] = useState(false);
  const [engine, setEngine] = useState(false);
  const number = numbered(deck).find((one) => one.dive === dive)?.number;
  const role = roles.find(([key]) => key === asking);
  if (role !== undefined) {
    const name = (person: string | null) => {
      pageChanged();
      choose({ ...chosen, [role[0]]: person });
      ask(null);
    };
    const dives = new Set(Object.values(view.teams).flatMap((team) => (team.dive === dive && team.status !== "aboard" ? team.members : [])));
    const dry = here(deck)
      .filter(([, { state }]) => ["aboard", "unknown"].includes(state))
      .map(([person]) => person)
      .sort((a, b) => Number(dives.has(a)) - Number(dives.has(b)) || names.full(a).localeCompare(names.full(b)));
    return (
      <Page key={role[0]} title={role[1]} back={back} backLabel="Deck" note="Someone who is not in the water now.">
        <List label="Aboard">
          {dry.map((person) => (
            <Row key={person} title={names.full(person)} note={dives.has(person) ? "is to dive on this one too" : ""} onPress={() => name(person)} />
          ))}
        </List>
        <Button size="large" wide onPress={() => name(null)}>
          Nobody is named
        </Button>
      </Page>
    );
  }
  const write = () =>
    void log.write({ by: acting(view), kind: "surface_cover_confirmed", subject: dive, data: { ...chosen, flag_up: flag, engine_off: engine } }).then(() => goInstead(back));
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title={`Before dive ${number ?? ""} goes down`} back={back} backLabel="Deck" note="Who does what on board while they are under. One person may do two things if the club lets them.">
        <List label="On board">
          {roles.map(([key, , word]) => {
            const person = chosen[key];
            return <Row key={key} title={word} note="tap to change" side={person === null ? "nobody" : names.short(person)} tone={person === null ? "warn" : "plain"} onPress={() => (pageChanged(), ask(key))} />;
          })}
        </List>
        <div class="apart half" />
        <Buttons even>
          <Button size="deck" tone={flag ? "act" : "plain"} pressed={flag} onPress={() => setFlag(!flag)}>
            {flag ? "Flag is up" : "Flag: not up"}
          </Button>
          <Button size="deck" tone={engine ? "act" : "plain"} pressed={engine} onPress={() => setEngine(!engine)}>
            {engine ? "Engine is off" : "Engine: running"}
          </Button>
        </Buttons>
        <div class="apart half" />
        <DeckButton row="cover" tone="act" onTap={write}>
          {flag && engine ? "That is how it is" : "Enter it as it is now"}
        </DeckButton>
      </Page>
    </>
  );
}

/** What was last confirmed, for this dive or the one before it: people seldom change between dives, the flag and the engine do. */
function before(deck: Deck, dive: string): Chosen {
  const { view } = deck;
  const order = numbered(deck).map((one) => one.dive);
  const till = order.slice(0, order.indexOf(dive) + 1).reverse();
  const cover = till.map((one) => coverHere(deck, one)).find((one) => one !== null) ?? null;
  const there = (person: string | null) => (person !== null && ["aboard", "unknown"].includes(view.people[person]?.state ?? "") ? person : null);
  return {
    boat_handler: there(cover?.boat_handler ?? null),
    lookout: there(cover?.lookout ?? null),
    oxygen: there(cover?.oxygen ?? null),
    standby: there(cover?.standby ?? null),
  };
}
