// Times the phone's search in Chromium on a processor slowed down four times; cases on standard input, times on
// standard output, as JSON. A case is a group of divers with its teams, or a whole question.
import { readFileSync, mkdtempSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

const frontend = resolve(import.meta.dirname, "../../frontend");
const { rolldown } = createRequire(join(frontend, "package.json"))("rolldown");
const { chromium } = createRequire(join(frontend, "checks/package.json"))("playwright-core");
const SLOWER = 4;
const TURNS = 5;

const kernel = join(frontend, "src/kernel");
const entry = `export { best } from ${JSON.stringify(join(kernel, "pairing/optimise.ts"))};
export { teams } from ${JSON.stringify(join(kernel, "calculations/teams.ts"))};`;
const bundle = await rolldown({
  input: "entry",
  resolve: { alias: { "@data": resolve(frontend, "../teamdive/physics/data") } },
  plugins: [{ name: "entry", resolveId: (id) => (id === "entry" ? id : null), load: (id) => (id === "entry" ? entry : null) }],
});
const { output } = await bundle.generate({ format: "iife", name: "kernel" });

const profile = mkdtempSync(join(tmpdir(), "teamdive-bench-"));
const quiet = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"];
const context = await chromium.launchPersistentContext(profile, {
  executablePath: process.argv[2],
  args: [...quiet, "--disable-component-update", "--disable-sync"],
});
try {
  const page = await context.newPage();
  await page.addScriptTag({ content: output[0].code });
  const devtools = await context.newCDPSession(page);
  await devtools.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
  const times = [];
  for (const asked of JSON.parse(readFileSync(0, "utf8"))) {
    times.push(
      await page.evaluate(
        ([one, turns]) => {
          const taken = [];
          for (let turn = 0; turn < turns; turn++) {
            const begun = performance.now();
            if (one.body) kernel.teams(one.body);
            else kernel.best(one.group, one.pairs, () => one.threes, one.regime);
            taken.push(performance.now() - begun);
          }
          return { first: taken[0], median: taken.sort((a, b) => a - b)[turns >> 1] };
        },
        [asked, TURNS],
      ),
    );
  }
  console.log(JSON.stringify(times));
} finally {
  await context.close();
  rmSync(profile, { recursive: true, force: true });
}
