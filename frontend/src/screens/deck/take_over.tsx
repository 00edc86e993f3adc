import { useRef, useState } from "preact/hooks";
import { drafts, gone, toCall, type Gone, type Heard, type TakeoverDraft } from "../../kernel/boatlog/takeover.ts";
import { Button, Buttons, goInstead, List, Notice, Page, Row, Section, type ScreenProps } from "../parts/index.ts";
import { TimeSteps } from "../parts/set_by_steps.tsx";
import { clockTime, names as joined } from "../words/format.ts";
import { DeckButton } from "./deck_button.tsx";
import { numbered, OnBoat, SyncStrip, type Names } from "./frame.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function TakeOver({ params }: ScreenProps) {
  return <OnBoat trip={params["trip"] ?? ""}>{(deck, names) => <TakeOverPages deck={deck} names={names} />}</OnBoat>;
}

const MINUTE = 60_000;
type Step = "who" | "here" | "since" | "accept";

/** The phone that kept the deck gives nothing any more: who takes over, who stands here, and since when the rest are gone. */
function TakeOverPages({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, now, boat } = deck;
  const [step, setStep] = useState<Step>("who");
  const [taker, setTaker] = useState<string | null>(null);
  const [here, setHere] = useState<ReadonlySet<string>>(new Set());
  const [heard, setHeard] = useState<ReadonlyMap<string, Heard>>(new Map());
  const [lostAt, setLostAt] = useState(now);
  const [writing, setWriting] = useState(false);
  const [failed, setFailed] = useState(false);
  const left = useRef<readonly TakeoverDraft[] | null>(null);
  const path = `/trips/${log.trip}`;
  const everyone = toCall(log.state, boat)
    .filter(({ state }) => !["ashore", "transferred"].includes(state))
    .sort((a, b) => names.full(a.person).localeCompare(names.full(b.person)));
  const lost = gone(log.state, here, heard, lostAt, boat);
  // Of whom one is known to be in the water, the team went down then: nobody has to remember it.
  const asked = lost.filter((team) => !team.known && deck.view.teams[team.team]?.in_water.length === 0);
  const to = (next: Step) => {
    pageChanged();
    setStep(next);
  };
  const title = teamTitle(deck, names, lost);

  const accept = async () => {
    if (taker === null || writing) return;
    setWriting(true);
    setFailed(false);
    // Worked out once: what a second tap still has to write is the rest of the same.
    left.current ??= drafts(log.state, taker, here, lost, now, crypto.randomUUID(), boat);
    try {
      for (let draft = left.current[0]; draft !== undefined; draft = left.current[0]) {
        await log.write({ by: taker, kind: draft.kind, subject: draft.subject, at: draft.at, data: draft.data });
        left.current = left.current.slice(1);
      }
      goInstead(`${path}/deck`);
    } catch {
      setWriting(false);
      setFailed(true);
    }
  };

  if (log.device === null) {
    return (
      <Page title="Take over the deck" back={`${path}/deck`} backLabel="Deck">
        <Notice tone="stop">This phone can look and not write: let it join with a leader's code, or use a phone that has joined. Keep the paper sheet until then.</Notice>
      </Page>
    );
  }
  if (step === "who" || taker === null) {
    return (
      <>
        <SyncStrip deck={deck} />
        <Page title="Who takes the deck?" back={`${path}/deck`} backLabel="Deck" note="Someone who stands here and stays out of the water.">
          <List label="Everyone">
            {everyone.map(({ person }) => (
              <Row
                key={person}
                title={names.full(person)}
                onPress={() => {
                  setTaker(person);
                  setHere(new Set([person]));
                  setLostAt(now);
                  to("here");
                }}
              />
            ))}
          </List>
        </Page>
      </>
    );
  }
  if (step === "here") {
    const toggle = (person: string) => setHere(here.has(person) ? new Set([...here].filter((one) => one !== person)) : new Set([...here, person]));
    return (
      <Page title="Who stands here?" back={`${path}/deck`} backLabel="Deck" note="Tap each person you see now, by name. Whoever is not tapped is not taken to be aboard.">
        <Buttons even>
          {everyone.map(({ person }) => (
            <Button key={person} size="large" tone={here.has(person) ? "act" : "plain"} pressed={here.has(person)} onPress={() => person !== taker && toggle(person)}>
              {names.full(person)}
            </Button>
          ))}
        </Buttons>
        <div class="apart" />
        <Button tone="act" size="deck" wide onPress={() => to(asked.length > 0 ? "since" : "accept")}>
          {here.size === everyone.length ? "All of them stand here" : `${here.size} of ${everyone.length} stand here`}
        </Button>
      </Page>
    );
  }
  if (step === "since") {
    const next = asked.find((team) => !heard.has(team.team));
    if (next !== undefined) {
      return <SinceWhen key={next.team} deck={deck} title={title(next)} team={next.team} others={lost} teamTitle={title} lostAt={lostAt} onSay={(said) => (setHeard(new Map([...heard, [next.team, said]])), to("since"))} />;
    }
  }
  const unknown = everyone.filter(({ person }) => !here.has(person) && !lost.some((team) => team.members.includes(person)));
  return (
    <Page title={`${names.full(taker)}: do you take the deck?`} back={`${path}/deck`} backLabel="Deck">
      {lost.length > 0 && (
        <Section title="In the water">
          <List label="In the water">
            {lost.map((team) => (
              <Row key={team.team} title={title(team)} note={between(deck, team)} tone="warn" />
            ))}
          </List>
        </Section>
      )}
      {unknown.length > 0 && <Notice tone="stop">Not met, and in no team that is to dive: {joined(unknown.map(({ person }) => names.full(person)))}. Find them now.</Notice>}
      <p>The earliest time counts for when they are due. What the lost phone and the paper sheet say joins later.</p>
      {failed && <Notice tone="stop">The phone did not store all of it. Tap again, and keep the paper sheet until it is done.</Notice>}
      <div class="heads">
        <DeckButton row="accept" tone="act" onTap={() => void accept()}>
          I am {names.full(taker)}: I have the deck
        </DeckButton>
      </div>
      <div class="apart" />
      <Button
        size="large"
        wide
        onPress={() => {
          setHeard(new Map());
          left.current = null;
          to("here");
        }}
      >
        Go back and mend it
      </Button>
    </Page>
  );
}

/** One team at a time: what somebody on deck remembers of when it went down. */
function SinceWhen(props: {
  readonly deck: Deck;
  readonly title: string;
  readonly team: string;
  readonly others: readonly Gone[];
  readonly teamTitle: (team: Gone) => string;
  readonly lostAt: number;
  readonly onSay: (said: Heard) => void;
}) {
  const { deck, lostAt, onSay } = props;
  const [about, setAbout] = useState(Math.floor(lostAt / MINUTE) * MINUTE - 10 * MINUTE);
  return (
    <Page title="When did they go down?" back={`/trips/${deck.log.trip}/deck`} backLabel="Deck" note={props.title}>
      <div class="number plain huge">
        <span class="number-label">About</span>
        <span class="number-value">{clockTime(about, deck.zone)}</span>
        <span class="number-note">three minutes either way are allowed for</span>
      </div>
      <TimeSteps value={about} latest={lostAt} onChange={setAbout} />
      <div class="heads">
        <DeckButton row="about" tone="act" onTap={() => onSay({ about, after: null })}>
          About {clockTime(about, deck.zone)}
        </DeckButton>
      </div>
      <div class="apart" />
      <Buttons even>
        {props.others
          .filter((other) => other.team !== props.team)
          .map((other) => (
            <Button key={other.team} size="large" onPress={() => onSay({ about: null, after: other.team })}>
              After {props.teamTitle(other).replace(/^Team/, "team")}
            </Button>
          ))}
        <Button size="large" onPress={() => onSay({ about: null, after: null })}>
          Nobody knows
        </Button>
      </Buttons>
    </Page>
  );
}

/** Teams are numbered anew on each dive: where they are of several, the dive is said too. */
function teamTitle(deck: Deck, names: Names, lost: readonly Gone[]): (team: Gone) => string {
  const numbers = new Map(numbered(deck).flatMap((dive) => dive.teams.map(({ id, number }) => [id, [number, dive.number]] as const)));
  const several = new Set(lost.map(({ dive }) => dive)).size > 1;
  return (team) => {
    const [number, dive] = numbers.get(team.team) ?? ["?", "?"];
    return `Team ${number}${several ? ` of dive ${dive}` : ""}: ${joined(team.members.map(names.short))}`;
  };
}

function between(deck: Deck, team: Gone): string {
  const [from, to] = [clockTime(team.earliest, deck.zone), clockTime(team.latest, deck.zone)];
  return from === to ? `down since ${from}` : `down since some time between ${from} and ${to}`;
}
