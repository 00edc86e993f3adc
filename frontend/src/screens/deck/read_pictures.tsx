import { useState } from "preact/hooks";
import { readOffPhone } from "../../sync/own_clock.ts";
import { takeIn, type ClockSeen, type TakenIn } from "../../sync/pictures.ts";
import { BigNumber, LinkButton, Notice, Page, type ScreenProps } from "../parts/index.ts";
import { count } from "../words/format.ts";
import { OnTrip, SyncStrip } from "./frame.tsx";
import { Reading } from "./reading.tsx";
import type { Deck } from "./use_trip.ts";

export { ReadTrip } from "./read_trip.tsx";

export default function ReadPictures({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck) => <ReadPage deck={deck} />}</OnTrip>;
}

/** Another phone's log, read off its screen. */
function ReadPage({ deck }: { readonly deck: Deck }) {
  const { log } = deck;
  const [taken, setTaken] = useState<TakenIn | null>(null);
  const path = `/trips/${log.trip}`;
  const finish = async (data: Uint8Array<ArrayBuffer>, seen: ClockSeen | null) => {
    setTaken(await takeIn(log, data));
    const act = seen === null || log.device === null || seen.phone === log.device.device ? null : readOffPhone(log, seen.phone, seen.shownMs, seen.readMs);
    if (act !== null) await log.write(act);
  };
  if (taken !== null) {
    return (
      <>
        <SyncStrip deck={deck} />
        <Page title="Their log is on this phone" back={`${path}/deck`} backLabel="Deck">
          <BigNumber label="New on this phone" value={taken.fresh} note={`of ${count(taken.all, "entry", "entries")} that the other phone had`} size="huge" />
          {taken.otherPlan && <Notice tone="warn">The other phone holds the trip as it was made ready at another time: compare teams and plans by word of mouth.</Notice>}
          {taken.broken > 0 && (
            <>
              <Notice tone="warn">
                {count(taken.broken, "entry does", "entries do")} not follow the one before as their phone wrote it: a phone's log stands here twice, or was changed. All of them are kept; careful readings count.
              </Notice>
              <LinkButton path={`${path}/log`}>Look at them in the boat log</LinkButton>
            </>
          )}
          {taken.unreadable > 0 && (
            <Notice tone="warn">{taken.unreadable === 1 ? "One entry" : `${taken.unreadable} entries`} could not be read by this version: kept on this phone as {taken.unreadable === 1 ? "it" : "they"} came, and shown with the boat log. Keep the other phone too.</Notice>
          )}
          <LinkButton path={`${path}/pictures/show`} tone="act" size="deck" wide>
            Now show them ours
          </LinkButton>
          <div class="apart" />
          <LinkButton path={`${path}/hand-over`} size="large" wide>
            Who has the deck?
          </LinkButton>
        </Page>
      </>
    );
  }
  return (
    <Page title="Read the other phone" back={`${path}/pictures`} note="Hold this phone so that the whole picture is in sight, and keep it there.">
      <Reading of={log.trip} finish={finish}>
        <p>A third phone with this trip can read the other one and take its entries along. With a network both hand in what they have by themselves.</p>
        <div class="heads">
          <LinkButton path={`${path}/pictures/show`} tone="act" size="large" wide>
            Show ours, let the other phone read
          </LinkButton>
          <LinkButton path={`${path}/take-over`} size="large" wide>
            Take over the deck without its log
          </LinkButton>
        </div>
      </Reading>
    </Page>
  );
}
