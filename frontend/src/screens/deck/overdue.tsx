import { useEffect } from "preact/hooks";
import { mustSound as sounds } from "../../kernel/boatlog/alarm.ts";
import { started } from "../../kernel/boatlog/emergency.ts";
import type { Act } from "../../store/trip_log.ts";
import { Button, Buttons, go } from "../parts/index.ts";
import { clockTime, minutes, names as joined } from "../words/format.ts";
import { acting } from "./acting.ts";
import { quiet } from "./acts.ts";
import { boatsOf, isOn, soundsHere } from "./boats.ts";
import { numbered, Silent, type Names } from "./frame.tsx";
import { OwedByNow } from "./team_overstay.tsx";
import { Heads, Marker } from "./team_row.tsx";
import { pageChanged } from "./tap.ts";
import { downEntries, Unsure } from "./unsure.tsx";
import type { Deck } from "./use_trip.ts";

/** Where the club set no other time. */
const QUIET_MIN = 2;

/** Teams past the club's minutes and still under water, the latest-due last; of another boat only those that sound here. */
export function overdueTeams(deck: Deck): readonly { readonly id: string; readonly number: number }[] {
  return numbered(deck)
    .flatMap((dive) => dive.teams)
    .filter((team) => deck.view.teams[team.id]?.status === "overdue" && soundsHere(deck, team.id));
}

/** Whether one of them may sound now. */
export function mustSound(deck: Deck): boolean {
  const device = deck.log.device?.device ?? "";
  const shown = { ...deck.view, emergency: planRunsHere(deck) };
  return overdueTeams(deck).some((team) => sounds(shown, team.id, device, deck.now));
}

/** Of several boats: whether the plan that runs is about this one. Another boat's must not silence a team of ours. */
function planRunsHere(deck: Deck): boolean {
  const { log, view, boat } = deck;
  if (!view.emergency || boat === null) return view.emergency;
  return started(log.state).some(
    ({ entry, data }) => entry.device === log.device?.device || ((data["people"] as readonly string[] | undefined) ?? []).some((person) => isOn(deck, person)),
  );
}

/** Takes the whole screen: who is overdue, since when, and what ends it. */
export function Overdue(props: { readonly deck: Deck; readonly names: Names; readonly onLeave: () => void }) {
  const { deck, names } = props;
  const { log, view, now, zone } = deck;
  useEffect(() => {
    pageChanged();
    // What lies below must not be reached by keys or read out while this covers it.
    const below = document.getElementById("page");
    below?.toggleAttribute("inert", true);
    return () => void below?.toggleAttribute("inert", false);
  }, []);
  const write = (act: Act) => void log.write(act);
  const quietMin = log.snapshot.settings.quiet_min ?? QUIET_MIN;
  const start = () =>
    write({
      by: acting(view),
      kind: "emergency_started",
      subject: log.trip,
      data: { people: overdueTeams(deck).flatMap((team) => view.teams[team.id]?.in_water ?? []) },
    });
  return (
    <div class="alarm" role="alertdialog" aria-modal="true" aria-labelledby="overdue-title">
      <h1 id="overdue-title">Overdue</h1>
      <Silent deck={deck} />
      {overdueTeams(deck).map((team) => {
        const state = view.teams[team.id];
        if (state === undefined) return null;
        return (
          <section key={team.id} class="alarm-team">
            <h2 class="alarm-who">{joined(state.in_water.map(names.full))}</h2>
            <p>
              Team {team.number}
              {state.in_water.some((person) => !isOn(deck, person)) && ` of ${boatsOf(deck, state.in_water[0] ?? "")}`}, <b class="alarm-late">{state.overdue_at === null ? "" : `${minutes((deck.latest - state.overdue_at) / 1000)} min overdue`}</b>. Due at {state.due_at === null ? "not known" : clockTime(state.due_at, zone)}, down since{" "}
              {state.down === null ? "not known" : clockTime(state.down[0], zone)}
            </p>
            <Unsure deck={deck} label="Down and due" span={state.down} entries={downEntries(deck, state.members, state.dive)} counts="earlier" />
            <div class="alarm-heads">
              <Heads deck={deck} names={names} team={team.id} number={team.number} state={state} onAct={write} />
              <div class="row-more">
                <Marker deck={deck} team={team.id} number={team.number} onAct={write} />
              </div>
              <OwedByNow deck={deck} names={names} team={team.id} />
            </div>
          </section>
        );
      })}
      <p>Look, recall, recount by name. Then the club's own plan, and the coastguard sooner rather than later.</p>
      <div class="alarm-actions">
        {view.emergency ? (
          <p>
            <b>The emergency plan is running.</b> The club's own sheet comes first.
          </p>
        ) : (
          <Button tone="stop" size="deck" wide onPress={start}>
            Start the emergency plan
          </Button>
        )}
        {view.emergency && (
          <Button tone="stop" size="deck" wide onPress={() => go(`/trips/${log.trip}/emergency`)}>
            Steps, and words for the radio
          </Button>
        )}
        <Buttons even>
          <Button
            size="large"
            onPress={() => {
              for (const team of overdueTeams(deck)) write(quiet(view, team.id, now + quietMin * 60_000));
            }}
          >
            Sound off for {quietMin} min
          </Button>
          <Button size="large" onPress={props.onLeave}>
            See the deck
          </Button>
        </Buttons>
      </div>
    </div>
  );
}
