/** Pages for the dock, for afterwards and for another phone: in a file of their own, so that the deck is there sooner. */
export { Ashore } from "./ashore.tsx";
export { Fit } from "./fit.tsx";
export { Gas } from "./gas.tsx";
export { Join } from "./join.tsx";
export { Joins } from "./joins.tsx";
export { LogScreen } from "./log_page.tsx";
export { Mend } from "./mend.tsx";
export { Pictures } from "./pictures.tsx";
export { Questions } from "./questions_page.tsx";
export { Ready } from "./ready.tsx";
export { RecordOfCounts } from "./record.tsx";
export { Remark } from "./remark.tsx";
export { Take } from "./take.tsx";
export { TakeOver } from "./take_over.tsx";
export { ThisDive } from "./this_dive.tsx";
export { Transferred } from "./transferred.tsx";
