import { useState } from "preact/hooks";
import { Button, Buttons, CheckField, Empty, Form, LinkButton, List, Notice, Page, ProblemList, Row, SelectField, TextField, useSend, type ScreenProps } from "../parts/index.ts";
import { server } from "../../sync/server.ts";
import type { Booking, Role } from "../words/answers.ts";
import { count } from "../words/format.ts";
import { depthUnit, hundredths, whole } from "../words/units.ts";
import { instantIn, typedIn } from "./trip_words.ts";
import { WithTrip, type TripHere } from "./use_trip.tsx";

const roles: readonly { readonly value: Role; readonly label: string }[] = [
  { value: "organiser", label: "organiser" },
  { value: "leader", label: "dive leader" },
  { value: "diver", label: "diver" },
  { value: "crew", label: "crew" },
  { value: "guest", label: "guest" },
];

/** Everyone who will be on the boat, in the water or not. */
export default function People(props: ScreenProps) {
  return <WithTrip {...props}>{(here) => <PeoplePage {...here} />}</WithTrip>;
}

function PeoplePage(props: TripHere) {
  const { trip, again } = props;
  const base = `/organise/trips/${trip.id}`;
  const open = trip.state === "planned";
  const { sending, problem, send } = useSend();
  const change = (booking: Booking, part: Readonly<Record<string, unknown>>) =>
    send(async () => {
      await server.patch(`/api/trips/${trip.id}/bookings/${booking.id}`, part);
      again();
    });
  const unasked = trip.bookings.filter((booking) => booking.dives && booking.earlier_dives == null);
  const noneDived = () =>
    send(async () => {
      try {
        for (const booking of unasked) await server.patch(`/api/trips/${trip.id}/bookings/${booking.id}`, { earlier_dives: [] });
      } finally {
        again();
      }
    });
  const remove = (booking: Booking) =>
    send(async () => {
      await server.delete(`/api/trips/${trip.id}/bookings/${booking.id}`);
      again();
    });
  return (
    <Page title="People on the trip" back={base} backLabel={trip.name} note={`${count(trip.bookings.length, "person", "people")}: everyone on the boat, crew and guests too.`}>
      {open && (
        <Buttons>
          <LinkButton path={`${base}/people/add`} tone="act">
            Add people
          </LinkButton>
        </Buttons>
      )}
      <ProblemList problem={problem} />
      {open && unasked.length > 1 && (
        <Notice tone="warn">
          <p>{`Of ${count(unasked.length, "diver")} it is not known whether they dived in the 24 hours before the trip. Until it is, their limits are not known.`}</p>
          <Button disabled={sending} onPress={noneDived}>
            {`I asked all ${unasked.length}: none has dived`}
          </Button>
        </Notice>
      )}
      {trip.bookings.length === 0 ? (
        <Empty>Nobody yet.</Empty>
      ) : (
        <List label="People">
          {trip.bookings.map((booking) => (
            <Row key={booking.id} title={booking.name} note={noteOf(booking)} {...(booking.dives && booking.earlier_dives == null ? { tone: "warn" as const } : {})}>
              {open && booking.dives && booking.earlier_dives == null && (
                <div class="desk-row">
                  <Button disabled={sending} label={`Has not dived in the last 24 hours: ${booking.name}`} onPress={() => change(booking, { earlier_dives: [] })}>
                    Has not dived in the last 24 hours
                  </Button>
                </div>
              )}
              {open && (
                <details class="reason">
                  <summary aria-label={`Change: ${booking.name}`}>Change</summary>
                  <div>
                    <SelectField label={`${booking.name} comes as`} value={booking.role} options={roles} onChange={(role) => change(booking, { role })} />
                    <CheckField label="dives" checked={booking.dives} onChange={(dives) => change(booking, { dives })} />
                    {booking.dives && <EarlierDive here={props} booking={booking} onChange={(earlier_dives) => change(booking, { earlier_dives })} sending={sending} />}
                    {booking.dives && <FlightHome here={props} booking={booking} onChange={(flies_at) => change(booking, { flies_at })} sending={sending} />}
                    <Buttons>
                      {booking.dives && booking.earlier_dives != null && (
                        <Button tone="quiet" disabled={sending} onPress={() => change(booking, { earlier_dives: null })}>
                          Not known whether dived before
                        </Button>
                      )}
                      {booking.dives && props.club?.may.keep_wishes === true && (
                        <LinkButton path={`${base}/people/${booking.id}/rather-not`}>
                          Rather not with …
                        </LinkButton>
                      )}
                      <Button tone="stop" disabled={sending} label={`Take off the trip: ${booking.name}`} onPress={() => remove(booking)}>
                        Take off the trip
                      </Button>
                    </Buttons>
                  </div>
                </details>
              )}
            </Row>
          ))}
        </List>
      )}
    </Page>
  );
}

/** A dive of the days before the trip: it decides the limits of the first dive. */
function EarlierDive(props: { readonly here: TripHere; readonly booking: Booking; readonly onChange: (dives: readonly unknown[]) => void; readonly sending: boolean }) {
  const { here, booking } = props;
  const unit = depthUnit(here.system);
  const [typed, setTyped] = useState({ depth: "", time: "", surfaced: "" });
  const [asked, setAsked] = useState(false);
  const depth = hundredths(typed.depth);
  const time = whole(typed.time);
  const surfaced = instantIn(here.trip.time_zone, typed.surfaced);
  const add = () => {
    setAsked(true);
    if (depth === null || time === null || surfaced === null) return;
    props.onChange([...(booking.earlier_dives ?? []), { depth: { unit, hundredths: depth }, bottom_time_s: time * 60, o2_pm: 210, surfaced_at: Date.parse(surfaced) }]);
  };
  return (
    <details class="reason">
      <summary>Has dived before the trip</summary>
      <div>
        <Form label={`An earlier dive of ${booking.name}`} onSubmit={add}>
          <TextField label={`Deepest point, ${unit}`} keys="decimal" value={typed.depth} onChange={(next) => setTyped({ ...typed, depth: next })} error={asked && depth === null ? "Give the deepest point, such as 18." : undefined} />
          <TextField label="Bottom time, minutes" hint="If only down and surfaced are known: the whole time between. Counted as air." keys="numeric" value={typed.time} onChange={(next) => setTyped({ ...typed, time: next })} error={asked && time === null ? "Give whole minutes, such as 40." : undefined} />
          <TextField label="Surfaced at" hint="Time at the place of the trip." type="datetime-local" value={typed.surfaced} onChange={(next) => setTyped({ ...typed, surfaced: next })} error={asked && surfaced === null ? "Give the day and the time." : undefined} />
          <Button submit disabled={props.sending}>
            Add this dive
          </Button>
        </Form>
      </div>
    </details>
  );
}

/** A flight home: from it the plan reckons back to the latest surfacing. */
function FlightHome(props: { readonly here: TripHere; readonly booking: Booking; readonly onChange: (at: string | null) => void; readonly sending: boolean }) {
  const { booking } = props;
  const zone = props.here.trip.time_zone;
  const [typed, setTyped] = useState(typedIn(zone, booking.flies_at ?? null));
  const [asked, setAsked] = useState(false);
  const at = instantIn(zone, typed);
  const keep = () => {
    setAsked(true);
    if (at !== null) props.onChange(at);
  };
  return (
    <details class="reason">
      <summary>Flies home</summary>
      <div>
        <Form label={`The flight home of ${booking.name}`} onSubmit={keep}>
          <TextField label="The flight leaves at" hint="By the clock at the place of the trip." type="datetime-local" value={typed} onChange={setTyped} error={asked && at === null ? "Give the day and the time." : undefined} />
          <Button submit disabled={props.sending}>
            Keep this flight
          </Button>
        </Form>
        {booking.flies_at != null && (
          <Button tone="quiet" disabled={props.sending} onPress={() => props.onChange(null)}>
            No flight
          </Button>
        )}
      </div>
    </details>
  );
}

function noteOf(booking: Booking): string {
  const role = roles.find((one) => one.value === booking.role)?.label ?? booking.role;
  if (!booking.dives) return `${role}, not diving`;
  const before = booking.earlier_dives == null ? "dives of the last day not known: ask" : booking.earlier_dives.length === 0 ? "no dive in the last day" : count(booking.earlier_dives.length, "dive before");
  const logged = booking.dives_in_logs ?? 0;
  const known = logged === 0 ? before : `${before}, ${count(logged, "dive")} in the boat logs of the last days`;
  return `${role}${booking.can_lead ? ", may lead" : ""} · ${known}`;
}
