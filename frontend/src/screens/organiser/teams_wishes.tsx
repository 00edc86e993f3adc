import { useState } from "preact/hooks";
import { Button, Buttons, Choice, Empty, List, Row, SelectField } from "../parts/index.ts";
import type { Wish } from "../words/answers_teams.ts";
import { names } from "../words/format.ts";
import type { TeamsDesk } from "./teams_desk.ts";
import { toggled } from "./teams_words.ts";

/** Wishes of people about people. They weigh after everything that protects someone; a must is kept or refused aloud. */
export function Wishes(props: { readonly desk: TeamsDesk; readonly open: boolean }) {
  const { desk } = props;
  const { wishes = [], locked = [], forbidden = [], overrides = [] } = desk.asked;
  const all = wishes.length + locked.length + forbidden.length + overrides.length;
  return (
    <details class="desk-panel" open={props.open}>
      <summary>
        <h2>Wishes{all > 0 ? ` (${all})` : ""}</h2>
      </summary>
      {all === 0 ? (
        <Empty>None: teams are found from the facts alone.</Empty>
      ) : (
        <List label="Wishes">
          {wishes.map((wish, n) => (
            <Taken key={`w${n}`} desk={desk} text={sentence(wish, desk.nameOf)} onPress={() => desk.solve({ wishes: wishes.filter((one) => one !== wish) })} />
          ))}
          {locked.map((members) => (
            <Taken key={`l${members.join()}`} desk={desk} text={`${names(members.map(desk.nameOf))}: kept as a team`} onPress={() => desk.solve({ locked: toggled(locked, members) })} />
          ))}
          {forbidden.map((members) => (
            <Taken key={`f${members.join()}`} desk={desk} text={`${names(members.map(desk.nameOf))}: not as a team`} onPress={() => desk.solve({ forbidden: toggled(forbidden, members) })} />
          ))}
          {overrides.map((one, n) => (
            <Taken key={`o${n}`} desk={desk} text={`${desk.nameOf(one.diver)}: “${one.rule.replaceAll("_", " ")}” set aside, ${one.reason}`} onPress={() => desk.solve({ overrides: overrides.filter((other) => other !== one) })} />
          ))}
        </List>
      )}
      {all > 1 && (
        <Button tone="quiet" disabled={desk.sending} onPress={() => desk.solve({ wishes: [], locked: [], forbidden: [], overrides: [] })}>
          Take all back
        </Button>
      )}
      <NewWish desk={desk} wishes={wishes} />
    </details>
  );
}

function Taken(props: { readonly desk: TeamsDesk; readonly text: string; readonly onPress: () => void }) {
  return (
    <Row
      title={props.text}
      side={
        <Button tone="quiet" disabled={props.desk.sending} label={`Take back: ${props.text}`} onPress={props.onPress}>
          Take back
        </Button>
      }
    />
  );
}

function NewWish(props: { readonly desk: TeamsDesk; readonly wishes: readonly Wish[] }) {
  const { desk } = props;
  const [one, setOne] = useState("");
  const [other, setOther] = useState("");
  const [kind, setKind] = useState<"together" | "apart">("together");
  const [strength, setStrength] = useState<"must" | "prefer">("prefer");
  const [asked, setAsked] = useState(false);
  const missing = one === "" || other === "" ? "Choose two names." : one === other ? "Choose two different names." : undefined;
  return (
    <>
      <PickTwo desk={desk} one={one} other={other} onOne={setOne} onOther={setOther} error={asked ? missing : undefined} />
      <Choice
        label="They should dive"
        value={kind}
        options={[
          { value: "together", label: "together" },
          { value: "apart", label: "apart" },
        ]}
        onChange={setKind}
      />
      <Choice
        label="How strong"
        value={strength}
        options={[
          { value: "prefer", label: "if it costs no one anything that matters" },
          { value: "must", label: "must: otherwise say that it cannot be" },
        ]}
        onChange={setStrength}
      />
      <Buttons>
        <Button
          disabled={desk.sending}
          onPress={() => {
            setAsked(true);
            if (missing === undefined) desk.solve({ wishes: [...props.wishes, { kind, divers: [one, other], strength }] });
          }}
        >
          Add the wish and find teams
        </Button>
      </Buttons>
    </>
  );
}

/** Two names out of those who may dive this dive. */
export function PickTwo(props: { readonly desk: TeamsDesk; readonly one: string; readonly other: string; readonly onOne: (id: string) => void; readonly onOther: (id: string) => void; readonly error?: string | undefined }) {
  const { trip } = props.desk.here;
  const options = [{ value: "", label: "choose a name" }, ...trip.bookings.filter((booking) => booking.dives).map((booking) => ({ value: booking.id, label: booking.name }))];
  return (
    <>
      <SelectField label="One" value={props.one} options={options} onChange={props.onOne} error={props.error} />
      <SelectField label="The other" value={props.other} options={options} onChange={props.onOther} />
    </>
  );
}

function sentence(wish: Wish, nameOf: (id: string) => string): string {
  return `${names(wish.divers.map(nameOf))}: ${wish.kind}${wish.strength === "must" ? ", must" : ", if it can be"}`;
}
