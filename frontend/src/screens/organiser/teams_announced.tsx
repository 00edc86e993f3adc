import { Button, Buttons, Notice, Section } from "../parts/index.ts";
import type { AnnouncedTeam } from "../words/answers.ts";
import type { TeamsAnswer } from "../words/answers_teams.ts";
import { boatOfPerson } from "../words/boats.ts";
import { names } from "../words/format.ts";
import { plain } from "../words/plain.ts";
import type { TeamsDesk } from "./teams_desk.ts";
import { TeamCard } from "./team_card.tsx";
import type { TripHere } from "./use_trip.tsx";

/** A three only when nothing else will do, and a group where pairs do not suffice: both are said first. */
export function OtherWays(props: { readonly answer: TeamsAnswer; readonly nameOf: (id: string) => string; readonly desk?: TeamsDesk }) {
  const offers = (props.answer.instead_of_three ?? []).flatMap((one) => one.offers).slice(0, 4);
  const guided = props.answer.guided_offers ?? [];
  return (
    <>
      {offers.length > 0 && <Offers title="Instead of a team of three" offers={offers} nameOf={props.nameOf} />}
      {guided.length > 0 && <Offers title="A guided group would give more of them a place" offers={guided} nameOf={props.nameOf} />}
      {props.desk !== undefined && guided.length > 0 && <TakeGroups desk={props.desk} offers={guided} />}
    </>
  );
}

function TakeGroups(props: { readonly desk: TeamsDesk; readonly offers: NonNullable<TeamsAnswer["guided_offers"]> }) {
  const { desk } = props;
  return (
    <Buttons>
      {props.offers.map((offer) => (
        <Button key={offer.divers.join()} disabled={desk.sending} onPress={() => desk.solve({ guided: [...(desk.asked.guided ?? []), offer.divers] })}>
          Make the guided group of {names(offer.divers.map(desk.nameOf))}
        </Button>
      ))}
    </Buttons>
  );
}

function Offers(props: { readonly title: string; readonly offers: readonly { readonly message: string }[]; readonly nameOf: (id: string) => string }) {
  return (
    <Notice tone="info">
      <strong>{props.title}</strong>
      <ul>
        {props.offers.map((offer) => (
          <li key={offer.message}>{plain(offer.message, props.nameOf)}</li>
        ))}
      </ul>
    </Notice>
  );
}

/** The teams that their divers were told. */
export function Announced(props: { readonly here: TripHere; readonly dive: string; readonly teams: readonly AnnouncedTeam[] }) {
  const { here } = props;
  return (
    <Section title="Announced">
      <ul class="desk-cards" aria-label="Announced teams">
        {[...props.teams]
          .sort((a, b) => a.number - b.number)
          .map((team) => (
            <TeamCard
              key={team.id}
              title={[team.guided === true ? `Guided group ${team.number}` : `Team ${team.number}`, boatOfPerson(here.trip, team.members[0] ?? "")].filter(Boolean).join(", ")}
              members={team.members}
              lead={team.lead}
              limit={team.plan === null ? null : { min: team.plan.team.limit_min, by: team.plan.team.limited_by, diver: team.plan.team.limiting_diver }}
              reasons={team.reasons}
              nameOf={here.nameOf}
              path={`/organise/trips/${here.trip.id}/dives/${props.dive}/teams/${team.id}`}
            />
          ))}
      </ul>
    </Section>
  );
}
