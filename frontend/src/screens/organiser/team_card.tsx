import { useState } from "preact/hooks";
import { BigNumber, Button, Buttons, Form, LinkButton, List, Notice, NotKnown, Reason, Row, Section, TextField } from "../parts/index.ts";
import type { Reason as Why } from "../words/answers.ts";
import type { TeamsAnswer } from "../words/answers_teams.ts";
import { count } from "../words/format.ts";
import { plain } from "../words/plain.ts";
import { isUnknown, missingText, wholeMinutes, whoseLimit, type Known, type LimitName } from "../words/plan.ts";
import type { TeamsDesk } from "./teams_desk.ts";
import { decided, whyReasons } from "../words/split.ts";
import { holds, toggled } from "./teams_words.ts";
import { reasonText } from "./why_words.ts";

interface CardProps {
  readonly title: string;
  readonly members: readonly string[];
  readonly lead: string | null;
  readonly limit: { readonly min: Known<number | null>; readonly by: LimitName | null; readonly diver: string | null } | null;
  readonly reasons: readonly Why[];
  readonly nameOf: (id: string) => string;
  /** The team's plan. */
  readonly path?: string;
  /** Where wishes may still be made about this team. */
  readonly desk?: TeamsDesk;
}

/** One team: who, who leads, how long and because of whom; why these, one tap away. */
export function TeamCard(props: CardProps) {
  const { desk, nameOf } = props;
  const members = [...props.members].sort((a, b) => Number(b === props.lead) - Number(a === props.lead));
  const locked = desk !== undefined && holds(desk.asked.locked ?? [], members);
  return (
    <li class="desk-card">
      <h3>{props.title}</h3>
      <ul class="desk-members">
        {members.map((id) => (
          <li key={id}>
            {nameOf(id)}
            {id === props.lead && <span class="desk-tag">leads</span>}
          </li>
        ))}
      </ul>
      <Limit {...props} />
      {decided(props.reasons).length > 0 && (
        <Reason title="If one ends the dive">
          <ul>
            {decided(props.reasons).map((reason, n) => (
              <li key={n}>{reasonText(reason, nameOf)}</li>
            ))}
          </ul>
        </Reason>
      )}
      {whyReasons(props.reasons).length > 0 && (
        <Reason title={members.length === 2 ? "Why these two" : "Why these"}>
          <ul>
            {whyReasons(props.reasons).map((reason, n) => (
              <li key={n}>{reasonText(reason, nameOf)}</li>
            ))}
          </ul>
          {props.reasons.some((reason) => reason.code === "stretch") && <p>A stretch is one part of this dive that the diver has not lately done together with all the rest of it.</p>}
        </Reason>
      )}
      {props.path !== undefined && <LinkButton path={props.path}>Plan</LinkButton>}
      {desk !== undefined && (
        <Buttons>
          <Button tone="quiet" pressed={locked} disabled={desk.sending} label={`${locked ? "Kept" : "Keep"}: ${members.map(nameOf).join(" and ")}`} onPress={() => desk.solve({ locked: toggled(desk.asked.locked ?? [], members) })}>
            {locked ? "Kept" : "Keep"}
          </Button>
          <Button
            tone="quiet"
            disabled={desk.sending || locked}
            label={`Not these: ${members.map(nameOf).join(" with ")}`}
            onPress={() => desk.solve({ forbidden: toggled(desk.asked.forbidden ?? [], members) })}
          >
            Not these
          </Button>
        </Buttons>
      )}
    </li>
  );
}

function Limit(props: CardProps) {
  const { limit } = props;
  if (limit === null) return <p>No plan yet: it is worked out when the teams are announced.</p>;
  if (isUnknown(limit.min)) return <NotKnown label="Not more than" what={[missingText(limit.min.not_known, props.nameOf)]} />;
  if (limit.min === null) return <p>No limit binds.</p>;
  return <BigNumber label="Not more than" value={String(wholeMinutes(limit.min))} unit="min" note={whoseLimit(limit.by, limit.diver, props.nameOf)} />;
}

/** Who has no team, and every reason for it. */
export function NotPlaced(props: {
  readonly desk: TeamsDesk;
  readonly people: readonly { readonly id: string; readonly reasons: readonly Why[] }[];
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
              <ul>
                {person.reasons.map((reason, n) => (
                  <li key={n}>{reasonText(reason, desk.nameOf)}</li>
                ))}
                {nextOf(person.id) !== undefined && <li>{plain(nextOf(person.id) ?? "", desk.nameOf)}</li>}
              </ul>
              {person.reasons.length > 0 && person.reasons.every((reason) => reason.overridable) && <Overrule desk={desk} person={person.id} reasons={person.reasons} />}
            </div>
          </Row>
        ))}
      </List>
    </Section>
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
