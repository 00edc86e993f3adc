import { useEffect, useRef, useState } from "preact/hooks";
import type { ComponentChildren } from "preact";
import { joined, NotAFrame, readFrame, stillMissing, type Gathered } from "../../kernel/boatlog/frames.ts";
import { pieces } from "../../store/phone.ts";
import { OtherPictures, readClock, type ClockSeen } from "../../sync/pictures.ts";
import { collect, outstanding, rowsOf } from "../../sync/pieces.ts";
import { BigNumber, Button, Notice, Section } from "../parts/index.ts";
import { useWakeLock } from "../parts/wake_lock.ts";
import { useCamera } from "./camera.ts";

/**
 * Another phone's pictures, read until one row of them is whole. `key`: the trip they are kept under, "" for one that is
 * not here yet. `finish` is given what they hold, and the other phone's clock where it was seen.
 */
export function Reading(props: {
  readonly of: string;
  readonly finish: (data: Uint8Array<ArrayBuffer>, clock: ClockSeen | null) => Promise<void>;
  /** What else can be done where there is no camera. */
  readonly children: ComponentChildren;
}) {
  const { of, finish } = props;
  const [rows, setRows] = useState<readonly Gathered[]>([]);
  const [trouble, setTrouble] = useState("");
  // What the camera tells comes faster than the page is drawn.
  const known = useRef(rows);
  const clock = useRef<ClockSeen | null>(null);
  const busy = useRef(false);
  useWakeLock();
  const set = (now: readonly Gathered[]) => {
    known.current = now;
    setRows(now);
  };
  useEffect(() => {
    // Read before the page was left or the app closed: reading goes on from there.
    pieces.here(of).then((kept) => set(kept.length === 0 ? known.current : known.current.reduce(joinedWith, rowsOf(kept))), () => {});
  }, [of]);
  const beginAnew = () => {
    set([]);
    pieces.drop(of).catch(() => {});
  };
  const onRead = (text: string) => {
    const seen = readClock(text);
    if (seen !== null) {
      clock.current = { ...seen, readMs: Date.now() };
      return;
    }
    if (busy.current) return;
    try {
      const frame = readFrame(text);
      const fresh = known.current.every((row) => row.whole !== frame.whole || !row.pieces.has(frame.index));
      const now = collect(known.current, frame);
      set(now);
      if (fresh) pieces.keep({ trip: of, ...frame }).catch(() => {});
      setTrouble("");
      const whole = joined(now[0]!);
      if (whole === null) return;
      busy.current = true;
      finish(whole as Uint8Array<ArrayBuffer>, clock.current)
        .then(beginAnew)
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
  const have = rows[0] ?? null;
  const read = have === null ? 0 : have.pieces.size;
  if (camera.trouble !== "") {
    return (
      <>
        <Notice tone="stop">{camera.trouble}</Notice>
        <Button size="large" wide onPress={camera.again}>
          Try the camera again
        </Button>
        <Section title="Another way">{props.children}</Section>
      </>
    );
  }
  return (
    <>
      <video class="camera" ref={camera.place} muted playsInline aria-label="What the camera sees" />
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
    </>
  );
}

/** A row read on this page joined with what was kept of it. */
function joinedWith(rows: readonly Gathered[], row: Gathered): readonly Gathered[] {
  return [...row.pieces].reduce((found, [index, piece]) => collect(found, { ...row, index, piece }), rows);
}
