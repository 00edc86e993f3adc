import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { read } from "../../src/kernel/boatlog/entries.ts";
import { fold } from "../../src/kernel/boatlog/fold.ts";
import { NotAFrame, crc32, cut, join, readFrame } from "../../src/kernel/boatlog/frames.ts";
import { knownAt, setHash } from "../../src/kernel/boatlog/past.ts";
import { drafts, gone, toCall } from "../../src/kernel/boatlog/takeover.ts";
import type { Heard } from "../../src/kernel/boatlog/takeover.ts";
import { hex, unhex } from "../../src/kernel/boatlog/sha256.ts";
import { read as readSnapshot } from "../../src/kernel/boatlog/snapshot.ts";
import { view } from "../../src/kernel/boatlog/view.ts";
import { folder } from "./vectors.ts";

interface Case {
  id: string;
  in: Record<string, unknown> & { ask: string };
  out: unknown;
}

const json = <T>(name: string): T => JSON.parse(readFileSync(new URL(name, folder), "utf8")) as T;
const cases = json<{ cases: Case[] }>("handover.json").cases;

const answers: Record<string, (asked: Record<string, unknown>) => unknown> = {
  frames: ({ data, size }) => {
    const bytes = unhex(data as string);
    const made = cut(bytes, size as number);
    expect(hex(join([...made, ...made].reverse())!)).toBe(data);
    if (made.length > 1) expect(join(made.slice(1))).toBeNull();
    return { frames: made, crc32: crc32(bytes) };
  },
  frame: ({ text }) => {
    try {
      return readFrame(text as string);
    } catch (error) {
      if (error instanceof NotAFrame) return { refused: error.message };
      throw error;
    }
  },
  takeover: ({ snapshot, entries, here, heard, lost_at, count, boat }) => {
    const state = fold(readSnapshot(snapshot), (entries as unknown[]).map(read));
    const people = here as string[];
    const of = (boat as string | undefined) ?? null;
    const lost = gone(state, new Set(people), new Map(Object.entries(heard as Record<string, Heard>)), lost_at as number, of);
    return { to_call: toCall(state, of), gone: lost, drafts: drafts(state, people[0]!, new Set(people), lost, lost_at as number, count as string, of) };
  },
  past: ({ snapshot, received, moment }) => {
    const state = knownAt(readSnapshot(snapshot), (received as [number, unknown][]).map(([at, entry]) => [at, read(entry)] as const), moment as number);
    return { held: setHash(state), view: view(state, moment as number) };
  },
};

describe("handing over says what the Python kernel says", () => {
  test("none is left out", () => {
    expect(cases.length).toBe(json<Record<string, number>>("index.json")["handover.json"]);
  });
  test.each(cases.map((each) => [each.id, each] as const))("%s", (_, each) => {
    expect(answers[each.in.ask]!(each.in)).toEqual(each.out);
  });
});
