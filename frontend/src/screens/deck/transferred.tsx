import { useState } from "preact/hooks";
import { Button, Form, goInstead, List, Notice, Page, Row, TextField, type ScreenProps } from "../parts/index.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { boatName, here as onBoard, otherBoats } from "./boats.ts";
import { OnBoat, SyncStrip, type Names } from "./frame.tsx";
import { pageChanged, tapped } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function Transferred({ params }: ScreenProps) {
  return <OnBoat trip={params["trip"] ?? ""}>{(deck, names) => <TransferredPage deck={deck} names={names} given={params["person"] ?? null} />}</OnBoat>;
}

type To = "vessel" | "rescue" | "shore";
const wheres: readonly (readonly [To, string])[] = [
  ["rescue", "To a rescue boat or helicopter"],
  ["vessel", "To another boat"],
  ["shore", "To someone on shore"],
];
const cares = [
  ["rescue", "The rescue crew"],
  ["medical", "A doctor or ambulance"],
  ["skipper", "The skipper there"],
  ["club", "Someone of the club"],
  ["other", "Somebody else"],
] as const;

/** Who, where to, its name, in whose care, and whether they bring the person home: one question a screen. */
function TransferredPage({ deck, names, given }: { readonly deck: Deck; readonly names: Names; readonly given: string | null }) {
  const { log, view } = deck;
  const back = `/trips/${log.trip}/${given === null ? "more" : "emergency"}`;
  const [person, setPerson] = useState(given);
  const [to, setTo] = useState<To | null>(null);
  const [name, setName] = useState("");
  const [named, setNamed] = useState(false);
  const [care, setCare] = useState<string | null>(null);
  const step = (change: () => void) => {
    pageChanged();
    change();
  };
  const frame = { back, backLabel: given === null ? "Something else" : "Emergency" };
  if (person === null || view.people[person] === undefined) {
    const here = onBoard(deck)
      .filter(([, { state }]) => ["aboard", "unknown", "up"].includes(state))
      .map(([one]) => one)
      .sort((a, b) => names.full(a).localeCompare(names.full(b)));
    const away = Object.entries(view.people).filter(([, { state }]) => state === "transferred");
    return (
      <>
        <SyncStrip deck={deck} />
        <Page {...frame} title="Who leaves this boat?">
          {away.length > 0 && (
            <List label="Gone to others">
              {away.map(([one]) => (
                <Row
                  key={one}
                  title={`${names.full(one)} is with others`}
                  note="Tap when back on this boat"
                  tone="warn"
                  onPress={() => tapped("back here") && void log.write({ by: acting(view), kind: "back_aboard", subject: one }).then(() => goInstead(back))}
                />
              ))}
            </List>
          )}
          <List label="On this boat">
            {here.map((one) => (
              <Row key={one} title={names.full(one)} onPress={() => step(() => setPerson(one))} />
            ))}
          </List>
        </Page>
      </>
    );
  }
  const who = names.full(person);
  if (to === null) {
    return (
      <Page {...frame} title={`${who}: where to?`}>
        <div class="heads">
          {otherBoats(deck).map((boat) => (
            <DeckButton key={boat} row="where" tone="plain" onTap={() => void log.write({ by: acting(view), kind: "transferred", subject: person, data: { to: "vessel", boat, care: "club", stays: true } }).then(() => goInstead(back))}>
              To {boatName(deck, boat)}, of this trip
            </DeckButton>
          ))}
          {wheres.map(([key, words]) => (
            <DeckButton key={key} row="where" tone="plain" onTap={() => step(() => setTo(key))}>
              {words}
            </DeckButton>
          ))}
        </div>
      </Page>
    );
  }
  if (!named) {
    const known = earlier(deck);
    return (
      <Page {...frame} title={to === "shore" ? "Who takes them over?" : "Which one?"} note="Its name, or who answers there. Ask it before they go.">
        <Form label="Who has them" onSubmit={() => name.trim() !== "" && step(() => setNamed(true))}>
          <TextField label={to === "shore" ? "Name and number" : "Name of the vessel"} value={name} onChange={setName} />
          <Button submit tone="act" size="deck" wide disabled={name.trim() === ""}>
            {name.trim() === "" ? "Type the name" : name.trim()}
          </Button>
        </Form>
        {known.length > 0 && (
          <List label="Named before">
            {known.map(({ text }) => (
              <Row key={text} title={text} onPress={() => step(() => (setName(text), setNamed(true)))} />
            ))}
          </List>
        )}
        <div class="apart" />
        <Button size="large" wide onPress={() => step(() => (setName(""), setNamed(true)))}>
          Its name is not known
        </Button>
        <Notice tone="warn">Without a name {who} stays not accounted for.</Notice>
      </Page>
    );
  }
  if (care === null) {
    return (
      <Page {...frame} title="In whose care?">
        <div class="heads">
          {cares.map(([key, words]) => (
            <DeckButton key={key} row="care" tone="plain" onTap={() => step(() => setCare(key))}>
              {words}
            </DeckButton>
          ))}
        </div>
      </Page>
    );
  }
  const write = (stays: boolean) => {
    const text = name.trim();
    const vessel = text === "" ? null : (earlier(deck).find((one) => one.text === text)?.vessel ?? crypto.randomUUID());
    const act = { by: acting(view), kind: "transferred", subject: person, data: { to, vessel, care, stays } };
    void log.write(text === "" ? act : { ...act, text }).then(() => goInstead(back));
  };
  return (
    <Page {...frame} title={`Who brings ${who} home?`}>
      <div class="heads">
        <DeckButton row="stays" tone="plain" onTap={() => write(true)}>
          They do
        </DeckButton>
        <DeckButton row="stays" tone="plain" onTap={() => write(false)}>
          We do: comes back to this boat
        </DeckButton>
      </div>
      <p class="lead">Who comes back here stays not accounted for until here again.</p>
    </Page>
  );
}

/** Vessels and people named on this trip before. */
function earlier({ log }: Deck): readonly { readonly text: string; readonly vessel: string }[] {
  const found = new Map<string, string>();
  for (const { entry, text } of log.entries) {
    const vessel = entry.data["vessel"];
    if (entry.kind === "transferred" && text !== null && typeof vessel === "string") found.set(text.text, vessel);
  }
  return [...found].map(([text, vessel]) => ({ text, vessel }));
}
