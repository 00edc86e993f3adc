import { useEffect, useState } from "preact/hooks";
import { happened } from "../../kernel/boatlog/claims.ts";
import { markOf } from "../../kernel/boatlog/entries.ts";
import type { StoredEntry, StrayRecord } from "../../store/records.ts";
import { List, Reason, Row, Section } from "../parts/index.ts";
import { clockTime, count } from "../words/format.ts";
import { missing, troubled } from "./trouble.ts";
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
  const found = troubled(deck.log);
  const waiting = missing(deck.log);
  const [strays, setStrays] = useState<readonly StrayRecord[]>([]);
  useEffect(() => void deck.log.strays().then(setStrays, () => {}), [deck.log]);
  if (found.length === 0 && waiting === 0 && strays.length === 0) return null;
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
      {strays.length > 0 && (
        <Reason title={`${count(strays.length, "entry", "entries")} off another phone that this version cannot read, kept as ${strays.length === 1 ? "it" : "they"} came`}>
          {strays.map(({ mark, text }) => (
            <p key={mark} class="row-text">
              {text}
            </p>
          ))}
        </Reason>
      )}
      <div class="apart half" />
    </Section>
  );
}
