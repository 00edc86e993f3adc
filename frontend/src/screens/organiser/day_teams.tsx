import { useState } from "preact/hooks";
import { Button, Buttons, Choice, Empty, LinkButton, List, Notice, Page, ProblemList, Row, Section, useSend, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { server } from "../../sync/server.ts";
import type { DayTeamsAnswer, DayTeamsFound, DiveTeams, Override } from "../words/answers_teams.ts";
import { count, minutes } from "../words/format.ts";
import { plain } from "../words/plain.ts";
import { decidedOf } from "../words/split.ts";
import { showDepth } from "../words/units.ts";
import { DayBoats, OnBoats } from "./day_boats.tsx";
import { boatsBody, boatsKept, type ClubBoat, type DayBoat } from "./day_boats_words.ts";
import { announceBody, askedOfDives, dayPointer, dayTitle, PARTNERS, whatItCosts, type DiveSetAside, type Partners } from "./day_words.ts";
import { TeamCard } from "./team_card.tsx";
import { named, settable } from "./teams_desk.ts";
import { WhyNoPlace } from "./teams_not_placed.tsx";
import { SetAside } from "./teams_set_aside.tsx";
import { NoTeams, NotProven } from "./teams_status.tsx";
import { diveTitle, WithTrip, type TripHere } from "./use_trip.tsx";

/** The dives of a day paired together: the wish, what comes of it side by side, taken all at once. */
export default function DayTeams(props: ScreenProps) {
  return (
    <WithTrip {...props}>
      {(here) => (
        <Page title={dayTitle(here.trip.dives_planned.length)} back={`/organise/trips/${here.trip.id}`} backLabel={here.trip.name} wide>
          {here.trip.state === "ready" ? <Empty>This trip is ready: its plan no longer changes here.</Empty> : <Asked here={here} />}
        </Page>
      )}
    </WithTrip>
  );
}

/** What was asked on each dive's own page (wishes, who stays out of the water, what was decided) goes with it. */
function Asked({ here }: { readonly here: TripHere }) {
  const path = (at: number) => {
    const dive = here.trip.dives_planned[at];
    return dive === undefined ? null : `/api/trips/${here.trip.id}/dives/${dive.id}/teams`;
  };
  const each = [useServer<DiveTeams>(path(0)), useServer<DiveTeams>(path(1)), useServer<DiveTeams>(path(2))].slice(0, here.trip.dives_planned.length);
  // All or none: what was decided on a dive whose page did not load would be lost without a word.
  const wanting = each.find(({ answer }) => answer.state !== "here");
  if (wanting !== undefined) return <Loaded {...wanting}>{() => null}</Loaded>;
  return <Desk here={here} dives={each.flatMap(({ answer }) => (answer.state === "here" ? [answer.data] : []))} />;
}

function Desk(props: { readonly here: TripHere; readonly dives: readonly DiveTeams[] }) {
  const { here, dives } = props;
  const { sending, problem, send, clear } = useSend();
  const [partners, setPartners] = useState<Partners>("either");
  const [found, setFound] = useState<DayTeamsFound | null>(null);
  const [decided, setDecided] = useState<readonly DiveSetAside[]>([]);
  const [taken, setTaken] = useState(false);
  // Found with other boats or other people on them: kept for whom it left without a seat, and found anew before it is shown.
  const [stale, setStale] = useState(false);
  const [chosen, setChosen] = useState<readonly DayBoat[]>(() => boatsKept(here.trip));
  const places = useServer<{ readonly boats: readonly ClubBoat[] }>(`/api/clubs/${here.trip.club}/places`);
  const boats = places.answer.state === "here" ? places.answer.data.boats : [];
  const path = `/api/trips/${here.trip.id}/teams`;
  const wish = (value: Partners) => {
    setPartners(value);
    setFound(null);
    clear();
  };
  const solve = () =>
    send(async () => {
      setFound(await server.post<DayTeamsFound>(path, { partners, ...boatsBody(chosen), ...askedOfDives(dives) }, { timeoutMs: 60_000 }));
      setStale(false);
      setDecided([]);
      setTaken(false);
    });
  const take = (more: readonly DiveSetAside[] = []) => {
    if (found === null) return;
    const every = [...decided, ...more];
    setDecided(every);
    send(async () => {
      await server.put(path, { ...announceBody(found, dives, every), ...boatsBody(chosen) }, { timeoutMs: 60_000 });
      setTaken(true);
    });
  };
  const rules = settable(problem);
  const refusedDive = problem?.errors.map((error) => dayPointer(error.pointer, found, here.trip)).find((one) => one !== undefined);
  const setAside = (overrides: readonly Override[]) => refusedDive !== undefined && take(overrides.map((one) => ({ dive: refusedDive.dive, override: one })));
  return (
    <>
      {boats.length > 1 && (
        <DayBoats
          here={here}
          boats={boats}
          chosen={chosen}
          found={found?.answer ?? null}
          onChange={(next) => {
            setChosen(next);
            setStale(found !== null);
            clear();
          }}
        />
      )}
      {dives.length > 1 && <Choice label="From one dive to the next" value={partners} options={PARTNERS} onChange={wish} />}
      <Buttons>
        <Button tone={found === null ? "act" : "plain"} size={found === null ? "large" : "normal"} disabled={sending} onPress={solve}>
          {sending && found === null ? "Finding teams …" : found === null ? dives.length > 1 ? "Find the teams of all dives" : "Find the teams" : "Find them again"}
        </Button>
      </Buttons>
      <ProblemList problem={named(problem, here.nameOf)} named={(pointer) => dayPointer(pointer, found, here.trip)?.title} />
      <SetAside key={JSON.stringify(rules)} rules={refusedDive === undefined ? [] : rules} sending={sending} onAnnounce={setAside} />
      {taken ? (
        <Notice>
          <p>Announced: {count(found?.dives.length ?? 0, "dive")}, each team with its plan.</p>
          <LinkButton path={`/organise/trips/${here.trip.id}`} tone="act">
            Back to the trip
          </LinkButton>
        </Notice>
      ) : (
        found !== null && !stale && <Found here={here} boats={boats} chosen={chosen} found={found} sending={sending} onTake={() => take()} />
      )}
    </>
  );
}

function Found(props: { readonly here: TripHere; readonly boats: readonly ClubBoat[]; readonly chosen: readonly DayBoat[]; readonly found: DayTeamsFound; readonly sending: boolean; readonly onTake: () => void }) {
  const { here, found } = props;
  const { answer } = found;
  if (answer.status === "impossible") {
    return <NoTeams facts={answer.facts} remedy="Open a dive to take back a wish, change the dive, or ask for what is missing." nameOf={here.nameOf} />;
  }
  const costs = whatItCosts(answer, here.nameOf);
  return (
    <>
      <NotProven status={answer.status} />
      {(answer.warnings ?? [])
        .filter((warning) => warning.code === "person_on_no_boat")
        .map((warning) => (
          <Notice key={warning.message} tone="warn">
            <p>{plain(warning.message, here.nameOf)}</p>
          </Notice>
        ))}
      <OnBoats here={here} boats={props.boats} chosen={props.chosen} answer={answer} />
      <div class="desk-days">
        {answer.dives.map((dive, at) => (
          <DiveOfDay key={found.dives[at] ?? at} here={here} boats={props.boats} dive={dive} id={found.dives[at]} />
        ))}
      </div>
      {costs.length > 0 && (
        <Section title="From dive to dive">
          <ul>
            {costs.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </Section>
      )}
      <Buttons>
        <Button tone="act" size="large" disabled={props.sending || answer.dives.every((dive) => dive.teams.length === 0)} onPress={props.onTake}>
          {props.sending ? "Announcing …" : answer.dives.length > 1 ? "Announce the teams of all dives" : "Announce these teams"}
        </Button>
      </Buttons>
    </>
  );
}

function DiveOfDay(props: { readonly here: TripHere; readonly boats: readonly ClubBoat[]; readonly dive: DayTeamsAnswer["dives"][number]; readonly id: string | undefined }) {
  const { here, dive } = props;
  const planned = here.trip.dives_planned.find((one) => one.id === props.id);
  const title = planned === undefined ? `Dive ${dive.dive}` : diveTitle(planned);
  return (
    <Section title={title}>
      {planned !== undefined && (
        <p>
          {showDepth(planned.depth, here.system)}, {minutes(planned.bottom_time_s)} min planned
        </p>
      )}
      <ul class="desk-cards" aria-label={`Teams of ${title}`}>
        {dive.teams.map((team, n) => (
          <TeamCard
            key={team.divers.join()}
            title={[team.kind === "guided" ? `Guided group ${n + 1}` : `Team ${n + 1}`, props.boats.find((boat) => boat.id === team.boat)?.name].filter(Boolean).join(", ")}
            members={team.divers}
            lead={team.lead}
            limit={{ min: team.limit_min, by: team.limited_by, diver: team.limiting_diver }}
            reasons={[...team.reasons, ...decidedOf(team)]}
            nameOf={here.nameOf}
          />
        ))}
      </ul>
      {dive.teams.length === 0 && <Empty>No team on this dive.</Empty>}
      {dive.not_placed.length > 0 && (
        <List label={`Not in a team on ${title}`}>
          {dive.not_placed.map((person) => (
            <Row key={person.id} title={`${here.nameOf(person.id)}: no team`} tone="warn">
              <WhyNoPlace person={person} nameOf={here.nameOf} />
            </Row>
          ))}
        </List>
      )}
    </Section>
  );
}
