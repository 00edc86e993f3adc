/** How the duty ashore stands, in words for the desk. */
import type { FloatPlan, ShoreContact, ShoreSent, Trip } from "../words/answers.ts";

type Time = (at: string) => string;

/** One sentence on the duty ashore. */
export function headline(plan: FloatPlan, trip: Pick<Trip, "state">, time: Time): string {
  const said = plan.stands === "home" ? plan.home : plan.handed_over;
  switch (plan.stands) {
    case "nobody":
      if (plan.back_by === null) return "No back-by time is set: nobody ashore is alarmed if this boat does not come back.";
      return trip.state === "planned" ? "Nobody is told yet. The float plan is sent when the trip is made ready." : "Nobody ashore is named: nobody is alarmed if this boat does not come back.";
    case "armed":
      if (reaches(plan)) return "The alarm ashore is armed.";
      return `The alarm ashore is armed, and it would reach nobody: this installation sends no mail.${plan.told_otherwise_by === "" ? "" : ` ${plan.told_otherwise_by} said that they are told another way.`}`;
    case "raised":
      return "ALARM ashore: nobody has taken it yet.";
    case "untaken":
      return "ALARM ashore: everybody was called, and nobody ashore has taken it. The leaders of the club are told.";
    case "acknowledged": {
      const taken = plan.alarms.find((alarm) => alarm.acknowledged !== null)?.acknowledged;
      return taken == null ? "ALARM ashore." : `ALARM ashore: ${taken.by} has it since ${time(taken.at)}.`;
    }
    case "handed_over":
      return said === null ? "The rescue service has it." : `The rescue service has it: ${said.by} said so, ${time(said.at)}.`;
    case "home":
      return said === null ? "All home." : `All home: ${said.by} said so${said.log ? " in the boat log" : ""}, ${time(said.at)}.`;
  }
}

/** Whether anybody at all would hear an alarm. */
export function reaches(plan: Pick<FloatPlan, "mail" | "contacts">): boolean {
  return plan.contacts.some((contact) => contact.account || (plan.mail && contact.email !== ""));
}

export function tone(plan: FloatPlan): "warn" | "stop" | undefined {
  if (plan.stands === "raised" || plan.stands === "untaken") return "stop";
  if (plan.stands === "armed" && !reaches(plan)) return "warn";
  return plan.stands === "acknowledged" || plan.stands === "handed_over" || plan.stands === "nobody" ? "warn" : undefined;
}

/** How a contact is reached, and by which number people call. */
export function contactNote(contact: ShoreContact): string {
  const ways = [contact.email === "" ? "" : `mail to ${contact.email}`, contact.account ? "in the app" : "", contact.phone === "" ? "" : `phone ${contact.phone}`];
  return ways.filter((way) => way !== "").join(" · ") || "nothing reaches this person";
}

const KINDS: Readonly<Record<string, string>> = {
  float_plan: "Float plan",
  back_by_passed: "Alarm: not back",
  not_accounted_for: "Alarm: not accounted for",
  overdue: "Alarm: overdue",
  alarm_over: "The alarm is over",
  all_home: "All home",
};

/** One message to a contact and what became of it. */
export function sentNote(sent: ShoreSent, time: Time): string {
  const what = KINDS[sent.kind] ?? sent.kind.replaceAll("_", " ");
  if (sent.state === "sent") return `${what}: told, ${time(sent.at)}`;
  return `${what}: ${sent.state === "failed" ? "not told, given up" : "not told yet"}`;
}

/** Why the newest message does not reach a contact; null where it did or nothing was sent. */
export function troubleOf(own: readonly ShoreSent[]): string | null {
  const last = own[0];
  return last === undefined || last.error === "" ? null : `Not everything reaches them: ${last.error}.`;
}
