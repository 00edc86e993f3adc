import { useEffect, useReducer, useState } from "preact/hooks";
import { askToPersist } from "../../store/phone.ts";
import { Button, Buttons, LinkButton, List, Notice, Page, Row, type ScreenProps } from "../parts/index.ts";
import { allowedNow, askFix } from "../parts/fix.ts";
import { useInstall } from "../parts/install.ts";
import { ring } from "../parts/ring.ts";
import { OnTrip, SyncStrip } from "./frame.tsx";
import { askPhone, noteRingHeard, readiness } from "./readiness.ts";
import type { Deck } from "./use_trip.ts";

export function Ready({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck) => <ReadyPage deck={deck} />}</OnTrip>;
}

function ReadyPage({ deck }: { readonly deck: Deck }) {
  const [, draw] = useReducer((n: number) => n + 1, 0);
  const [rang, setRang] = useState<boolean | null>(null);
  const install = useInstall();
  const trip = deck.log.trip;
  const look = () => void askPhone().then(() => draw(undefined));
  useEffect(() => {
    look();
    const timer = setInterval(look, 2000);
    return () => clearInterval(timer);
  }, []);
  const checks = readiness(deck);
  const open = checks.filter((check) => !check.done);
  const isOpen = (key: string) => open.some((check) => check.key === key);
  return (
    <>
      <SyncStrip deck={deck} />
      <Page
        title={open.length === 0 ? "This phone is ready for the boat" : "Not ready for the boat yet"}
        back={`/trips/${trip}`}
        backLabel="Trip"
        note="Two phones should be ready, and the paper sheet."
      >
        <List label="Readiness">
          {checks.map((check) => (
            <Row key={check.key} title={check.title} note={check.note} side={check.done ? "yes" : "open"} tone={check.done ? "plain" : "warn"} />
          ))}
        </List>
        <Buttons>
          {isOpen("kept") && (
            <Button tone="act" size="large" onPress={() => void askToPersist().then(look)}>
              Ask the phone to keep it
            </Button>
          )}
          {isOpen("place") && (
            <Button tone="act" size="large" onPress={() => void askFix().then(() => (allowedNow(), look()))}>
              Let it say where it is
            </Button>
          )}
          {install !== null && (
            <Button size="large" onPress={install}>
              Keep it on the home screen
            </Button>
          )}
          <Button
            tone={isOpen("ring") ? "act" : "plain"}
            size="large"
            onPress={() => {
              setRang(ring());
              noteRingHeard(trip, false);
            }}
          >
            Test ring
          </Button>
        </Buttons>
        {rang !== null && (
          <Notice>
            <p>Did you hear it, above the engine?</p>
            <Buttons even>
              <Button
                size="large"
                onPress={() => {
                  noteRingHeard(trip, true);
                  setRang(null);
                }}
              >
                I heard it
              </Button>
              <Button size="large" onPress={() => setRang(null)}>
                No
              </Button>
            </Buttons>
          </Notice>
        )}
        <Notice tone="warn">A phone may not ring when it is locked. A watch stays the second timer.</Notice>
        <LinkButton path={`/trips/${trip}/roll-call`} size="large" wide>
          Roll call before leaving
        </LinkButton>
      </Page>
    </>
  );
}
