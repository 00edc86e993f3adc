import { BigNumber, Button, Buttons, LinkButton, NotKnown, Reason } from "../parts/index.ts";
import type { Reason as Why } from "../words/answers.ts";
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
