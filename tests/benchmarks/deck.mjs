// Milliseconds of the boat log's fold, of one more entry and of the view in TypeScript; the best of some rounds.
// Usage: node deck.mjs FILE, an object of snapshot, lines (JSON texts of entries), now and rounds.
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { registerHooks } from "node:module";

const teamdive = new URL("../../teamdive/", import.meta.url);
const folders = { "@data/": "physics/data/", "@schema/": "boatlog/schema/" };
registerHooks({
  resolve: (name, context, next) => {
    const found = Object.keys(folders).find((prefix) => name.startsWith(prefix));
    if (found === undefined) return next(name, context);
    return { url: new URL(folders[found] + name.slice(found.length), teamdive).href, format: "json", shortCircuit: true };
  },
});
const kernel = "../../frontend/src/kernel/boatlog/";
const { read } = await import(`${kernel}entries.ts`);
const { add, fold } = await import(`${kernel}fold.ts`);
const { read: readSnapshot } = await import(`${kernel}snapshot.ts`);
const { view } = await import(`${kernel}view.ts`);

const { snapshot, lines, now, rounds } = JSON.parse(readFileSync(process.argv[2], "utf8"));
const best = (work, times) => {
  let least = Infinity;
  for (let n = 0; n < times; n += 1) {
    const started = performance.now();
    work();
    least = Math.min(least, performance.now() - started);
  }
  return least;
};
const sorted = (value) =>
  value !== null && typeof value === "object" && !Array.isArray(value)
    ? Object.fromEntries(Object.keys(value).sort().map((key) => [key, sorted(value[key])]))
    : value;
/** The least that any checked log must do with the same entries: parse, hash, put in order. */
const least = () => {
  const found = lines.map((line) => {
    const { hash, ...rest } = JSON.parse(line);
    if (createHash("sha256").update(JSON.stringify(sorted(rest))).digest("hex") !== hash) throw new Error("a hash differs");
    return [rest.clock.ms, rest.id];
  });
  return found.sort((a, b) => a[0] - b[0] || (a[1] < b[1] ? -1 : 1));
};
const plan = readSnapshot(snapshot);
const parse = (line) => read(JSON.parse(line));
const before = fold(plan, lines.slice(0, -1).map(parse));
const last = lines.at(-1);
const state = add(before, parse(last));
console.log(
  JSON.stringify({
    fold: best(() => fold(plan, lines.map(parse)), rounds),
    add: best(() => add(before, parse(last)), 20),
    view: best(() => view(state, now), rounds),
    least: best(least, rounds),
  }),
);
