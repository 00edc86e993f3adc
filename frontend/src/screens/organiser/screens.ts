import type { Screen } from "../parts/screen.ts";

/** Everything at the desk: who comes, with what, who with whom, how long, and whether the trip is ready for the boat. */
export const screens: readonly Screen[] = [
  { path: "/organise", title: "Organise", needs: "session", load: () => import("./start.tsx") },
  { path: "/organise/clubs/:club/roster", title: "Roster", needs: "session", load: () => import("./roster.tsx") },
  { path: "/organise/clubs/:club/divers/new", title: "Add one diver", needs: "session", load: () => import("./diver_new.tsx") },
  { path: "/organise/divers/:diver", title: "Diver", needs: "session", load: () => import("./diver.tsx") },
  { path: "/organise/clubs/:club/import", title: "Bring a roster", needs: "session", load: () => import("./import_file.tsx") },
  { path: "/organise/imports/:import", title: "Check the roster", needs: "session", load: () => import("./import_check.tsx") },
  { path: "/organise/clubs/:club/past-dives", title: "Bring past dives", needs: "session", load: () => import("./past_dives_file.tsx") },
  { path: "/organise/past-dives/:import", title: "Check the past dives", needs: "session", load: () => import("./past_dives_check.tsx") },
  { path: "/organise/clubs/:club/settings", title: "Club settings", needs: "session", load: () => import("./settings.tsx") },
  { path: "/organise/clubs/:club/rules/:group", title: "Rules for teams", needs: "session", load: () => import("./policy.tsx") },
  { path: "/organise/clubs/:club/trips/new", title: "New trip", needs: "session", load: () => import("./trip_new.tsx") },
  { path: "/organise/trips/:trip", title: "Trip", needs: "session", load: () => import("./trip.tsx") },
  { path: "/organise/trips/:trip/change", title: "Change the trip", needs: "session", load: () => import("./trip_change.tsx") },
  { path: "/organise/trips/:trip/dives/:dive/pairability", title: "Can this roster be paired?", needs: "session", load: () => import("./pairability.tsx") },
  { path: "/organise/trips/:trip/people", title: "People on the trip", needs: "session", load: () => import("./people.tsx") },
  { path: "/organise/trips/:trip/people/add", title: "Add people", needs: "session", load: () => import("./people_add.tsx") },
  { path: "/organise/trips/:trip/people/:person/rather-not", title: "Rather not with", needs: "session", load: () => import("./rather_not.tsx") },
  { path: "/organise/trips/:trip/dives/:dive", title: "Dive", needs: "session", load: () => import("./dive.tsx") },
  { path: "/organise/trips/:trip/dives/:dive/gas", title: "Gas", needs: "session", load: () => import("./gas.tsx") },
  { path: "/organise/trips/:trip/dives/:dive/teams", title: "Teams", needs: "session", load: () => import("./teams.tsx") },
  { path: "/organise/trips/:trip/dives/:dive/teams/:team", title: "Plan of a team", needs: "session", load: () => import("./plan.tsx") },
  { path: "/organise/trips/:trip/boat-log", title: "Boat log", needs: "session", load: () => import("./boat_log.tsx") },
  { path: "/organise/trips/:trip/ready", title: "Make the trip ready", needs: "session", load: () => import("./ready.tsx") },
];
