import { useState } from "preact/hooks";
import { Button, Buttons, Empty, LinkButton, Notice, Page, ProblemList, Section, useSend, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { useWide } from "../parts/use_wide.ts";
import { server } from "../../sync/server.ts";
import type { DiveTeams, Override, TeamsAnswer } from "../words/answers_teams.ts";
import { count, minutes, names } from "../words/format.ts";
import { plain } from "../words/plain.ts";
import { decidedOf } from "../words/split.ts";
import { showDepth } from "../words/units.ts";
import { sameTeams, changedFor, draftOf, fixed, type Draft } from "./teams_words.ts";
import { TeamCard } from "./team_card.tsx";
import { askedOf, named, settable, teamPointer, wasAnnounced, type TeamsDesk } from "./teams_desk.ts";
import { Announced, OtherWays } from "./teams_announced.tsx";
import { Cover } from "./teams_cover.tsx";
import { DropOuts } from "./teams_drop_outs.tsx";
import { GuidedGroups } from "./teams_guided.tsx";
import { NotPlaced, PastDivesMissing } from "./teams_not_placed.tsx";
import { OtherDays } from "./teams_other_days.tsx";
import { TeamsEdit } from "./teams_edit.tsx";
import { WhyNotThese } from "./teams_why.tsx";
import { SetAside } from "./teams_set_aside.tsx";
import { NoTeams, NotProven } from "./teams_status.tsx";
import { Wishes } from "./teams_wishes.tsx";
import { diveOf, diveTitle, WithTrip, type TripHere } from "./use_trip.tsx";

/** Who dives with whom on one dive. */
export default function Teams(props: ScreenProps) {
  return (
    <WithTrip {...props}>
      {(here) => {
        const dive = diveOf(here.trip, props.params["dive"]);
        const back = { back: `/organise/trips/${here.trip.id}`, backLabel: here.trip.name };
        if (dive === undefined) {
          return (
            <Page title="Teams" {...back}>
              <Empty>This dive is not on the trip any more.</Empty>
            </Page>
          );
        }
        return (
          <Page title={`Teams of ${diveTitle(dive)}`} {...back} note={`${showDepth(dive.depth, here.system)}, ${minutes(dive.bottom_time_s)} min planned`} wide>
            <TeamsOfDive here={here} dive={dive.id} />
          </Page>
        );
      }}
    </WithTrip>
  );
}

function TeamsOfDive(props: { readonly here: TripHere; readonly dive: string }) {
  const { answer, again } = useServer<DiveTeams>(`/api/trips/${props.here.trip.id}/dives/${props.dive}/teams`);
  return (
    <Loaded answer={answer} again={again}>
      {(data) => <Desk key={data.dive.id} here={props.here} first={data} />}
    </Loaded>
  );
}

function Desk(props: { readonly here: TripHere; readonly first: DiveTeams }) {
  const { here } = props;
  const { trip } = here;
  const [data, setData] = useState(props.first);
  const [editing, setEditing] = useState(false);
  const [tried, setTried] = useState<readonly Draft[]>([]);
  const { sending, problem, send, clear } = useSend();
  const wide = useWide();
  const path = `/api/trips/${trip.id}/dives/${data.dive.id}/teams`;
  const asked = askedOf(data);
  const solve: TeamsDesk["solve"] = (part = {}) =>
    send(async () => {
      setData(await server.post<DiveTeams>(path, { ...asked, ...part }));
      setEditing(false);
    });
  const announce = (teams: readonly Draft[], more: readonly Override[] = []) => {
    setTried(teams);
    const kept = (asked.overrides ?? []).map(({ rule, diver, reason }) => ({ rule, diver, reason }));
    send(async () => {
      const body = { teams: teams.map(({ members, lead, guided }) => ({ members, lead, ...(guided === true ? { guided } : {}) })), proposal: data.proposal?.id ?? null };
      setData(await server.put<DiveTeams>(path, more.length === 0 ? body : { ...body, overrides: [...kept, ...more] }));
      setEditing(false);
      here.again();
    });
  };
  const open = trip.state === "planned";
  const desk: TeamsDesk = { here, data, asked, sending, nameOf: here.nameOf, solve };
  const proposal = data.proposal?.answer ?? null;
  const announced = data.announced.map((team) => team.members);
  // What was announced after a proposal was made answers it: it is shown again only when teams are found anew.
  const madeAt = Date.parse(data.proposal?.made_at ?? "");
  const answered = data.announced.some((team) => Date.parse(team.announced_at ?? "") > madeAt);
  const differs = proposal !== null && !answered && proposal.status !== "impossible" && !sameTeams(announced, proposal.teams.map((team) => team.divers));
  const hand = (wide_: boolean) => (
    <>
      <Cover desk={desk} open={wide_} />
      <Wishes desk={desk} open={wide_} />
      <GuidedGroups desk={desk} open={wide_} />
      <WhyNotThese desk={desk} open={wide_} />
      {data.proposal !== null && <DropOuts desk={desk} open={false} />}
    </>
  );
  return (
    <>
      <ProblemList problem={named(problem, here.nameOf)} named={teamPointer} />
      <SetAside key={tried.map((team) => team.members.join()).join(" ")} rules={settable(problem)} sending={sending} onAnnounce={(overrides) => announce(tried, overrides)} />
      <div class={wide && open ? "desk-two" : ""}>
        <div>
          {open && (proposal === null || differs || proposal.status === "impossible") && announced.length > 0 && proposal !== null && differs && <Changed before={announced} answer={proposal} nameOf={here.nameOf} />}
          {open && data.proposal?.stale === true && (differs || announced.length === 0) && (
            <Notice tone="warn">
              <p>People, gas, past dives or the dive have changed since these teams were found.</p>
              <Button onPress={() => solve()} disabled={sending}>
                Find teams again with what is known now
              </Button>
            </Notice>
          )}
          {proposal !== null && (differs || announced.length === 0 || (proposal.status === "impossible" && !answered)) && open ? (
            editing ? (
              <TeamsEdit
                teams={proposal.teams.map(draftOf)}
                nameOf={here.nameOf}
                sending={sending}
                onCheck={(teams) => solve(fixed(teams))}
                onAnnounce={announce}
                onBack={() => (setEditing(false), clear())}
                onChange={clear}
              />
            ) : (
              <Proposal desk={desk} answer={proposal} onAnnounce={announce} onEdit={() => setEditing(true)} />
            )
          ) : announced.length > 0 ? (
            editing ? (
              <TeamsEdit teams={data.announced} nameOf={here.nameOf} sending={sending} onCheck={(teams) => solve(fixed(teams))} onAnnounce={announce} onBack={() => (setEditing(false), clear())} onChange={clear} />
            ) : (
              <Announced here={here} dive={data.dive.id} teams={data.announced} />
            )
          ) : (
            <Empty>No teams yet. They are found from everyone’s depth, experience, gas and dives of the day; you may change them by hand.</Empty>
          )}
          {!editing && open && wasAnnounced(data) && <p>“Find teams again” keeps what was announced wherever nobody loses the dive by it.</p>}
          {!editing && (
            <Buttons>
              {open && (
                <Button tone={proposal === null ? "act" : "plain"} onPress={() => solve()} disabled={sending} {...(proposal === null ? { size: "large" as const } : {})}>
                  {sending ? "Finding teams …" : proposal === null && announced.length === 0 ? "Find teams" : "Find teams again"}
                </Button>
              )}
              {open && wasAnnounced(data) && (
                <Button onPress={() => solve({ least_change: false })} disabled={sending}>
                  Find the best, whatever was announced
                </Button>
              )}
              {open && !differs && announced.length > 0 && (
                <Button onPress={() => setEditing(true)} disabled={sending}>
                  Change by hand
                </Button>
              )}
              <LinkButton path={`/organise/trips/${trip.id}/dives/${data.dive.id}/gas`}>Gas</LinkButton>
              {open && <LinkButton path={`/organise/trips/${trip.id}/dives/${data.dive.id}/pairability`}>Can this roster be paired?</LinkButton>}
              {open && <LinkButton path={`/organise/trips/${trip.id}/dives/${data.dive.id}`}>Change the dive</LinkButton>}
            </Buttons>
          )}
        </div>
        {open && <div>{hand(wide)}</div>}
      </div>
    </>
  );
}

function Proposal(props: { readonly desk: TeamsDesk; readonly answer: TeamsAnswer; readonly onAnnounce: (teams: readonly Draft[]) => void; readonly onEdit: () => void }) {
  const { desk, answer } = props;
  if (answer.status === "impossible") {
    return (
      <>
        <NoTeams facts={answer.facts} remedy="Take back one of the wishes, change the dive, or ask for what is missing." nameOf={desk.nameOf} />
        <PastDivesMissing desk={desk} reasons={[...(answer.facts ?? []), ...answer.not_placed.flatMap((person) => person.reasons)]} />
      </>
    );
  }
  return (
    <Section title={desk.data.announced.length > 0 ? "Proposed, not announced" : "Proposed, nothing announced yet"}>
      <NotProven status={answer.status} />
      {(answer.warnings ?? [])
        .filter((warning) => warning.code === "override_refused" || warning.code === "surface_cover_missing")
        .map((warning, n) => (
          <Notice key={n} tone="warn">
            <p>{plain(warning.message, desk.nameOf)}</p>
          </Notice>
        ))}
      <OtherWays answer={answer} nameOf={desk.nameOf} desk={desk} />
      <ul class="desk-cards" aria-label="Proposed teams">
        {answer.teams.map((team, n) => (
          <TeamCard
            key={team.divers.join()}
            title={team.kind === "guided" ? `Guided group ${n + 1}` : `Team ${n + 1}`}
            members={team.divers}
            lead={team.lead}
            limit={{ min: team.limit_min, by: team.limited_by, diver: team.limiting_diver }}
            reasons={[...team.reasons, ...decidedOf(team)]}
            nameOf={desk.nameOf}
            {...(team.kind === "guided" ? {} : { desk })}
          />
        ))}
      </ul>
      <NotPlaced desk={desk} people={answer.not_placed} next={answer.divers} />
      <Buttons>
        <Button tone="act" size="large" disabled={desk.sending || answer.teams.length === 0} onPress={() => props.onAnnounce(answer.teams.map(draftOf))}>
          Announce these teams
        </Button>
        <Button disabled={desk.sending} onPress={props.onEdit}>
          Change by hand
        </Button>
      </Buttons>
      <OtherDays desk={desk} answer={answer} />
    </Section>
  );
}

function Changed(props: { readonly before: readonly (readonly string[])[]; readonly answer: TeamsAnswer; readonly nameOf: (id: string) => string }) {
  const who = changedFor(
    props.before,
    props.answer.teams.map((team) => team.divers),
  );
  return (
    <Notice tone="warn">
      <p>
        Differs from what was announced for {count(who.length, "diver")}: {names(who.map(props.nameOf))}.
      </p>
    </Notice>
  );
}

