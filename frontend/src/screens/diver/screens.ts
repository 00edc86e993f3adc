import type { Screen } from "../parts/screen.ts";

/** A diver's own pages: the trips, the team tonight, where they stand after a dive, and what they were told. */
export const screens: readonly Screen[] = [
  { path: "/me", title: "Me", needs: "session", load: () => import("./start.tsx") },
  { path: "/me/trips/:trip", title: "My teams", needs: "session", load: () => import("./my_trip.tsx") },
  { path: "/me/trips/:trip/rather-not", title: "Rather not with", needs: "session", load: () => import("./rather_not.tsx") },
  { path: "/me/trips/:trip/depths", title: "Depths as told", needs: "session", load: () => import("./my_depths.tsx") },
  { path: "/me/status", title: "My status", needs: "session", load: () => import("./status.tsx") },
  { path: "/me/inbox", title: "Inbox", needs: "session", load: () => import("./inbox.tsx") },
  { path: "/me/password", title: "Password", needs: "session", load: () => import("./password.tsx") },
  { path: "/me/record/:diver", title: "My record", needs: "session", load: () => import("./record.tsx") },
];
