import { Buttons, Empty, Facts, LinkButton, Notice, Page, Reason, Section, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { Caution, OwnNumbers, TeamLimit, withUnits } from "../parts/plan_view.tsx";
import { useSystem } from "../parts/use_system.tsx";
import { clubsOf, type AnnouncedTeam, type Trip, type TripDive } from "../words/answers.ts";
import { boatOfPerson, boatsText } from "../words/boats.ts";
import { clockTime, dayAndTime, minutes, names } from "../words/format.ts";
import { plain } from "../words/plain.ts";
import { wholeMinutes, whoseLimit } from "../words/plan.ts";
import { outBySentence } from "../words/plan_sentences.ts";
import { decided } from "../words/split.ts";
import { showDepth, type System } from "../words/units.ts";
import { buddies, newForMe, othersReasons, teamOf } from "./my_words.ts";

/** My team on each dive of a trip: with whom, how long and whose limit, what is new for me, my own pressures. */
export default function MyTrip(props: ScreenProps) {
  const { answer, again } = useServer<Trip>(`/api/trips/${props.params["trip"] ?? ""}`);
  const club = answer.state === "here" ? clubsOf(props.session?.me).find((one) => one.id === answer.data.club) : undefined;
  const system = useSystem(club?.units.depth);
  return (
    <Loaded answer={answer} again={again} alone={{ title: "My teams", back: "/me" }}>
      {(trip) => (
        <Page title={trip.name} back="/me" backLabel="Me" note={[dayAndTime(Date.parse(trip.starts_at), trip.time_zone), boatOfPerson(trip, trip.me ?? "") || boatsText(trip)].filter(Boolean).join(" · ")}>
          {trip.dives_planned.length === 0 && <Empty>No dive is planned yet.</Empty>}
          {trip.dives_planned.map((dive) => (
            <MyDive key={dive.id} trip={trip} dive={dive} system={system} pressureUnit={club?.units.pressure} />
          ))}
          {trip.state === "ready" && (
            <Buttons>
              <LinkButton path={`/trips/${trip.id}/take`}>Bring the trip onto this phone</LinkButton>
              {trip.me != null && <LinkButton path={`/me/trips/${trip.id}/depths`}>Depths as told</LinkButton>}
            </Buttons>
          )}
          {trip.state === "planned" && trip.me != null && (
            <Buttons>
              <LinkButton path={`/me/trips/${trip.id}/rather-not`} tone="quiet">
                Whom I would rather not dive with
              </LinkButton>
            </Buttons>
          )}
          <Caution />
        </Page>
      )}
    </Loaded>
  );
}

function MyDive(props: { readonly trip: Trip; readonly dive: TripDive; readonly system: System; readonly pressureUnit: "bar" | "psi" | undefined }) {
  const { trip, dive, system } = props;
  const team = teamOf(dive, trip.me);
  const when = dive.planned_at === null ? "" : ` · ${clockTime(Date.parse(dive.planned_at), trip.time_zone)}`;
  return (
    <Section title={`Dive ${dive.number}${dive.site === null ? "" : `: ${dive.site.name}`}`}>
      <p>{`${showDepth(dive.depth, system)}, ${minutes(dive.bottom_time_s)} min planned${when}`}</p>
      {team === null ? (
        <Empty>Your team is not announced yet.</Empty>
      ) : (
        <MyTeam trip={trip} dive={dive} team={team} me={trip.me ?? ""} system={system} pressureUnit={props.pressureUnit} />
      )}
    </Section>
  );
}

function leadWords(team: AnnouncedTeam, me: string, nameOf: (person: string) => string): string {
  if (team.lead === null) return "";
  if (team.lead === me) return "; you lead";
  return buddies(team, me).length === 1 ? ", who leads" : `; ${nameOf(team.lead)} leads`;
}

function MyTeam(props: { readonly trip: Trip; readonly dive: TripDive; readonly pressureUnit: "bar" | "psi" | undefined; readonly team: AnnouncedTeam; readonly me: string; readonly system: System }) {
  const { trip, team, me, system } = props;
  const fullName = (person: string) => trip.bookings.find((booking) => booking.id === person)?.name ?? "someone";
  const nameOf = (person: string) => (person === me ? "You" : fullName(person));
  // Whole sentences keep the name: "Ana Roque's gas" reads, "You's gas" does not.
  const news = newForMe(team, me, fullName);
  const others = othersReasons(team, me, fullName);
  const plan = team.plan === null ? null : withUnits(team.plan, props.dive.depth.unit, props.pressureUnit);
  const mine = plan?.divers.find((diver) => diver.id === me);
  const next = plan?.team.next_limit;
  return (
    <>
      <p class="desk-with">
        With <b>{names(buddies(team, me).map(nameOf))}</b>
        {leadWords(team, me, nameOf)}.
      </p>
      {plan === null ? <Empty>Your plan is worked out when the teams are announced.</Empty> : <TeamLimit plan={plan} nameOf={nameOf} size="huge" />}
      {next?.min !== null && next?.min !== undefined && <p>{`Next behind it: ${wholeMinutes(next.min)} min, ${whoseLimit(next.limited_by, next.diver, nameOf)}.`}</p>}
      {news.length > 0 && (
        <Notice>
          <strong>New for you on this dive</strong>
          <ul>
            {news.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </Notice>
      )}
      {plan !== null && mine !== undefined && <OwnNumbers diver={mine} plan={plan} system={system} nameOf={nameOf} />}
      {plan !== null && typeof plan.team.last_start_min === "number" && <Facts items={[["Start nothing new after", `minute ${wholeMinutes(plan.team.last_start_min)}`]]} />}
      {mine?.flight !== undefined && props.dive.planned_at !== null && (
        <>
          <p>{`Flight home: ${outBySentence(mine.flight, Date.parse(props.dive.planned_at), trip.time_zone, fullName)}.`}</p>
          <Reason title="Why then">
            <p>{plain(mine.flight.message, fullName)}</p>
          </Reason>
        </>
      )}
      {decided(team.reasons).length > 0 && (
        <Section title="If one ends the dive">
          <ul>
            {decided(team.reasons).map((reason, n) => (
              <li key={n}>{plain(reason.message ?? "", fullName)}</li>
            ))}
          </ul>
        </Section>
      )}
      {others.length > 0 && (
        <Reason title="Why this team">
          <ul>
            {others.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </Reason>
      )}
    </>
  );
}
