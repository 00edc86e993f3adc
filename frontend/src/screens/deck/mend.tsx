import { useState } from "preact/hooks";
import { happened } from "../../kernel/boatlog/claims.ts";
import { moved } from "../../kernel/boatlog/corrections.ts";
import type { StoredEntry } from "../../store/records.ts";
import { Button, Buttons, goInstead, Page, Section, type ScreenProps } from "../parts/index.ts";
import { DepthSteps, TimeSteps } from "../parts/set_by_steps.tsx";
import { clockTime, depth as written } from "../words/format.ts";
import { acting } from "./acting.ts";
import { OnTrip, type Names } from "./frame.tsx";
import { said } from "./said.ts";
import { OtherName } from "./other_name.tsx";
import { pageChanged } from "./tap.ts";
import type { Deck } from "./use_trip.ts";
import { otherPeople, otherTeams } from "./wrong_name.ts";

export function Mend({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <MendPage deck={deck} names={names} id={params["entry"] ?? ""} />}</OnTrip>;
}

type Depth = { readonly unit: "m" | "ft"; readonly hundredths: number };

/** What happened, but not then: of these the time counts for something. */
const TIMED = new Set(["down", "surfaced", "surfaced_alone", "back_aboard", "aboard", "ashore", "marker_seen", "left_bottom", "person_went_in", "seen_at_surface", "lost_from_sight", "transferred"]);

/** An entry that is wrong: what is right is said in a further entry. Both stay, and the careful one counts until two settle it. */
function MendPage({ deck, names, id }: { readonly deck: Deck; readonly names: Names; readonly id: string }) {
  const { log, view, zone } = deck;
  const stored: StoredEntry | undefined = log.entries.find((one) => one.id === id);
  const back = `/trips/${log.trip}/log`;
  const [writing, setWriting] = useState(false);
  const [other, setOther] = useState<"person" | "team" | null>(null);
  if (stored === undefined) {
    return (
      <Page title="This entry is not on this phone" back={back} backLabel="Boat log">
        <p>It comes with the next exchange with the server or another phone.</p>
      </Page>
    );
  }
  const { entry } = stored;
  if (log.state.aside.get("not_understood")?.includes(entry) === true) {
    return (
      <Page title={said(deck, names, stored)} back={back} backLabel="Boat log">
        <p>This phone does not understand what it says, so that nothing rests on it. It is kept and passed on.</p>
      </Page>
    );
  }
  const at = happened(log.state, entry);
  const isCorrection = entry.kind === "correction";
  // A correction of a correction speaks of the same entry: what this one said is what may be wrong in it.
  const words = isCorrection ? moved(entry.data, at - entry.at) : entry.data;
  const correct = (data: Readonly<Record<string, unknown>>) => {
    if (writing) return;
    setWriting(true);
    log.write({ by: acting(view), kind: "correction", subject: entry.subject, corrects: entry.id, data }).then(
      () => goInstead(back),
      () => setWriting(false),
    );
  };
  const told = (isCorrection ? (words["data"] as { readonly depth?: Depth } | undefined)?.depth : entry.kind === "depth_reported" ? words["depth"] : undefined) as Depth | undefined;
  const timed = TIMED.has(entry.kind) ? at : isCorrection && typeof words["at"] === "number" ? words["at"] : null;
  const mayBe = { person: otherPeople(view, entry).length > 0, team: otherTeams(view, entry).length > 0 };
  if (other !== null) {
    return <OtherName deck={deck} names={names} stored={stored} of={other} writing={writing} onSay={correct} onBack={() => setOther(null)} />;
  }
  const ask = (of: "person" | "team") => {
    pageChanged();
    setOther(of);
  };
  return (
    <Page title={said(deck, names, stored)} back={back} backLabel="Boat log" note={`Entered as ${clockTime(at, zone)}. It stays; what is right is a further entry.`}>
      {timed !== null && <OtherTime from={timed} zone={zone} disabled={writing} onSay={(right) => correct({ reason: "wrong_time", void: false, at: right })} />}
      {(mayBe.person || mayBe.team) && (
        <Section title="A wrong name was tapped">
          <Buttons even>
            {mayBe.person && (
              <Button size="large" onPress={() => ask("person")}>
                It was another person
              </Button>
            )}
            {mayBe.team && (
              <Button size="large" onPress={() => ask("team")}>
                It was another team
              </Button>
            )}
          </Buttons>
        </Section>
      )}
      {told !== undefined && (
        <OtherDepth told={told} disabled={writing} onSay={(right) => correct({ reason: "mistyped", void: false, data: { depth: right } })} />
      )}
      <Section title={isCorrection ? "The correction is wrong" : "It did not happen at all"}>
        {isCorrection && <p>What it corrected counts as before once a second person says so too.</p>}
        <Button tone="stop" size="large" wide disabled={writing} onPress={() => correct({ reason: "did_not_happen", void: true })}>
          {isCorrection ? "Take the correction back" : "It did not happen"}
        </Button>
      </Section>
      <p class="lead">Until two people settle it under Questions, the more careful of the two counts.</p>
    </Page>
  );
}

function OtherTime(props: { readonly from: number; readonly zone: string; readonly disabled: boolean; readonly onSay: (right: number) => void }) {
  const [right, setRight] = useState(props.from);
  return (
    <Section title="It was at another time">
      <div class="number plain huge">
        <span class="number-value">{clockTime(right, props.zone)}</span>
      </div>
      <TimeSteps value={right} onChange={setRight} />
      <Button tone="act" size="deck" wide disabled={props.disabled || right === props.from} onPress={() => props.onSay(right)}>
        {right === props.from ? "Set it with the steps" : `It was at ${clockTime(right, props.zone)}`}
      </Button>
    </Section>
  );
}

function OtherDepth(props: { readonly told: Depth; readonly disabled: boolean; readonly onSay: (right: Depth) => void }) {
  const { unit } = props.told;
  const [hundredths, setHundredths] = useState(props.told.hundredths);
  const same = hundredths === props.told.hundredths;
  return (
    <Section title="It was another depth">
      <DepthSteps label="As the instrument says" unit={unit} value={hundredths} onChange={setHundredths} />
      <Button tone="act" size="deck" wide disabled={props.disabled || same} onPress={() => props.onSay({ unit, hundredths })}>
        {same ? "Set it with the steps" : `It was ${written({ unit, hundredths })}`}
      </Button>
    </Section>
  );
}
