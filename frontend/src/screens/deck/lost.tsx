import { facts } from "../../kernel/boatlog/facts.ts";
import { lostCard, type LostCard } from "../../kernel/boatlog/lost.ts";
import { degreesWords, positionWords, radioWords } from "../../kernel/boatlog/radio.ts";
import { fixNow } from "../parts/fix.ts";
import { Facts, LinkButton, Page, Section, type ScreenProps } from "../parts/index.ts";
import { useWakeLock } from "../parts/wake_lock.ts";
import { clockTime, depth, names as joined, pressure, span } from "../words/format.ts";
import { withDoubt } from "../words/unsure.ts";
import { thisBoat, viewHere } from "./boats.ts";
import { careWords, isCaredFor } from "./care_words.ts";
import { label, OnTrip, SyncStrip, type Names } from "./frame.tsx";
import { downEntries, Unsure } from "./unsure.tsx";
import type { Deck } from "./use_trip.ts";
import { WhomToCall } from "./whom_to_call.tsx";

export function Lost({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <LostPage deck={deck} names={names} person={params["person"] ?? ""} />}</OnTrip>;
}

/** To be read aloud line by line; what nobody entered is said to be not known. */
function LostPage({ deck, names, person }: { readonly deck: Deck; readonly names: Names; readonly person: string }) {
  useWakeLock();
  const { log, view, latest: now } = deck;
  const back = `/trips/${log.trip}/emergency`;
  if (view.people[person] === undefined) {
    return (
      <Page title="Nobody of that name is on this trip" back={back} backLabel="Emergency">
        <p>Go back and choose a name.</p>
      </Page>
    );
  }
  if (isCaredFor(view, person)) return <Care deck={deck} names={names} person={person} />;
  const card = lostCard(log.state, facts(log.state), person, now);
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title={names.full(person)} back={back} backLabel="Emergency" note="Read it aloud, slowly, line by line. The times are UTC.">
        <ol class="radio">
          {radioWords(card, viewHere(deck, person), thisBoat(deck) || "the dive boat", label(deck, "call_sign")).map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ol>
        <WhomToCall deck={deck} />
        <Unsure deck={deck} label="Down and due" span={card.down} entries={downEntries(deck, [person], view.people[person].dive ?? "")} counts="earlier" />
        <Section title="What is entered, by the boat's own time">
          <Facts items={items(card, deck, names)} />
          <LinkButton path={`/trips/${log.trip}/conditions`} size="large" wide>
            Enter current and wind
          </LinkButton>
        </Section>
        <p class="lead">The coastguard's own questions come first. Nothing here is a reason to wait.</p>
      </Page>
    </>
  );
}

/** The same for somebody who is here and not well. */
function Care({ deck, names, person }: { readonly deck: Deck; readonly names: Names; readonly person: string }) {
  const { log } = deck;
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title={names.full(person)} back={`/trips/${log.trip}/emergency`} backLabel="Emergency" note="Read it aloud, slowly, line by line. The times are UTC. If a life is in danger say MAYDAY in place of PAN PAN.">
        <ol class="radio">
          {careWords(log.state, viewHere(deck, person), person, thisBoat(deck) || "the dive boat", label(deck, "call_sign"), fixNow()).map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ol>
        <WhomToCall deck={deck} />
        <p class="lead">The coastguard's and the doctor's own questions come first. Nothing here is a reason to wait.</p>
      </Page>
    </>
  );
}

function items(card: LostCard, deck: Deck, names: Names): readonly (readonly [string, string])[] {
  const at = (instant: number | null, unsureMs = 0) => (instant === null ? "not known" : withDoubt(clockTime(instant, deck.zone), unsureMs));
  const found = card.conditions;
  const current = found?.current_tenths_kn ?? null;
  const wind = found?.wind_kn ?? null;
  const toward = found?.current_toward_deg ?? null;
  const from = found?.wind_from_deg ?? null;
  const here = fixNow();
  return [
    ["With", card.with.length === 0 ? "nobody" : joined(card.with.map(names.full))],
    ["Down at", card.down === null ? at(null) : at(card.down[0], card.down[1] - card.down[0])],
    ["Due at", at(card.due_at)],
    ["Last seen", `${card.last_seen_told ? "" : "some time before "}${at(card.last_seen_at, card.last_seen_unsure_ms)}`],
    ["Where", card.place === null ? "no fix" : `${positionWords(card.place)}, within ${card.place.accuracy_m} m, ${at(card.place.at, card.place.unsure_ms)}`],
    ["This phone now", here === null ? "no fix: read the plotter" : `${positionWords(here)}, within ${here.accuracy_m} m`],
    ["Marker seen at", at(card.marker_seen_at, card.marker_seen_unsure_ms)],
    ["Deepest reported", card.depth === null ? "not known" : depth(card.depth)],
    ["Planned depth", card.planned_depth === null ? "not known" : depth(card.planned_depth)],
    ["Current", current === null ? "not entered" : `${current / 10} kn${toward === null ? "" : ` toward ${degreesWords(toward)}`}`],
    ["Wind", wind === null ? "not entered" : `${wind} kn${from === null ? "" : ` from ${degreesWords(from)}`}`],
    ["A head may be seen from here for", card.visible_for_s?.head == null ? "not known" : span(card.visible_for_s.head)],
    ["Last pressure read", card.gas === null ? "not known" : `${pressure(card.gas.pressure)} at ${at(card.gas.at, card.gas.unsure_ms)}`],
  ];
}
