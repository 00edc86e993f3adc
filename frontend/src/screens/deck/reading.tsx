import { useEffect, useReducer, useRef, useState } from "preact/hooks";
import type { ComponentChildren } from "preact";
import { pieces } from "../../store/phone.ts";
import type { ClockSeen } from "../../sync/pictures.ts";
import { outstanding } from "../../sync/pieces.ts";
import { PictureReader } from "../../sync/reader.ts";
import { BigNumber, Button, Notice, Section } from "../parts/index.ts";
import { useWakeLock } from "../parts/wake_lock.ts";
import { useCamera } from "./camera.ts";

/**
 * Another phone's pictures, read until one row of them is whole. `of`: the trip they are kept under, "" for one that is
 * not here yet. `finish` is given what they hold, and the other phone's clock where it was seen.
 */
export function Reading(props: {
  readonly of: string;
  readonly finish: (data: Uint8Array<ArrayBuffer>, clock: ClockSeen | null) => Promise<void>;
  /** What else can be done where there is no camera. */
  readonly children: ComponentChildren;
}) {
  const { of, finish } = props;
  const [, draw] = useReducer((n: number) => n + 1, 0);
  const last = useRef(finish);
  last.current = finish;
  const [reader] = useState(() => new PictureReader(of, pieces, (data, clock) => last.current(data, clock), () => draw(undefined), () => Date.now()));
  useWakeLock();
  useEffect(() => {
    reader.begin().catch(() => {});
  }, [reader]);
  const camera = useCamera((text) => reader.read(text));
  const { rows, trouble } = reader;
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
          {rows.length > 1 && <p>What was read of other pictures before is kept.</p>}
          <Button size="large" wide onPress={() => reader.beginAnew()}>
            Begin again
          </Button>
        </>
      )}
    </>
  );
}
