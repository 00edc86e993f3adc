import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { Button, Buttons, FileField, Form, go, Page, ProblemList, Reason, useSend, type ScreenProps } from "../parts/index.ts";
import { server } from "../../sync/server.ts";
import type { ImportPreview } from "../words/answers.ts";
import { rosterWords, type SheetWords } from "./import_words.ts";

/** First step of the roster: the file. */
export default function ImportFile(props: ScreenProps) {
  return (
    <SheetFile
      club={props.params["club"] ?? ""}
      words={rosterWords}
      note="The spreadsheet you already keep, as it is. You see every row before anything is brought in."
      columns={
        <p>
          Names are enough to begin. Known are: name, e-mail, telephone, date of birth, certification, certified depth, fitness date, number of dives, last dive, deepest dive, cylinder, working pressure, breathing rate,
          emergency contact. Other columns are left alone. Units and the order of day and month are asked for, never guessed in silence.
        </p>
      }
    />
  );
}

/** The file of a sheet of any kind. Nothing is brought in yet. */
export function SheetFile(props: { readonly club: string; readonly words: SheetWords; readonly note: string; readonly columns: ComponentChildren }) {
  const { club, words } = props;
  const [file, setFile] = useState<File | null>(null);
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const read = () => {
    setAsked(true);
    if (file === null) return;
    send(async () => {
      const form = new FormData();
      form.append("file", file);
      const preview = await server.post<ImportPreview>(`/api/clubs/${club}${words.post}`, form);
      go(`${words.page}/${preview.id}`);
    });
  };
  return (
    <Page title={words.bring} back={`/organise/clubs/${club}/roster`} backLabel="Roster" note={props.note}>
      <Form label={words.bring} onSubmit={read}>
        <ProblemList problem={problem} />
        <FileField
          label="Spreadsheet"
          hint="CSV or XLSX, at most 5 MB and 5,000 rows. The first row names the columns."
          accept=".csv,.tsv,.txt,.xlsx"
          onChange={setFile}
          error={asked && file === null ? "Choose the file first." : undefined}
        />
        <Buttons>
          <Button tone="act" submit disabled={sending}>
            {sending ? "Reading …" : "Read the file"}
          </Button>
        </Buttons>
        <Reason title="Which columns may it have">{props.columns}</Reason>
      </Form>
    </Page>
  );
}
