import { useState } from "preact/hooks";
import { Button, Buttons, Form, goInstead, Page, TextField, type ScreenProps } from "../parts/index.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { OnTrip, type Names } from "./frame.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function Remark({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <RemarkPage deck={deck} names={names} felt={params["person"] ?? null} />}</OnTrip>;
}

/**
 * An incident or a remark: what kind, who, then the words, which are kept beside the log and can be erased. `felt`: of whom
 * it is what they felt, so that only the words are asked for.
 */
function RemarkPage({ deck, names, felt }: { readonly deck: Deck; readonly names: Names; readonly felt: string | null }) {
  const { log, view } = deck;
  const [back, backLabel] = felt === null ? [`/trips/${log.trip}/more`, "Something else"] : [`/trips/${log.trip}/emergency`, "Emergency"];
  const [kind, setKind] = useState<"incident" | "note" | null>(felt === null ? null : "incident");
  const [people, setPeople] = useState<readonly string[] | null>(felt === null ? null : [felt]);
  const [marked, mark] = useState<readonly string[]>([]);
  const [text, setText] = useState("");
  const step = (change: () => void) => {
    pageChanged();
    change();
  };
  if (kind === null) {
    return (
      <Page title="What is it?" back={back} backLabel={backLabel}>
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
      <Page title="Who was in it?" back={back} backLabel={backLabel} note="Nobody is blamed by being named here.">
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
    void log.write(words === "" ? act : { ...act, text: words }).then(() => goInstead(felt === null ? `/trips/${log.trip}/deck` : back));
  };
  const empty = (kind === "note" || felt !== null) && text.trim() === "";
  return (
    <Page title={felt !== null ? `${names.full(felt)}: what was felt?` : kind === "incident" ? "What happened?" : "The remark"} back={back} backLabel={backLabel} note="In a few words, now or later. The words can be erased, the entry stays.">
      <Form label="What to enter" onSubmit={() => !empty && write()}>
        <TextField label="In words" lines={4} value={text} onChange={setText} />
        <Button submit tone="act" size="deck" wide disabled={empty}>
          {empty ? "Type it first" : text.trim() === "" ? "Enter it without words" : "Enter it"}
        </Button>
      </Form>
    </Page>
  );
}
