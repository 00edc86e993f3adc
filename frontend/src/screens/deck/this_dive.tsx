import { useState } from "preact/hooks";
import { divePlan } from "../../kernel/boatlog/plan.ts";
import type { DepthQuantity } from "../../kernel/boatlog/snapshot.ts";
import type { Act } from "../../store/trip_log.ts";
import { Button, goInstead, List, Notice, Page, Row, Steps, type ScreenProps } from "../parts/index.ts";
import { count, depth as written, minutes } from "../words/format.ts";
import { acting } from "./acting.ts";
import { DeckButton } from "./deck_button.tsx";
import { numbered, OnTrip, siteOf, SyncStrip, type Names } from "./frame.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function ThisDive({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <DivePage deck={deck} names={names} dive={params["dive"] ?? ""} />}</OnTrip>;
}

type Doing = "briefed" | "plan" | "sits_out" | "call_off";

interface Plan {
  readonly depth: DepthQuantity;
  readonly bottom_time_s: number;
  readonly run_time_s: number;
}

interface Part {
  readonly deck: Deck;
  readonly names: Names;
  readonly dive: string;
  readonly title: string;
  readonly members: readonly string[];
  readonly write: (act: Omit<Act, "by">) => Promise<unknown>;
  readonly onBack: () => void;
}

/** What is decided about a whole dive on the boat: heard, changed, called off, who sits out. */
function DivePage({ deck, names, dive }: { readonly deck: Deck; readonly names: Names; readonly dive: string }) {
  const { log, view } = deck;
  const [doing, begin] = useState<Doing | null>(null);
  const found = numbered(deck).find((one) => one.dive === dive);
  const back = `/trips/${log.trip}/more`;
  if (found === undefined) {
    return (
      <Page title="No such dive on this trip" back={back} backLabel="Something else">
        <p>Go back and choose again.</p>
      </Page>
    );
  }
  const title = `Dive ${found.number}`;
  const members = found.teams.flatMap(({ id }) => view.teams[id]?.members ?? []);
  const plan = divePlan(log.state, dive);
  const state = view.dives[dive];
  const turn = (to: Doing | null) => {
    pageChanged();
    begin(to);
  };
  const part: Part = { deck, names, dive, title, members, write: (act) => log.write({ by: acting(view), ...act }), onBack: () => turn(null) };
  if (doing === "briefed") return <Briefed {...part} />;
  if (doing === "plan" && plan !== null) return <ChangePlan {...part} plan={plan} />;
  if (doing === "sits_out") return <SitsOut {...part} />;
  if (doing === "call_off") return <CallOff {...part} />;
  const heard = members.filter((person) => state?.briefed.includes(person)).length;
  const out = Object.entries(view.people).filter(([, { sits_out: dives }]) => dives.includes(dive) || dives.includes("all"));
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title={[title, siteOf(deck, dive)].filter((text) => text !== "").join(" · ")} back={back} backLabel="Something else" note={plan === null ? "" : planWords(plan)}>
        {state?.called_off === true && <Notice tone="stop">This dive was called off. A new plan for it puts it on again.</Notice>}
        <List label="This dive">
          <Row title="Who heard the briefing" note={`${heard} of ${members.length}`} onPress={() => turn("briefed")} />
          <Row title="Somebody sits out" note={out.length === 0 ? "no reason is kept" : out.map(([person]) => names.short(person)).join(", ")} onPress={() => turn("sits_out")} />
          <Row title="The plan changes" note="depth, bottom time, back at the surface" onPress={() => turn("plan")} />
          {state?.called_off !== true && <Row title="The dive is called off" note="Anyone may ask for it, with no reason." onPress={() => turn("call_off")} />}
        </List>
      </Page>
    </>
  );
}

function planWords(plan: Plan): string {
  return `${written(plan.depth)}, bottom time ${minutes(plan.bottom_time_s)} min, back at the surface after ${minutes(plan.run_time_s)} min`;
}

function Briefed({ deck, names, dive, title, members, write, onBack }: Part) {
  const heard = deck.view.dives[dive]?.briefed ?? [];
  const open = members.filter((person) => !heard.includes(person));
  const hear = (people: readonly string[]) => void write({ kind: "briefed", subject: dive, data: { people } });
  return (
    <Page title={`${title}: who heard the briefing?`} note="Ask each: at what pressure do you turn? What do you do if you lose each other?">
      <List label="Heard the briefing">
        {open.map((person) => (
          <Row key={person} title={names.full(person)} note="tap when heard" onPress={() => hear([person])} />
        ))}
        {heard.map((person) => (
          <Row key={person} title={names.full(person)} side="heard" />
        ))}
      </List>
      {open.length > 1 && (
        <DeckButton row="briefed" tone="act" onTap={() => hear(open)}>
          All of them heard it
        </DeckButton>
      )}
      <div class="apart half" />
      <Button size="large" wide onPress={onBack}>
        Done
      </Button>
    </Page>
  );
}

const parts = [
  { key: "depth", ask: "How deep now?", label: "Planned depth" },
  { key: "bottom_time_s", ask: "How long at the bottom?", label: "Bottom time" },
  { key: "run_time_s", ask: "Back at the surface after?", label: "From leaving the surface to being back" },
] as const;

function ChangePlan({ deck, dive, title, write, onBack, plan }: Part & { readonly plan: Plan }) {
  const [now, set] = useState(plan);
  const [at, setAt] = useState(0);
  const part = parts[at];
  const back = `/trips/${deck.log.trip}/deck`;
  const next = () => {
    pageChanged();
    // A run shorter than the bottom time would call a team overdue that is still where it was planned to be.
    if (part?.key === "bottom_time_s") set({ ...now, run_time_s: Math.max(now.run_time_s, now.bottom_time_s + (plan.run_time_s - plan.bottom_time_s)) });
    setAt(at + 1);
  };
  if (part === undefined) {
    const { depth, bottom_time_s, run_time_s } = now;
    return (
      <Page title={`${title} is now`} note={planWords(now)}>
        <Notice tone="warn">The limits on the deck were worked out for the plan before. Teams keep to the shorter of this plan and any computer of theirs.</Notice>
        <DeckButton row="plan" tone="act" onTap={() => void write({ kind: "plan_changed", subject: dive, data: { depth, bottom_time_s, run_time_s } }).then(() => goInstead(back))}>
          That is the plan
        </DeckButton>
        <div class="apart" />
        <Button size="large" wide onPress={onBack}>
          Keep the plan as it was
        </Button>
      </Page>
    );
  }
  const metric = now.depth.unit === "m";
  const value = part.key === "depth" ? now.depth.hundredths : now[part.key];
  const least = part.key === "run_time_s" ? now.bottom_time_s : part.key === "depth" ? 100 : 60;
  return (
    <Page key={part.key} title={part.ask} note={`${title}, was ${planWords(plan)}`}>
      <Steps
        label={part.label}
        unit={part.key === "depth" ? now.depth.unit : "min"}
        value={value}
        steps={part.key !== "depth" ? [600, 300, 60] : metric ? [1000, 500, 100] : [3000, 1000, 500]}
        least={least}
        most={part.key !== "depth" ? 4 * 3600 : metric ? 6000 : 20_000}
        show={(each) => String(part.key === "depth" ? each / 100 : Math.round(each / 60))}
        onChange={(each) => set(part.key === "depth" ? { ...now, depth: { ...now.depth, hundredths: each } } : { ...now, [part.key]: each })}
      />
      <Button tone="act" size="deck" wide onPress={next}>
        {part.key === "depth" ? written(now.depth) : `${Math.round(value / 60)} min`}
      </Button>
      <div class="apart half" />
      <Button size="large" wide onPress={onBack}>
        Keep the plan as it was
      </Button>
    </Page>
  );
}

/** No reason is asked. A team that is one short is put right on the next page. */
function SitsOut({ deck, names, dive, title, members, write, onBack }: Part) {
  const { view, log } = deck;
  const there = members.filter((person) => !["down", "marker_seen"].includes(view.people[person]?.state ?? "") && !view.people[person]?.sits_out.includes(dive));
  const say = (person: string) => {
    const team = Object.entries(view.teams).find(([, one]) => one.dive === dive && one.members.includes(person))?.[0];
    void write({ kind: "sits_out", subject: person, data: { dive } }).then(() => goInstead(team === undefined ? `/trips/${log.trip}/deck` : `/trips/${log.trip}/team/${team}`));
  };
  return (
    <Page title={`${title}: who sits out?`} note="Their choice, and no reason is asked. Next: who dives with the others.">
      <List label="On this dive">
        {there.map((person) => (
          <Row key={person} title={names.full(person)} onPress={() => say(person)} />
        ))}
      </List>
      <div class="apart half" />
      <Button size="large" wide onPress={onBack}>
        Nobody: back
      </Button>
    </Page>
  );
}

function CallOff({ deck, dive, title, write, onBack }: Part) {
  const under = Object.values(deck.view.teams).reduce((sum, team) => sum + (team.dive === dive ? team.in_water.length : 0), 0);
  return (
    <Page title={`Call off ${title.toLowerCase()}?`} note="No further team goes down on it. It costs nothing to call it off.">
      {under > 0 && <Notice tone="warn">{count(under, "diver")} of it under water: they stay on the clock until they are up.</Notice>}
      <DeckButton row="call off" tone="stop" onTap={() => void write({ kind: "dive_called_off", subject: dive }).then(() => goInstead(`/trips/${deck.log.trip}/deck`))}>
        {title} is called off
      </DeckButton>
      <div class="apart" />
      <Button size="large" wide onPress={onBack}>
        No, it goes on
      </Button>
    </Page>
  );
}
