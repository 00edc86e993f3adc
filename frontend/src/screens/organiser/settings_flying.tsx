import { useState } from "preact/hooks";
import { Form, ProblemList, TextField, useSend } from "../parts/index.ts";
import { FROM_NEXT_TRIP, Save, Saved } from "../parts/save.tsx";
import { server } from "../../sync/server.ts";
import type { Club } from "../words/answers.ts";
import { number } from "../words/units.ts";

type Name = "no_fly_wait_min" | "club_wait_beyond_limit_min" | "club_wait_other_gas_min" | "rest_after_beyond_limit_min";

interface Wait {
  readonly name: Name;
  readonly label: string;
  readonly hint: string;
  /** Hours: more than the first (or just as many with `least`), not more than the last. */
  readonly above?: number;
  readonly least?: number;
  readonly most: number;
}

const WAITS: readonly Wait[] = [
  {
    name: "no_fly_wait_min",
    label: "Always, hours before flying",
    hint: "The longer of this and the published wait counts. Left empty: the published wait alone.",
    above: 0,
    most: 168,
  },
  {
    name: "club_wait_beyond_limit_min",
    label: "After a dive beyond its limit, hours before flying",
    hint: "No figure is published, only “substantially longer than 18 hours”. Left empty: the deck says that it is not known.",
    above: 18,
    most: 96,
  },
  {
    name: "club_wait_other_gas_min",
    label: "After another gas than air, hours before flying",
    hint: "The published waits speak of air. Left empty: those for air are shown, and that they are for air.",
    above: 0,
    most: 96,
  },
  {
    name: "rest_after_beyond_limit_min",
    label: "After a dive beyond its limit, hours before the next dive",
    hint: "At least 24. Left empty: 24.",
    least: 24,
    most: 96,
  },
];

/** What a club decides about waiting after a dive, in hours as people say them. */
export function OwnWaits(props: { readonly club: Club }) {
  const { club } = props;
  const [typed, setTyped] = useState<Readonly<Record<Name, string>>>(
    () => Object.fromEntries(WAITS.map((wait) => [wait.name, hours(club.settings[wait.name])])) as Record<Name, string>,
  );
  const [saved, setSaved] = useState(false);
  const { sending, problem, send } = useSend();
  const save = () => {
    if (WAITS.some((wait) => wrong(wait, typed[wait.name]) !== undefined)) return;
    send(async () => {
      await server.patch(`/api/clubs/${club.id}`, Object.fromEntries(WAITS.map((wait) => [wait.name, minutes(typed[wait.name])])));
      setSaved(true);
    });
  };
  return (
    <Form label="Waiting after a dive" onSubmit={save}>
      <h2>Waiting after a dive</h2>
      <p>They count for a road over a pass as well. A club’s own wait is no clearance to fly: a doctor’s word and the airline’s come first.</p>
      <ProblemList problem={problem} />
      <Saved saved={saved} from={FROM_NEXT_TRIP} />
      {WAITS.map((wait) => (
        <TextField
          key={wait.name}
          label={wait.label}
          hint={wait.hint}
          keys="decimal"
          value={typed[wait.name]}
          onChange={(text) => {
            setSaved(false);
            setTyped({ ...typed, [wait.name]: text });
          }}
          error={wrong(wait, typed[wait.name])}
        />
      ))}
      <Save sending={sending} what="Save the waits" />
    </Form>
  );
}

function hours(min: number | null): string {
  return min === null ? "" : String(Math.round((min / 60) * 100) / 100);
}

/** Whole minutes, rounded up; null where nothing is typed. */
function minutes(text: string): number | null {
  const typed = number(text);
  return typed === null ? null : Math.ceil(typed * 60 - 1e-6);
}

function wrong(wait: Wait, text: string): string | undefined {
  if (text.trim() === "") return undefined;
  const typed = number(text);
  if (typed === null) return "Hours, such as 48, or leave it empty.";
  if (wait.least !== undefined && typed < wait.least) return `At least ${wait.least} hours, or leave it empty.`;
  if (wait.above !== undefined && typed <= wait.above) return `More than ${wait.above} hours, or leave it empty.`;
  return typed > wait.most ? `Not more than ${wait.most} hours.` : undefined;
}
