import { happened } from "../../kernel/boatlog/claims.ts";
import { check, isUnaltered } from "../../kernel/boatlog/chain.ts";
import { markOf, textHash, type Entry } from "../../kernel/boatlog/entries.ts";
import type { StoredEntry } from "../../store/records.ts";
import { List, Row, Section } from "../parts/index.ts";
import { clockTime, count } from "../words/format.ts";
import type { Deck } from "./use_trip.ts";

const words: Readonly<Record<string, string>> = {
  altered: "altered after it was written",
  device_revoked: "written by a phone that was taken off this trip",
  device_unknown: "written by a phone that was never let join",
  forked: "two entries of one phone claim the same place; both are kept",
  not_linked: "does not follow the entry before it",
  not_understood: "cannot be read by this version; it is kept and passed on",
  other_trip: "belongs to another trip",
  same_id: "another entry has the same name",
  text_altered: "its words are not the words that were written",
  text_not_here: "its words are not on this phone: not come in yet, or erased",
  unknown_kind: "of a kind that a newer phone wrote; it is kept and passed on",
};

/** What is wrong with entries, each with the entry: nothing is thrown away and nothing of it brings anybody out of the water. */
export function Trouble({ deck, said }: { readonly deck: Deck; readonly said: (stored: StoredEntry) => string }) {
  const found = troubled(deck);
  const waiting = missing(deck);
  if (found.length === 0 && waiting === 0) return null;
  return (
    <Section title="In doubt">
      {waiting > 0 && <p>{count(waiting, "phone")} wrote more than has come in here.</p>}
      {found.length > 0 && (
        <List label="Entries in doubt">
          {found.map(({ stored, codes }) => (
            <Row key={markOf(stored.entry)} tone="warn" title={said(stored)} note={`${clockTime(happened(deck.log.state, stored.entry), deck.zone)}: ${codes.map((code) => words[code] ?? code.replaceAll("_", " ")).join("; ")}`} />
          ))}
        </List>
      )}
      <div class="apart half" />
    </Section>
  );
}

function troubled(deck: Deck): readonly { readonly stored: StoredEntry; readonly codes: readonly string[] }[] {
  const { log } = deck;
  // By mark: of two entries that claim one name, each shows only what is wrong with itself.
  const codes = new Map<string, Set<string>>();
  const note = (entry: Entry, code: string) => codes.set(markOf(entry), (codes.get(markOf(entry)) ?? new Set()).add(code));
  for (const line of log.state.byDevice.values()) {
    for (const { code, seq, entries } of check(line)) {
      for (const entry of line) if (entry.seq === seq && entries.includes(entry.id) && (code !== "altered" || !isUnaltered(entry))) note(entry, code);
    }
  }
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
function missing(deck: Deck): number {
  return [...deck.log.state.byDevice.values()].filter((line) => check(line).some(({ code }) => code === "missing")).length;
}
