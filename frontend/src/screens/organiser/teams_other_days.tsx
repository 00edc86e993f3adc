import { BigNumber, Button, Buttons, Section } from "../parts/index.ts";
import type { OtherDay, TeamsAnswer } from "../words/answers_teams.ts";
import { names } from "../words/format.ts";
import { differences, minutesLost } from "./other_days.ts";
import type { TeamsDesk } from "./teams_desk.ts";

const SHOWN = 3;

/** The next best days: side by side at a desk, one after the other on a phone, each with what it costs. */
export function OtherDays(props: { readonly desk: TeamsDesk; readonly answer: TeamsAnswer }) {
  const { desk } = props;
  const days = props.answer.alternatives;
  if (days === undefined) {
    return (
      <Buttons>
        <Button disabled={desk.sending} onPress={() => desk.solve({ alternatives: SHOWN })}>
          Show the next three best
        </Button>
      </Buttons>
    );
  }
  return (
    <Section title="The next best">
      {days.length > 0 && <p>Those that protect people best come first; minutes count after that.</p>}
      {days.length === 0 && <p>There is no other way to form these teams.</p>}
      <ol class="desk-cards" aria-label="The next best">
        {days.map((day, n) => (
          <Day key={n} n={n} day={day} desk={desk} />
        ))}
      </ol>
    </Section>
  );
}

function Day(props: { readonly n: number; readonly day: OtherDay; readonly desk: TeamsDesk }) {
  const { day, desk } = props;
  const lines = differences(day, desk.nameOf);
  const title = `${["Second", "Third", "Fourth"][props.n] ?? `No. ${props.n + 2}`} best`;
  return (
    <li class="desk-card">
      <h3>{title}</h3>
      <BigNumber label="All divers together lose" value={String(minutesLost(day))} unit="min" note="against the teams proposed" />
      <p>What differs:</p>
      <ul class="desk-members">
        {day.other_teams.map((team) => (
          <li key={team.join()}>{names(team.map(desk.nameOf))}</li>
        ))}
      </ul>
      <ul>
        {lines.map((line) => (
          <li key={line}>{line}</li>
        ))}
        {lines.length === 0 && <li>Everything else is the same.</li>}
      </ul>
      <Buttons>
        <Button tone="quiet" disabled={desk.sending} label={`Take these: ${title}`} onPress={() => desk.solve({ locked: day.teams.map((team) => team.divers) })}>
          Take these
        </Button>
      </Buttons>
    </li>
  );
}
