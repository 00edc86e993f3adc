import { Button, Buttons, LinkButton, List, Notice, Page, ProblemList, Row, Section, useSend, type ScreenProps } from "../parts/index.ts";
import { server } from "../../sync/server.ts";
import { count } from "../words/format.ts";
import type { Trip } from "../words/answers.ts";
import { named } from "./teams_desk.ts";
import { remedyStep, type Step } from "./trip_words.ts";
import { AshoreLine } from "./shore_line.tsx";
import { WithTrip, type TripHere } from "./use_trip.tsx";

/** The last step at the desk: everything that blocks, with what mends it; then the plan is closed and goes to the phones. */
export default function Ready(props: ScreenProps) {
  return <WithTrip {...props}>{(here) => <ReadyPage {...here} />}</WithTrip>;
}

/** Where each reason of a refusal is mended, each place once. */
function stepsFor(errors: readonly { readonly code: string; readonly pointer: string }[], trip: Trip): Step[] {
  const steps = errors.map((error) => remedyStep(error, trip)).filter((step) => step !== null);
  return [...new Map(steps.map((step) => [step.path, step])).values()];
}

function ReadyPage(props: TripHere) {
  const { trip, again } = props;
  const { sending, problem, send } = useSend();
  const make = () =>
    send(async () => {
      try {
        await server.post(`/api/trips/${trip.id}/ready`, {});
      } finally {
        again();
      }
    });
  const back = { back: `/organise/trips/${trip.id}`, backLabel: trip.name };
  if (trip.state === "ready") {
    return (
      <Page title="The trip is ready" {...back} note="The plan is closed. Each phone that goes on the boat opens the trip once while there is a network.">
        <Buttons>
          <LinkButton path={`/trips/${trip.id}/take`} tone="act" size="large">
            Bring the trip onto this phone
          </LinkButton>
        </Buttons>
      </Page>
    );
  }
  return (
    <Page title="Make the trip ready" {...back} note="When it is ready the plan is closed and goes to the phones. After that, what changes is said on the deck.">
      <ProblemList problem={named(problem, props.nameOf)} />
      {problem !== null && (
        <Buttons>
          {stepsFor(problem.errors, trip).map((step) => (
            <LinkButton key={step.path} path={step.path}>
              {step.label}
            </LinkButton>
          ))}
        </Buttons>
      )}
      <AshoreLine trip={trip} />
      {trip.not_ready.length === 0 ? (
        <Notice>
          <p>Nothing is missing.</p>
        </Notice>
      ) : (
        <Section title={`${count(trip.not_ready.length, "thing")} still missing`}>
          <List label="Still missing">
            {trip.not_ready.map((reason, n) => {
              const step = remedyStep(reason, trip);
              return (
                <Row key={n} title={reason.message} note={reason.remedy} tone="warn">
                  {step !== null && (
                    <div class="desk-row">
                      <LinkButton path={step.path}>{step.label}</LinkButton>
                    </div>
                  )}
                </Row>
              );
            })}
          </List>
        </Section>
      )}
      <Buttons>
        <Button tone="act" size="large" onPress={make} disabled={sending || trip.not_ready.length > 0}>
          {sending ? "One moment …" : "Make the trip ready"}
        </Button>
      </Buttons>
    </Page>
  );
}
