import { happened } from "../../kernel/boatlog/claims.ts";
import type { StoredEntry } from "../../store/records.ts";
import { clockTime } from "../words/format.ts";
import { undo, wholeTap } from "./acts.ts";
import type { Names } from "./frame.tsx";
import { said } from "./said.ts";
import { DeckButton } from "./deck_button.tsx";
import type { Deck } from "./use_trip.ts";

const UNDO_MS = 10_000;
/** The page's clock ticks once a second: what was written just now may lie ahead of it. */
const AHEAD_MS = 1_500;
const UNDOABLE: ReadonlySet<string> = new Set([
  "aboard",
  "ascended_too_fast",
  "ashore",
  "back_aboard",
  "briefed",
  "conditions_found",
  "departed",
  "depth_reported",
  "distress_call_made",
  "dive_called_off",
  "down",
  "effort_said",
  "fit_to_dive_said",
  "gas_checked",
  "held_from_diving",
  "incident",
  "left_bottom",
  "lost_from_sight",
  "marker_seen",
  "note",
  "oxygen_started",
  "oxygen_stopped",
  "person_went_in",
  "plan_changed",
  "pressure_reported",
  "procedure_step_done",
  "question_settled",
  "recall_acknowledged",
  "recall_given",
  "roll_call_taken",
  "seen_at_surface",
  "separated",
  "sits_out",
  "stop_missed",
  "surface_cover_confirmed",
  "surfaced",
  "surfaced_alone",
  "symptoms_asked",
  "team_changed",
  "team_check_done",
  "transferred",
  "trip_ended",
  "turned",
]);

/** Who says so is one tap on a name, and a wrong name would settle a question. */
function settling({ kind, data }: StoredEntry["entry"]): boolean {
  return kind === "correction" && data["reason"] === "settled";
}

/** The last tap on this phone while it can be taken back. Read from the log: a reload or an alarm does not take it away. */
export function lastTap(deck: Deck): StoredEntry | null {
  const { log, now } = deck;
  let last: StoredEntry | null = null;
  const corrected = new Set<string>();
  for (const stored of log.entries) {
    const { entry } = stored;
    if (entry.corrects !== undefined) corrected.add(entry.corrects);
    if (entry.device !== log.device?.device || !(UNDOABLE.has(entry.kind) || settling(entry))) continue;
    if (last === null || entry.seq > last.entry.seq) last = stored;
  }
  if (last === null || corrected.has(last.id)) return null;
  const age = now - happened(log.state, last.entry);
  return age > -AHEAD_MS && age < UNDO_MS ? last : null;
}

/** In sight on every page, also over an alarm: a wrong "up" or "aboard" hides someone. */
export function Undo({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const last = lastTap(deck);
  const takeBack = async () => {
    for (const { id } of last === null ? [] : wholeTap(deck.log, last)) {
      const what = undo(deck.log, deck.view, id);
      if (what !== null) await deck.log.write(what);
    }
  };
  return (
    <div class="undo" role="status" hidden={last === null}>
      {last !== null && (
        <>
          <span>
            {said(deck, { ...names, full: names.short }, last).replace(/\.$/, "")}, {clockTime(happened(deck.log.state, last.entry), deck.zone)}
          </span>
          <DeckButton row="undo" tone="plain" size="large" onTap={() => void takeBack()}>
            Undo ({Math.min(10, Math.max(1, Math.ceil((happened(deck.log.state, last.entry) + UNDO_MS - deck.now) / 1000)))})
          </DeckButton>
        </>
      )}
    </div>
  );
}
