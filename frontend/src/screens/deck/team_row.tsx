import { holders } from "../../kernel/boatlog/deckwatch.ts";
import type { View } from "../../kernel/boatlog/view.ts";
import { LinkButton, NotKnown, Reason, to } from "../parts/index.ts";
import { clockTime, limitWords, minutes, minutesToWait, names as joined } from "../words/format.ts";
import { aboard, allUp, down, lastTogether, markerSeen, oneUp } from "./acts.ts";
import { toAskAfter } from "./after.tsx";
import { boatsOf, comesAboard, isOn } from "./boats.ts";
import { DeckButton } from "./deck_button.tsx";
import type { Refused } from "./refusals.ts";
import { RefusedRow } from "./refused_row.tsx";
import { counts, settling } from "./tap.ts";
import { membersOf, type Names } from "./frame.tsx";
import { OwedByNow } from "./team_overstay.tsx";
import { downEntries, Unsure } from "./unsure.tsx";
import { limitsChanged, memberNames, plannedTeam, TeamPlan } from "./team_plan.tsx";
import type { Deck } from "./use_trip.ts";
import type { Act } from "../../store/trip_log.ts";

type Team = View["teams"][string];

interface RowProps {
  readonly deck: Deck;
  readonly names: Names;
  readonly team: string;
  readonly number: number;
  readonly chosen: boolean;
  readonly onAct: (act: Act, said: string) => void;
  /** The team includes the deck holder, or nobody holds the deck: hand over first. */
  readonly onHandOver: (team: string) => void;
  readonly refused: Refused | null;
}

/** Where neither the clocks nor the buttons say it. */
const stateWords: Readonly<Record<string, string>> = {
  up: "up, not all aboard",
  aboard: "aboard",
  called_off: "called off",
};

/** One team on the deck: what it is doing, how long, and the buttons for what can happen next, in places that do not move. */
export function TeamRow(props: RowProps) {
  const { deck } = props;
  const team = deck.view.teams[props.team];
  if (team === undefined) return null;
  // Partners on two boats: said where one of them is not.
  const apart = team.members.some((person) => isOn(deck, person)) ? team.members.filter((person) => !isOn(deck, person)) : [];
  const who = memberNames(props.deck, props.names, props.team);
  return (
    <article class={`team ${team.status}${props.chosen ? " chosen" : ""}`} aria-label={`Team ${props.number}: ${who}`} data-team={props.number} data-status={team.status}>
      <header>
        <span class="team-number">{props.number}</span>
        <h2>{who === "" ? "Not diving" : who}</h2>
        {team.in_water.length > 0 ? (
          <Marker deck={props.deck} team={props.team} number={props.number} onAct={props.onAct} />
        ) : (
          <span class="team-state">{stateWords[team.status] ?? (deck.boat === null ? boatsOf(deck, team.members[0] ?? "") : "")}</span>
        )}
      </header>
      {apart.length > 0 && team.status !== "ready" && <p class="team-signs">{apart.map((person) => `${props.names.short(person)} on ${boatsOf(deck, person)}`).join(", ")}</p>}
      {team.status === "ready" && <Ready {...props} state={team} />}
      {team.status === "dissolved" && <ChangeLink deck={props.deck} team={props.team} />}
      {["down", "due", "overdue"].includes(team.status) && <Clocks {...props} state={team} />}
      {["down", "due", "overdue"].includes(team.status) && <Signs deck={props.deck} team={team} />}
      {["down", "due", "overdue", "up", "aboard"].includes(team.status) && <Heads {...props} state={team} />}
      {["due", "overdue"].includes(team.status) && <OwedByNow deck={props.deck} names={props.names} team={props.team} />}
      {(team.status === "up" || team.status === "aboard") && <Depths {...props} state={team} />}
    </article>
  );
}

function ChangeLink(props: { readonly deck: Deck; readonly team: string }) {
  return (
    <a class="team-change" href={to(`/trips/${props.deck.log.trip}/team/${props.team}`)}>
      Change team
    </a>
  );
}

function Ready(props: RowProps & { readonly state: Team }) {
  const { deck, names, state: team } = props;
  const plan = plannedTeam(deck, props.team);
  const out = team.members.filter((person) => (deck.view.people[person]?.sits_out ?? []).some((dive) => dive === team.dive || dive === "all")).map(names.short);
  const goDown = () =>
    mustHandOver(deck, props.team) ? props.onHandOver(props.team) : props.onAct(down(deck.view, props.team), `Team ${props.number} down`);
  const whose = plan === null || plan.limiting_diver === null ? "" : ` (${names.short(plan.limiting_diver)})`;
  return (
    <>
      {out.length > 0 && <p class="team-refusal">{joined(out)} {out.length === 1 ? "sits" : "sit"} out: change this team.</p>}
      <div class="go">
        {plan === null || plan.limit_s === null ? (
          <NotKnown label="Bottom time" what={[limitsChanged(deck, props.team) ? "a limit for the changed plan: each one's own computer and gauge count" : "a plan for this team"]} />
        ) : (
          <p class="team-limit">
            <span class="number-label">not more than</span>
            <b>{minutes(plan.limit_s)} min</b>
            <span>{plan.limited_by === null ? "" : plan.limited_by === "planned" ? "as planned" : `${limitWords[plan.limited_by] ?? ""}${whose}`}</span>
          </p>
        )}
        {props.refused !== null ? (
          <p class="team-refusal">{props.refused.words}</p>
        ) : (
          <DeckButton row={props.team} tone="down" label={`Team ${props.number} down`} onTap={goDown}>
            Down
          </DeckButton>
        )}
      </div>
      {props.refused !== null && <RefusedRow {...props} refused={props.refused} onDown={goDown} />}
      <div class="row-more">
        {plan !== null && (
          <Reason title="Pressures">
            <TeamPlan deck={deck} names={names} team={props.team} />
          </Reason>
        )}
        {team.checked ? (
          <span class="team-state">checked</span>
        ) : (
          <a class="team-change" aria-label={`Team ${props.number} check`} href={to(`/trips/${deck.log.trip}/check/${props.team}`)}>
            Check
          </a>
        )}
        <ChangeLink deck={deck} team={props.team} />
      </div>
    </>
  );
}

/** Whether someone else must take the deck before this team may go down. */
export function mustHandOver(deck: Deck, team: string): boolean {
  const held = holders(deck.log.state, deck.boat);
  return held.size === 0 || (deck.view.teams[team]?.members ?? []).some((person) => held.has(person));
}

/** Time left and the clock time at, both; nobody subtracts. */
function Clocks(props: RowProps & { readonly state: Team }) {
  const { state, deck } = props;
  const { latest: now, zone } = deck;
  const since = state.down === null ? null : state.down[0];
  return (
    <>
      <div class="clocks">
        <TimeLeft state={state} now={now} />
        <div class="clock">
          <span class="number-label">due at</span>
          <b>{state.due_at === null ? "not known" : clockTime(state.due_at, zone)}</b>
        </div>
        <div class="clock">
          <span class="number-label">{since === null ? "down" : `down ${clockTime(since, zone)}`}</span>
          <b>{since === null ? "not known" : `${minutes(Math.max(0, now - since) / 1000)} min`}</b>
        </div>
      </div>
      <Unsure deck={deck} label="Down and due" span={state.down} entries={downEntries(deck, state.members, state.dive)} counts="earlier" />
    </>
  );
}

/** What was seen or said of them since they went down, in one line; nothing on a normal dive. */
function Signs({ deck, team }: { readonly deck: Deck; readonly team: Team }) {
  const at = (instant: number | null, words: string) => (instant === null ? [] : [`${words} ${clockTime(instant, deck.zone)}`]);
  const apart = team.in_water.some((person) => deck.view.people[person]?.separated === true);
  const said = [
    ...(apart ? ["lost each other"] : []),
    ...at(team.recalled_at, "called up"),
    ...at(team.recall_acknowledged_at, "understood"),
    ...at(team.turned_at, "turned"),
  ];
  return said.length === 0 ? null : <p class={apart ? "team-refusal" : "team-signs"}>{said.join(", ")}</p>;
}

function TimeLeft(props: { readonly state: Team; readonly now: number }) {
  const { due_at: due, overdue_at: overdue } = props.state;
  if (due === null) return <Clock label="time left" value="not known" />;
  if (overdue !== null && props.now >= overdue) return <Clock label="overdue by" value={`${minutes((props.now - overdue) / 1000)} min`} tone="stop" />;
  if (props.now >= due) return <Clock label="late by" value={`${minutesToWait((props.now - due) / 1000)} min`} tone="warn" />;
  return <Clock label="time left" value={`${minutes((due - props.now) / 1000)} min`} />;
}

function Clock(props: { readonly label: string; readonly value: string; readonly tone?: "warn" | "stop" }) {
  return (
    <div class={`clock main ${props.tone ?? ""}`}>
      <span class="number-label">{props.label}</span>
      <b>{props.value}</b>
    </div>
  );
}

/** One place for the whole team, one for each name: they keep their places through down, up and aboard. */
export function Heads(props: Pick<RowProps, "deck" | "names" | "team" | "number" | "onAct"> & { readonly state: Team }) {
  const { deck, names, state, team, number } = props;
  const { view, zone } = deck;
  const under = state.in_water;
  const act = props.onAct;
  const whole = state.members.length === 2 ? "Both" : state.members.length === 3 ? "All three" : "All";
  const alone = view.people[under[0] ?? ""];
  const justDown = settling(state.down === null ? null : (state.down[0] + state.down[1]) / 2, deck.now);
  return (
    <>
      <div class={`heads ${state.members.length === 2 ? "three" : "two"}`}>
        {under.length === state.members.length && under.length > 1 ? (
          <DeckButton row={team} tone="up" wait={justDown} label={`${whole} up, team ${number}`} onTap={() => act(allUp(view, team), `Team ${number}: ${whole.toLowerCase()} up`)}>
            <span>{whole}</span> <span>up</span>
          </DeckButton>
        ) : (
          <p class="head still">{under.length === 0 ? `${whole.toLowerCase()} up` : under.length === 1 ? "one still down" : `${under.length} still down`}</p>
        )}
        {membersOf(deck, team).map((person) => {
          const name = names.short(person);
          const known = view.people[person];
          if (under.includes(person)) {
            return (
              <DeckButton key={person} row={team} tone="up" wait={justDown} label={`${name} up`} onTap={() => act(oneUp(view, team, person), `${name} up`)}>
                <span>{name}</span> <span>up</span>
              </DeckButton>
            );
          }
          if (known !== undefined && ["transferred", "ashore"].includes(known.state)) {
            return (
              <p key={person} class="head still">
                {name} {known.state === "ashore" ? "ashore" : "gone to others"}
              </p>
            );
          }
          if (known !== undefined && known.state !== "aboard") {
            return (
              <DeckButton
                key={person}
                row={team}
                tone="plain"
                wait={settling(known.since, deck.now)}
                label={`${name} aboard`}
                onTap={() => act(aboard(view, person, comesAboard(deck, person)), `${name} aboard`)}
              >
                <span>{name}</span> <span>aboard</span>
              </DeckButton>
            );
          }
          return (
            <p key={person} class="head done">
              {name} aboard {known?.since == null ? "" : clockTime(known.since, zone)}
            </p>
          );
        })}
      </div>
      {under.length > 0 && under.length < state.members.length && alone !== undefined && (
        <AloneClock deck={deck} names={names} under={under} due={alone.due_at} started={alone.alone_clock} onAct={act} />
      )}
    </>
  );
}

/** A marker is seen, a head is not: still in the water. */
export function Marker(props: Pick<RowProps, "deck" | "team" | "number" | "onAct">) {
  const { deck, team } = props;
  const seen = deck.view.teams[team]?.marker_seen_at ?? null;
  return seen === null ? (
    <button type="button" class="button quiet" onClick={(event) => counts(team, event.timeStamp) && props.onAct(markerSeen(deck.view, team), `Team ${props.number}: marker seen`)}>
      Marker seen
    </button>
  ) : (
    <span class="marker">marker seen {clockTime(seen, deck.zone)}</span>
  );
}

/** One came up alone: the others have their own, earlier clock, counted from when they were last together. */
function AloneClock(props: {
  readonly deck: Deck;
  readonly names: Names;
  readonly under: readonly string[];
  readonly due: number | null;
  readonly started: boolean;
  readonly onAct: (act: Act, said: string) => void;
}) {
  const { deck, names, under, due } = props;
  const who = under.map(names.short).join(", ");
  const asked = deck.view.questions.find((one) => one.code === "last_seen_not_known" && one.people.some((person) => under.includes(person)))?.entries[0];
  const say = (minutesAgo: number) => {
    const act = asked === undefined ? null : lastTogether(deck.log, deck.view, asked, deck.now - minutesAgo * 60_000);
    if (act !== null) props.onAct(act, `Last together ${minutesAgo} min ago`);
  };
  return (
    <div class="alone" role="status">
      <p>
        <b>
          {who}: {props.started && "own clock, "}due {due === null ? "not known" : clockTime(due, deck.zone)}
        </b>
      </p>
      {asked !== undefined && (
        <Reason title="Last seen together?">
          <p>From then on: search, ascent, stop. Until it is told, the moment one came up counts.</p>
          <div class="buttons even">
            {[1, 2, 5, 10].map((ago) => (
              <DeckButton key={ago} row="together" tone="plain" size="large" onTap={() => say(ago)}>
                {ago} min ago
              </DeckButton>
            ))}
          </div>
        </Reason>
      )}
    </div>
  );
}

/** Whether anyone of the team reported the depth of this dive: it then counts for all of them. */
export function depthKnown(deck: Deck, team: Team): boolean {
  return team.members.some((person) => (deck.view.people[person]?.dives_done ?? []).some((dive) => dive.dive === team.dive && dive.depth !== null));
}

/** Without a reported depth nobody of the team has a group: asked for once they are up, one tap away. */
function Depths(props: RowProps & { readonly state: Team }) {
  const { deck, state } = props;
  const path = `/trips/${deck.log.trip}`;
  const after = toAskAfter(deck, props.team).length > 0 && (
    <LinkButton path={`${path}/after/${props.team}`} tone="quiet">
      Pressure and effort
    </LinkButton>
  );
  if (!depthKnown(deck, state)) {
    return (
      <div class="row-more">
        <LinkButton path={`${path}/depth/${props.team}`} size="large" wide>
          Report the depth
        </LinkButton>
        {after}
      </div>
    );
  }
  const left = state.members.some((person) => (deck.view.people[person]?.dives_done ?? []).some((dive) => dive.dive === state.dive && dive.left_bottom !== null));
  return left && !after ? null : (
    <div class="row-more">
      {!left && (
        <LinkButton path={`${path}/bottom-time/${props.team}`} tone="quiet">
          Report the bottom time
        </LinkButton>
      )}
      {after}
    </div>
  );
}
