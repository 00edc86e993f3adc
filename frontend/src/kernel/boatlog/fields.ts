// What several people's corrections of one entry amount to, field by field: what two settled, what is still open.
// The twin of boatlog/fields.py.

import { canonical } from "./canonical.ts";
import { broughtBy, moved } from "./corrections.ts";
import type { Word } from "./corrections.ts";
import { markOf } from "./entries.ts";
import type { Entry } from "./entries.ts";
import { PEOPLE_LISTS } from "./fold.ts";
import { compareEntries } from "./order.ts";
import { concerned, RECORD, settles } from "./settling.ts";

const [VOID, WHEN, WHO, NOTHING] = ["void", "when", "who", "nothing"] as const;
// A team and its people, a lead and theirs: one without the other would be nonsense.
const NAMING: ReadonlySet<string> = new Set([...PEOPLE_LISTS, "lead", "team"]);

type Fields = Readonly<Record<string, string>>;
/** A field and what is said of it, who says so, and the last of them once two agree: up to there it is answered. */
interface Value {
  readonly field: string;
  readonly text: string;
  readonly words: Word[];
  last: Entry | null;
}

/**
 * Words cut to the fields that they are counted for, and what else follows from them. `settled`: for each field the values
 * that two agreed on. `open`: one word for each that nobody answered yet. `voidSettled`, `voidOpen`: two say, or one says,
 * that it did not happen. `conflict`: they say different things of one field; `differ`: that, or several are open. `asked`:
 * ids of the corrections that wait for an answer.
 */
export interface Outcome {
  readonly settled: readonly (readonly Word[])[];
  readonly open: readonly Word[];
  readonly voidSettled: boolean;
  readonly voidOpen: boolean;
  readonly conflict: boolean;
  readonly differ: boolean;
  readonly asked: readonly string[];
}

/** What is settled and what is open of all that was said of an entry; `atOnce`: mistaps put right, no opinions. */
export function outcome(entry: Entry, said: readonly Word[], atOnce: readonly Word[], shift: (readOff: Entry) => number): Outcome {
  const about = new Set([...concerned(entry), ...broughtBy(entry, said)]);
  const later = said.filter((word) => word.denies === null && !atOnce.includes(word));
  const against = denials(entry, said, about);
  const of = new Map(later.map((word) => [word, fieldsOf(word, shift)]));
  const texts = new Map<string, Word[]>();
  const values = new Map<string, Value>();
  for (const word of later) {
    push(texts, canonical(of.get(word)), word);
    for (const [field, text] of Object.entries(of.get(word)!)) {
      const place = placeOf(field, text);
      const value = values.get(place) ?? { field, text, words: [], last: null };
      value.words.push(word);
      values.set(place, value);
    }
  }
  const gone = new Set([...texts.values()].flatMap((words) => {
    const last = lastVoice(entry, against(words), about);
    return last === null ? [] : words.filter(({ correction }) => compareEntries(correction, last) < 0);
  }));
  for (const value of values.values()) value.last = lastOf(entry, value.words, against, gone, about);
  const sure = [...values.values()].filter(({ last }) => last !== null).sort((left, right) => (left.field === right.field ? (left.text < right.text ? -1 : 1) : left.field < right.field ? -1 : 1));
  const open = new Map<string, Word[]>();
  const doubts: Word[] = [];
  for (const words of texts.values()) {
    for (const word of words) {
      const left = Object.fromEntries(Object.entries(of.get(word)!).filter(([field, text]) => values.get(placeOf(field, text))!.last === null && !answered(word, field, sure)));
      if (Object.keys(left).length === 0 || (gone.has(word) && !settles(entry, named(words), about))) continue;
      push(open, canonical(left), cut(word, new Set(Object.keys(left))));
      doubts.push(...against(words));
    }
  }
  const waiting = [...open].sort(([left], [right]) => (left < right ? -1 : 1)).map(([, words]) => words[0]!);
  const fields = [...sure.map(({ field }) => field), ...waiting.flatMap((word) => Object.keys(fieldsOf(word, shift)))];
  const conflict = doubts.length > 0 || new Set(fields).size < fields.length || (fields.includes(VOID) && fields.length > 1);
  const asked = [...doubts, ...[...open.values()].flat(), ...(conflict ? sure.flatMap(({ words }) => words) : [])];
  const settled = new Map<string, Word[]>();
  for (const { field, words } of sure) push(settled, field, cut(words[0]!, new Set([field])));
  return {
    settled: [...settled].filter(([field]) => field !== VOID).map(([, words]) => words),
    open: waiting.filter((word) => !word.void),
    voidSettled: settled.has(VOID),
    voidOpen: waiting.some((word) => word.void),
    conflict,
    differ: conflict || waiting.length > 1,
    asked: [...new Set(asked.map(({ correction }) => correction.id))].sort(),
  };
}

function push<T>(lines: Map<string, T[]>, place: string, item: T): void {
  const line = lines.get(place);
  if (line === undefined) lines.set(place, [item]);
  else line.push(item);
}

function placeOf(field: string, text: string): string {
  return `${field}\n${text}`;
}

/** The same word, saying nothing of any other field. */
function cut(word: Word, fields: ReadonlySet<string>): Word {
  const data = Object.entries(word.data ?? {}).filter(([name]) => fields.has(fieldOf(name)));
  return {
    ...word,
    void: fields.has(VOID),
    data: data.length > 0 ? Object.fromEntries(data) : null,
    ...(fields.has(WHO) ? {} : { subject: null }),
    ...(fields.has(WHEN) ? {} : { at: null, earliest: null, latest: null }),
  };
}

function fieldOf(name: string): string {
  return NAMING.has(name) ? WHO : `data ${name}`;
}

/** What a word says, by field, apart from who says it and why; times by the log's, so that two phones can agree. */
function fieldsOf(word: Word, shift: (readOff: Entry) => number): Fields {
  if (word.void) return { [VOID]: "" };
  const found = new Map<string, [string, unknown][]>();
  if (word.subject !== null) push(found, WHO, ["subject", word.subject]);
  for (const name of ["at", "earliest", "latest"] as const) {
    const instant = word[name];
    if (instant !== null) push(found, WHEN, [name, moved({ [name]: instant.ms }, shift(instant.by))[name]]);
  }
  for (const [name, value] of Object.entries(moved(word.data ?? {}, shift(word.timedBy)))) push(found, fieldOf(name), [name, value]);
  if (found.size === 0) return { [NOTHING]: "" };
  return Object.fromEntries([...found].map(([field, said]) => [field, canonical(Object.fromEntries(said))]));
}

/** Who says of a correction that it should not stand: all but what two others took back again. */
function denials(entry: Entry, said: readonly Word[], about: ReadonlySet<string>): (words: readonly Word[]) => Word[] {
  const found = new Map<string, Word[]>();
  for (const word of said) if (word.denies !== null) push(found, word.denies, word);
  const out = new Set([...found].filter(([, words]) => settles(entry, named(words), about)).map(([mark]) => mark));
  return (words) => words.flatMap(({ correction }) => (found.get(markOf(correction)) ?? []).filter((denial) => !out.has(markOf(denial.correction))));
}

/** The last of those who agree, where two do, nobody took all of it back and nobody disputed any of it since. */
function lastOf(entry: Entry, words: readonly Word[], against: (words: readonly Word[]) => Word[], gone: ReadonlySet<Word>, about: ReadonlySet<string>): Entry | null {
  const last = lastVoice(entry, words, about);
  if (last === null || words.every((word) => gone.has(word))) return null;
  return against(words).every((denial) => compareEntries(denial.correction, last) < 0) ? last : null;
}

/** The last of those who say the same, where they are enough; whoever says it again says nothing new. */
function lastVoice(entry: Entry, words: readonly Word[], about: ReadonlySet<string>): Entry | null {
  if (!settles(entry, named(words), about)) return null;
  const heard = new Set<string>();
  let last: Entry | null = null;
  for (const { correction, disputed } of [...words].sort((left, right) => compareEntries(left.correction, right.correction))) {
    if (correction.by === null || disputed || heard.has(correction.by) || !(RECORD.has(entry.kind) || !about.has(correction.by))) continue;
    heard.add(correction.by);
    last = correction;
  }
  return last;
}

/**
 * Whether two agreed since on that field. Who say when or where it was say too that it happened; that it did not answers the
 * rest only where nobody says so.
 */
function answered(word: Word, field: string, sure: readonly Value[]): boolean {
  const happened = sure.some((value) => value.field !== VOID);
  return sure.some((value) => (value.field === field || field === VOID || (value.field === VOID && !happened)) && compareEntries(word.correction, value.last!) < 0);
}

/** Those whose word nobody disputes. */
function named(words: readonly Word[]): (string | null)[] {
  return words.filter((word) => !word.disputed).map((word) => word.correction.by);
}
