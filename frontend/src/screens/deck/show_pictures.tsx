import { useEffect, useState } from "preact/hooks";
import { namesHere } from "../../store/phone.ts";
import { clockPicture, CLOCK_EVERY, OtherPictures, PICTURE_MS, pictures } from "../../sync/pictures.ts";
import { BigNumber, Button, Buttons, LinkButton, Notice, Page, Waiting, type ScreenProps } from "../parts/index.ts";
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
  /** The picture stopped at, for a phone that still lacks it; null: they go round. */
  const [stopped, stop] = useState<number | null>(null);
  /** For a phone that does not have the trip: its people and plan are shown with the log. */
  const [whole, setWhole] = useState(false);
  const entries = log.entries.length;
  useWakeLock();
  useEffect(() => {
    // Only what was there when the page was opened: a row of pictures that changes is never read to its end.
    const ready = whole ? namesHere(log.trip).then((kept) => ({ snapshot: log.record.snapshot, names: kept?.names ?? {}, labels: kept?.labels ?? {} })) : Promise.resolve(null);
    setMade(null);
    stop(null);
    let left = false;
    ready
      .then((trip) => pictures(log, trip))
      .then((row) => left || setMade(row), (error: unknown) => setTrouble(error instanceof OtherPictures ? error.message : "The pictures could not be made. Open this page again."));
    return () => {
      left = true;
    };
  }, [log, whole]);
  useEffect(() => {
    const timer = setInterval(() => setTurn((before) => before + 1), PICTURE_MS);
    return () => clearInterval(timer);
  }, []);
  const device = log.device?.device ?? null;
  const isClock = stopped === null && device !== null && turn % CLOCK_EVERY === 0;
  const piece = stopped ?? (made === null ? 0 : (turn - Math.floor(turn / CLOCK_EVERY)) % made.length);
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
          {stopped === null ? (
            <>
              <p>
                {count(entries, "entry", "entries")} in {count(made.length, "picture")}, over and over, {count(Math.ceil((made.length * PICTURE_MS * CLOCK_EVERY) / (CLOCK_EVERY - 1) / 1000), "second")} a round. In any order; one that is missed comes again.
              </p>
              <Button size="large" wide onPress={() => stop(piece)}>
                Stop at one: the other phone lacks some
              </Button>
            </>
          ) : (
            <>
              <BigNumber label="Picture" value={`${stopped + 1} of ${made.length}`} />
              <Buttons even>
                {[-10, -1, 1, 10].map((step) => (
                  <Button key={step} size="large" label={`${Math.abs(step)} ${step < 0 ? "back" : "on"}`} onPress={() => stop((((stopped + step) % made.length) + made.length) % made.length)}>
                    {step < 0 ? `−${-step}` : `+${step}`}
                  </Button>
                ))}
              </Buttons>
              <Button size="large" wide onPress={() => stop(null)}>
                Let them go round again
              </Button>
            </>
          )}
          <Button size="large" wide pressed={whole} tone={whole ? "act" : "plain"} onPress={() => setWhole(!whole)}>
            For a phone that does not have this trip
          </Button>
          {whole && <p>On that phone: "Read it off another phone", on its first page. Whoever reads these has the names and the plan of this trip.</p>}
          <LinkButton path={`/trips/${log.trip}/pictures/read`} size="large" wide>
            Now read theirs
          </LinkButton>
        </div>
      )}
    </Page>
  );
}
