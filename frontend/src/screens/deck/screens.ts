import type { Screen } from "../parts/screen.ts";
import { After } from "./after.tsx";
import { DeckScreen } from "./deck.tsx";
import { DepthScreen } from "./depth.tsx";
import { Emergency } from "./emergency.tsx";
import { HandOver } from "./hand_over.tsx";
import { Home } from "./home.tsx";
import { Lost } from "./lost.tsx";
import { More } from "./more.tsx";
import { NotWell } from "./not_well.tsx";
import { RollCall } from "./roll_call.tsx";
import { Sight } from "./sight.tsx";
import { Trip } from "./trip.tsx";
import { WentIn } from "./went_in.tsx";

/** All here at once: nothing on the deck waits for a file. What is said at the dock, between dives or afterwards is stored a moment later. */
export const screens: readonly Screen[] = [
  { path: "/", title: "Trips", needs: "nothing", show: Home },
  { path: "/read", title: "Read a trip", needs: "nothing", load: () => import("./read_pictures.tsx").then(({ ReadTrip }) => ({ default: ReadTrip })) },
  { path: "/join", title: "Join with a code", needs: "nothing", load: () => import("./dock.ts").then(({ Join }) => ({ default: Join })) },
  { path: "/join/:code", title: "Join with a code", needs: "nothing", load: () => import("./dock.ts").then(({ Join }) => ({ default: Join })) },
  { path: "/trips/:trip", title: "Trip", needs: "nothing", show: Trip },
  { path: "/trips/:trip/take", title: "Bring the trip here", needs: "session", load: () => import("./dock.ts").then(({ Take }) => ({ default: Take })) },
  { path: "/trips/:trip/ready", title: "Ready for the boat", needs: "nothing", load: () => import("./dock.ts").then(({ Ready }) => ({ default: Ready })) },
  { path: "/trips/:trip/deck", title: "Deck", needs: "nothing", frame: "deck", show: DeckScreen },
  { path: "/trips/:trip/hand-over", title: "Who has the deck", needs: "nothing", frame: "deck", show: HandOver },
  { path: "/trips/:trip/hand-over/:team", title: "Who has the deck", needs: "nothing", frame: "deck", show: HandOver },
  { path: "/trips/:trip/team/:team", title: "Change a team", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ ChangeTeam }) => ({ default: ChangeTeam })) },
  { path: "/trips/:trip/depth/:team", title: "Depth", needs: "nothing", frame: "deck", show: DepthScreen },
  { path: "/trips/:trip/bottom-time/:team", title: "Bottom time", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ BottomTime }) => ({ default: BottomTime })) },
  { path: "/trips/:trip/check/:team", title: "Team check", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ TeamCheck }) => ({ default: TeamCheck })) },
  { path: "/trips/:trip/after/:team", title: "Pressure and effort", needs: "nothing", frame: "deck", show: After },
  { path: "/trips/:trip/cover/:dive", title: "Who keeps watch", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Cover }) => ({ default: Cover })) },
  { path: "/trips/:trip/dive/:dive", title: "This dive", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ ThisDive }) => ({ default: ThisDive })) },
  { path: "/trips/:trip/conditions", title: "What the sea is like", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Conditions }) => ({ default: Conditions })) },
  { path: "/trips/:trip/sight", title: "In sight", needs: "nothing", frame: "deck", show: Sight },
  { path: "/trips/:trip/gas", title: "Cylinders", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Gas }) => ({ default: Gas })) },
  { path: "/trips/:trip/fit", title: "Fit to dive", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Fit }) => ({ default: Fit })) },
  { path: "/trips/:trip/joins", title: "Somebody comes along", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Joins }) => ({ default: Joins })) },
  { path: "/trips/:trip/transferred", title: "Who leaves this boat", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Transferred }) => ({ default: Transferred })) },
  { path: "/trips/:trip/transferred/:person", title: "Who leaves this boat", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Transferred }) => ({ default: Transferred })) },
  { path: "/trips/:trip/boat/:boat", title: "Another boat", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ OtherBoat }) => ({ default: OtherBoat })) },
  { path: "/trips/:trip/which-boat", title: "Which boat", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ WhichBoat }) => ({ default: WhichBoat })) },
  { path: "/trips/:trip/from-another-boat", title: "From another boat", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ FromAnotherBoat }) => ({ default: FromAnotherBoat })) },
  { path: "/trips/:trip/on-another-boat", title: "On another boat", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ OnAnotherBoat }) => ({ default: OnAnotherBoat })) },
  { path: "/trips/:trip/remark", title: "Incident or remark", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Remark }) => ({ default: Remark })) },
  { path: "/trips/:trip/felt/:person", title: "What was felt", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Remark }) => ({ default: Remark })) },
  { path: "/trips/:trip/roll-call", title: "Roll call", needs: "nothing", frame: "deck", show: RollCall },
  { path: "/trips/:trip/ashore", title: "Who stays ashore", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Ashore }) => ({ default: Ashore })) },
  { path: "/trips/:trip/went-in", title: "Who went in", needs: "nothing", frame: "deck", show: WentIn },
  { path: "/trips/:trip/interval", title: "Surface interval", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Interval }) => ({ default: Interval })) },
  { path: "/trips/:trip/questions", title: "Questions", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Questions }) => ({ default: Questions })) },
  { path: "/trips/:trip/pictures", title: "Another phone", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ Pictures }) => ({ default: Pictures })) },
  { path: "/trips/:trip/pictures/show", title: "Show the log", needs: "nothing", frame: "deck", load: () => import("./show_pictures.tsx") },
  { path: "/trips/:trip/pictures/read", title: "Read the log", needs: "nothing", frame: "deck", load: () => import("./read_pictures.tsx") },
  { path: "/trips/:trip/take-over", title: "Take over the deck", needs: "nothing", frame: "deck", load: () => import("./dock.ts").then(({ TakeOver }) => ({ default: TakeOver })) },
  { path: "/trips/:trip/more", title: "Something else", needs: "nothing", frame: "deck", show: More },
  { path: "/trips/:trip/not-well", title: "How are they", needs: "nothing", frame: "deck", show: NotWell },
  { path: "/trips/:trip/emergency", title: "Emergency", needs: "nothing", frame: "deck", show: Emergency },
  { path: "/trips/:trip/lost/:person", title: "Words for the radio", needs: "nothing", frame: "deck", show: Lost },
  { path: "/trips/:trip/record", title: "Record of the counts", needs: "nothing", load: () => import("./dock.ts").then(({ RecordOfCounts }) => ({ default: RecordOfCounts })) },
  { path: "/trips/:trip/log/:entry", title: "This was wrong", needs: "nothing", load: () => import("./dock.ts").then(({ Mend }) => ({ default: Mend })) },
  { path: "/trips/:trip/log", title: "Boat log", needs: "nothing", load: () => import("./dock.ts").then(({ LogScreen }) => ({ default: LogScreen })) },
];
