import { useState } from "preact/hooks";
import { Page, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import type { ImportPreview } from "../words/answers.ts";
import { Columns } from "./import_columns.tsx";
import { Result } from "./import_result.tsx";
import { Rows } from "./import_rows.tsx";
import { rosterWords, type SheetWords } from "./import_words.ts";

/** The steps after the file of the roster. */
export default function ImportCheck(props: ScreenProps) {
  return <CheckSheet id={props.params["import"] ?? ""} words={rosterWords} />;
}

/** The columns, the rows, the result, of a sheet of any kind. Each address can be left and opened again. */
export function CheckSheet(props: { readonly id: string; readonly words: SheetWords }) {
  const { words } = props;
  const path = `/api${words.one}/${props.id}`;
  const { answer, again } = useServer<ImportPreview>(path);
  return (
    <Loaded answer={answer} again={again} alone={{ title: words.check, back: "/organise" }}>
      {(first) => <Steps key={first.id} first={first} path={path} words={words} />}
    </Loaded>
  );
}

function Steps(props: { readonly first: ImportPreview; readonly path: string; readonly words: SheetWords }) {
  const [preview, setPreview] = useState(props.first);
  const [columnsAgain, setColumnsAgain] = useState(false);
  const change = (next: ImportPreview) => {
    setPreview(next);
    setColumnsAgain(next.columns.some((column) => column.question !== null));
    scrollTo(0, 0);
  };
  const roster = `/organise/clubs/${preview.club}/roster`;
  if (preview.state === "applied" && preview.result !== null) {
    return (
      <Page title={props.words.brought} back={roster} backLabel="Roster" note={preview.file_name}>
        <Result result={preview.result} club={preview.club} />
      </Page>
    );
  }
  if (!preview.confirmed || columnsAgain) {
    return (
      <Page title="What is in each column" back={roster} backLabel="Roster" note={`${preview.file_name} · step 1 of 2 · nothing is brought in yet`} wide>
        <Columns preview={preview} path={props.path} onChange={change} />
      </Page>
    );
  }
  return (
    <Page title="Check the rows" back={roster} backLabel="Roster" note={`${preview.file_name} · step 2 of 2 · nothing is brought in yet`} wide>
      <Rows preview={preview} path={props.path} onChange={change} onColumns={() => setColumnsAgain(true)} />
    </Page>
  );
}
