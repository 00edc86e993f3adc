/** Pages for the dock and for afterwards: in a file of their own, so that the deck is there sooner. */
export { Fit } from "./fit.tsx";
export { Gas } from "./gas.tsx";
export { Joins } from "./joins.tsx";
export { Remark } from "./remark.tsx";
export { RecordOfCounts } from "./record.tsx";
export { ThisDive } from "./this_dive.tsx";
