import { useState } from "preact/hooks";
import { server } from "../../sync/server.ts";
import { BigNumber, Button, Buttons, Empty, LinkButton, List, Page, ProblemList, Reason, Row, Section, TextField, useSend, useServer, type ScreenProps } from "../parts/index.ts";
import { DepthsTold } from "../parts/depths_told.tsx";
import { Loaded } from "../parts/loaded.tsx";
import QrPicture from "../parts/qr_picture.tsx";
import { clockTime, dayAndTime } from "../words/format.ts";
import { isGrave, phoneNote, troubleText, type PhoneChain } from "./boat_log_words.ts";
import { LeftOpen } from "./left_open.tsx";
import { WithTrip, type TripHere } from "./use_trip.tsx";

/** The boat log at the desk: phones join, their chains are looked at, and the record of any moment is written out. */
export default function BoatLog(props: ScreenProps) {
  return <WithTrip {...props}>{(here) => <BoatLogPage {...here} />}</WithTrip>;
}

function BoatLogPage({ trip }: TripHere) {
  const { answer, again } = useServer<{ readonly phones: readonly PhoneChain[] }>(`/api/trips/${trip.id}/boat-log/chains`);
  return (
    <Page title="Boat log" back={`/organise/trips/${trip.id}`} backLabel="Trip" note={trip.name}>
      <JoinCode trip={trip.id} zone={trip.time_zone} />
      <Section title="Phones">
        <Loaded answer={answer} again={again}>
          {({ phones }) =>
            phones.length === 0 ? (
              <Empty>No phone yet.</Empty>
            ) : (
              <List label="Phones">
                {phones.map((phone) => (
                  <Phone key={phone.device} phone={phone} trip={trip.id} again={again} />
                ))}
              </List>
            )
          }
        </Loaded>
        <Reason title="What a chain is">
          <p>Each phone numbers its entries and seals each with a figure made of it and the one before. One that was changed, doubled or cut out shows. Nothing is thrown away: both sides stay.</p>
        </Reason>
      </Section>
      <Section title="Depths as told">
        <DepthsTold trip={trip.id} zone={trip.time_zone} />
      </Section>
      <Section title="Left open">
        <LeftOpen trip={trip.id} zone={trip.time_zone} />
      </Section>
      <RecordOf trip={trip.id} zone={trip.time_zone} />
    </Page>
  );
}

function JoinCode(props: { readonly trip: string; readonly zone: string }) {
  const [made, setMade] = useState<{ readonly code: string; readonly expires_at: string } | null>(null);
  const { sending, problem, send } = useSend();
  const make = () => send(async () => setMade(await server.post(`/api/trips/${props.trip}/join-code`)));
  return (
    <Section title="Let a phone join">
      <ProblemList problem={problem} />
      {made !== null && (
        <>
          <BigNumber label="Code" value={`${made.code.slice(0, 4)} ${made.code.slice(4)}`} />
          <QrPicture text={`${location.origin}/#/join/${made.code}`} label="The same as a picture for a phone's camera" />
          <p>On the other phone: point its camera at the picture, or open this address and tap "Join with a code". Good until {clockTime(Date.parse(made.expires_at), props.zone)}; a new code ends this one.</p>
        </>
      )}
      <Button tone={made === null ? "act" : "plain"} disabled={sending} onPress={make}>
        {made === null ? "Show a code" : "Show a new code"}
      </Button>
    </Section>
  );
}

function Phone(props: { readonly phone: PhoneChain; readonly trip: string; readonly again: () => void }) {
  const { phone } = props;
  const { sending, problem, send } = useSend();
  const takeOff = () =>
    send(async () => {
      await server.post(`/api/trips/${props.trip}/devices/${phone.device}/revoke`);
      props.again();
    });
  return (
    <Row title={phone.label ?? "A phone not known here"} note={phoneNote(phone)} {...(phone.trouble.some(isGrave) ? { tone: "stop" as const } : {})}>
      {phone.trouble.map((trouble) => (
        <p key={`${trouble.code} ${trouble.seq}`}>{troubleText(trouble)}</p>
      ))}
      <ProblemList problem={problem} />
      {phone.enrolled && phone.revoked_at === null && phone.label !== "At the desk" && (
        <Reason title="Lost, or no longer aboard">
          <p>It then reads nothing more. What it wrote before it knew is still taken in, and marked.</p>
          <Button tone="stop" disabled={sending} onPress={takeOff}>
            Take this phone off
          </Button>
        </Reason>
      )}
    </Row>
  );
}

function RecordOf(props: { readonly trip: string; readonly zone: string }) {
  const [moment, setMoment] = useState("");
  const at = moment === "" ? null : new Date(moment);
  const query = at === null || Number.isNaN(at.getTime()) ? "" : `?at=${encodeURIComponent(at.toISOString())}`;
  const base = `/api/trips/${props.trip}/boat-log/record`;
  return (
    <Section title="The record">
      <TextField
        label="As known on (leave empty for now)"
        type="datetime-local"
        value={moment}
        onChange={setMoment}
        hint={query === "" ? "In this device's own time." : `That is ${dayAndTime((at as Date).getTime(), props.zone)} where the trip is.`}
      />
      <Buttons>
        <LinkButton href={`${base}.html${query}`}>Open the page to print</LinkButton>
        <LinkButton href={`${base}.csv${query}`}>Save as a table</LinkButton>
        <LinkButton href={`${base}${query}`}>Everything, as JSON</LinkButton>
      </Buttons>
    </Section>
  );
}
