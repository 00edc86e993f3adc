import { useState } from "preact/hooks";
import { Buttons, CheckField, Empty, Grid, LinkButton, List, Page, Row, TextField, to, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { useSystem } from "../parts/use_system.tsx";
import { useWide } from "../parts/use_wide.ts";
import { clubsOf, type RosterDiver } from "../words/answers.ts";
import { count } from "../words/format.ts";
import { showCertified, type System } from "../words/units.ts";
import { evidenceWords, fitnessWords, found, missingIn } from "./roster_words.ts";

/** Who dives: certification, fitness and what is missing. */
export default function Roster(props: ScreenProps) {
  const club = props.params["club"] ?? "";
  const mine = clubsOf(props.session?.me).find((one) => one.id === club);
  const system = useSystem(mine?.units.depth);
  const { answer, again } = useServer<{ divers: RosterDiver[] }>(`/api/clubs/${club}/divers`);
  return (
    <Page title="Roster" back="/organise" backLabel="Organise" note={mine?.name} wide>
      {mine?.may.import_roster && (
        <Buttons>
          <LinkButton path={`/organise/clubs/${club}/import`} tone="act">
            Bring a roster
          </LinkButton>
          <LinkButton path={`/organise/clubs/${club}/past-dives`}>Bring past dives</LinkButton>
          <LinkButton path={`/organise/clubs/${club}/divers/new`}>Add one diver</LinkButton>
        </Buttons>
      )}
      <Loaded answer={answer} again={again}>
        {(data) => <Divers divers={data.divers} system={system} />}
      </Loaded>
    </Page>
  );
}

function Divers(props: { readonly divers: readonly RosterDiver[]; readonly system: System }) {
  const [typed, setTyped] = useState("");
  const [only, setOnly] = useState(false);
  const wide = useWide();
  if (props.divers.length === 0) return <Empty>Nobody here yet. Bring the spreadsheet you already keep: nothing has to be typed again.</Empty>;
  const missing = props.divers.filter((diver) => missingIn(diver).length > 0);
  const shown = found(only ? missing : props.divers, typed);
  return (
    <>
      <div class="desk-search">
        <TextField label="Find a diver" type="search" value={typed} onChange={setTyped} />
        {missing.length > 0 && <CheckField label={`Only the ${count(missing.length, "diver")} with something missing`} checked={only} onChange={setOnly} />}
      </div>
      <p role="status">
        {shown.length === props.divers.length ? count(shown.length, "diver") : `${shown.length} of ${count(props.divers.length, "diver")}`}
      </p>
      {wide ? (
        <Grid
          label="Roster"
          head={["Name", "Certified to", "Certification", "Fitness", "Dives", "Last dive", "Missing"]}
          rows={shown.map((diver) => ({
            key: diver.id,
            cells: [
              <a href={to(`/organise/divers/${diver.id}`)}>{diver.name}</a>,
              depthWords(diver, props.system),
              [diver.certification, evidenceWords(diver.evidence)].filter(Boolean).join(" · ") || "–",
              diver.fitness,
              diver.dives ?? "–",
              diver.last_dive ?? "–",
              missingIn(diver).join(", "),
            ],
            ...(missingIn(diver).length > 0 ? { tone: "warn" as const } : {}),
          }))}
        />
      ) : (
        <List label="Roster">
          {shown.map((diver) => (
            <Row
              key={diver.id}
              path={`/organise/divers/${diver.id}`}
              title={diver.name}
              note={missingIn(diver).length > 0 ? `Missing: ${missingIn(diver).join(", ")}` : fitnessWords(diver.fitness)}
              side={depthWords(diver, props.system)}
              {...(missingIn(diver).length > 0 ? { tone: "warn" as const } : {})}
            />
          ))}
        </List>
      )}
    </>
  );
}

function depthWords(diver: RosterDiver, system: System): string {
  return diver.certified_depth === null ? "not known" : showCertified(diver.certified_depth, system);
}
