import { divePlan } from "../../kernel/boatlog/plan.ts";
import { LinkButton, List, Page, Reason, Row, Section, type ScreenProps } from "../parts/index.ts";
import { clockTime, count, day, depth, minutes } from "../words/format.ts";
import { boatName, boats, boatsOf } from "./boats.ts";
import { label, numbered, OnTrip, siteOf, SyncStrip, type Names } from "./frame.tsx";
import { readiness } from "./readiness.ts";
import { memberNames, TeamPlan } from "./team_plan.tsx";
import type { Deck } from "./use_trip.ts";

export function Trip({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <TripPage deck={deck} names={names} />}</OnTrip>;
}

function TripPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view, zone } = deck;
  const path = `/trips/${log.trip}`;
  const holder = view.deck_holder;
  const missing = view.departure.not_accounted_for.length;
  const open = readiness(deck).filter((check) => !check.done).length;
  const boat = deck.boat === null ? boats(deck) : boatName(deck, deck.boat);
  return (
    <>
      <SyncStrip deck={deck} />
      <Page wide title={label(deck, "trip") || "Trip"} back="/" backLabel="Trips" note={`${day(log.snapshot.starts_at, zone)}${boat === "" ? "" : ` · ${boat}`}`}>
        <LinkButton path={`${path}/deck`} tone="act" size="deck" wide>
          Open the deck
        </LinkButton>
        <Section>
          <List label="On this trip">
            <Row title={holder === null ? "Nobody holds the deck" : `${names.full(holder)} holds the deck`} note="Take or hand over" path={`${path}/hand-over`} />
            <Row
              title="Ready for the boat?"
              note={open === 0 ? "this phone is" : `${count(open, "thing")} still open`}
              tone={open === 0 ? "plain" : "warn"}
              path={`${path}/ready`}
            />
            <Row title="Roll call" note={missing === 0 ? "everyone is accounted for" : `${count(missing, "person", "people")} not accounted for`} path={`${path}/roll-call`} />
            <Row title="Surface interval" note="and what it allows next" path={`${path}/interval`} />
            {view.questions.length > 0 && (
              <Row title={count(view.questions.length, "question to settle", "questions to settle")} tone="warn" path={`${path}/questions`} />
            )}
            <Row title="Boat log" note={count(log.entries.length, "entry", "entries")} path={`${path}/log`} />
          </List>
        </Section>
        {numbered(deck).map(({ dive, number, teams }) => {
          const when = log.snapshot.dives.find((one) => one.id === dive)?.planned_at ?? null;
          const plan = divePlan(log.state, dive);
          return (
            <Section
              key={dive}
              title={[`Dive ${number}`, siteOf(deck, dive), plan === null ? "" : depth(plan.depth), plan?.calledOff === true ? "called off" : "", when === null ? "" : `about ${clockTime(when, zone)}`]
                .filter((text) => text !== "")
                .join(" · ")}
            >
              <div class="cards">
                {teams.map((team) => (
                  <article key={team.id} class="card">
                    <h3>
                      <span class="team-number">{team.number}</span> {memberNames(deck, names, team.id)}
                    </h3>
                    {boatsOf(deck, deck.view.teams[team.id]?.members[0] ?? "") !== "" && <p class="lead">{boatsOf(deck, deck.view.teams[team.id]?.members[0] ?? "")}</p>}
                    <TeamPlan deck={deck} names={names} team={team.id} />
                  </article>
                ))}
              </div>
              {plan !== null && (
                <Reason title="Planned times">
                  <p>
                    Planned bottom time {minutes(plan.bottom_time_s)} min, back at the surface after {minutes(plan.run_time_s)} min.
                  </p>
                </Reason>
              )}
            </Section>
          );
        })}
      </Page>
    </>
  );
}
