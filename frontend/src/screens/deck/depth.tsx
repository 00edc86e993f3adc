import { useState } from "preact/hooks";
import { divePlan } from "../../kernel/boatlog/plan.ts";
import { Button, Buttons, goInstead, Page, type ScreenProps } from "../parts/index.ts";
import { DepthSteps } from "../parts/set_by_steps.tsx";
import { depth as written } from "../words/format.ts";
import { acting } from "./acting.ts";
import { memberNames } from "./team_plan.tsx";
import { membersOf, OnTrip, type Names } from "./frame.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function DepthScreen({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <DepthPage deck={deck} names={names} team={params["team"] ?? ""} />}</OnTrip>;
}

/** Large steps from the planned depth; nothing is taken as the depth until a named diver's instrument was read. */
function DepthPage({ deck, names, team }: { readonly deck: Deck; readonly names: Names; readonly team: string }) {
  const { log, view } = deck;
  const state = view.teams[team];
  const plan = divePlan(log.state, state?.dive ?? "");
  const unit = plan?.depth.unit ?? log.snapshot.units.depth;
  const [hundredths, setHundredths] = useState(plan?.depth.hundredths ?? 0);
  const [writing, setWriting] = useState(false);
  const back = `/trips/${log.trip}/deck`;
  const report = (person: string) => {
    if (writing || state === undefined) return;
    setWriting(true);
    log
      .write({
        by: acting(view),
        kind: "depth_reported",
        subject: person,
        data: { dive: state.dive, depth: { unit, hundredths }, from: "instrument" },
      })
      .then(
        () => {
          pageChanged();
          goInstead(`/trips/${log.trip}/bottom-time/${team}`);
        },
        () => setWriting(false),
      );
  };
  return (
    <Page title="Deepest point of the dive" back={back} backLabel="Deck" note={memberNames(deck, names, team)}>
      <DepthSteps label="Read it off the instrument, it is not the planned depth" unit={unit} value={hundredths} onChange={setHundredths} />
      <p class="lead">Whose instrument says {written({ unit, hundredths })}? Everyone of the team counts with the deepest.</p>
      <Buttons even>
        {membersOf(deck, team).map((person) => (
          <Button key={person} tone="act" size="deck" disabled={writing} onPress={() => report(person)}>
            {names.short(person)}
          </Button>
        ))}
      </Buttons>
    </Page>
  );
}
