import { useState } from "preact/hooks";
import { Button, Form, goInstead, Page, TextField, type ScreenProps } from "../parts/index.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { OnBoat } from "./frame.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function Joins({ params }: ScreenProps) {
  return <OnBoat trip={params["trip"] ?? ""}>{(deck) => <JoinsPage deck={deck} />}</OnBoat>;
}

const kinds = [
  ["diver", "To dive", { role: "diver", dives: true }],
  ["guest", "Not to dive", { role: "guest", dives: false }],
  ["crew", "As crew", { role: "crew", dives: false }],
  ["visitor", "Only a visitor aboard", { role: "visitor", dives: false }],
] as const;

/** Someone who is not on the list comes along: counted by name from now on, like everyone. */
function JoinsPage({ deck }: { readonly deck: Deck }) {
  const { log, view } = deck;
  const [name, setName] = useState("");
  const [named, setNamed] = useState(false);
  const back = `/trips/${log.trip}/more`;
  if (!named) {
    return (
      <Page title="Who comes along?" back={back} backLabel="Something else" note="Someone who is not on the list of this trip.">
        <Form label="Newcomer" onSubmit={() => name.trim() !== "" && (pageChanged(), setNamed(true))}>
          <TextField label="Name" value={name} onChange={setName} />
          <Button submit tone="act" size="deck" wide disabled={name.trim() === ""}>
            {name.trim() === "" ? "Type the name" : "Next"}
          </Button>
        </Form>
      </Page>
    );
  }
  const join = (data: Readonly<Record<string, unknown>>) =>
    void log
      .write({ by: acting(view), kind: "joined", subject: crypto.randomUUID(), data: { ...data, can_lead: false }, text: name.trim() })
      .then(() => goInstead(`/trips/${log.trip}/roll-call`));
  return (
    <Page title={`${name.trim()} comes along`} back={back} backLabel="Something else" note="Next: the roll call, for the new name too. Of a newcomer's experience, papers and earlier dives nothing is known here.">
      <div class="heads">
        {kinds.map(([key, words, data]) => (
          <DeckButton key={key} row="joins" tone="plain" onTap={() => join(data)}>
            {words}
          </DeckButton>
        ))}
      </div>
    </Page>
  );
}
