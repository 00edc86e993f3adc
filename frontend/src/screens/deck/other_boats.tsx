import { useState } from "preact/hooks";
import type { Act } from "../../store/trip_log.ts";
import { Empty, go, goInstead, List, Notice, Page, Row, Section, type ScreenProps } from "../parts/index.ts";
import { clockTime } from "../words/format.ts";
import { acting } from "./acting.ts";
import { boatName, boatsOf, here, isOn, lastWord, otherBoats, teamOn } from "./boats.ts";
import { ChooseBoat, numbered, OnBoat, OnTrip, siteOf, SyncStrip, type Names } from "./frame.tsx";
import { refused } from "./refusals.ts";
import { BetweenBoats } from "./roll_call.tsx";
import { pageChanged, tapped } from "./tap.ts";
import { TeamRow } from "./team_row.tsx";
import type { Deck } from "./use_trip.ts";

/** Entered wrong at the dock, or the phone changed boats. */
export function WhichBoat({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck) => <ChooseBoat deck={deck} onChosen={() => goInstead(`/trips/${deck.log.trip}/deck`)} />}</OnTrip>;
}

export function OtherBoat({ params }: ScreenProps) {
  return <OnBoat trip={params["trip"] ?? ""}>{(deck, names) => <OtherBoatPage deck={deck} names={names} boat={params["boat"] ?? ""} />}</OnBoat>;
}

/** Another boat as far as this phone knows: its own phone watches it, and what is heard by radio can be entered here. */
function OtherBoatPage({ deck, names, boat }: { readonly deck: Deck; readonly names: Names; readonly boat: string }) {
  const { log, whole, zone } = deck;
  const path = `/trips/${log.trip}`;
  const [failed, setFailed] = useState(false);
  const word = lastWord(deck, boat);
  const holder = whole.boats[boat]?.deck_holder ?? null;
  const dives = numbered(deck)
    .map((dive) => ({ ...dive, teams: dive.teams.filter(({ id }) => teamOn(deck, id, boat)) }))
    .filter(({ teams }) => teams.length > 0);
  const act = (what: Act) => {
    log.write(what).then(
      () => setFailed(false),
      () => setFailed(true),
    );
  };
  return (
    <>
      <SyncStrip deck={deck} />
      <Page
        wide
        title={boatName(deck, boat)}
        back={`${path}/deck`}
        backLabel="Deck"
        note={`${word === null ? "Nothing that its phone wrote has reached this one" : `What its phone wrote until ${clockTime(word, zone)} is here`}. Its own phone watches it${holder === null ? "" : `, held by ${names.full(holder)}`}.`}
      >
        {failed && <Notice tone="stop">Not written. Tap again; if it stays so, write it on the paper sheet.</Notice>}
        <p>Enter here only what they tell you by radio. A team that you enter down here is watched here too.</p>
        {dives.length === 0 && <Empty>No team is known to be on it.</Empty>}
        {dives.map(({ dive, number, teams }) => (
          <Section key={dive} title={[`Dive ${number}`, siteOf(deck, dive)].filter((text) => text !== "").join(" · ")}>
            <div class="teams flush">
              {teams.map((team) => (
                <TeamRow
                  key={team.id}
                  deck={deck}
                  names={names}
                  team={team.id}
                  number={team.number}
                  chosen={false}
                  onAct={act}
                  onHandOver={(id) => go(`${path}/hand-over/${id}`)}
                  refused={refused(deck, names, team.id)}
                />
              ))}
            </div>
          </Section>
        ))}
        <BetweenBoats deck={deck} theirs="One of theirs is here" ours="They say they have one of ours" />
      </Page>
    </>
  );
}

/** Picked up, or come over: one tap on the name, and this boat counts them from now on. */
export function FromAnotherBoat({ params }: ScreenProps) {
  return (
    <OnBoat trip={params["trip"] ?? ""}>
      {(deck, names) => {
        const { log, view } = deck;
        const back = `/trips/${log.trip}/roll-call`;
        const theirs = Object.entries(view.people)
          .filter(([person, { state }]) => !isOn(deck, person) && state !== "ashore")
          .sort(([a, left], [b, right]) => Number(left.accounted_for) - Number(right.accounted_for) || names.full(a).localeCompare(names.full(b)));
        const enter = (person: string) => {
          if (tapped("from another boat")) void log.write({ by: acting(view), kind: "back_aboard", subject: person }).then(() => goInstead(back));
        };
        return (
          <>
            <SyncStrip deck={deck} />
            <Page title="Who of another boat is here?" back={back} backLabel="Roll call" note="Only somebody you see on this boat now. Tell their own boat by radio.">
              {theirs.length === 0 && <Empty>Everyone of the trip is on this boat's list.</Empty>}
              <List label="Of another boat">
                {theirs.map(([person]) => (
                  <Row key={person} title={names.full(person)} note={boatsOf(deck, person)} onPress={() => enter(person)} />
                ))}
              </List>
            </Page>
          </>
        );
      }}
    </OnBoat>
  );
}

export function OnAnotherBoat({ params }: ScreenProps) {
  return <OnBoat trip={params["trip"] ?? ""}>{(deck, names) => <OnAnotherBoatPage deck={deck} names={names} />}</OnBoat>;
}

/** Heard by radio: who of ours is there, and who says so. Their own count names them next. */
function OnAnotherBoatPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, view } = deck;
  const others = otherBoats(deck);
  const [person, setPerson] = useState<string | null>(null);
  const [boat, setBoat] = useState<string | null>(others.length === 1 ? (others[0] ?? null) : null);
  const frame = { back: `/trips/${log.trip}/roll-call`, backLabel: "Roll call" };
  const step = (change: () => void) => {
    pageChanged();
    change();
  };
  if (person === null) {
    const ours = here(deck)
      .filter(([, { state }]) => state !== "ashore" && state !== "transferred")
      .sort(([a, left], [b, right]) => Number(left.accounted_for) - Number(right.accounted_for) || names.full(a).localeCompare(names.full(b)));
    return (
      <>
        <SyncStrip deck={deck} />
        <Page {...frame} title="Whom does another boat say it has?" note="Said by name, by radio or by voice. Ask for an answer by the diver, if you can.">
          <List label="Of this boat">
            {ours.map(([one, { accounted_for: known }]) => (
              <Row key={one} title={names.full(one)} note={known ? "" : "not accounted for"} onPress={() => step(() => setPerson(one))} />
            ))}
          </List>
        </Page>
      </>
    );
  }
  if (boat === null) {
    return (
      <Page {...frame} title={`Which boat has ${names.full(person)}?`}>
        <List label="Boats">
          {others.map((one) => (
            <Row key={one} title={boatName(deck, one)} onPress={() => step(() => setBoat(one))} />
          ))}
        </List>
      </Page>
    );
  }
  const say = (who: string | null) => {
    if (!tapped("on another boat")) return;
    const act = { by: acting(view), kind: "transferred", subject: person, data: { to: "vessel", boat, care: "club", stays: true } };
    void log.write(who === null ? act : { ...act, text: names.full(who) }).then(() => goInstead(frame.back));
  };
  const there = Object.keys(view.people)
    .filter((one) => one !== person && isOn(deck, one, boat) && !isOn(deck, one))
    .sort((a, b) => names.full(a).localeCompare(names.full(b)));
  return (
    <Page {...frame} title={`Who says that ${names.full(person)} is on ${boatName(deck, boat)}?`}>
      <List label="Who says so">
        {there.map((one) => (
          <Row key={one} title={names.full(one)} onPress={() => say(one)} />
        ))}
        <Row title="Somebody there, name not known" onPress={() => say(null)} />
      </List>
    </Page>
  );
}
