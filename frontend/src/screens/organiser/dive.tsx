import { useState } from "preact/hooks";
import { Button, Buttons, CheckField, Columns, Empty, errorAt, Form, goInstead, List, Notice, Page, ProblemList, Row, Section, SelectField, TextField, useSend, type ScreenProps } from "../parts/index.ts";
import { useDraft } from "../parts/use_draft.ts";
import { server } from "../../sync/server.ts";
import type { Trip, TripDive } from "../words/answers.ts";
import { bodyOf, goesAlong, mistakesIn, typedOf, type TypedDive } from "./dive_words.ts";
import { PlaceField, placeId, placeMistake } from "./place.tsx";
import { diveOf, diveTitle, WithTrip, type TripHere } from "./use_trip.tsx";

/** One dive of the trip: how deep, how long, and what it asks of a diver. */
export default function Dive(props: ScreenProps) {
  return (
    <WithTrip {...props}>
      {(here) => {
        const id = props.params["dive"];
        const dive = id === "new" ? null : diveOf(here.trip, id);
        return dive === undefined ? (
          <Page title="Dive" back={`/organise/trips/${here.trip.id}`} backLabel={here.trip.name}>
            <Empty>This dive is not on the trip any more.</Empty>
          </Page>
        ) : (
          <DivePage key={id} here={here} dive={dive} />
        );
      }}
    </WithTrip>
  );
}

function DivePage(props: { readonly here: TripHere; readonly dive: TripDive | null }) {
  const { here, dive } = props;
  const { trip } = here;
  const base = `/organise/trips/${trip.id}`;
  const [typed, setTyped, drop] = useDraft<TypedDive>(`dive ${trip.id} ${dive?.id ?? "new"}`, typedOf(dive, trip, here.system));
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const mistakes = mistakesIn(typed);
  const error = (field: keyof TypedDive, ...pointers: string[]) =>
    (asked ? mistakes[field] : undefined) ?? pointers.map((pointer) => errorAt(problem, pointer)).find((message) => message !== undefined);
  const set = (part: Partial<TypedDive>) => setTyped({ ...typed, ...part });
  const save = () => {
    setAsked(true);
    if (Object.keys(mistakes).length > 0 || placeMistake(typed.site) !== undefined) return;
    send(async () => {
      const body = bodyOf(typed, trip.time_zone, await placeId(trip.club, "site", typed.site));
      const path = `/api/trips/${trip.id}/dives`;
      const saved = dive === null ? await server.post<Trip>(path, body) : await server.patch<Trip>(`${path}/${dive.id}`, body);
      drop();
      const known = new Set(trip.dives_planned.map((one) => one.id));
      const id = dive?.id ?? saved.dives_planned.find((one) => !known.has(one.id))?.id;
      goInstead(id === undefined ? base : `${base}/dives/${id}/teams`);
    });
  };
  if (trip.state === "ready") {
    return (
      <Page title={dive === null ? "New dive" : diveTitle(dive)} back={base} backLabel={trip.name}>
        <Empty>The trip is ready: its dives change on the deck now, as entries of the boat log.</Empty>
      </Page>
    );
  }
  return (
    <Page title={dive === null ? `Dive ${trip.dives_planned.length + 1}` : diveTitle(dive)} back={base} backLabel={trip.name} wide>
      <Form label="Dive" onSubmit={save}>
        <ProblemList problem={problem} />
        {dive !== null && dive.teams.length > 0 && (
          <Notice tone="warn">
            <p>Teams are announced for this dive. Changing it takes them back, and those of later dives: announce them again afterwards.</p>
          </Notice>
        )}
        <Columns>
          <div>
            <PlaceField club={trip.club} kind="site" value={typed.site} onChange={(site) => set({ site })} error={asked ? placeMistake(typed.site) : undefined} />
            <TextField label={`Depth, ${typed.unit === "m" ? "metres" : "feet"}`} keys="decimal" value={typed.depth} onChange={(depth) => set({ depth })} error={error("depth", "/depth", "/depth/hundredths")} />
            <TextField label="Bottom time wanted, minutes" hint="From leaving the surface to starting up." keys="numeric" value={typed.bottomTime} onChange={(bottomTime) => set({ bottomTime })} error={error("bottomTime", "/bottom_time_s", "/bottom_time_min")} />
            <TextField label="Planned for" hint="Time at the place of the trip; leave empty if it is not fixed." type="datetime-local" value={typed.plannedAt} onChange={(plannedAt) => set({ plannedAt })} error={error("plannedAt", "/planned_at")} />
            <SelectField
              label="Where the dive ends"
              value={typed.wayBack}
              options={[
                { value: "same_point", label: "back where it began" },
                { value: "free_ascent", label: "anywhere: the boat follows" },
              ]}
              onChange={(wayBack) => set({ wayBack: wayBack === "free_ascent" ? "free_ascent" : "same_point" })}
            />
            <SelectField
              label="When to turn"
              value={typed.turnRule ?? ""}
              options={[
                { value: "", label: typed.wayBack === "same_point" ? "as usual: halves" : "as usual: at minimum gas" },
                { value: "all_usable", label: "at minimum gas" },
                { value: "halves", label: "halves: half out, half back" },
                { value: "thirds", label: "thirds: one third kept" },
              ]}
              onChange={(turnRule) => set({ turnRule })}
            />
            {typed.wayBack === "same_point" && (
              <SelectField
                label="Along the current"
                value={typed.along ?? ""}
                options={[
                  { value: "", label: "no, or no current" },
                  { value: "with", label: "out with the current, back against it" },
                  { value: "against", label: "out against the current, back with it" },
                ]}
                onChange={(along) => set({ along })}
              />
            )}
            {goesAlong(typed) && (
              <TextField label="How fast the team swims, knots" hint="In still water. Half a knot is easy; few keep up 0.8." keys="decimal" value={typed.swim ?? ""} onChange={(swim) => set({ swim })} error={error("swim", "/along_current/swim_kn")} />
            )}
            <SelectField
              label="Work"
              value={typed.work}
              options={[
                { value: "light", label: "light" },
                { value: "moderate", label: "moderate" },
                { value: "hard", label: "hard" },
              ]}
              onChange={(work) => set({ work })}
            />
          </div>
          <div>
            <TextField label="Current, knots" hint="0 for none." keys="decimal" value={typed.current} onChange={(current) => set({ current })} error={error("current", "/demands/current_kn")} />
            <TextField label="Visibility, metres" keys="decimal" value={typed.visibility} onChange={(visibility) => set({ visibility })} error={error("visibility", "/demands/visibility_m")} />
            <TextField label="Water temperature, °C" keys="decimal" value={typed.temperature} onChange={(temperature) => set({ temperature })} error={error("temperature", "/demands/water_temp_c")} />
            <CheckField label="after dark" checked={typed.night} onChange={(night) => set({ night })} />
            <TextField label="Kind of site" hint="If it is one that not everybody knows: wreck, wall. Whoever has not dived such a site takes a step there." value={typed.siteKind ?? ""} onChange={(siteKind) => set({ siteKind })} error={error("siteKind", "/demands/site_kind")} />
            <TextField label="Task" hint="What there is to do, such as survey; leave empty for none." value={typed.task} onChange={(task) => set({ task })} error={error("task", "/demands/task", "/demands/task/kind")} />
            {typed.task.trim() !== "" && (
              <TextField label="Minutes for one unit of the task" hint="One transect, one sample. Nothing new is started when there is no time left to finish it. Leave it empty if the task has no units." keys="numeric" value={typed.unitMin ?? ""} onChange={(unitMin) => set({ unitMin })} error={error("unitMin", "/task_unit_min")} />
            )}
            {typed.task.trim() !== "" && (
              <SelectField
                label="Level the task asks for"
                value={typed.level}
                options={[
                  { value: "1", label: "1 has watched it" },
                  { value: "2", label: "2 has helped" },
                  { value: "3", label: "3 did it supervised" },
                  { value: "4", label: "4 does it alone in easy conditions" },
                  { value: "5", label: "5 leads others" },
                ]}
                onChange={(level) => set({ level })}
              />
            )}
          </div>
        </Columns>
        <Buttons>
          <Button tone="act" submit disabled={sending}>
            {sending ? "Saving …" : "Save the dive"}
          </Button>
        </Buttons>
      </Form>
      {dive !== null && <LeftOut here={here} dive={dive} />}
    </Page>
  );
}

/** Who stays out of this dive; no reason is asked or kept. */
function LeftOut(props: { readonly here: TripHere; readonly dive: TripDive }) {
  const { here, dive } = props;
  const { sending, problem, send } = useSend();
  const out = new Set(dive.left_out ?? []);
  const change = (person: string, stays: boolean) =>
    send(async () => {
      const left = stays ? [...out, person] : [...out].filter((one) => one !== person);
      await server.patch(`/api/trips/${here.trip.id}/dives/${dive.id}`, { left_out: left });
      here.again();
    });
  return (
    <Section title="Who stays out of this dive">
      <ProblemList problem={problem} />
      <p>No reason is asked or kept.</p>
      <List label="Who stays out of this dive">
        {here.trip.bookings
          .filter((booking) => booking.dives)
          .map((booking) => (
            <Row
              key={booking.id}
              title={booking.name}
              note={out.has(booking.id) ? "stays out" : "dives"}
              side={
                <Button tone="quiet" disabled={sending} label={`${out.has(booking.id) ? "dives after all" : "stays out"}: ${booking.name}`} onPress={() => change(booking.id, !out.has(booking.id))}>
                  {out.has(booking.id) ? "dives after all" : "stays out"}
                </Button>
              }
            />
          ))}
      </List>
    </Section>
  );
}
