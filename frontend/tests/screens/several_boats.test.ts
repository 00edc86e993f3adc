// Two boats of one trip, a phone on each: what a phone says of its own boat, and what it may say of the other.
import { expect, test } from "vitest";
import { make } from "../../src/kernel/boatlog/snapshot.ts";
import { aboard } from "../../src/screens/deck/acts.ts";
import { comesAboard, coverHere, here, lastWord, ofBoat, otherBoats, soundsHere, teamOn } from "../../src/screens/deck/boats.ts";
import { saidElsewhere, toCall } from "../../src/screens/deck/counters.ts";
import { mustSound, overdueTeams } from "../../src/screens/deck/overdue.tsx";
import { refused } from "../../src/screens/deck/refusals.ts";
import type { Deck } from "../../src/screens/deck/use_trip.ts";
import { Keeper } from "../../src/store/keeper.ts";
import { MemoryStore } from "../../src/store/memory.ts";
import { TripLog, type Act } from "../../src/store/trip_log.ts";
import { ANA, BEN, CLEO, DIVE, id, SNAPSHOT, START, TEAM, TRIP } from "../sync/boat.ts";

const [DEE, ELI, FAY, THEIRS] = [id(14), id(15), id(16), id(32)];
const [LARGE, SMALL] = [id(81), id(82)];
const MINUTE = 60_000;
const crew = { role: "crew", dives: false, can_lead: false, earlier_dives: null } as const;
const diver = { role: "diver", dives: true, can_lead: false, earlier_dives: [] } as const;
const first = SNAPSHOT.dives[0]!;
const TWO_BOATS = {
  ...SNAPSHOT,
  people: [
    { id: ANA, ...diver, boat: LARGE },
    { id: BEN, ...diver, boat: LARGE },
    { id: CLEO, ...crew, boat: LARGE },
    { id: DEE, ...diver, boat: SMALL },
    { id: ELI, ...diver, boat: SMALL },
    { id: FAY, ...crew, boat: SMALL },
  ],
  dives: [{ ...first, teams: [first.teams[0]!, { ...first.teams[0]!, id: THEIRS, members: [DEE, ELI], lead: DEE }] }],
};

interface OnBoat {
  readonly log: TripLog;
  time: number;
}

async function phone(n: number, boat: string): Promise<OnBoat> {
  const store = new MemoryStore();
  const labels = { boats: { [LARGE]: "Large boat", [SMALL]: "Small boat" } };
  await store.putTrip({ trip: TRIP, hash: make(TWO_BOATS).hash, snapshot: TWO_BOATS, storedAt: START }, { trip: TRIP, names: {}, labels }, { trip: TRIP, device: id(n), token: "t", label: "Phone", key: null });
  const kept = new Map<string, string>();
  const on = { time: START } as { -readonly [K in keyof OnBoat]: OnBoat[K] };
  let drawn = n * 1000;
  const machine = {
    now: () => (on.time += 1000),
    random: (bytes: number) => Uint8Array.from({ length: bytes }, () => (drawn = (drawn * 1103515245 + 12345) % 2147483648) % 256),
    boat: { read: (trip: string) => kept.get(trip) ?? null, keep: (trip: string, name: string) => void kept.set(trip, name) },
  };
  const open = async () => (await TripLog.open(new Keeper(async () => store, (work) => work()), TRIP, machine))!;
  (await open()).isOn(boat);
  on.log = await open();
  return on;
}

function deck({ log }: OnBoat, now: number): Deck {
  const whole = log.view(now);
  return { log, whole, view: ofBoat(whole, log.boat), boat: log.boat, now, earliest: now, latest: now, zone: "UTC" } as unknown as Deck;
}

const hand = (to: OnBoat, from: OnBoat) => to.log.receive(from.log.entries.map((one) => ({ ...one, sent: 1 as const })), null);
const goes = (team: string, members: readonly string[], by: string): Act => ({ by, kind: "down", subject: team, data: { dive: DIVE, members } });
const named = (count: number, seen: readonly string[], by: string): Act => ({ by, kind: "roll_call_taken", subject: TRIP, data: { count: id(count), seen, method: "answered" } });
const late = START + 300 * MINUTE;

test("what is about a boat is about the phone's own, unless it says of which; the choice outlasts a closed app", async () => {
  const large = await phone(41, LARGE);
  const [mine, theirs, nobody] = [await large.log.write({ by: CLEO, kind: "back_aboard", subject: ANA }), await large.log.write(aboard(large.log.view(START), DEE, SMALL)), await large.log.write(goes(TEAM, [ANA, BEN], CLEO))];
  expect([mine.data["boat"], theirs.data["boat"], nobody.data["boat"]]).toEqual([LARGE, SMALL, undefined]);
  large.log.isOn(id(99));
  expect([large.log.boat, (await large.log.write({ by: CLEO, kind: "back_aboard", subject: BEN })).data["boat"]]).toEqual([null, undefined]);
});

test("the deck is that of the phone's own boat, and the other's stands beside it", async () => {
  const [large, small] = [await phone(41, LARGE), await phone(42, SMALL)];
  await large.log.write({ by: CLEO, kind: "deck_accepted", subject: CLEO, data: { from: null } });
  await small.log.write({ by: FAY, kind: "deck_accepted", subject: FAY, data: { from: null } });
  await hand(large, small);
  const shown = deck(large, START + MINUTE);
  expect([shown.view.deck_holder, shown.view.boats[SMALL]!.deck_holder, otherBoats(shown)]).toEqual([CLEO, FAY, [SMALL]]);
  expect([teamOn(shown, TEAM), teamOn(shown, THEIRS), teamOn(shown, THEIRS, SMALL)]).toEqual([true, false, true]);
  expect(here(shown).map(([person]) => person).sort()).toEqual([ANA, BEN, CLEO]);
  expect([comesAboard(shown, ANA), comesAboard(shown, DEE)]).toEqual([LARGE, SMALL]);
  expect([lastWord(shown, SMALL) !== null, lastWord(shown, LARGE)]).toEqual([true, null]);
});

test("silence about another boat's team is no alarm here; its own boat's word, or a descent entered here, is", async () => {
  const [large, small] = [await phone(41, LARGE), await phone(42, SMALL)];
  await small.log.write({ by: FAY, kind: "deck_accepted", subject: FAY, data: { from: null } });
  await small.log.write(goes(THEIRS, [DEE, ELI], FAY));
  await hand(large, small);
  const heard = deck(large, late);
  expect([heard.view.teams[THEIRS]!.status, soundsHere(heard, THEIRS), overdueTeams(heard)]).toEqual(["overdue", false, []]);
  expect(overdueTeams(deck(small, late)).map((team) => team.id)).toEqual([THEIRS]);
  small.time = late;
  await small.log.write({ by: null, kind: "overdue_reached", subject: THEIRS, data: { people: [DEE, ELI] } });
  await hand(large, small);
  expect(overdueTeams(deck(large, late + MINUTE)).map((team) => team.id)).toEqual([THEIRS]);
  // Told by radio and entered here: nobody else may know of it.
  const told = await phone(43, LARGE);
  await told.log.write(goes(THEIRS, [DEE, ELI], CLEO));
  expect(overdueTeams(deck(told, late)).map((team) => team.id)).toEqual([THEIRS]);
});

test("partners on two boats do not go down before their team is changed", async () => {
  const large = await phone(41, LARGE);
  await large.log.write(named(1, [ANA, BEN, CLEO], CLEO));
  const names = { full: String, short: (person: string) => (person === BEN ? "Ben" : "?") };
  expect(refused(deck(large, START + MINUTE), names, TEAM)).toBe(null);
  await large.log.write(aboard(large.log.view(START), BEN, SMALL));
  expect(refused(deck(large, START + MINUTE), names, TEAM)).toEqual({ words: "Ben is on Small boat: change this team.", aboard: [], happens: true });
});

test("another boat's flag and lookout are not this one's", async () => {
  const [large, small] = [await phone(41, LARGE), await phone(42, SMALL)];
  const flag = { boat_handler: null, lookout: FAY, oxygen: null, standby: null, flag_up: true, engine_off: true };
  await small.log.write({ by: FAY, kind: "surface_cover_confirmed", subject: DIVE, data: flag });
  await hand(large, small);
  expect([coverHere(deck(large, START + MINUTE), DIVE), coverHere(deck(small, START + MINUTE), DIVE)?.lookout]).toEqual([null, FAY]);
});

test("the emergency plan of another boat does not silence a team of this one", async () => {
  const [large, small] = [await phone(41, LARGE), await phone(42, SMALL)];
  await large.log.write(goes(TEAM, [ANA, BEN], CLEO));
  const started = (people: readonly string[]): Act => ({ by: FAY, kind: "emergency_started", subject: TRIP, data: { people } });
  small.time = late;
  await small.log.write(started([DEE]));
  await hand(large, small);
  const ours = deck(large, late + MINUTE);
  expect([ours.view.emergency, mustSound(ours)]).toEqual([true, true]);
  large.time = late + MINUTE;
  await large.log.write(started([ANA, BEN]));
  expect(mustSound(deck(large, late + 2 * MINUTE))).toBe(false);
});

test("whom another boat says it has is called there, said to be there here, until its own count names them", async () => {
  const [large, small] = [await phone(41, LARGE), await phone(42, SMALL)];
  await large.log.write(named(1, [ANA, BEN, CLEO], CLEO));
  await large.log.write({ by: CLEO, kind: "transferred", subject: BEN, data: { to: "vessel", boat: SMALL, care: "club", stays: true } });
  const own = (on: Deck) => ({ boat: on.boat!, call: on.view.roll_call });
  const ours = deck(large, START + MINUTE);
  expect([toCall(ours.view.people, own(ours)).called, saidElsewhere(ours.view.people, LARGE)]).toEqual([[ANA, CLEO], [BEN]]);
  await hand(small, large);
  const there = deck(small, START + MINUTE);
  expect([toCall(there.view.people, own(there)).called.includes(BEN), saidElsewhere(there.view.people, SMALL)]).toEqual([true, []]);
  small.time = START + 2 * MINUTE;
  await small.log.write(named(2, [BEN, DEE, ELI, FAY], FAY));
  await hand(large, small);
  const after = deck(large, START + 3 * MINUTE);
  expect([after.view.people[BEN]!.boats, saidElsewhere(after.view.people, LARGE), toCall(after.view.people, own(after)).called]).toEqual([[SMALL], [], [ANA, CLEO]]);
});
