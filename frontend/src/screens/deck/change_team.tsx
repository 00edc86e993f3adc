import { useState } from "preact/hooks";
import { Button, goInstead, Notice, Page, Section, type ScreenProps } from "../parts/index.ts";
import { names as joined } from "../words/format.ts";
import { changeTeam } from "./acts.ts";
import { isOn, teamOn } from "./boats.ts";
import { membersOf, numbered, OnTrip, SyncStrip, type Names } from "./frame.tsx";
import type { Deck } from "./use_trip.ts";

export function ChangeTeam({ params }: ScreenProps) {
  return (
    <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <ChangeTeamPage deck={deck} names={names} team={params["team"] ?? ""} />}</OnTrip>
  );
}

/** Someone sits out, or takes a place: who dives together now. Nobody is left to dive alone. */
function ChangeTeamPage({ deck, names, team }: { readonly deck: Deck; readonly names: Names; readonly team: string }) {
  const { log, view } = deck;
  const state = view.teams[team];
  const now = membersOf(deck, team);
  const [chosen, choose] = useState<readonly string[]>(now);
  const back = `/trips/${log.trip}/deck`;
  const number = numbered(deck)
    .flatMap((dive) => dive.teams)
    .find((one) => one.id === team)?.number;
  if (state === undefined || !["ready", "dissolved"].includes(state.status)) {
    const off = state?.status === "called_off";
    return (
      <Page title={off ? "This dive was called off" : "This team has gone down"} back={back} backLabel="Deck">
        <p>{off ? "Its teams are changed once there is a new plan for it." : "A team is changed before it goes down."}</p>
      </Page>
    );
  }
  const elsewhere = new Set(Object.entries(view.teams).flatMap(([id, other]) => (id !== team && other.dive === state.dive ? other.members : [])));
  const free = Object.entries(view.people)
    .filter(([person, { dives, state: where, held }]) => dives && !held && !["ashore", "transferred"].includes(where) && !elsewhere.has(person) && !now.includes(person) && (isOn(deck, person) || !teamOn(deck, team)))
    .map(([person]) => person)
    .sort((a, b) => names.full(a).localeCompare(names.full(b)));
  const toggle = (person: string) => choose(chosen.includes(person) ? chosen.filter((other) => other !== person) : [...chosen, person]);
  const same = chosen.length === now.length && chosen.every((person) => now.includes(person));
  const fits = chosen.length === 0 || chosen.length === 2 || chosen.length === 3;
  const who = joined(chosen.map(names.short));
  const line = same
    ? "No change yet"
    : chosen.length === 0
      ? "This team does not dive"
      : chosen.length === 1
        ? "Nobody dives alone"
        : chosen.length > 3
          ? "Two or three to a team"
          : `Now: ${who}`;
  const people = (list: readonly string[]) => (
    <div class="buttons even">
      {list.map((person) => (
        <Button key={person} size="large" tone={chosen.includes(person) ? "act" : "plain"} pressed={chosen.includes(person)} onPress={() => toggle(person)}>
          {names.full(person)}
        </Button>
      ))}
    </div>
  );
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title={`Change team ${number ?? ""}`} back={back} backLabel="Deck" note="Tap who dives in it and who does not. Blue names dive.">
        {now.length > 0 && people(now)}
        {free.length > 0 && <Section title="In no team of this dive">{people(free)}</Section>}
        <Notice tone="warn">
          A changed team was not checked against anyone's experience or gas: a leader decides. It keeps to the shortest of its members' plans and computers.
        </Notice>
        <Button tone="act" size="deck" wide disabled={same || !fits} onPress={() => void log.write(changeTeam(view, team, chosen)).then(() => goInstead(back))}>
          {line}
        </Button>
      </Page>
    </>
  );
}
