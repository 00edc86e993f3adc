import { useState } from "preact/hooks";
import { Button, Buttons, FileField, Form, go, Page, ProblemList, Reason, useSend, type ScreenProps } from "../parts/index.ts";
import { server } from "../../sync/server.ts";
import type { ImportPreview } from "../words/answers.ts";

/** First step of the wizard: the file. Nothing is brought in yet. */
export default function ImportFile(props: ScreenProps) {
  const club = props.params["club"] ?? "";
  const [file, setFile] = useState<File | null>(null);
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const read = () => {
    setAsked(true);
    if (file === null) return;
    send(async () => {
      const form = new FormData();
      form.append("file", file);
      const preview = await server.post<ImportPreview>(`/api/clubs/${club}/imports`, form);
      go(`/organise/imports/${preview.id}`);
    });
  };
  return (
    <Page title="Bring a roster" back={`/organise/clubs/${club}/roster`} backLabel="Roster" note="The spreadsheet you already keep, as it is. You see every row before anything is brought in.">
      <Form label="Bring a roster" onSubmit={read}>
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
        <Reason title="Which columns may it have">
          <p>
            Names are enough to begin. Known are: name, e-mail, telephone, date of birth, certification, certified depth, fitness date, number of dives, last dive, deepest dive, cylinder, working pressure, breathing
            rate, emergency contact. Other columns are left alone. Units and the order of day and month are asked for, never guessed in silence.
          </p>
        </Reason>
      </Form>
    </Page>
  );
}
