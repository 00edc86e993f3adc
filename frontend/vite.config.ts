import { createHash } from "node:crypto";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join, relative, resolve, sep } from "node:path";
import { defineConfig, type Plugin } from "vite";

const here = import.meta.dirname;

/** Writes into dist/sw.js the list of built files and a hash over their contents: a new hash is a new version. */
function precacheList(): Plugin {
  let dist = resolve(here, "dist");
  return {
    name: "precache-list",
    apply: "build",
    configResolved(config) {
      dist = resolve(config.root, config.build.outDir);
    },
    closeBundle() {
      const files = readdirSync(dist, { recursive: true, withFileTypes: true })
        .filter((entry) => entry.isFile())
        .map((entry) => relative(dist, join(entry.parentPath, entry.name)).split(sep).join("/"))
        .filter((name) => name !== "sw.js" && name !== "deck.png" && !name.endsWith(".map"))
        .sort();
      const hash = createHash("sha256");
      for (const name of files) hash.update(name).update(readFileSync(join(dist, name)));
      const worker = join(dist, "sw.js");
      const text = readFileSync(worker, "utf8");
      hash.update(text);
      const list = JSON.stringify(files.map((name) => `/${name === "index.html" ? "" : name}`));
      const filled = text
        .replace(/(["'`])__PRECACHE_FILES__\1/, () => list)
        .replace("__PRECACHE_HASH__", hash.digest("hex").slice(0, 16));
      if (filled.includes("__PRECACHE_")) throw new Error("sw.js has no place for the list of files");
      writeFileSync(worker, filled);
    },
  };
}

/** What the tables and schemas say of themselves is for their readers: the phone reckons with the rows and checks with `$defs`. */
function leanData(): Plugin {
  const lean = (value: unknown, left: ReadonlySet<string>): unknown => {
    if (Array.isArray(value)) return value.map((item) => lean(item, left));
    if (typeof value !== "object" || value === null) return value;
    return Object.fromEntries(
      Object.entries(value)
        .filter(([name, inner]) => !left.has(name) && !(name === "title" && typeof inner === "string"))
        .map(([name, inner]) => [name, lean(inner, left)]),
    );
  };
  // In a table `meta` tells where it comes from; zhl16.json tells it in these. Some say a thing twice, as printed and as counted.
  const own = ["meta", "equations", "anomalies", "verification", "group_on_arrival_semantics", "status", "formula_a", "formula_b", "surface_n2_start_bar", "water_vapour_bar"];
  const twice = ["required_interval", "sea_level_equivalent_depth", "half_time_min", "highest_group", "not_repetitive_after"];
  const told = { schema: new Set(["allOf"]), data: new Set([...own, ...twice]) };
  return {
    name: "lean-data",
    apply: "build",
    enforce: "pre",
    transform(code, id) {
      const folder = /\/(?:boatlog\/(schema)|physics\/(data))\/\w+\.json$/.exec(id.split("?")[0] ?? "");
      if (folder === null) return null;
      return { code: JSON.stringify(lean(JSON.parse(code), folder[1] === undefined ? told.data : told.schema)), map: null };
    },
  };
}

export default defineConfig({
  base: "/",
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  resolve: { alias: { "@data": resolve(here, "../teamdive/physics/data") } },
  build: {
    target: "es2022",
    modulePreload: { polyfill: false },
    rolldownOptions: {
      input: { app: resolve(here, "index.html"), sw: resolve(here, "src/sw/worker.ts") },
      output: {
        // Many small pages share their words: in one file they take a quarter less. Drawing a picture stays apart from reading one.
        codeSplitting: {
          groups: [
            { name: "desk", test: /src\/screens\/organiser\/(?!screens\.ts)|kernel\/pairing\// },
            { name: "own", test: /src\/screens\/diver\/(?!screens\.ts)|parts\/(?:depths_told|plan_view|loaded|use_draft|save|split|use_wide|use_system|units|rather_not|past_dives|record)|words\/(?:boats|plan_sentences|split|units|past_dives|record)/ },
            { name: "pictures", test: /node_modules\/qr\/decode|deck\/(?:read_pictures|read_trip|reading|show_pictures|camera)|sync\/(?:pictures|pieces|reader|bring_trip)\.ts|boatlog\/frames\.ts/ },
            { name: "qr", test: /node_modules\/qr\/(?!decode)|parts\/qr_picture/ },
          ],
          includeDependenciesRecursively: false,
        },
        entryFileNames: (chunk) => (chunk.name === "sw" ? "sw.js" : "assets/[name]-[hash].js"),
      },
    },
  },
  server: { fs: { allow: [resolve(here, "..")] }, proxy: { "/api": "http://127.0.0.1:8000", "/_allauth": "http://127.0.0.1:8000" } },
  plugins: [leanData(), precacheList()],
});
