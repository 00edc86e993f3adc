import { useEffect, useRef, useState } from "preact/hooks";
import { joined, NotAFrame, readFrame, stillMissing, type Gathered } from "../../kernel/boatlog/frames.ts";
import { pieces } from "../../store/phone.ts";
import { readOffPhone } from "../../sync/own_clock.ts";
import { OtherPictures, readClock, takeIn, type TakenIn } from "../../sync/pictures.ts";
import { collect, outstanding, rowsOf } from "../../sync/pieces.ts";
import { BigNumber, Button, LinkButton, Notice, Page, Section, type ScreenProps } from "../parts/index.ts";
import { useWakeLock } from "../parts/wake_lock.ts";
import { count } from "../words/format.ts";
import { useCamera } from "./camera.ts";
import { OnTrip, SyncStrip } from "./frame.tsx";
import type { Deck } from "./use_trip.ts";

export default function ReadPictures({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck) => <ReadPage deck={deck} />}</OnTrip>;
}

/** Another phone's log, read off its screen. */
function ReadPage({ deck }: { readonly deck: Deck }) {
  const { log } = deck;
  const [rows, setRows] = useState<readonly Gathered[]>([]);
  // What the camera tells comes faster than the page is drawn.
  const known = useRef(rows);
  const set = (now: readonly Gathered[]) => {
    known.current = now;
    setRows(now);
  };
  const have = rows[0] ?? null;
  const [trouble, setTrouble] = useState("");
  const [taken, setTaken] = useState<TakenIn | null>(null);
  const clock = useRef<{ readonly phone: string; readonly shownMs: number; readonly readMs: number } | null>(null);
  const busy = useRef(false);
  useWakeLock();
  useEffect(() => {
    // Read before the page was left or the app closed: reading goes on from there.
    pieces.here(log.trip).then((kept) => set(kept.length === 0 ? known.current : known.current.reduce(again, rowsOf(kept))), () => {});
  }, [log]);

  const beginAnew = () => {
    set([]);
    pieces.drop(log.trip).catch(() => {});
  };
  const finish = async (data: Uint8Array<ArrayBuffer>) => {
    setTaken(await takeIn(log, data));
    beginAnew();
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
      const frame = readFrame(text);
      const fresh = known.current.every((row) => row.whole !== frame.whole || !row.pieces.has(frame.index));
      const now = collect(known.current, frame);
      set(now);
      if (fresh) pieces.keep({ trip: log.trip, ...frame }).catch(() => {});
      setTrouble("");
      const whole = joined(now[0]!);
      if (whole === null) return;
      busy.current = true;
      finish(whole as Uint8Array<ArrayBuffer>)
        .catch((error: unknown) => {
          // What the disk refused is read whole: the next picture tries again. What is of something else is dropped.
          if (error instanceof OtherPictures) beginAnew();
          setTrouble(error instanceof OtherPictures ? error.message : "The phone could not store what it read. Keep both pages open and try again.");
        })
        .finally(() => {
          busy.current = false;
        });
    } catch (error) {
      if (!(error instanceof NotAFrame)) throw error;
      if (known.current[0] !== undefined && stillMissing(known.current[0]).length === 0) beginAnew();
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
          {taken.broken > 0 && (
            <>
              <Notice tone="warn">
                {count(taken.broken, "entry does", "entries do")} not follow the one before as their phone wrote it: a phone's log stands here twice, or was changed. All of them are kept; careful readings count.
              </Notice>
              <LinkButton path={`${path}/log`}>Look at them in the boat log</LinkButton>
            </>
          )}
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
        <NoCamera trouble={camera.trouble} path={path} again={camera.again} />
      ) : (
        <video class="camera" ref={camera.place} muted playsInline aria-label="What the camera sees" />
      )}
      <div data-read={read}>
        <BigNumber label="Pictures read" value={have === null ? "none yet" : `${read} of ${have.count}`} note={have === null ? "On the other phone: Show this phone's log" : "Leaving this page or closing the app loses none of them."} />
      </div>
      {trouble !== "" && <Notice tone="warn">{trouble}</Notice>}
      {have !== null && (
        <>
          {read > 1 && read < have.count && <p data-outstanding>Not read yet: {outstanding(have)}. On the other phone, stop at these numbers.</p>}
          {rows.length > 1 && <p>These are pictures of another log than before. What was read of the other is kept.</p>}
          <Button size="large" wide onPress={beginAnew}>
            Begin again
          </Button>
        </>
      )}
    </Page>
  );
}

/** Without the camera there is still a way: the other phone reads, a third one carries, or the deck is taken over by word. */
function NoCamera(props: { readonly trouble: string; readonly path: string; readonly again: () => void }) {
  return (
    <>
      <Notice tone="stop">{props.trouble}</Notice>
      <Button size="large" wide onPress={props.again}>
        Try the camera again
      </Button>
      <Section title="Another way">
        <p>A third phone with this trip can read the other one and take its entries along. With a network both hand in what they have by themselves.</p>
        <div class="heads">
          <LinkButton path={`${props.path}/pictures/show`} tone="act" size="large" wide>
            Show ours, let the other phone read
          </LinkButton>
          <LinkButton path={`${props.path}/take-over`} size="large" wide>
            Take over the deck without its log
          </LinkButton>
        </div>
      </Section>
    </>
  );
}

/** A row read on this page joined with what was kept of it. */
function again(rows: readonly Gathered[], row: Gathered): readonly Gathered[] {
  return [...row.pieces].reduce((found, [index, piece]) => collect(found, { ...row, index, piece }), rows);
}
