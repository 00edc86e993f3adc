import { useState } from "preact/hooks";
import { Button, CheckField, Form, List, Row } from "../parts/index.ts";
import { names } from "../words/format.ts";
import type { TeamsDesk } from "./teams_desk.ts";
import { toggled } from "./teams_words.ts";

/** Guided groups: one leader under water and those in their care, up to the club's ratio. */
export function GuidedGroups(props: { readonly desk: TeamsDesk; readonly open: boolean }) {
  const { desk } = props;
  const { guided = [] } = desk.asked;
  return (
    <details class="desk-panel" open={props.open && guided.length > 0}>
      <summary>
        <h2>Guided groups{guided.length > 0 ? ` (${guided.length})` : ""}</h2>
      </summary>
      {guided.length > 0 && (
        <List label="Guided groups">
          {guided.map((group) => {
            const who = names(group.map(desk.nameOf));
            return (
              <Row
                key={group.join()}
                title={who}
                side={
                  <Button tone="quiet" disabled={desk.sending} label={`Take back: ${who}`} onPress={() => desk.solve({ guided: toggled(guided, group) })}>
                    Take back
                  </Button>
                }
              />
            );
          })}
        </List>
      )}
      <NewGroup desk={desk} guided={guided} />
    </details>
  );
}

function NewGroup(props: { readonly desk: TeamsDesk; readonly guided: readonly (readonly string[])[] }) {
  const { desk, guided } = props;
  const [chosen, setChosen] = useState<readonly string[]>([]);
  const out = new Set([...(desk.data.dive.left_out ?? []), ...guided.flat()]);
  const divers = desk.here.trip.bookings.filter((one) => one.dives && !out.has(one.id));
  if (divers.length < 2) return null;
  return (
    <Form
      label="A guided group"
      onSubmit={() => {
        if (chosen.length < 2) return;
        desk.solve({ guided: [...guided, [...chosen]] });
        setChosen([]);
      }}
    >
      <p>A leader and those in their care.</p>
      {divers.map((one) => (
        <CheckField key={one.id} label={one.name} checked={chosen.includes(one.id)} onChange={(yes) => setChosen(yes ? [...chosen, one.id] : chosen.filter((id) => id !== one.id))} />
      ))}
      <Button submit disabled={desk.sending || chosen.length < 2}>
        Make the group
      </Button>
    </Form>
  );
}
