import { divePlan } from "../../kernel/boatlog/plan.ts";
import type { PlannedTeam } from "../../kernel/boatlog/snapshot.ts";
import { BigNumber, Facts, NotKnown, Reason } from "../parts/index.ts";
import { limitWords, minutes, names as joined, percentOxygen, pressure } from "../words/format.ts";
import { membersOf, type Names } from "./frame.tsx";
import { IfTooLong } from "./team_overstay.tsx";
import type { Deck } from "./use_trip.ts";

/** Whether the dive is no longer the one that its teams' limits were worked out for. */
export function limitsChanged(deck: Deck, team: string): boolean {
  const dive = deck.view.teams[team]?.dive;
  const announced = deck.log.snapshot.dives.find((one) => one.id === dive);
  const plan = dive === undefined ? null : divePlan(deck.log.state, dive);
  if (announced === undefined || plan === null) return false;
  return plan.depth.unit !== announced.depth.unit || plan.depth.hundredths !== announced.depth.hundredths || plan.bottom_time_s !== announced.bottom_time_s;
}

/** The plan of a team as the snapshot has it; null for a team that was made up on the boat, or once the plan changed. */
export function plannedTeam(deck: Deck, team: string): PlannedTeam | null {
  if (limitsChanged(deck, team)) return null;
  for (const dive of deck.log.snapshot.dives) {
    const found = dive.teams.find((one) => one.id === team);
    if (found === undefined) continue;
    const members = deck.view.teams[team]?.members;
    const same = members === undefined || (members.length === found.members.length && found.members.every((person) => members.includes(person)));
    return same ? found : null;
  }
  return null;
}

export function memberNames(deck: Deck, names: Names, team: string): string {
  return joined(membersOf(deck, team).map(names.short));
}

/** How long, whose and which; what binds next, and each diver's own pressures, one tap away. */
export function TeamPlan(props: { readonly deck: Deck; readonly names: Names; readonly team: string }) {
  const plan = plannedTeam(props.deck, props.team);
  if (plan === null || plan.limit_s === null) {
    return (
      <NotKnown
        label="Limit"
        what={[limitsChanged(props.deck, props.team) ? "a limit for the changed plan: its members' own computers and gauges apply" : plan === null ? "a plan: this team was put together after planning; its members' own computers and the lowest of their plans apply" : "see the plan at the desk"]}
      />
    );
  }
  const whose = plan.limiting_diver === null ? "" : `${props.names.short(plan.limiting_diver)}: `;
  const by = plan.limited_by === null ? "" : (limitWords[plan.limited_by] ?? plan.limited_by);
  return (
    <>
      <BigNumber label="Bottom time, not more than" value={minutes(plan.limit_s)} unit="min" note={`${whose}${by}`} />
      <Reason title="Why, and pressures">
        <TeamFacts names={props.names} plan={plan} />
      </Reason>
      <IfTooLong deck={props.deck} names={props.names} team={props.team} />
    </>
  );
}

function TeamFacts(props: { readonly names: Names; readonly plan: PlannedTeam }) {
  const { plan, names } = props;
  const next =
    plan.next_limit_s === null || plan.next_limited_by === null
      ? "nothing else is near"
      : `${minutes(plan.next_limit_s)} min, by ${limitWords[plan.next_limited_by] ?? plan.next_limited_by}`;
  return (
    <>
      <Facts
        items={[
          ["What binds", `${plan.limited_by === null ? "not known" : (limitWords[plan.limited_by] ?? plan.limited_by)}`],
          ["Whose it is", plan.limiting_diver === null ? "the whole team's" : names.full(plan.limiting_diver)],
          ["What binds next", next],
          ["Leads", plan.lead === null ? "not named" : names.full(plan.lead)],
        ]}
      />
      {plan.divers.map((diver) => (
        <Facts
          key={diver.id}
          items={[
            [names.full(diver.id), diver.o2_pm === null ? "gas not analysed" : percentOxygen(diver.o2_pm)],
            ["Minimum gas: go up with at least", diver.minimum_gas === null ? "not known" : pressure(diver.minimum_gas)],
            ["Turn at", diver.turn_pressure === null ? "not known" : pressure(diver.turn_pressure)],
          ]}
        />
      ))}
      <p>The plan yields to the shorter of itself and any team-mate's own computer.</p>
    </>
  );
}
