import { useRef, useState } from "preact/hooks";
import { Button, Buttons, Empty, errorAt, Form, Notice, Page, ProblemList, Section, SelectField, TextField, useSend, useServer, Waiting, type ScreenProps } from "../parts/index.ts";
import { useDraft } from "../parts/use_draft.ts";
import { server } from "../../sync/server.ts";
import type { Booking, DiverRecord, GasCheck, TripDive } from "../words/answers.ts";
import { earlierGas, gasBody, gasLine, gasMistakes, ownCylinder, typedGas, type TypedGas } from "./gas_words.ts";
import { diveOf, diveTitle, WithTrip, type TripHere } from "./use_trip.tsx";

/** What each diver takes on this dive: cylinder, start pressure, and what was analysed, by its diver in person. */
export default function Gas(props: ScreenProps) {
  return (
    <WithTrip {...props}>
      {(here) => {
        const dive = diveOf(here.trip, props.params["dive"]);
        const back = { back: `/organise/trips/${here.trip.id}`, backLabel: here.trip.name };
        if (dive === undefined) {
          return (
            <Page title="Gas" {...back}>
              <Empty>This dive is not on the trip any more.</Empty>
            </Page>
          );
        }
        return <GasPage here={here} dive={dive} />;
      }}
    </WithTrip>
  );
}

function GasPage(props: { readonly here: TripHere; readonly dive: TripDive }) {
  const { here, dive } = props;
  const out = new Set(dive.left_out ?? []);
  const divers = here.trip.bookings.filter((booking) => booking.dives && !out.has(booking.id));
  const open = divers.filter((booking) => dive.gas?.find((gas) => gas.person === booking.id)?.start_pressure == null).length;
  return (
    <Page
      title={`Gas of dive ${dive.number}`}
      back={`/organise/trips/${here.trip.id}/dives/${dive.id}/teams`}
      backLabel={`Teams of dive ${dive.number}`}
      note={`${diveTitle(dive)}. Nobody is placed in a team without the analysis of their gas; the gas limit is not known without cylinder and start pressure.`}
    >
      {open > 0 && here.trip.state === "planned" && (
        <Notice tone="warn">
          <p>{open === 1 ? "One diver has" : `${open} divers have`} no start pressure yet.</p>
        </Notice>
      )}
      {divers.map((booking) => (
        <DiverGas key={booking.id} here={here} dive={dive} booking={booking} />
      ))}
    </Page>
  );
}

function DiverGas(props: { readonly here: TripHere; readonly dive: TripDive; readonly booking: Booking }) {
  const { here, dive, booking } = props;
  const gas = dive.gas?.find((one) => one.person === booking.id) ?? null;
  const fold = useRef<HTMLDetailsElement>(null);
  const saved = () => {
    if (fold.current === null) return;
    fold.current.open = false;
    fold.current.querySelector("summary")?.focus();
  };
  return (
    <Section title={booking.name}>
      <p class={gas === null || gas.start_pressure === null ? "desk-missing" : ""}>{gasLine(gas)}</p>
      {here.trip.state === "planned" && (
        <details class="reason" ref={fold}>
          <summary aria-label={`${gas === null ? "Enter" : "Change"}: ${booking.name}`}>{gas === null ? "Enter" : "Change"}</summary>
          <div>
            <Prefilled {...props} gas={gas} onSaved={saved} />
          </div>
        </details>
      )}
    </Section>
  );
}

interface FormProps {
  readonly here: TripHere;
  readonly dive: TripDive;
  readonly booking: Booking;
  readonly onSaved: () => void;
}

/** Nothing is typed twice: the cylinder of an earlier dive of the trip, else the one on the diver's record. */
function Prefilled(props: FormProps & { readonly gas: GasCheck | null }) {
  const { here, dive, booking, gas } = props;
  const before = earlierGas(here.trip, dive, booking.id);
  const asks = gas === null && before === null && booking.diver != null;
  const { answer } = useServer<DiverRecord>(asks ? `/api/divers/${booking.diver ?? ""}` : null);
  if (asks && answer.state === "waiting") return <Waiting />;
  const cylinders = answer.state === "here" ? answer.data.cylinders : [];
  return <GasForm {...props} start={typedGas(gas ?? before ?? ownCylinder(cylinders, booking.id), here.club?.units)} />;
}

function GasForm(props: FormProps & { readonly start: TypedGas }) {
  const { here, dive, booking } = props;
  const [typed, setTyped, drop] = useDraft<TypedGas>(`gas ${dive.id} ${booking.id}`, props.start);
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const mistakes = gasMistakes(typed);
  const set = (part: Partial<TypedGas>) => setTyped({ ...typed, ...part });
  const error = (field: keyof TypedGas, pointer: string) => (asked ? mistakes[field] : undefined) ?? errorAt(problem, pointer);
  const save = () => {
    setAsked(true);
    if (Object.keys(mistakes).length > 0) return;
    send(async () => {
      await server.put(`/api/trips/${here.trip.id}/dives/${dive.id}/gas/${booking.id}`, gasBody(typed, booking.id));
      drop();
      props.onSaved();
      here.again();
    });
  };
  return (
    <Form label={`Gas of ${booking.name}`} onSubmit={save}>
      <ProblemList problem={problem} />
      <TextField label="Cylinder" hint="What is painted or written on it, such as 14." value={typed.cylinder} onChange={(cylinder) => set({ cylinder })} error={error("cylinder", "/cylinder")} />
      <TextField label={typed.volumeUnit === "l" ? "Size, litres of water" : "Size, cubic feet at working pressure"} keys="decimal" value={typed.volume} onChange={(volume) => set({ volume })} error={error("volume", "/volume")} />
      <TextField label={`Working pressure, ${typed.pressureUnit}`} keys="numeric" value={typed.workingPressure} onChange={(workingPressure) => set({ workingPressure })} error={error("workingPressure", "/working_pressure")} />
      <TextField label={`Start pressure, ${typed.pressureUnit}`} hint="As read on the gauge; leave empty while it is not known." keys="numeric" value={typed.startPressure} onChange={(startPressure) => set({ startPressure })} error={error("startPressure", "/start_pressure")} />
      <SelectField
        label="Gas"
        value={typed.mix}
        options={[
          { value: "air", label: "air" },
          { value: "nitrox", label: "other: nitrox" },
        ]}
        onChange={(mix) => set({ mix: mix === "nitrox" ? "nitrox" : "air" })}
      />
      {typed.mix === "nitrox" && <TextField label="Oxygen on the label, %" keys="decimal" value={typed.oxygen} onChange={(oxygen) => set({ oxygen })} error={error("oxygen", "/o2_pm")} />}
      <TextField
        label="Oxygen analysed, %"
        hint={`Only what ${booking.name} read in person from this cylinder; a refill or a swap makes it void.`}
        keys="decimal"
        value={typed.analysed}
        onChange={(analysed) => set({ analysed })}
        error={error("analysed", "/analysed_o2_pm")}
      />
      <Buttons>
        <Button tone="act" submit disabled={sending}>
          {sending ? "Saving …" : `Save the gas of ${booking.name}`}
        </Button>
      </Buttons>
    </Form>
  );
}
