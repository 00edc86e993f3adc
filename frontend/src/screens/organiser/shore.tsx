import { Button, Buttons, Empty, LinkButton, List, Notice, Page, ProblemList, Reason, Row, Section, useSend, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { server } from "../../sync/server.ts";
import type { FloatPlan, ShoreContact } from "../words/answers.ts";
import { dayAndTime } from "../words/format.ts";
import { contactNote, headline, sentNote, tone, troubleOf } from "./shore_words.ts";
import { WithTrip, type TripHere } from "./use_trip.tsx";

/** Who ashore waits for this boat, how the alarm stands, and what a leader says about it. */
export default function Shore(props: ScreenProps) {
  return <WithTrip {...props}>{(here) => <ShorePage {...here} />}</WithTrip>;
}

function ShorePage({ trip }: TripHere) {
  const path = `/api/trips/${trip.id}/float-plan`;
  const { answer, again } = useServer<FloatPlan>(path);
  return (
    <Page title="Float plan" back={`/organise/trips/${trip.id}`} backLabel={trip.name}>
      <Loaded answer={answer} again={again}>{(plan) => <Standing plan={plan} trip={trip} path={path} again={again} />}</Loaded>
    </Page>
  );
}

function Standing(props: { readonly plan: FloatPlan; readonly trip: TripHere["trip"]; readonly path: string; readonly again: () => void }) {
  const { plan, trip, path, again } = props;
  const { sending, problem, send } = useSend();
  const say = (what: string) =>
    send(async () => {
      await server.post(`${path}/said`, { what });
      again();
    });
  const time = (at: string) => dayAndTime(Date.parse(at), trip.time_zone);
  const waits = plan.stands !== "nobody";
  const calling = plan.stands === "raised" || plan.stands === "untaken";
  const alarm = calling || plan.stands === "acknowledged";
  return (
    <>
      {plan.back_by !== null && (
        <dl class="desk-big">
          <dt>Back by</dt>
          <dd>{time(plan.back_by)}</dd>
        </dl>
      )}
      <Notice {...(tone(plan) === undefined ? {} : { tone: tone(plan)! })}>
        <p>
          <strong>{headline(plan, trip, time)}</strong>
        </p>
        {plan.alarms.map((one) => (
          <p key={`${one.kind} ${one.since}`}>{one.text}</p>
        ))}
        {plan.heard !== null && waits && <p>{plan.heard}</p>}
        {plan.stands === "untaken" && <p>Each of them had the calls that the club asks for. They are called on every half hour, or as seldom as the club says. Take it, or reach one of them by phone.</p>}
        {alarm && <p>Whom to call and what to do stand on the page of each contact. The rescue service decides.</p>}
      </Notice>
      <ProblemList problem={problem} />
      {waits && (
        <Buttons>
          {calling && (
            <Button tone="act" size="large" disabled={sending} onPress={() => say("acknowledged")}>
              I have this alarm: stop the calls
            </Button>
          )}
          {plan.stands === "home" || plan.stands === "handed_over" ? (
            <Button disabled={sending} onPress={() => say("not_home")}>
              {plan.stands === "home" ? "That was wrong: they are not home" : "That was wrong: the rescue service does not have it"}
            </Button>
          ) : null}
          {plan.stands !== "home" && (
            <Button {...(calling ? {} : { tone: "act" as const })} size="large" disabled={sending} onPress={() => say("home")}>
              All home
            </Button>
          )}
          {alarm && (
            <Button disabled={sending} onPress={() => say("handed_over")}>
              The rescue service has it
            </Button>
          )}
        </Buttons>
      )}
      <Section title="Who is told, in this order">
        {plan.contacts.length === 0 ? (
          <Empty>Nobody ashore is named.</Empty>
        ) : (
          <List label="Who is told">
            {plan.contacts.map((contact) => (
              <Contact key={contact.id} contact={contact} plan={plan} time={time} />
            ))}
          </List>
        )}
        {!plan.mail && plan.contacts.some((contact) => contact.email !== "") && (
          <Notice tone="warn">
            <p>This installation sends no mail: whoever has only an e-mail address is not called. Hand on the link of each another way, and say that nothing will wake them.</p>
          </Notice>
        )}
        <Buttons>
          <LinkButton path={`/organise/trips/${trip.id}/shore/change`} {...(waits ? {} : { tone: "act" as const })}>
            {plan.back_by === null && plan.contacts.length === 0 ? "Write a float plan" : "Change the float plan"}
          </LinkButton>
        </Buttons>
        {waits && <p>A change is told to everybody above at once. “All home” also serves for a trip that was called off, with nobody gone; a later back-by time waits for the boat again.</p>}
      </Section>
    </>
  );
}

function Contact(props: { readonly contact: ShoreContact; readonly plan: FloatPlan; readonly time: (at: string) => string }) {
  const { contact, plan, time } = props;
  const own = plan.sent.filter((one) => one.contact === contact.id);
  const trouble = troubleOf(own);
  return (
    <Row title={contact.name} note={contactNote(contact)} {...(trouble === null ? {} : { tone: "stop" as const })}>
      <div class="desk-row">
        {trouble !== null && <p class="field-error">{trouble}</p>}
        {own.slice(0, 3).map((one) => (
          <p key={`${one.kind} ${one.at}`}>{sentNote(one, time)}</p>
        ))}
        <Reason title={`The link of ${contact.name}`}>
          <p>Whoever opens it reads the float plan and speaks for {contact.name}. Hand it to nobody else.</p>
          <p>
            <a href={contact.link} target="_blank" rel="noreferrer">
              {contact.link}
            </a>
          </p>
        </Reason>
      </div>
    </Row>
  );
}
