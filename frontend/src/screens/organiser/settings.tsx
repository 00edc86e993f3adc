import { useState } from "preact/hooks";
import { Choice, Empty, errorAt, Form, List, Page, ProblemList, Reason, Row, Section, SelectField, TextField, useSend, useServer, type ScreenProps } from "../parts/index.ts";
import { FROM_NEXT_TRIP, Save, Saved } from "../parts/save.tsx";
import { Loaded } from "../parts/loaded.tsx";
import { useDraft } from "../parts/use_draft.ts";
import { server } from "../../sync/server.ts";
import { OwnWaits } from "./settings_flying.tsx";
import { TeamRules } from "./settings_teams.tsx";
import { clubsOf, type Club } from "../words/answers.ts";
import { number, whole } from "../words/units.ts";

interface Typed {
  readonly overdue: string;
  readonly method: Club["settings"]["method"];
  readonly interval: string;
  readonly gasLaw: "real" | "published";
  readonly fill: string;
  readonly margin: string;
  readonly stressed: string;
  readonly zone: string;
  readonly system: "metric" | "imperial";
}

/** The few things that a club decides once. */
export default function Settings(props: ScreenProps) {
  const id = props.params["club"] ?? "";
  const { answer, again } = useServer<Readonly<Record<string, unknown>>>("/api/me");
  return (
    <Page title="Club settings" back="/organise" backLabel="Organise">
      <Loaded answer={answer} again={again}>
        {(me) => {
          const club = clubsOf(me).find((one) => one.id === id);
          return club === undefined || !club.may.manage_club ? <Empty>Only an organiser of the club changes its settings.</Empty> : (
            <>
              <SettingsForm key={club.id} club={club} />
              <OwnWaits key={`waits ${club.id}`} club={club} />
              <OnTheBoat club={club} />
              <TeamRules key={`teams ${club.id}`} club={club} />
            </>
          );
        }}
      </Loaded>
    </Page>
  );
}

function OnTheBoat(props: { readonly club: Club }) {
  const { id, settings } = props.club;
  const steps = settings.lost_diver.length;
  return (
    <Section title="On the boat">
      <List label="On the boat">
        <Row path={`/organise/clubs/${id}/on-deck`} title="Counts and alarms" note={settings.counts_needed === 2 ? "Two people count before the boat leaves" : "One person counts before the boat leaves"} />
        <Row
          path={`/organise/clubs/${id}/missing`}
          title="If somebody is missing"
          note={steps === 0 ? "General steps: to be replaced by the club’s own" : `${steps} ${steps === 1 ? "step" : "steps"} of the club’s own`}
        />
      </List>
    </Section>
  );
}

function SettingsForm(props: { readonly club: Club }) {
  const { club } = props;
  const [typed, setTyped, drop] = useDraft<Typed>(`settings ${club.id}`, {
    overdue: text(club.settings.overdue_after_min),
    method: club.settings.method,
    interval: text(club.settings.least_surface_interval_min),
    gasLaw: club.settings.gas?.gas_law ?? "published",
    fill: text(club.settings.gas?.fill_temp_c),
    margin: text(club.settings.gas?.gas_margin_percent),
    stressed: text(club.settings.gas?.stressed_rmv_l_min),
    zone: club.time_zone,
    system: club.units.depth === "m" ? "metric" : "imperial",
  });
  const [saved, setSaved] = useState(false);
  const { sending, problem, send } = useSend();
  const change = (part: Partial<Typed>) => {
    setSaved(false);
    setTyped({ ...typed, ...part });
  };
  const overdue = whole(typed.overdue);
  const interval = whole(typed.interval);
  const wrongOverdue = typed.overdue.trim() !== "" && overdue === null ? "Whole minutes, such as 10." : errorAt(problem, "/overdue_after_min");
  const wrongInterval = typed.interval.trim() !== "" && interval === null ? "Whole minutes, such as 60, or leave it empty." : errorAt(problem, "/least_surface_interval_min");
  const fill = number(typed.fill);
  const wrongFill = typed.fill.trim() !== "" && fill === null ? "A number such as 25, or leave it empty." : errorAt(problem, "/gas/fill_temp_c");
  const margin = number(typed.margin);
  const stressed = number(typed.stressed);
  const wrongMargin = typed.margin.trim() !== "" && margin === null ? "A number such as 20, or leave it empty." : errorAt(problem, "/gas/gas_margin_percent");
  const wrongStressed = typed.stressed.trim() !== "" && stressed === null ? "A number such as 40, or leave it empty." : errorAt(problem, "/gas/stressed_rmv_l_min");
  const unread: readonly (readonly [string, number | null])[] = [
    [typed.overdue, overdue],
    [typed.interval, interval],
    [typed.fill, fill],
    [typed.margin, margin],
    [typed.stressed, stressed],
  ];
  const save = () => {
    if (unread.some(([text, value]) => text.trim() !== "" && value === null)) return;
    const { fill_temp_c: _fill, gas_margin_percent: _margin, stressed_rmv_l_min: _stressed, ...otherGas } = club.settings.gas ?? {};
    const metric = typed.system === "metric";
    send(async () => {
      await server.patch(`/api/clubs/${club.id}`, {
        overdue_after_min: overdue,
        method: typed.method,
        least_surface_interval_min: interval,
        gas: {
          ...otherGas,
          gas_law: typed.gasLaw,
          ...(fill === null ? {} : { fill_temp_c: fill }),
          ...(margin === null ? {} : { gas_margin_percent: margin }),
          ...(stressed === null ? {} : { stressed_rmv_l_min: stressed }),
        },
        time_zone: typed.zone,
        depth_unit: metric ? "m" : "ft",
        pressure_unit: metric ? "bar" : "psi",
        volume_unit: metric ? "l" : "cuft",
      });
      drop();
      setSaved(true);
    });
  };
  return (
    <Form label="Club settings" onSubmit={save}>
      <ProblemList problem={problem} />
      <Saved saved={saved} from={FROM_NEXT_TRIP} />
      <TextField
        label="Minutes after due until a team is overdue"
        hint="Your club decides this; no figure is suggested. At this many minutes the deck shows the overdue page."
        keys="numeric"
        value={typed.overdue}
        onChange={(overdue) => change({ overdue })}
        error={wrongOverdue}
      />
      <Choice
        label="Which no-stop limit governs"
        value={typed.method}
        options={[
          { value: "shorter", label: "The shorter of both", note: "unless the club decides otherwise" },
          { value: "table", label: "The air table", note: "the tissue model is still shown" },
          { value: "tissue", label: "The tissue model", note: "the air table is still shown" },
        ]}
        onChange={(method) => change({ method })}
      />
      <Reason title="What the choice means">
        <p>Both limits are on every plan whatever you choose, and the one that governs is named there. The table alone or the model alone gives longer dives on some days than the shorter of both.</p>
      </Reason>
      <TextField
        label="Least surface interval of the club, minutes"
        hint="Only if your club has such a rule; it is shown as the club’s own."
        keys="numeric"
        value={typed.interval}
        onChange={(interval) => change({ interval })}
        error={wrongInterval}
      />
      <Choice
        label="How much gas a gauge pressure is"
        value={typed.gasLaw}
        options={[
          { value: "real", label: "What is really there", note: "a full cylinder holds a little less than the handbooks count" },
          { value: "published", label: "As the handbooks count", note: "pressure times volume; above 232 bar never more than is there" },
        ]}
        onChange={(gasLaw) => change({ gasLaw })}
      />
      <TextField
        label="How warm cylinders come from filling, °C"
        hint="A warm cylinder shows less once it is in the water. Left empty, no fall is counted."
        keys="decimal"
        value={typed.fill}
        onChange={(next) => change({ fill: next })}
        error={wrongFill}
      />
      <TextField
        label="Gas margin, %"
        hint="Raises the breathing rate of every diver whose log does not show how much it varies. 0 is allowed and shown. Left empty, the gas limit of such a diver is not known."
        keys="decimal"
        value={typed.margin}
        onChange={(next) => change({ margin: next })}
        error={wrongMargin}
      />
      <TextField
        label="Breathing rate of two who share in an emergency, litres a minute each"
        hint="For minimum gas. Left empty: 40."
        keys="decimal"
        value={typed.stressed}
        onChange={(next) => change({ stressed: next })}
        error={wrongStressed}
      />
      <SelectField
        label="Time zone of the club"
        hint="Times of trips and dives are typed and shown in it."
        value={typed.zone}
        options={zones(typed.zone)}
        onChange={(zone) => change({ zone })}
      />
      <SelectField
        label="Units of the club"
        hint="Everyone may still choose for their own device."
        value={typed.system}
        options={[
          { value: "metric", label: "metres, bar, litres" },
          { value: "imperial", label: "feet, psi, cubic feet" },
        ]}
        onChange={(system) => change({ system: system === "imperial" ? "imperial" : "metric" })}
      />
      <Save sending={sending} />
    </Form>
  );
}

/** Every zone this device knows, this device's own first; and the club's, should the device not know it. */
function zones(chosen: string): readonly { readonly value: string; readonly label: string }[] {
  const own = Intl.DateTimeFormat().resolvedOptions().timeZone;
  const all = [...new Set([own, chosen, "UTC", ...Intl.supportedValuesOf("timeZone")])];
  return all.map((zone) => ({ value: zone, label: zone === own ? `${zone} (this device)` : zone }));
}

function text(value: number | null | undefined): string {
  return value === null || value === undefined ? "" : String(value);
}
