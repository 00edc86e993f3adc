import { useState } from "preact/hooks";
import { Button, Form, LinkButton, List, Notice, Reason, Row, Section, TextField } from "../parts/index.ts";
import type { Reason as Why } from "../words/answers.ts";
import type { NotPlacedDiver, TeamsAnswer } from "../words/answers_teams.ts";
import { count } from "../words/format.ts";
import { plain } from "../words/plain.ts";
import type { TeamsDesk } from "./teams_desk.ts";
import { reasonText } from "./why_words.ts";

/** Who has no team, and every reason for it. */
export function NotPlaced(props: {
  readonly desk: TeamsDesk;
  readonly people: readonly NotPlacedDiver[];
  /** What each diver could dive next, one step away. */
  readonly next?: TeamsAnswer["divers"];
}) {
  const { desk } = props;
  const nextOf = (id: string) => props.next?.find((one) => one.id === id)?.proposal?.message;
  if (props.people.length === 0) return null;
  return (
    <Section title="Not in a team on this dive">
      <PastDivesMissing desk={desk} reasons={props.people.flatMap((person) => person.reasons)} />
      <List label="Not in a team on this dive">
        {props.people.map((person) => (
          <Row key={person.id} title={desk.nameOf(person.id)} tone="warn">
            <div class="desk-row">
              <WhyNoPlace person={person} nameOf={desk.nameOf} next={nextOf(person.id)} />
              {person.reasons.length > 0 && person.reasons.every((reason) => reason.overridable) && <Overrule desk={desk} person={person.id} reasons={person.reasons} />}
            </div>
          </Row>
        ))}
      </List>
    </Section>
  );
}

/** The facts that leave somebody out, what would give them a place, and every single rule one tap away. */
export function WhyNoPlace(props: { readonly person: NotPlacedDiver; readonly nameOf: (id: string) => string; readonly next?: string | undefined }) {
  const { person, nameOf } = props;
  const facts = (person.facts ?? []).length > 0 ? (person.facts ?? []) : person.reasons;
  const told = new Set(facts.map((fact) => fact.message));
  const others = person.reasons.filter((reason) => !told.has(reason.message));
  const remedies = person.remedies ?? [];
  return (
    <>
      <ul>
        {facts.map((fact, n) => (
          <li key={n}>{reasonText(fact, nameOf)}</li>
        ))}
      </ul>
      {(remedies.length > 0 || props.next !== undefined) && (
        <>
          <p class="desk-remedy">What would help</p>
          <ul>
            {remedies.map((remedy) => (
              <li key={remedy.message}>{plain(remedy.message, nameOf)}</li>
            ))}
            {props.next !== undefined && <li>{plain(props.next, nameOf)}</li>}
          </ul>
        </>
      )}
      {others.length > 0 && (
        <Reason title="Every rule">
          <ul>
            {others.map((reason, n) => (
              <li key={n}>{reasonText(reason, nameOf)}</li>
            ))}
          </ul>
        </Reason>
      )}
    </>
  );
}

/** Where logs are not known, the way to bring them: without past dives nobody can be placed. */
export function PastDivesMissing(props: { readonly desk: TeamsDesk; readonly reasons: readonly Why[] }) {
  const { trip } = props.desk.here;
  const who = new Set(props.reasons.filter((reason) => reason.code === "experience_not_known").flatMap((reason) => reason.divers ?? []));
  if (who.size === 0) return null;
  return (
    <Notice tone="info">
      <p>Past dives are missing for {count(who.size, "diver")}: what someone has done, all at once, decides beside whom they dive.</p>
      <LinkButton path={`/organise/clubs/${trip.club}/past-dives`}>Bring past dives</LinkButton>
    </Notice>
  );
}

/** It advises; people decide: with a reason that stays in the record, and never for oneself. */
function Overrule(props: { readonly desk: TeamsDesk; readonly person: string; readonly reasons: readonly Why[] }) {
  const { desk, person } = props;
  const [reason, setReason] = useState("");
  const [asked, setAsked] = useState(false);
  const missing = reason.trim() === "" ? "Say why: it stays in the record." : undefined;
  return (
    <details class="reason">
      <summary>Decide otherwise</summary>
      <div>
        <Form
          label={`Decide otherwise for ${desk.nameOf(person)}`}
          onSubmit={() => {
            setAsked(true);
            if (missing !== undefined) return;
            const more = props.reasons.map((one) => ({ rule: one.code, diver: person, reason: reason.trim() }));
            desk.solve({ overrides: [...(desk.asked.overrides ?? []), ...more] });
          }}
        >
          <TextField
            label={`Why ${desk.nameOf(person)} may dive this dive all the same`}
            hint="Your name and the reason stay with the plan. Not for yourself."
            value={reason}
            onChange={setReason}
            error={asked ? missing : undefined}
          />
          <Button submit disabled={desk.sending}>
            Set the rule aside and find teams
          </Button>
        </Form>
      </div>
    </details>
  );
}
