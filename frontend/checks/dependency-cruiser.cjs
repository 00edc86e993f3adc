// Rooms of the phone only look down: app > screens > sync > store > kernel; the kernel uses no package.
/** @type {import("dependency-cruiser").IConfiguration} */
module.exports = {
  forbidden: [
    { name: "no-circles", severity: "error", from: {}, to: { circular: true } },
    { name: "kernel-looks-at-nothing-above", severity: "error", from: { path: "^src/kernel" }, to: { path: "^src/(?!kernel)" } },
    { name: "kernel-uses-no-package", severity: "error", from: { path: "^src/kernel" }, to: { dependencyTypes: ["npm", "npm-dev", "core"] } },
    { name: "physics-is-the-bottom", severity: "error", from: { path: "^src/kernel/physics" }, to: { path: "^src/kernel/(?!physics)" } },
    {
      name: "pairing-and-boatlog-stand-apart",
      severity: "error",
      from: { path: "^src/kernel/(pairing|boatlog)" },
      to: { path: "^src/kernel/(?!physics|$1)" },
    },
    { name: "store-below-sync", severity: "error", from: { path: "^src/store" }, to: { path: "^src/(sync|screens|app|sw)" } },
    { name: "sync-below-screens", severity: "error", from: { path: "^src/sync" }, to: { path: "^src/(screens|sw)" } },
    { name: "the-worker-stands-alone", severity: "error", from: { path: "^src/sw" }, to: { path: "^src/(?!sw)" } },
    { name: "nothing-unresolved", severity: "error", from: {}, to: { couldNotResolve: true } },
  ],
  options: {
    doNotFollow: { path: "node_modules" },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: "tsconfig.app.json" },
    enhancedResolveOptions: { extensions: [".ts", ".tsx", ".js", ".json"] },
  },
};
