import { Button, Buttons, CheckField, List, Row } from "../parts/index.ts";
import type { DropOut } from "../words/answers_teams.ts";
import { names } from "../words/format.ts";
import { plain } from "../words/plain.ts";
import type { TeamsDesk } from "./teams_desk.ts";

/** Whose staying ashore leaves whom without a dive, and what would then be done with the fewest changes. */
export function DropOuts(props: { readonly desk: TeamsDesk; readonly open: boolean }) {
  const { desk } = props;
  const found = desk.data.proposal?.answer.drop_outs;
  const costly = (found ?? []).filter((one) => one.loses.length > 0).sort((a, b) => b.loses.length - a.loses.length);
  const others = (found ?? []).filter((one) => one.loses.length === 0);
  return (
    <details class="desk-panel" open={props.open || found !== undefined}>
      <summary>
        <h2>If someone drops out</h2>
      </summary>
      <CheckField label="of equally good days, take the one a drop-out disturbs least" checked={desk.asked.robust === true} onChange={(robust) => !desk.sending && desk.solve({ robust })} />
      {found === undefined ? (
        <Buttons>
          <Button disabled={desk.sending} onPress={() => desk.solve({ drop_outs: true })}>
            Go through everybody
          </Button>
        </Buttons>
      ) : (
        <>
          <p>{costly.length === 0 ? "Whoever drops out, everybody else still dives." : "Most depends on:"}</p>
          {costly.length > 0 && (
            <List label="Most depends on">
              {costly.map((one) => (
                <Row key={one.diver} tone="warn" title={desk.nameOf(one.diver)} note={`no dive then for ${names(one.loses.map(desk.nameOf))}`}>
                  <Then desk={desk} one={one} />
                </Row>
              ))}
            </List>
          )}
          {others.length > 0 && (
            <details class="reason">
              <summary>{costly.length === 0 ? "Who would dive with whom then" : "All others: nobody else loses the dive"}</summary>
              <ul>
                {others.map((one) => (
                  <li key={one.diver}>{plain(one.message, desk.nameOf)}</li>
                ))}
              </ul>
            </details>
          )}
        </>
      )}
    </details>
  );
}

function Then(props: { readonly desk: TeamsDesk; readonly one: DropOut }) {
  const { one, desk } = props;
  return (
    <div class="desk-row">
      {one.teams.length === 0 ? <p>All other teams stay as they are.</p> : <p>New then: {one.teams.map((team) => names(team.map(desk.nameOf))).join("; ")}. The rest stays.</p>}
    </div>
  );
}
