import { useEffect, useState } from "preact/hooks";
import { clockPicture, CLOCK_EVERY, OtherPictures, PICTURE_MS, pictures } from "../../sync/pictures.ts";
import { LinkButton, Notice, Page, Waiting, type ScreenProps } from "../parts/index.ts";
import QrPicture from "../parts/qr_picture.tsx";
import { useWakeLock } from "../parts/wake_lock.ts";
import { count } from "../words/format.ts";
import { OnTrip } from "./frame.tsx";
import type { Deck } from "./use_trip.ts";

export default function ShowPictures({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck) => <ShowPage deck={deck} />}</OnTrip>;
}

/** This phone's whole log as a row of pictures that another phone reads with its camera: no network, any order. */
function ShowPage({ deck }: { readonly deck: Deck }) {
  const { log } = deck;
  const [made, setMade] = useState<readonly string[] | null>(null);
  const [trouble, setTrouble] = useState("");
  const [turn, setTurn] = useState(0);
  const entries = log.entries.length;
  useWakeLock();
  useEffect(() => {
    // Only what was there when the page was opened: a row of pictures that changes is never read to its end.
    pictures(log).then(setMade, (error: unknown) => setTrouble(error instanceof OtherPictures ? error.message : "The pictures could not be made. Open this page again."));
  }, [log]);
  useEffect(() => {
    const timer = setInterval(() => setTurn((before) => before + 1), PICTURE_MS);
    return () => clearInterval(timer);
  }, []);
  const device = log.device?.device ?? null;
  const isClock = device !== null && turn % CLOCK_EVERY === 0;
  const piece = made === null ? 0 : (turn - Math.floor(turn / CLOCK_EVERY)) % made.length;
  return (
    <Page
      title="Hold the other phone over this"
      back={`/trips/${log.trip}/pictures`}
      note={`On the other phone: the same trip, "Something else", "Another phone", "Read another phone's pictures".`}
    >
      {trouble !== "" && <Notice tone="stop">{trouble}</Notice>}
      {made === null && trouble === "" && <Waiting />}
      {made !== null && (
        <div data-pictures={made.length} data-piece={isClock ? -1 : piece}>
          <QrPicture text={isClock ? clockPicture(device, Date.now()) : (made[piece] ?? "")} label="Picture for the other phone's camera" />
          <p>
            {count(entries, "entry", "entries")} in {count(made.length, "picture")}, over and over. In any order; one that is missed comes again.
          </p>
          <LinkButton path={`/trips/${log.trip}/pictures/read`} size="large" wide>
            Now read theirs
          </LinkButton>
        </div>
      )}
    </Page>
  );
}
