import { useState } from "preact/hooks";
import { Button, Buttons, CheckField, Empty, errorAt, Form, goInstead, Page, ProblemList, SelectField, TextField, useSend, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { useDraft } from "../parts/use_draft.ts";
import { server } from "../../sync/server.ts";
import type { FloatPlan, RosterDiver, Trip } from "../words/answers.ts";
import { instantIn, typedIn } from "./trip_words.ts";
import { WithTrip } from "./use_trip.tsx";

interface Contact {
  readonly id: string;
  readonly diver: string;
  readonly name: string;
  readonly email: string;
  readonly phone: string;
}

interface Typed {
  readonly backBy: string;
  readonly notHeard: string;
  readonly contacts: readonly Contact[];
  readonly positions: Readonly<Record<string, string>>;
  readonly otherwise: boolean;
}

const NOBODY: Contact = { id: "", diver: "", name: "", email: "", phone: "" };

/** Back by when, who ashore is told in which order, and where the dives are. */
export default function ShoreChange(props: ScreenProps) {
  return (
    <WithTrip {...props}>
      {({ trip }) => (
        <Page
          title="Change the float plan"
          back={`/organise/trips/${trip.id}/shore`}
          backLabel="Float plan"
          note={trip.state === "ready" ? "Everybody named here is told at once." : "It is sent when the trip is made ready, and again whenever it changes."}
        >
          <Read trip={trip} />
        </Page>
      )}
    </WithTrip>
  );
}

function Read({ trip }: { readonly trip: Trip }) {
  const plan = useServer<FloatPlan>(`/api/trips/${trip.id}/float-plan`);
  const roster = useServer<{ readonly divers: readonly RosterDiver[] }>(`/api/clubs/${trip.club}/divers`);
  return (
    <Loaded answer={plan.answer} again={plan.again}>
      {(data) => (
        <Loaded answer={roster.answer} again={roster.again}>
          {({ divers }) => <PlanForm trip={trip} plan={data} ashore={divers.filter((diver) => diver.account && !trip.bookings.some((booking) => booking.diver === diver.id))} />}
        </Loaded>
      )}
    </Loaded>
  );
}

function PlanForm(props: { readonly trip: Trip; readonly plan: FloatPlan; readonly ashore: readonly RosterDiver[] }) {
  const { trip, plan, ashore } = props;
  const first: Typed = {
    backBy: typedIn(trip.time_zone, plan.back_by),
    notHeard: plan.if_not_heard,
    contacts: plan.contacts.length === 0 ? [NOBODY] : plan.contacts.map(({ id, diver, name, email, phone }) => ({ id, diver: diver ?? "", name, email, phone })),
    positions: Object.fromEntries(plan.sites.map((site) => [site.id, site.position])),
    // A decision about the people who stand here now: taken anew with each change.
    otherwise: false,
  };
  const [typed, setTyped, drop] = useDraft<Typed>(`shore ${trip.id} ${plan.back_by ?? ""} ${plan.contacts.map((one) => one.id).join(" ")}`, first);
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const change = (part: Partial<Typed>) => setTyped({ ...typed, ...part });
  const put = (at: number, contact: Contact) => change({ contacts: typed.contacts.map((one, n) => (n === at ? contact : one)) });
  // A time that was not touched stays what it is, to the second and in the hour that a night has twice.
  const backBy = typed.backBy.trim() === "" ? null : typed.backBy === first.backBy ? plan.back_by : instantIn(trip.time_zone, typed.backBy);
  const wrongTime = asked && typed.backBy.trim() !== "" && backBy === null ? "Give the day and the time." : errorAt(problem, "/back_by");
  const named = typed.contacts.filter((one) => one.diver !== "" || one.name.trim() !== "" || one.email.trim() !== "" || one.phone.trim() !== "");
  const nobodyReached = named.length > 0 && !plan.mail && named.every((one) => one.diver === "");
  const save = () => {
    setAsked(true);
    if (typed.backBy.trim() !== "" && backBy === null) return;
    send(async () => {
      await server.put(`/api/trips/${trip.id}/float-plan`, {
        back_by: backBy,
        if_not_heard: typed.notHeard,
        contacts: named.map(({ id, diver, ...rest }) => ({ ...rest, ...(id === "" ? {} : { id }), diver: diver === "" ? null : diver })),
        positions: plan.sites.map((site) => ({ site: site.id, position: typed.positions[site.id] ?? "" })),
        told_otherwise: nobodyReached && typed.otherwise,
      });
      drop();
      goInstead(`/organise/trips/${trip.id}/shore`);
    });
  };
  const at = (n: number, field: string) => errorAt(problem, `/contacts/${named.indexOf(typed.contacts[n] ?? NOBODY)}${field}`);
  return (
    <Form label="Float plan" onSubmit={save}>
      <ProblemList problem={problem} />
      <TextField
        label="Back by"
        type="datetime-local"
        hint={`The planned return at the speed of a rough sea, and your own margin. At this moment the alarm ashore is raised unless somebody said that all are home. Left empty, nobody ashore is alarmed. Time at ${trip.time_zone.split("/").at(-1)?.replaceAll("_", " ") ?? trip.time_zone}.`}
        value={typed.backBy}
        onChange={(next) => change({ backBy: next })}
        error={wrongTime}
      />
      <h2>Who is told, first to be called first</h2>
      {errorAt(problem, "/contacts") !== undefined && <p class="field-error">{errorAt(problem, "/contacts")}</p>}
      {typed.contacts.map((contact, n) => (
        <fieldset key={n} class="card">
          <legend>{n === 0 ? "First" : `Then, number ${n + 1}`}</legend>
          {ashore.length > 0 && (
            <SelectField
              label={`Number ${n + 1}: of the club`}
              hint="Told in the app as well, in that person’s inbox."
              value={contact.diver}
              options={[{ value: "", label: "nobody of the club" }, ...ashore.map((diver) => ({ value: diver.id, label: diver.name }))]}
              onChange={(diver) => put(n, { ...contact, diver, name: ashore.find((one) => one.id === diver)?.name ?? "", email: "" })}
            />
          )}
          <TextField label={`Number ${n + 1}: name`} value={contact.name} onChange={(name) => put(n, { ...contact, name })} error={at(n, "/name") ?? at(n, "/diver")} />
          <TextField
            label={`Number ${n + 1}: e-mail`}
            type="email"
            hint={contact.diver === "" ? "The float plan and the alarm go there; no account is needed." : "Left empty: the one in their record."}
            value={contact.email}
            onChange={(email) => put(n, { ...contact, email })}
            error={at(n, "/email") ?? at(n, "")}
          />
          <TextField label={`Number ${n + 1}: phone`} hint="For the others ashore to read. Nothing here calls it." value={contact.phone} onChange={(phone) => put(n, { ...contact, phone })} error={at(n, "/phone")} />
          <Buttons>
            {n > 0 && <Button onPress={() => change({ contacts: [...typed.contacts.slice(0, n - 1), contact, ...typed.contacts.slice(n - 1, n), ...typed.contacts.slice(n + 1)] })}>Move up</Button>}
            <Button onPress={() => change({ contacts: typed.contacts.filter((_, place) => place !== n) })}>Remove number {n + 1}</Button>
          </Buttons>
        </fieldset>
      ))}
      <Buttons>
        <Button disabled={typed.contacts.length >= 8} onPress={() => change({ contacts: [...typed.contacts, NOBODY] })}>
          Name one more
        </Button>
      </Buttons>
      {nobodyReached && (
        <fieldset class="card">
          <legend>No alarm would reach any of them</legend>
          <p>This installation sends no mail, and nobody named here has an account: if the boat does not come back, nothing calls them. The trip cannot be made ready like this unless you tell each of them yourself.</p>
          {errorAt(problem, "/told_otherwise") !== undefined && <p class="field-error">{errorAt(problem, "/told_otherwise")}</p>}
          <CheckField
            label="I tell each of them another way: by when we are back, whom to call then, and that nothing here wakes them"
            hint="Kept under your name in the trip’s record."
            checked={typed.otherwise}
            onChange={(otherwise) => change({ otherwise })}
          />
        </fieldset>
      )}
      <h2>Where the dives are</h2>
      {plan.sites.length === 0 ? (
        <Empty>No dive names a site yet.</Empty>
      ) : (
        plan.sites.map((site) => (
          <TextField
            key={site.id}
            label={`Position of ${site.name}`}
            hint="As the chart or the plotter shows it. It is kept for the next trip."
            value={typed.positions[site.id] ?? ""}
            onChange={(position) => change({ positions: { ...typed.positions, [site.id]: position } })}
          />
        ))
      )}
      <TextField label="If nothing is heard" hint={`Left empty: “${plan.if_not_heard_general}”`} lines={4} value={typed.notHeard} onChange={(notHeard) => change({ notHeard })} error={errorAt(problem, "/if_not_heard")} />
      <Buttons>
        <Button tone="act" submit disabled={sending}>
          {sending ? "One moment …" : "Save the float plan"}
        </Button>
      </Buttons>
    </Form>
  );
}
