import { useEffect } from "preact/hooks";
import { happened } from "../../kernel/boatlog/claims.ts";
import { acceptance } from "../../kernel/boatlog/deckwatch.ts";
import { fixNow, watchFix } from "../parts/fix.ts";
import { overdueTeams } from "./overdue.tsx";
import type { Deck } from "./use_trip.ts";

/** Descents whose overdue this page has entered already, before the disk has said so. */
const said = new Set<string>();

/** The phone knows where it is; the one that keeps the deck enters by itself that a team is overdue, once a descent. */
export function useWatch(deck: Deck): void {
  const { log, view } = deck;
  const mine = log.device !== null;
  useEffect(() => (mine ? watchFix() : undefined), [mine]);
  const late = keepsDeck(deck) ? overdueTeams(deck).flatMap(({ id }) => notEntered(deck, id)) : [];
  useEffect(() => {
    for (const { team, key } of late) {
      if (said.has(key)) continue;
      said.add(key);
      log
        .write({ by: null, kind: "overdue_reached", subject: team, data: { people: view.teams[team]?.in_water ?? [], fix: fixNow() } })
        .catch(() => said.delete(key));
    }
  }, [late.map(({ key }) => key).join(" ")]);
}

/** Whether the deck, of several boats this phone's, was last taken on this phone. */
export function keepsDeck({ log, boat }: Pick<Deck, "log" | "boat">): boolean {
  const taken = acceptance(log.state, boat);
  return taken !== undefined && taken.entry.device === log.device?.device;
}

function notEntered({ log, view }: Deck, team: string): readonly { readonly team: string; readonly key: string }[] {
  const own = log.entries.filter(({ entry }) => entry.subject === team);
  const downs = own.filter(({ entry }) => entry.kind === "down").map(({ entry }) => happened(log.state, entry));
  const down = Math.max(0, ...downs);
  const there = own.some(({ entry }) => entry.kind === "overdue_reached" && happened(log.state, entry) >= down);
  return there || (view.teams[team]?.in_water.length ?? 0) === 0 ? [] : [{ team, key: `${team} ${down}` }];
}
