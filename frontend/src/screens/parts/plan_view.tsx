import type { ComponentChildren } from "preact";
import type { PlanAnswer, PlanDiver } from "../words/answers.ts";
import { isUnknown, limitLines, limitTitles, limitSentence, missingText, whoseLimit, wholeMinutes, type Known, type LimitLine } from "../words/plan.ts";
import { plain } from "../words/plain.ts";
import { showDepth, showPressure, type System } from "../words/units.ts";
import { List, Row } from "./list.tsx";
import { BigNumber, NotKnown } from "./number.tsx";
import { Reason } from "./page.tsx";

type NameOf = (id: string) => string;

/** The number that matters: how long, whose, which; its reason one tap away. */
export function TeamLimit(props: { readonly plan: PlanAnswer; readonly nameOf: NameOf; readonly size?: "huge" }) {
  const { team } = props.plan;
  if (isUnknown(team.limit_min)) {
    return (
      <>
        <NotKnown label="Bottom time, not more than" what={[missingText(team.limit_min.not_known, props.nameOf)]} />
        {team.at_most !== undefined && team.at_most !== null && (
          <p>
            It cannot be more than {wholeMinutes(team.at_most.min)} min: {whoseLimit(team.at_most.limited_by, team.at_most.diver, props.nameOf)}.
          </p>
        )}
      </>
    );
  }
  if (team.limit_min === null) return <BigNumber label="Bottom time" value="no limit" note="none of the limits binds on this dive" />;
  const minutes = wholeMinutes(team.limit_min);
  const binding = limitLines(team.limits).find((line) => line.name === team.limited_by);
  return (
    <>
      <BigNumber
        label="Bottom time, not more than"
        value={String(minutes)}
        unit="min"
        note={whoseLimit(team.limited_by, team.limiting_diver, props.nameOf)}
        {...(props.size === undefined ? {} : { size: props.size })}
        {...(minutes === 0 ? { tone: "stop" as const } : {})}
      />
      {binding?.reason && (
        <Reason>
          <p>{plain(binding.reason, props.nameOf)}</p>
        </Reason>
      )}
    </>
  );
}

/** One line a limit; what is not known says what is missing. */
export function LimitList(props: { readonly lines: readonly LimitLine[]; readonly label: string; readonly binding: string | null; readonly nameOf: NameOf }) {
  return (
    <List label={props.label}>
      {props.lines.map((line) => (
        <Row
          key={line.name}
          title={limitTitles[line.name] ?? line.name}
          note={noteOf(line, props.nameOf)}
          side={line.kind === "minutes" ? `${line.minutes} min` : line.kind === "not_known" ? "not known" : line.name === "certified_depth" ? "allows it" : "no limit"}
          {...(line.kind === "not_known" ? { tone: "warn" as const } : {})}
        >
          {line.kind !== "not_known" && line.reason !== null && (
            <Reason title={props.binding === line.name ? "Why this one binds" : "Why"}>
              <p>{plain(line.reason, props.nameOf)}</p>
            </Reason>
          )}
        </Row>
      ))}
    </List>
  );
}

function noteOf(line: LimitLine, nameOf: NameOf): ComponentChildren {
  if (line.kind === "not_known") return `Missing: ${missingText(line.missing, nameOf)}${line.diver === null ? "" : ` (${nameOf(line.diver)})`}`;
  return line.diver === null || line.name === "planned" ? undefined : nameOf(line.diver);
}

/** One diver's own numbers: the least gas to keep and where to turn, in that diver's gauge. */
export function OwnNumbers(props: { readonly diver: PlanDiver; readonly plan: PlanAnswer; readonly system: System; readonly nameOf: NameOf }) {
  return (
    <div class="desk-numbers">
      <OwnNumber label="My minimum gas" value={props.diver.minimum_gas} show={gaugeOf(props.plan, props.system)} nameOf={props.nameOf} note="start up with at least this" />
      <OwnNumber label="My turn pressure" value={props.diver.turn_pressure} show={gaugeOf(props.plan, props.system)} nameOf={props.nameOf} note="turn the dive at this reading" />
    </div>
  );
}

function OwnNumber(props: { readonly label: string; readonly value: Known<number | null> | undefined; readonly show: (value: number) => string; readonly nameOf: NameOf; readonly note: string }) {
  if (props.value === undefined || props.value === null) return null;
  if (isUnknown(props.value)) return <NotKnown label={props.label} what={[missingText(props.value.not_known, props.nameOf)]} />;
  const [value, unit] = props.show(props.value).split(" ");
  return <BigNumber label={props.label} value={value ?? ""} {...(unit === undefined ? {} : { unit })} note={props.note} />;
}

/** A pressure of this plan in the reader's unit, rounded up. */
export function gaugeOf(plan: PlanAnswer, system: System): (value: number) => string {
  return (value) => showPressure({ unit: plan.pressure_unit ?? "bar", value }, system, "up");
}

/** A number of the plan, or what is missing for it, in one short text. */
export function short<T>(value: Known<T | null> | undefined, show: (value: T) => string, nameOf: NameOf = (id) => id): string {
  if (value === undefined || value === null) return "–";
  return isUnknown(value) ? `not known: ${missingText(value.not_known, nameOf)}` : show(value);
}

/** The plan with its units said: depths are in the dive’s unit, pressures in the club’s. */
export function withUnits(plan: PlanAnswer, depthUnit: "m" | "ft", pressureUnit: "bar" | "psi" | undefined): PlanAnswer {
  return { depth_unit: depthUnit, pressure_unit: pressureUnit ?? "bar", ...plan };
}

export function shortMod(plan: PlanAnswer, diver: PlanDiver, system: System): string {
  return short(diver.mod, (value) => showDepth({ unit: plan.depth_unit ?? "m", hundredths: Math.floor(value * 100) }, system, "shallower"));
}

export function shortLimit(diver: PlanDiver, nameOf: NameOf): string {
  return limitSentence(diver.limit_min, diver.limited_by, diver.id, nameOf);
}

/** The one line that belongs under every plan. */
export function Caution() {
  return (
    <p class="desk-caution">
      This plan advises. Your training, the makers’ manuals, local rules and your own instruments come first: the dive ends at the shortest of this plan and any team-mate’s computer.
    </p>
  );
}
