import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { mustSound } from "../../src/kernel/boatlog/alarm.ts";
import { NotCanonical, canonical, digest, utf8 } from "../../src/kernel/boatlog/canonical.ts";
import { check } from "../../src/kernel/boatlog/chain.ts";
import { happened, ownError, ownOffset, unsure } from "../../src/kernel/boatlog/claims.ts";
import { receive, tick } from "../../src/kernel/boatlog/clock.ts";
import type { Clock } from "../../src/kernel/boatlog/clock.ts";
import { accepting } from "../../src/kernel/boatlog/deckwatch.ts";
import { ending } from "../../src/kernel/boatlog/emergency.ts";
import { hashOf, problems, read, textHash, uuid7 } from "../../src/kernel/boatlog/entries.ts";
import type { Entry } from "../../src/kernel/boatlog/entries.ts";
import { facts } from "../../src/kernel/boatlog/facts.ts";
import { add, begin, fold } from "../../src/kernel/boatlog/fold.ts";
import { lostCard } from "../../src/kernel/boatlog/lost.ts";
import { afterLastDive, nextDive, noFly } from "../../src/kernel/boatlog/nitrogen.ts";
import { met, stepped, type Offset } from "../../src/kernel/boatlog/offsets.ts";
import { overstay } from "../../src/kernel/boatlog/overstay.ts";
import { IN_WATER } from "../../src/kernel/boatlog/presence.ts";
import { due, mayDepart, mayGoDown } from "../../src/kernel/boatlog/questions.ts";
import { radioWords } from "../../src/kernel/boatlog/radio.ts";
import { rollCallRecord } from "../../src/kernel/boatlog/record.ts";
import { maySettle } from "../../src/kernel/boatlog/settling.ts";
import { sha256Hex } from "../../src/kernel/boatlog/sha256.ts";
import { read as readSnapshot } from "../../src/kernel/boatlog/snapshot.ts";
import { view } from "../../src/kernel/boatlog/view.ts";
import { nextSteps } from "../../src/kernel/boatlog/waiting.ts";
import { folder } from "./vectors.ts";

interface Case {
  id: string;
  why: string;
  flags: string[];
  in: Record<string, unknown> & { ask: string };
  out: unknown;
}

const json = <T>(name: string): T => JSON.parse(readFileSync(new URL(name, folder), "utf8")) as T;
const cases = json<{ cases: Case[] }>("boatlog.json").cases;

const answers: Record<string, (asked: Record<string, unknown>) => unknown> = {
  canonical: ({ value }) => {
    try {
      return { text: canonical(value), sha256: digest(value) };
    } catch (error) {
      if (error instanceof NotCanonical) return { refused: error.pointer };
      throw error;
    }
  },
  entry: ({ value }) => problems(value).map(({ pointer, code }) => ({ pointer, code })),
  hash: ({ value, salt, text }) => ({
    hash: hashOf(value as object),
    text_hash: textHash(salt as string, text as string),
    uuid7: uuid7(1_645_557_742_000, Uint8Array.from({ length: 10 }, (_, i) => 240 + i)),
  }),
  clock: ({ last, seen, wall }) => {
    const after = receive(last as Clock | null, seen as Clock, wall as number);
    return [after, tick(after, wall as number)];
  },
  met: ({ mine, theirs, shown_ms, read_ms, shown_for_ms }) =>
    met(mine as Offset | null, theirs as Offset | null, shown_ms as number, read_ms as number, shown_for_ms as number | null),
  stepped: ({ known, step_ms, awake }) => stepped(known as Offset | null, step_ms as number, awake as boolean),
  day: ({ snapshot, entries, now }) => {
    const start = readSnapshot(snapshot);
    const state = fold(start, (entries as unknown[]).map(read));
    const known = facts(state);
    const at = now as number;
    const shown = view(state, at);
    const devices = [...state.byDevice.keys()].sort();
    const lost = [...known.where].filter(([, where]) => IN_WATER.has(where.state)).map(([person]) => person);
    const each = <T>(ids: Iterable<string>, answer: (id: string) => T) => Object.fromEntries([...ids].map((id) => [id, answer(id)]));
    return {
      snapshot_hash: start.hash,
      view: shown,
      record: rollCallRecord(state, known),
      lost: each(lost, (person) => {
        const card = lostCard(state, known, person, at);
        return { card, words: radioWords(card, shown, "Maré", "QQ1234") };
      }),
      sounds: each(known.teams.keys(), (team) => devices.map((device) => mustSound(shown, team, device, at))),
      next_dive: each(known.people.keys(), (person) => nextDive(state, person, at)),
      next_steps: Object.fromEntries([...known.teams].map(([id, team]) => [id, nextSteps(state, team.members, team.dive, at)])),
      after_last_dive: each(known.people.keys(), (person) => afterLastDive(state, person)),
      overstay: each(known.teams.keys(), (team) => overstay(state, team, at)),
      no_fly: each(known.people.keys(), (person) => noFly(state, person)),
      due: due(start, state, at),
      may_go_down: each(known.teams.keys(), (team) => mayGoDown(state, team)),
      accepting: [null, ...known.afloat.boats].map((boat) => accepting(state, boat)),
      ending: ending(state, known.holds),
      may_depart: mayDepart(state),
      ...(known.afloat.boats.length > 0 && { may_depart_by_boat: each(known.afloat.boats, (boat) => mayDepart(state, boat)) }),
      own_offsets: each(devices, (device) => [ownOffset(state, device), ownError(state, device)]),
      unsure: Object.fromEntries([...state.entries.values()].filter((entry) => unsure(state, entry) > 0).map((entry) => [entry.id, unsure(state, entry)])),
      happened: Object.fromEntries(
        [...state.entries.values()].filter((entry) => happened(state, entry) !== entry.at).map((entry) => [entry.id, happened(state, entry)]),
      ),
      may_settle: Object.fromEntries(
        [...new Set(known.questions.flatMap((question) => question.entries))].filter((id) => state.byId.has(id)).map((id) => [
          id,
          state.byId.get(id)!.flatMap((entry) =>
            [[], [...known.people.keys()].sort().slice(0, 1)].map((before) => [...known.people.keys()].filter((person) => maySettle(entry, person, before))),
          ),
        ]),
      ),
      chains: devices.flatMap((device) => check(state.byDevice.get(device)!)),
    };
  },
};

describe("the boat log says what the Python kernel says", () => {
  test("none is left out", () => {
    expect(cases.length).toBe(json<Record<string, number>>("index.json")["boatlog.json"]);
  });
  test.each(cases.map((each) => [each.id, each] as const))("%s", (_, each) => {
    expect(answers[each.in.ask]!(each.in)).toEqual(each.out);
  });
});

describe("the order of arrival does not matter", () => {
  const days = cases.filter((each) => each.in.ask === "day");
  test.each(days.map((each) => [each.id, each] as const))("%s", (_, each) => {
    const entries = (each.in["entries"] as unknown[]).map(read);
    const start = readSnapshot(each.in["snapshot"]);
    const now = each.in["now"] as number;
    // Backwards, with every third one twice, one at a time.
    let state = begin(start);
    for (const entry of [...entries].reverse()) state = add(state, entry);
    for (const entry of entries.filter((_, index) => index % 3 === 0)) state = add(state, { ...entry } as Entry);
    expect(view(state, now)).toEqual((each.out as { view: unknown }).view);
    expect(state.entries.size).toBe(new Set(entries.map((entry) => digest(entry))).size);
  });
});

const random = process.env["TEAMDIVE_BOATLOG_CASES"];
test.runIf(random !== undefined)("random histories are folded alike", { timeout: 3_600_000 }, () => {
  const made = (JSON.parse(readFileSync(random!, "utf8")) as { cases: Case[] }).cases;
  for (const each of made) expect(answers[each.in.ask]!(each.in), each.id).toEqual(each.out);
  console.log(`${made.length} random histories folded alike`);
});

describe("SHA-256", () => {
  // FIPS 180-4's example messages as published by NIST (Cryptographic Standards and Guidelines, examples with
  // intermediate values), and the SHA-256 short-message response file of the CAVP for the empty and one-byte message.
  test.each([
    ["", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"],
    ["abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"],
    ["abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"],
    [
      "abcdefghbcdefghicdefghijdefghijkefghijklfghijklmghijklmnhijklmnoijklmnopjklmnopqklmnopqrlmnopqrsmnopqrstnopqrstu",
      "cf5b16a778af8380036ce59e7b0492370b249b11e8f07a51afac45037afee9d1",
    ],
  ])("of %j", (text, expected) => {
    expect(sha256Hex(utf8(text))).toBe(expected);
  });
  test("of one byte, 0xd3", () => {
    expect(sha256Hex(Uint8Array.of(0xd3))).toBe("28969cdfa74a12c82f3bad960b0b000aca2ac329deea5c2328ebc6f2ba9802c1");
  });
  test("of a million letters a", () => {
    expect(sha256Hex(new Uint8Array(1_000_000).fill(0x61))).toBe("cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
  });
  test("of every length over two blocks, against the platform's own", async () => {
    for (let length = 0; length < 200; length++) {
      const bytes = Uint8Array.from({ length }, (_, i) => (i * 7 + length) & 0xff);
      const own = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
      expect(sha256Hex(bytes)).toBe([...own].map((byte) => byte.toString(16).padStart(2, "0")).join(""));
    }
  });
});

test("half a surrogate pair has no canonical form", () => {
  expect(() => canonical(["\ud800"])).toThrow(NotCanonical);
  expect(() => canonical({ a: "x\udc00y" })).toThrow(NotCanonical);
});
