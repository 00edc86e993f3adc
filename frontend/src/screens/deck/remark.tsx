import { useState } from "preact/hooks";
import { Button, Buttons, Form, goInstead, Page, TextField, type ScreenProps } from "../parts/index.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { OnTrip, type Names } from "./frame.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function Remark({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <RemarkPage deck={deck} names={names} />}</OnTrip>;
}

/** An incident or a remark: what kind, who, then the words, which are kept beside the log and can be erased. */
function RemarkPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view } = deck;
  const back = `/trips/${log.trip}/more`;
  const [kind, setKind] = useState<"incident" | "note" | null>(null);
  const [people, setPeople] = useState<readonly string[] | null>(null);
  const [marked, mark] = useState<readonly string[]>([]);
  const [text, setText] = useState("");
  const step = (change: () => void) => {
    pageChanged();
    change();
  };
  if (kind === null) {
    return (
      <Page title="What is it?" back={back} backLabel="Something else">
        <div class="heads">
          <DeckButton row="kind" tone="plain" onTap={() => step(() => setKind("incident"))}>
            Something went wrong, or nearly
          </DeckButton>
          <DeckButton row="kind" tone="plain" onTap={() => step(() => (setKind("note"), setPeople([])))}>
            A remark
          </DeckButton>
        </div>
      </Page>
    );
  }
  if (people === null) {
    return (
      <Page title="Who was in it?" back={back} backLabel="Something else" note="Nobody is blamed by being named here.">
        <Buttons even>
          {Object.keys(view.people)
            .sort((a, b) => names.full(a).localeCompare(names.full(b)))
            .map((person) => {
              const on = marked.includes(person);
              return (
                <Button key={person} size="large" tone={on ? "act" : "plain"} pressed={on} onPress={() => mark(on ? marked.filter((one) => one !== person) : [...marked, person])}>
                  {names.full(person)}
                </Button>
              );
            })}
        </Buttons>
        <div class="apart half" />
        <Button tone="act" size="deck" wide onPress={() => step(() => setPeople(marked))}>
          {marked.length === 0 ? "Nobody in particular" : "These"}
        </Button>
      </Page>
    );
  }
  const write = () => {
    const act = { by: acting(view), kind, subject: log.trip, data: kind === "incident" ? { people } : {} };
    const words = text.trim();
    void log.write(words === "" ? act : { ...act, text: words }).then(() => goInstead(`/trips/${log.trip}/deck`));
  };
  const empty = kind === "note" && text.trim() === "";
  return (
    <Page title={kind === "incident" ? "What happened?" : "The remark"} back={back} backLabel="Something else" note="In a few words, now or later. The words can be erased, the entry stays.">
      <Form label="What to enter" onSubmit={() => !empty && write()}>
        <TextField label="In words" lines={4} value={text} onChange={setText} />
        <Button submit tone="act" size="deck" wide disabled={empty}>
          {empty ? "Type the remark" : text.trim() === "" ? "Enter it without words" : "Enter it"}
        </Button>
      </Form>
    </Page>
  );
}
