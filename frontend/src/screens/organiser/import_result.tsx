import { BigNumber, Buttons, LinkButton, List, Row, Section } from "../parts/index.ts";
import type { ImportResult } from "../words/answers.ts";
import { resultSentence } from "./import_words.ts";

/** What the import did, and who was left out. */
export function Result(props: { readonly result: ImportResult; readonly club: string }) {
  const { result } = props;
  return (
    <>
      <p class="lead" role="status">
        {resultSentence(result)}
      </p>
      <div class="desk-numbers">
        {result.dives === undefined ? (
          <>
            <BigNumber label="Added" value={String(result.new)} />
            <BigNumber label="Changed" value={String(result.changed)} />
          </>
        ) : (
          <>
            <BigNumber label="Dives" value={String(result.dives)} />
            <BigNumber label="Divers" value={String(result.divers ?? 0)} />
          </>
        )}
        <BigNumber label={result.dives === undefined ? "As before" : "Rows as before"} value={String(result.same)} />
      </div>
      {result.left_out.length > 0 && (
        <Section title="Left out">
          <List label="Left out">
            {result.left_out.map((one) => (
              <Row key={one.row} title={one.name === "" ? "(no name)" : one.name} note={`row ${one.row}`} />
            ))}
          </List>
        </Section>
      )}
      <Buttons>
        <LinkButton path={`/organise/clubs/${props.club}/roster`} tone="act">
          Open the roster
        </LinkButton>
        {result.dives === undefined && <LinkButton path={`/organise/clubs/${props.club}/past-dives`}>Bring past dives</LinkButton>}
        <LinkButton path="/organise">Organise</LinkButton>
      </Buttons>
    </>
  );
}
