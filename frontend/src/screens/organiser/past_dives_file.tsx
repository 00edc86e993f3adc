import type { ScreenProps } from "../parts/index.ts";
import { SheetFile } from "./import_file.tsx";
import { pastDivesWords } from "./import_words.ts";

/** First step of past dives: the file. Teams rest on what each dive asked at the same time, so it is a row a dive. */
export default function PastDivesFile(props: ScreenProps) {
  return (
    <SheetFile
      club={props.params["club"] ?? ""}
      words={pastDivesWords}
      note="One row for each past dive, or one for several dives alike with how many there were. Everyone in it must be on the roster. You see every row before anything is brought in."
      columns={
        <>
          <p>
            Needed are who (name, member number or e-mail), the date and the depth. Known are also: current, visibility, water temperature, after dark, task, task level (0 none, 1 watched it, 2 helped, 3 did it supervised, 4
            did it alone, 5 led others) and how many dives alike, with the date of the latest. Other columns are left alone.
          </p>
          <p>Who has been deep, and who has done the task, has not therefore done both at once: a row says what one dive asked all together. What is left empty counts as not known.</p>
        </>
      }
    />
  );
}
