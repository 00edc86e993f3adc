import { check, isUnaltered } from "../../kernel/boatlog/chain.ts";
import { markOf, textHash, type Entry } from "../../kernel/boatlog/entries.ts";
import type { StoredEntry } from "../../store/records.ts";
import type { TripLog } from "../../store/trip_log.ts";

type Log = Pick<TripLog, "state" | "entries">;

/** Every entry with something wrong, and the codes of what is. */
export function troubled(log: Log): readonly { readonly stored: StoredEntry; readonly codes: readonly string[] }[] {
  // By mark: of two entries that claim one name, each shows only what is wrong with itself.
  const codes = new Map<string, Set<string>>();
  const note = (entry: Entry, code: string) => codes.set(markOf(entry), (codes.get(markOf(entry)) ?? new Set()).add(code));
  for (const line of log.state.byDevice.values()) {
    for (const { code, seq, entries } of check(line)) {
      for (const entry of line) if (entry.seq === seq && entries.includes(entry.id) && (code !== "altered" || !isUnaltered(entry))) note(entry, code);
    }
  }
  const strangers = new Set((log.state.byKind.get("snapshot_taken") ?? []).flatMap(({ data, device }) => (data["joined"] === false ? [device] : [])));
  for (const { entry } of log.entries) if (strangers.has(entry.device)) note(entry, "device_unknown");
  for (const [code, entries] of log.state.aside) for (const entry of entries) note(entry, code);
  for (const { entry, text, trouble } of log.entries) {
    for (const code of trouble ?? []) note(entry, code);
    if (entry.text_hash !== undefined && text === null) note(entry, "text_not_here");
    else if (entry.text_hash !== undefined && text !== null && textHash(text.salt, text.text) !== entry.text_hash) note(entry, "text_altered");
  }
  return log.entries.flatMap((stored) => {
    const found = codes.get(markOf(stored.entry));
    return found === undefined ? [] : [{ stored, codes: [...found].sort() }];
  });
}

/** Phones of which an entry before the last one known here is missing. */
export function missing(log: Log): number {
  return [...log.state.byDevice.values()].filter((line) => check(line).some(({ code }) => code === "missing")).length;
}
