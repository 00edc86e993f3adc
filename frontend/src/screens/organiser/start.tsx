import { Buttons, Columns, Empty, LinkButton, List, Notice, Page, Row, Section, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { UnitChoice } from "../parts/use_system.tsx";
import { organisedBy, type Club, type OpenAlarm, type TripSummary } from "../words/answers.ts";
import { count, dayAndTime } from "../words/format.ts";

/** The organiser's first page: the trips to come, and each club's roster. */
export default function Start(props: ScreenProps) {
  const { answer, again } = useServer<{ trips: TripSummary[] }>("/api/trips");
  const clubs = organisedBy(props.session?.me);
  if (clubs.length === 0) {
    return (
      <Page title="Organise">
        <Empty>You organise no club with this sign-in. Your own trips are under “Me”.</Empty>
        <LinkButton path="/me">My trips</LinkButton>
      </Page>
    );
  }
  return (
    <Page title="Organise" wide>
      <OpenAlarms />
      {clubs.map((club) => (
        <BeforeTheFirstTrip key={club.id} club={club} />
      ))}
      <Columns>
        <Section title="Trips">
          <Loaded answer={answer} again={again}>
            {(data) => <Trips trips={data.trips.filter((trip) => trip.may.plan)} />}
          </Loaded>
          <Buttons>
            {clubs
              .filter((club) => club.may.add_trip)
              .map((club) => (
                <LinkButton key={club.id} path={`/organise/clubs/${club.id}/trips/new`}>
                  {clubs.length === 1 ? "New trip" : `New trip of ${club.name}`}
                </LinkButton>
              ))}
          </Buttons>
        </Section>
        <div>
          {clubs.map((club) => (
            <ClubLinks key={club.id} club={club} />
          ))}
          <Section title="On this device">
            <UnitChoice />
          </Section>
        </div>
      </Columns>
    </Page>
  );
}

const ALARM: Readonly<Record<OpenAlarm["stands"], string>> = {
  raised: "ALARM ashore: nobody has taken it yet",
  untaken: "ALARM ashore: everybody was called, and nobody has taken it",
  acknowledged: "ALARM ashore: somebody has it",
};

/** A boat that ashore is called for, before everything else on the page. */
function OpenAlarms() {
  const { answer } = useServer<{ readonly alarms: readonly OpenAlarm[] }>("/api/ashore");
  const alarms = answer.state === "here" ? answer.data.alarms : [];
  if (alarms.length === 0) return null;
  return (
    <List label="Alarms ashore">
      {alarms.map((one) => (
        <Row key={one.trip} path={`/organise/trips/${one.trip}/shore`} title={ALARM[one.stands]} note={one.name} tone={one.stands === "acknowledged" ? "warn" : "stop"} />
      ))}
    </List>
  );
}

/** No trip can leave before the club has said it: asked for here, where a new club starts, and not at the dock. */
function BeforeTheFirstTrip(props: { readonly club: Club }) {
  const { club } = props;
  const { answer } = useServer<Pick<Club, "settings">>(club.settings.overdue_after_min === null && club.may.manage_club ? `/api/clubs/${club.id}` : null);
  // The session may be older than the setting.
  if (answer.state !== "here" || answer.data.settings.overdue_after_min !== null) return null;
  return (
    <Notice tone="warn">
      <p>{club.name} has not said yet after how many minutes a late team counts as overdue. A trip can be planned, but not made ready, until it has.</p>
      <LinkButton path={`/organise/clubs/${club.id}/settings`}>Set the minutes</LinkButton>
    </Notice>
  );
}

function Trips(props: { readonly trips: readonly TripSummary[] }) {
  if (props.trips.length === 0) return <Empty>No trip yet. Bring the roster first, then plan a trip.</Empty>;
  return (
    <List label="Trips">
      {props.trips.map((trip) => (
        <Row
          key={trip.id}
          path={`/organise/trips/${trip.id}`}
          title={trip.name}
          note={`${dayAndTime(Date.parse(trip.starts_at), trip.time_zone)} · ${count(trip.booked, "person", "people")}, ${count(trip.dives, "dive")}`}
          side={trip.ended_at != null ? "over" : trip.state === "ready" ? "ready" : "planning"}
        />
      ))}
    </List>
  );
}

function ClubLinks(props: { readonly club: Club }) {
  const { club } = props;
  return (
    <Section title={club.name}>
      <List label={club.name}>
        {club.may.read_divers && <Row path={`/organise/clubs/${club.id}/roster`} title="Roster" note="who dives, how deep, and what is missing" />}
        {club.may.import_roster && <Row path={`/organise/clubs/${club.id}/import`} title="Bring a roster" note="from the spreadsheet you already keep" />}
        {club.may.add_trip && <Row path={`/organise/clubs/${club.id}/past-dives`} title="Bring past dives" note="what each diver has done, from a spreadsheet: teams rest on it" />}
        {club.may.manage_club && (
          <Row
            path={`/organise/clubs/${club.id}/settings`}
            title="Club settings"
            note="overdue, method, gas, time zone, units"
          />
        )}
      </List>
    </Section>
  );
}
