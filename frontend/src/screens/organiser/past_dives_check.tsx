import type { ScreenProps } from "../parts/index.ts";
import { CheckSheet } from "./import_check.tsx";
import { pastDivesWords } from "./import_words.ts";

/** The steps after the file of past dives. */
export default function PastDivesCheck(props: ScreenProps) {
  return <CheckSheet id={props.params["import"] ?? ""} words={pastDivesWords} />;
}
