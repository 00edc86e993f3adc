// Milliseconds a question of the day calculation in TypeScript, text in and text out: the best of five rounds.
// Usage: node day.mjs FILE, a JSON array of bodies. Node reads the kernel's TypeScript as it is.
import { readFileSync } from "node:fs";
import { registerHooks } from "node:module";

const data = new URL("../../teamdive/physics/data/", import.meta.url);
registerHooks({
  resolve: (name, context, next) =>
    name.startsWith("@data/") ? { url: new URL(name.slice(6), data).href, format: "json", shortCircuit: true } : next(name, context),
});
const { day } = await import("../../frontend/src/kernel/calculations/day.ts");
const { parseJson } = await import("../../frontend/src/kernel/calculations/json_text.ts");

const texts = JSON.parse(readFileSync(process.argv[2], "utf8")).map((body) => JSON.stringify(body));
let best = Infinity;
for (let round = 0; round < 5; round++) {
  const started = performance.now();
  for (const text of texts) JSON.stringify(day(parseJson(text)));
  best = Math.min(best, (performance.now() - started) / texts.length);
}
console.log(JSON.stringify({ ms: best }));
