// Who ashore expects the boat: as the server last said it, since when, and kept over a restart.
import { expect, test } from "vitest";
import { withShore } from "../../src/store/records.ts";
import { exchange } from "../../src/sync/exchange.ts";
import { phone, Server, START, TRIP, type Phone } from "./boat.ts";

const round = (one: Phone, server: Server) => exchange(one.log, server, () => one.clock);
const plan = (hour: number, who: string) => ({ back_by: START + hour * 3_600_000, ashore: [who] });

test("each round with the server renews it, and says since when", async () => {
  const [one, server] = [await phone(51), new Server()];
  await round(one, server);
  expect(one.log.labels).toEqual({});
  server.ashore = plan(9, "Bryn Tal");
  await round(one, server);
  expect(one.log.labels).toEqual({ ...plan(9, "Bryn Tal"), told_otherwise: null, ashore_at: START });
  server.ashore = plan(11, "Edda Lorn");
  server.now = () => START + 600_000;
  await round(one, server);
  expect(one.log.labels).toEqual({ ...plan(11, "Edda Lorn"), told_otherwise: null, ashore_at: START + 600_000 });
  // On the disk too: a phone that is opened again without a network still has it.
  expect((await one.store.names(TRIP))?.labels).toEqual(one.log.labels);
});

test("a plan that is taken away is no longer shown, and a round that fails changes nothing", async () => {
  const [one, server] = [await phone(51), new Server()];
  server.ashore = plan(9, "Bryn Tal");
  await round(one, server);
  server.loseBefore = 1;
  server.ashore = {};
  await round(one, server).catch(() => {});
  expect(one.log.labels["ashore"]).toEqual(["Bryn Tal"]);
  await round(one, server);
  expect(one.log.labels).toEqual({ back_by: null, ashore: null, told_otherwise: null, ashore_at: START });
});

test("the same again goes to the disk once a minute, not with every round", async () => {
  const [one, server] = [await phone(51), new Server()];
  server.ashore = plan(9, "Bryn Tal");
  let written = 0;
  const put = one.store.putNames.bind(one.store);
  one.store.putNames = async (names) => {
    written += 1;
    await put(names);
  };
  for (let second = 0; second < 120; second += 5) {
    server.now = () => START + second * 1000;
    await round(one, server);
  }
  expect(written).toBe(2);
  expect(one.log.labels["ashore_at"]).toBe(START + 115_000);
});

test("a disk that does not take it holds up nothing", async () => {
  const [one, server] = [await phone(51), new Server()];
  server.ashore = plan(9, "Bryn Tal");
  one.store.putNames = () => Promise.reject(new Error("the disk is full"));
  await one.log.write({ by: null, kind: "snapshot_taken", subject: TRIP, data: { hash: "0".repeat(64) } });
  await round(one, server);
  expect(server.kept).toHaveLength(1);
  expect(one.log.labels["ashore"]).toEqual(["Bryn Tal"]);
});

test("what else is known of the trip stays, and what is no longer so is gone", () => {
  const labels = withShore({ boat: "Gannet", back_by: 1, ashore: ["A"], told_otherwise: true }, { ashore: ["B"], back_by: 2 }, 5);
  expect(labels).toEqual({ boat: "Gannet", ashore: ["B"], back_by: 2, told_otherwise: null, ashore_at: 5 });
});
