import { useState } from "preact/hooks";
import { Button, Buttons, Notice, Section } from "../parts/index.ts";
import { moved, swapped, unfinished, type Draft } from "./teams_words.ts";

/** Teams changed by hand: press a name, then the one to change places with, or the team to join. Then they are checked. What a rule forbids is refused by name. */
export function TeamsEdit(props: {
  readonly teams: readonly Draft[];
  readonly nameOf: (id: string) => string;
  readonly sending: boolean;
  readonly onCheck: (teams: readonly Draft[]) => void;
  readonly onAnnounce: (teams: readonly Draft[]) => void;
  readonly onBack: () => void;
  /** What was said of the teams as they were holds no more. */
  readonly onChange: () => void;
}) {
  const { nameOf } = props;
  const [teams, keep] = useState<readonly Draft[]>(props.teams.map(({ members, lead, guided }) => ({ members, lead, ...(guided === true ? { guided } : {}) })));
  const setTeams = (next: readonly Draft[]) => {
    keep(next);
    props.onChange();
  };
  const [held, setHeld] = useState<string | null>(null);
  const open = unfinished(teams, nameOf);
  const press = (person: string) => {
    if (held === null) setHeld(person);
    else {
      if (held !== person) setTeams(swapped(teams, held, person));
      setHeld(null);
    }
  };
  return (
    <Section title="Change by hand">
      <p role="status">{held === null ? "Press a name." : `${nameOf(held)}: press whom to change places with, or the team to join.`}</p>
      <ul class="desk-cards" aria-label="Teams">
        {teams.map((team, n) => (
          <li key={team.members.join()} class="desk-card">
            <h3>{team.guided === true ? `Guided group ${n + 1}` : `Team ${n + 1}`}</h3>
            <div class="desk-names">
              {team.members.map((id) => (
                <Button key={id} pressed={held === id} tone={held === id ? "act" : "plain"} onPress={() => press(id)}>
                  {nameOf(id)}
                </Button>
              ))}
              {held !== null && !team.members.includes(held) && (team.members.length < 3 || team.guided === true) && (
                <Button
                  tone="quiet"
                  label={`joins here: ${nameOf(held)}, team ${n + 1}`}
                  onPress={() => {
                    setTeams(moved(teams, held, n));
                    setHeld(null);
                  }}
                >
                  joins here
                </Button>
              )}
            </div>
          </li>
        ))}
      </ul>
      {open.length > 0 && (
        <Notice tone="warn">
          <ul>
            {open.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </Notice>
      )}
      <Buttons>
        <Button tone="act" size="large" disabled={props.sending || open.length > 0} onPress={() => props.onCheck(teams)}>
          {props.sending ? "Checking …" : "Check these teams"}
        </Button>
        <Button disabled={props.sending || open.length > 0} onPress={() => props.onAnnounce(teams)}>
          Announce these teams
        </Button>
        <Button onPress={props.onBack} disabled={props.sending}>
          Leave it as it was
        </Button>
      </Buttons>
    </Section>
  );
}
