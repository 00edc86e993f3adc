import { useState } from "preact/hooks";
import { Button, goInstead, Page, Steps, type ScreenProps } from "../parts/index.ts";
import { minutesToWait } from "../words/format.ts";
import { acting } from "./acting.ts";
import { OnTrip, type Names } from "./frame.tsx";
import { memberNames } from "./team_plan.tsx";
import { entriesOf, Unsure } from "./unsure.tsx";
import { tapped } from "./tap.ts";
import type { Deck } from "./use_trip.ts";

export function BottomTime({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <BottomTimePage deck={deck} names={names} team={params["team"] ?? ""} />}</OnTrip>;
}

/** From leaving the surface to starting up. The deck sees only down and up: without this the whole time counts. */
function BottomTimePage({ deck, names, team }: { readonly deck: Deck; readonly names: Names; readonly team: string }) {
  const { log, view } = deck;
  const state = view.teams[team];
  const down = state?.down?.[0] ?? null;
  const ups = (state?.members ?? []).flatMap((person) => {
    const done = view.people[person]?.dives_done.find((dive) => dive.dive === state?.dive);
    return done?.surfaced == null ? [] : [done.surfaced[1]];
  });
  const whole = down === null || ups.length === 0 ? 0 : minutesToWait((Math.max(...ups) - down) / 1000);
  const longest = (state?.members ?? []).reduce<readonly [number, number] | null>((most, person) => {
    const span = view.people[person]?.dives_done.find((dive) => dive.dive === state?.dive)?.bottom_time_s ?? null;
    return span === null || (most !== null && most[1] - most[0] >= (span[1] - span[0]) * 1000) ? most : [span[0] * 1000, span[1] * 1000];
  }, null);
  const [value, setValue] = useState<number | null>(null);
  const [writing, setWriting] = useState(false);
  const shown = value ?? whole;
  const back = `/trips/${log.trip}/deck`;
  const report = () => {
    if (writing || down === null || !tapped("bottom time")) return;
    setWriting(true);
    log.write({ by: acting(view), kind: "left_bottom", subject: team, at: down + shown * 60_000 }).then(
      () => goInstead(back),
      () => setWriting(false),
    );
  };
  return (
    <Page title="When did they start up?" back={back} backLabel="Deck" note={memberNames(deck, names, team)}>
      <Steps
        label="Bottom time off the instrument, rounded up"
        unit="min"
        value={shown}
        steps={[10, 5, 1]}
        least={0}
        most={whole}
        onChange={setValue}
      />
      <Unsure deck={deck} label="Under water" span={longest} entries={entriesOf(deck, state?.members ?? [], state?.dive ?? "")} counts="longer" />
      <Button tone="act" size="deck" wide disabled={writing || value === null || down === null} onPress={report}>
        {value === null ? "Set it with the steps" : `They started up after ${shown} min`}
      </Button>
      <div class="apart" />
      <Button size="large" wide onPress={() => tapped("bottom time") && goInstead(back)}>
        Nobody read it: the whole {whole} min count
      </Button>
    </Page>
  );
}
