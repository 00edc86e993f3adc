import { Columns, Empty, Facts, List, Notice, Page, Row, Section, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { useSystem } from "../parts/use_system.tsx";
import { clubsOf, type DiverRecord } from "../words/answers.ts";
import { Account } from "./account.tsx";
import { PastDives } from "../parts/past_dives.tsx";
import { RecordFacts } from "../parts/record.tsx";
import { RecordForm } from "./record_form.tsx";
import { underAge } from "./record_words.ts";
import { missingIn } from "./roster_words.ts";

/** One diver of the roster. */
export default function Diver(props: ScreenProps) {
  const { answer, again } = useServer<DiverRecord>(`/api/divers/${props.params["diver"] ?? ""}`);
  const club = clubsOf(props.session?.me).find((one) => one.may.read_divers);
  const system = useSystem(club?.units.depth);
  const name = answer.state === "here" ? answer.data.name : "Diver";
  return (
    <Page title={name} {...(club === undefined ? {} : { back: `/organise/clubs/${club.id}/roster`, backLabel: "Roster" })} wide>
      <Loaded answer={answer} again={again}>
        {(diver) => (
          <>
            {missingIn(diver).length > 0 && (
              <Notice tone="warn">
                <p>
                  Missing: {missingIn(diver).join(", ")}. Ask {diver.name}, then change the record below, or bring the spreadsheet again: only what differs is changed.
                </p>
              </Notice>
            )}
            <Columns>
              <div>
                <RecordFacts diver={diver} system={system} />
                {club?.may.import_roster && (
                  <details class="reason">
                    <summary>Change the record</summary>
                    <div>
                      <RecordForm diver={diver} again={again} />
                    </div>
                  </details>
                )}
                <PastDives diver={diver.id} name={diver.name} system={system} unit={diver.units.depth} mayAdd={club?.may.import_roster ?? false} />
              </div>
              <div>
                <Section title="To reach them">
                  <Facts
                    items={[
                      ["E-mail", diver.email || "–"],
                      ["Telephone", diver.phone || "–"],
                      ["In an emergency", diver.emergency_contact || "–"],
                      ["Born", diver.born ?? "–"],
                      ...(underAge(diver.born ?? "", new Date().toISOString().slice(0, 10))
                        ? ([
                            ["Guardian’s written consent", diver.guardian_consent === null ? "not known" : diver.guardian_consent ? "on file" : "not on file"],
                            ["Guardian in the club", diver.guardians.map((one) => one.name).join(", ") || "none"],
                          ] as const)
                        : []),
                    ]}
                  />
                </Section>
                {club?.may.manage_accounts && <Account diver={diver} again={again} />}
                {diver.notes !== undefined && diver.notes !== "" && (
                  <Section title="Notes">
                    <p>{diver.notes}</p>
                  </Section>
                )}
                <Section title="Certifications">
                  {diver.certifications.length === 0 ? (
                    <Empty>None on record.</Empty>
                  ) : (
                    <List label="Certifications">
                      {diver.certifications.map((one) => (
                        <Row key={one.id} title={one.name} note={[one.organisation, one.on, one.evidence].filter(Boolean).join(" · ")} />
                      ))}
                    </List>
                  )}
                </Section>
              </div>
            </Columns>
          </>
        )}
      </Loaded>
    </Page>
  );
}
