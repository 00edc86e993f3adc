// Runs from frontend/checks, where the test packages live; a user's start installs only Vite and TypeScript.
import { fileURLToPath } from "node:url";

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

export default {
  root: here("."),
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  resolve: {
    alias: {
      "@data": here("../teamdive/physics/data"),
      vitest: here("./checks/node_modules/vitest"),
      "fast-check": here("./checks/node_modules/fast-check"),
      "fake-indexeddb": here("./checks/node_modules/fake-indexeddb"),
    },
  },
  server: { fs: { allow: [here("..")] } },
  test: { include: ["tests/**/*.test.ts", "tests/**/*.test.tsx"], maxWorkers: 2, testTimeout: 60_000 },
};
