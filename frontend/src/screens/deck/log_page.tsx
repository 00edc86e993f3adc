import { happened, unsure } from "../../kernel/boatlog/claims.ts";
import type { Fix } from "../../kernel/boatlog/lost.ts";
import { positionWords } from "../../kernel/boatlog/radio.ts";
import { List, Page, Row, type ScreenProps } from "../parts/index.ts";
import { clockTime, minutes } from "../words/format.ts";
import { withDoubt } from "../words/unsure.ts";
import { OnTrip, SyncStrip, type Names } from "./frame.tsx";
import { Trouble } from "./log_trouble.tsx";
import { said } from "./said.ts";
import type { Deck } from "./use_trip.ts";

export function LogScreen({ params }: ScreenProps) {
  return <OnTrip trip={params["trip"] ?? ""}>{(deck, names) => <LogPage deck={deck} names={names} />}</OnTrip>;
}

/** Newest first. Nothing is edited: what was wrong is said in a further entry, and both stay. */
function LogPage({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { log, zone } = deck;
  const newest = [...log.entries].sort((a, b) => b.entry.clock.ms - a.entry.clock.ms || b.entry.clock.n - a.entry.clock.n);
  const mended = new Set(newest.flatMap(({ entry }) => (entry.corrects === undefined ? [] : [entry.corrects])));
  return (
    <>
      <SyncStrip deck={deck} />
      <Page title="Boat log" back={`/trips/${log.trip}`} backLabel="Trip" note="Tap an entry that was wrong. Nothing is changed or deleted here; a correction is a further entry.">
        <Trouble deck={deck} said={(stored) => said(deck, names, stored)} />
        <List label="Entries, newest first">
          {newest.map((stored) => (
            <Row
              key={stored.id}
              title={said(deck, names, stored)}
              note={`${withDoubt(clockTime(happened(log.state, stored.entry), zone), unsure(log.state, stored.entry))}${stored.entry.by === null ? "" : `, said to be by ${names.full(stored.entry.by)}`}${fixWords(stored.entry.data)}${mended.has(stored.id) ? ", corrected" : ""}`}
              side={stored.sent === 1 ? "" : stored.sent === 2 ? "refused by the server" : "only here"}
              {...(correctable.has(stored.entry.kind) ? { path: `/trips/${log.trip}/log/${stored.id}` } : {})}
            />
          ))}
        </List>
      </Page>
    </>
  );
}

const correctable = new Set(["aboard", "ashore", "conditions_found", "dive_called_off", "effort_said", "fit_to_dive_said", "gas_checked", "incident", "joined", "lost_from_sight", "plan_changed", "pressure_reported", "seen_at_surface", "sits_out", "surface_cover_confirmed", "team_check_done", "team_changed", "transferred", "correction", "down", "surfaced", "surfaced_alone", "back_aboard", "marker_seen", "left_bottom", "depth_reported", "person_went_in", "roll_call_taken", "departed", "trip_ended"]);

/** Where the phone was, if the entry carries it; "no fix" where it was asked and had none. */
function fixWords(data: Readonly<Record<string, unknown>>): string {
  if (!("fix" in data)) return "";
  const fix = data["fix"] as Fix | null;
  return fix === null ? ", no fix" : `, ${positionWords(fix)}, within ${fix.accuracy_m} m${(fix.age_s ?? 0) >= 60 ? `, ${minutes(fix.age_s ?? 0)} min before` : ""}`;
}
