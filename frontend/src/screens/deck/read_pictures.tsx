import { useRef, useState } from "preact/hooks";
import { gather, joined, NotAFrame, readFrame, stillMissing, type Gathered } from "../../kernel/boatlog/frames.ts";
import { readOffPhone } from "../../sync/own_clock.ts";
import { OtherPictures, readClock, takeIn, type TakenIn } from "../../sync/pictures.ts";
import { BigNumber, Button, LinkButton, Notice, Page, type ScreenProps } from "../parts/index.ts";
import { useWakeLock } from "../parts/wake_lock.ts";
import { count } from "../words/format.ts";
import { useCamera } from "./camera.ts";
import { OnTrip, SyncStrip } from "./frame.tsx";
import type { Deck } from "./use_trip.ts";

export default function ReadPictures({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck) => <ReadPage deck={deck} />}</OnTrip>;
}

/** Pieces read before the page was left: reading goes on from there. */
let kept: Gathered | null = null;

/** Another phone's log, read off its screen. */
function ReadPage({ deck }: { readonly deck: Deck }) {
  const { log } = deck;
  const [have, setHave] = useState<Gathered | null>(kept);
  const [trouble, setTrouble] = useState("");
  const [taken, setTaken] = useState<TakenIn | null>(null);
  const clock = useRef<{ readonly phone: string; readonly shownMs: number; readonly readMs: number } | null>(null);
  const busy = useRef(false);
  useWakeLock();

  const finish = async (data: Uint8Array<ArrayBuffer>) => {
    setTaken(await takeIn(log, data));
    kept = null;
    const seen = clock.current;
    const act = seen === null || log.device === null ? null : readOffPhone(log, seen.phone, seen.shownMs, seen.readMs);
    if (act !== null) await log.write(act);
  };
  const onRead = (text: string) => {
    const seen = readClock(text);
    if (seen !== null) {
      if (seen.phone !== log.device?.device) clock.current = { ...seen, readMs: Date.now() };
      return;
    }
    if (busy.current || taken !== null) return;
    try {
      kept = gather(kept, readFrame(text));
      setHave(kept);
      setTrouble("");
      const whole = joined(kept);
      if (whole === null) return;
      busy.current = true;
      finish(whole as Uint8Array<ArrayBuffer>)
        .catch((error: unknown) => {
          // What the disk refused is read whole: the next picture tries again. What is of something else is dropped.
          if (error instanceof OtherPictures) {
            kept = null;
            setHave(null);
          }
          setTrouble(error instanceof OtherPictures ? error.message : "The phone could not store what it read. Keep both pages open and try again.");
        })
        .finally(() => {
          busy.current = false;
        });
    } catch (error) {
      if (!(error instanceof NotAFrame)) throw error;
      if (kept !== null && stillMissing(kept).length === 0) {
        kept = null;
        setHave(null);
      }
      setTrouble(`Not read: ${error.message}.`);
    }
  };
  const camera = useCamera(onRead);
  const path = `/trips/${log.trip}`;
  if (taken !== null) {
    return (
      <>
        <SyncStrip deck={deck} />
        <Page title="Their log is on this phone" back={`${path}/deck`} backLabel="Deck">
          <BigNumber label="New on this phone" value={taken.fresh} note={`of ${count(taken.all, "entry", "entries")} that the other phone had`} size="huge" />
          {taken.otherPlan && <Notice tone="warn">The other phone holds the trip as it was made ready at another time: compare teams and plans by word of mouth.</Notice>}
          {taken.unreadable > 0 && (
            <Notice tone="warn">{count(taken.unreadable, "entry", "entries")} could not be read: keep the other phone, it hands them in when it meets the server.</Notice>
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
  const read = have === null ? 0 : have.pieces.size;
  return (
    <Page title="Read the other phone" back={`${path}/pictures`} note="Hold this phone so that the whole picture is in sight, and keep it there.">
      {camera.trouble !== "" ? (
        <Notice tone="stop">{camera.trouble}</Notice>
      ) : (
        <video class="camera" ref={camera.place} muted playsInline aria-label="What the camera sees" />
      )}
      <div data-read={read}>
        <BigNumber label="Pictures read" value={have === null ? "none yet" : `${read} of ${have.count}`} note={have === null ? "On the other phone: Show this phone's log" : "Leaving this page loses none of them."} />
      </div>
      {trouble !== "" && <Notice tone="warn">{trouble}</Notice>}
      {have !== null && (
        <Button
          size="large"
          wide
          onPress={() => {
            kept = null;
            setHave(null);
          }}
        >
          Begin again
        </Button>
      )}
    </Page>
  );
}
