import { useMemo } from "preact/hooks";
import { nextDive, type NextDive } from "../../kernel/boatlog/nitrogen.ts";
import { BigNumber, Empty, LinkButton, Page, Reason, Section, type ScreenProps } from "../parts/index.ts";
import { clockTime, depth, minutes, names as joined, span } from "../words/format.ts";
import { membersOf, numbered, OnTrip, siteOf, SyncStrip, type Names } from "./frame.tsx";
import type { Deck } from "./use_trip.ts";

export function Interval({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <IntervalPage deck={deck} names={names} />}</OnTrip>;
}

/** Limits move by the minute: worked out again this often, and whenever an entry comes in. */
const AGAIN_MS = 15_000;

/** The next dive of each team with someone who has dived, as the wait grows: what it allows now and later, or which fact is missing. */
function IntervalPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view } = deck;
  const dives = numbered(deck)
    .map((dive) => ({ ...dive, teams: dive.teams.filter((team) => waits(deck, team.id)) }))
    .filter((dive) => dive.teams.length > 0);
  return (
    <>
      <SyncStrip deck={deck} />
      <Page wide title="Surface interval" back={`/trips/${log.trip}/deck`} backLabel="Deck" note="No number here replaces a diver's own computer: the shorter counts.">
        {dives.length === 0 && (
          <Empty>{Object.values(view.people).some((person) => person.surfaced_at !== null) ? "No further dive is planned for those who dived." : "Nobody has dived yet."}</Empty>
        )}
        {dives.map((dive) => {
          const plan = log.snapshot.dives.find((one) => one.id === dive.dive);
          const title = [`Next: dive ${dive.number}`, siteOf(deck, dive.dive), plan === undefined ? "" : depth(plan.depth)];
          return (
            <Section key={dive.dive} title={title.filter((text) => text !== "").join(" · ")}>
              <div class="cards">
                {dive.teams.map((team) => (
                  <TeamInterval key={team.id} deck={deck} names={names} dive={dive.dive} team={team.id} number={team.number} />
                ))}
              </div>
            </Section>
          );
        })}
      </Page>
    </>
  );
}

/** Whether this team has yet to go and counts an interval for someone. */
function waits(deck: Deck, team: string): boolean {
  const state = deck.view.teams[team];
  return state?.status === "ready" && state.members.some((person) => deck.view.people[person]?.surfaced_at != null);
}

interface Forecast {
  readonly person: string;
  readonly next: NextDive;
}

function TeamInterval(props: { readonly deck: Deck; readonly names: Names; readonly dive: string; readonly team: string; readonly number: number }) {
  const { deck, names, team } = props;
  const { log, view } = deck;
  const members = membersOf(deck, team);
  const bucket = Math.floor(deck.now / AGAIN_MS);
  const forecasts = useMemo<readonly Forecast[]>(
    () =>
      members.flatMap((person) => {
        const next = nextDive(log.state, person, deck.now, props.dive);
        return next === null ? [] : [{ person, next }];
      }),
    [log.state, bucket, members.join(" "), props.dive],
  );
  const unknown = forecasts.filter(({ next }) => next.limit_s !== null && typeof next.limit_s !== "number");
  const least = forecasts.reduce<Forecast | null>((best, one) => (best === null || limit(one) < limit(best) ? one : best), null);
  const intervals = members.map((person) => view.people[person]?.interval_s ?? null).filter((seconds) => seconds !== null);
  return (
    <article class="card" data-team={props.number}>
      <h3>
        <span class="team-number">{props.number}</span> {joined(members.map(names.short))}
      </h3>
      <p class="waited">
        {intervals.length === 0 ? "No dive yet today" : <>At the surface for <b>{span(Math.min(...intervals))}</b></>}
      </p>
      {unknown.length > 0 || least === null ? (
        <NotKnownYet deck={deck} names={names} forecasts={unknown} />
      ) : (
        <Governing deck={deck} names={names} least={least} />
      )}
      <Reason title="Each diver, both methods">
        {forecasts.map((one) => (
          <DiverLine key={one.person} deck={deck} names={names} forecast={one} />
        ))}
      </Reason>
    </article>
  );
}

function Governing(props: { readonly deck: Deck; readonly names: Names; readonly least: Forecast }) {
  const { deck, names, least } = props;
  const { next, person } = least;
  const zone = deck.zone;
  const now = limit(least);
  if (now === Number.POSITIVE_INFINITY) return <BigNumber label="No-stop limit now" value="none" note="neither method ends this dive: gas and cold do" />;
  const enough = now >= next.planned_bottom_time_s;
  const rises = next.rises;
  return (
    <>
      <BigNumber
        label="No-stop limit now, not more than"
        value={minutes(now)}
        unit="min"
        size="huge"
        note={`${names.short(person)}: ${next.limited_by === "table" ? "the table" : "the tissue model"}`}
        tone={enough ? "plain" : "warn"}
      />
      <p class="both">
        table <b>{text(next.table_limit_s)}</b> · tissue model <b>{text(next.tissue_limit_s)}</b>
      </p>
      <p>
        {rises !== null
          ? `At ${clockTime(rises.at, zone)} it rises from ${minutes(now)} min to ${text(rises.limit_s)}.`
          : next.limited_by === "tissue"
            ? "It grows a little with every minute of waiting, up to a first dive's."
            : "Waiting longer does not raise it."}
      </p>
      {enough && !(typeof next.ready_at === "number" && next.ready_at > deck.now) && <p>The planned {minutes(next.planned_bottom_time_s)} min fit now.</p>}
      {typeof next.ready_at === "number" && next.ready_at > deck.now && (
        <p>
          {enough ? "By the least surface interval, not before " : `The planned ${minutes(next.planned_bottom_time_s)} min fit from `}
          <b>{clockTime(next.ready_at, zone)}</b>.
        </p>
      )}
      {next.if_settled_limit_s !== null && next.if_settled_limit_s !== now && (
        <p>
          Two reports differ: settled, it may be {minutes(next.if_settled_limit_s)} min.{" "}
          <LinkButton path={`/trips/${deck.log.trip}/questions`}>Settle it</LinkButton>
        </p>
      )}
    </>
  );
}

/** The facts that are missing, and where to give them: a depth counts for the whole team that made the dive. */
function NotKnownYet(props: { readonly deck: Deck; readonly names: Names; readonly forecasts: readonly Forecast[] }) {
  const { deck, names } = props;
  const depths = new Map<string, string[]>();
  const times = new Map<string, string[]>();
  for (const { person, next } of props.forecasts) {
    const done = deck.view.people[person]?.dives_done.at(-1);
    if (done === undefined) continue;
    const into = missing(next).some((what) => what.includes("depth")) ? depths : done.left_bottom === null ? times : null;
    into?.set(done.team, [...(into.get(done.team) ?? []), names.short(person)]);
  }
  return (
    <div class="number unknown">
      <span class="number-label">No-stop limit</span>
      <span class="number-value">not known</span>
      {props.forecasts.map(({ person, next }) => (
        <span key={person} class="number-note">
          {names.short(person)}: missing {missing(next).map(missingWords).join(", ")}
        </span>
      ))}
      {[...depths].map(([team, who]) => (
        <LinkButton key={team} path={`/trips/${deck.log.trip}/depth/${team}`} tone="act" size="large" wide>
          Report the depth of {joined(who)}
        </LinkButton>
      ))}
      {[...times].map(([team, who]) => (
        <LinkButton key={team} path={`/trips/${deck.log.trip}/bottom-time/${team}`} tone="act" size="large" wide>
          Report the bottom time of {joined(who)}: now the whole time counts
        </LinkButton>
      ))}
    </div>
  );
}

function DiverLine(props: { readonly deck: Deck; readonly names: Names; readonly forecast: Forecast }) {
  const { next, person } = props.forecast;
  const group = next.group;
  return (
    <p>
      <b>{props.names.full(person)}</b>: table {text(next.table_limit_s)}, tissue model {text(next.tissue_limit_s)}; repetitive group{" "}
      {group === null ? "none" : typeof group === "string" ? group : "not known"}
      {typeof next.residual_nitrogen_time_min === "number" && `, residual nitrogen time ${next.residual_nitrogen_time_min} min`}
    </p>
  );
}

function limit(forecast: Forecast): number {
  return typeof forecast.next.limit_s === "number" ? forecast.next.limit_s : Number.POSITIVE_INFINITY;
}

function text(seconds: NextDive["table_limit_s"]): string {
  if (typeof seconds === "number") return `${minutes(seconds)} min`;
  return seconds === null ? "no limit" : "not known";
}

function missing(next: NextDive): readonly string[] {
  for (const value of [next.limit_s, next.group, next.table_limit_s, next.tissue_limit_s]) {
    if (typeof value === "object" && value !== null) return value.not_known;
  }
  return [];
}

function missingWords(what: string): string {
  return what.replaceAll("_", " ");
}
