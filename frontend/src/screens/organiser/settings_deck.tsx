import { useState } from "preact/hooks";
import { server } from "../../sync/server.ts";
import { Choice, errorAt, Form, ProblemList, Reason, TextField, useSend, type ScreenProps } from "../parts/index.ts";
import { FROM_NEXT_TRIP, Save, Saved } from "../parts/save.tsx";
import type { Club } from "../words/answers.ts";
import { whole } from "../words/units.ts";
import { ClubPage } from "./settings_page.tsx";

/** How the boat is counted, and how its alarm behaves: three decisions. */
export default function DeckSettings(props: ScreenProps) {
  return <ClubPage {...props} title="Counts and alarms">{(club) => <DeckForm key={club.id} club={club} />}</ClubPage>;
}

function DeckForm({ club }: { readonly club: Club }) {
  const [typed, setTyped] = useState({ counts: club.settings.counts_needed, quiet: text(club.settings.quiet_min), soon: text(club.settings.due_soon_min), every: text(club.settings.shore_call_every_min), calls: text(club.settings.shore_calls_before_next) });
  const [saved, setSaved] = useState(false);
  const { sending, problem, send } = useSend();
  const change = (part: Partial<typeof typed>) => {
    setSaved(false);
    setTyped({ ...typed, ...part });
  };
  const wrongQuiet = between(typed.quiet, 1, 15) ?? errorAt(problem, "/quiet_min");
  const wrongSoon = between(typed.soon, 0, 60) ?? errorAt(problem, "/due_soon_min");
  const wrongEvery = between(typed.every, 1, 60) ?? errorAt(problem, "/shore_call_every_min");
  const wrongCalls = between(typed.calls, 1, 20, "A whole number") ?? errorAt(problem, "/shore_calls_before_next");
  const save = () => {
    if ([between(typed.quiet, 1, 15), between(typed.soon, 0, 60), between(typed.every, 1, 60), between(typed.calls, 1, 20)].some((wrong) => wrong !== undefined)) return;
    send(async () => {
      await server.patch(`/api/clubs/${club.id}`, { counts_needed: typed.counts, quiet_min: whole(typed.quiet), due_soon_min: whole(typed.soon), shore_call_every_min: whole(typed.every), shore_calls_before_next: whole(typed.calls) });
      setSaved(true);
    });
  };
  return (
    <Form label="Counts and alarms" onSubmit={save}>
      <ProblemList problem={problem} />
      <Saved saved={saved} from={FROM_NEXT_TRIP} />
      <Choice
        label="Who counts before the boat leaves"
        value={String(typed.counts)}
        options={[
          { value: "2", label: "Two people, each alone", note: "the deck compares the two, name by name" },
          { value: "1", label: "One person", note: "nobody compares" },
        ]}
        onChange={(counts) => change({ counts: counts === "1" ? 1 : 2 })}
      />
      <Reason title="Why two">
        <p>Published practice is two independent counts before leaving port and before leaving a site, at least one by each named person answering. With one crew member alone, that one counts in two ways. Your local rules may ask for it.</p>
      </Reason>
      <TextField
        label="How long one phone may be quiet about an overdue team, minutes"
        hint="1 to 15. Left empty: 2. The team stays overdue, and every other phone goes on sounding."
        keys="numeric"
        value={typed.quiet}
        onChange={(quiet) => change({ quiet })}
        error={wrongQuiet}
      />
      <TextField
        label="Minutes before due from which a team is shown as due soon"
        hint="0 to 60. Left empty: 5. It makes no sound."
        keys="numeric"
        value={typed.soon}
        onChange={(soon) => change({ soon })}
        error={wrongSoon}
      />
      <h2>Alarm ashore</h2>
      <p>It calls from the back-by time of a trip until somebody says by name that they have it. Your club decides both; no figure is suggested. A trip with a back-by time cannot be made ready without them.</p>
      <TextField label="Calls every so many minutes" hint="1 to 60." keys="numeric" value={typed.every} onChange={(every) => change({ every })} error={wrongEvery} />
      <TextField label="Calls until the next person is called as well" hint="1 to 20." keys="numeric" value={typed.calls} onChange={(calls) => change({ calls })} error={wrongCalls} />
      <Save sending={sending} />
    </Form>
  );
}

function between(text: string, least: number, most: number, what = "Whole minutes"): string | undefined {
  if (text.trim() === "") return undefined;
  const value = whole(text);
  return value === null || value < least || value > most ? `${what} from ${least} to ${most}, or leave it empty.` : undefined;
}

function text(value: number | null): string {
  return value === null ? "" : String(value);
}
