import { Button, Buttons, CheckField, Empty, LinkButton, List, Page, ProblemList, Row, SelectField, useSend, type ScreenProps } from "../parts/index.ts";
import { server } from "../../sync/server.ts";
import type { Booking, Role } from "../words/answers.ts";
import { count } from "../words/format.ts";
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
      {trip.bookings.length === 0 ? (
        <Empty>Nobody yet.</Empty>
      ) : (
        <List label="People">
          {trip.bookings.map((booking) => (
            <Row key={booking.id} title={booking.name} note={noteOf(booking)} {...(booking.dives && booking.earlier_dives === null ? { tone: "warn" as const } : {})}>
              {open && (
                <details class="reason">
                  <summary>Change</summary>
                  <div>
                    <SelectField label={`${booking.name} comes as`} value={booking.role} options={roles} onChange={(role) => change(booking, { role })} />
                    <CheckField label="dives" checked={booking.dives} onChange={(dives) => change(booking, { dives })} />
                    {booking.dives && booking.earlier_dives === null && (
                      <Button disabled={sending} onPress={() => change(booking, { earlier_dives: [] })}>
                        Has not dived in the last 24 hours
                      </Button>
                    )}
                    {booking.dives && booking.earlier_dives?.length === 0 && (
                      <Button tone="quiet" disabled={sending} onPress={() => change(booking, { earlier_dives: null })}>
                        Not known whether dived before
                      </Button>
                    )}
                    <Button tone="stop" disabled={sending} label={`Take off the trip: ${booking.name}`} onPress={() => remove(booking)}>
                      Take off the trip
                    </Button>
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

function noteOf(booking: Booking): string {
  const role = roles.find((one) => one.value === booking.role)?.label ?? booking.role;
  if (!booking.dives) return `${role}, not diving`;
  const before = booking.earlier_dives === null ? "dives of the last day not known: ask" : booking.earlier_dives.length === 0 ? "no dive in the last day" : count(booking.earlier_dives.length, "dive before");
  return `${role}${booking.can_lead ? ", may lead" : ""} · ${before}`;
}
