// Who stays out of the water while anybody dives. The twin of pairing/cover.py.

import type { Case } from "./case.ts";
import { COVER_ROLES, type CoverRole, type Person, type Reason, listed, reasonOf } from "./model.ts";

export const COVER_NAMES: Readonly<Record<CoverRole, string>> = {
  boat_handler: "boat handler",
  lookout: "lookout",
  oxygen: "someone able to give oxygen",
  standby: "standby diver",
};

/** Where the club requires it, nobody dives before the cover at the surface is named. */
export function surfaceCover(person: Person, of: Case): Reason | null {
  const lacking = coverLacking(of);
  if (of.policy.surfaceCover !== "required" || lacking.length === 0) return null;
  const message = `Not everybody who stays out of the water is named: missing ${listed(lacking)}.`;
  return reasonOf("surface_cover_missing", [person.id], message, { what: lacking });
}

/** The roles at the surface that nobody has, or whose holder has another one that does not go with it. */
export function coverLacking(of: Pick<Case, "cover" | "policy">): string[] {
  return COVER_ROLES.filter(
    (role) => !of.cover.some(([one, id]) => one === role && mayHold(id, role, of)),
  ).map((role) => COVER_NAMES[role]);
}

function mayHold(id: string, role: CoverRole, of: Pick<Case, "cover" | "policy">): boolean {
  const others = of.cover.filter(([one, held]) => held === id && one !== role).map(([one]) => one);
  return others.every((other) =>
    of.policy.coverCombined.some((group) => group.includes(role) && group.includes(other)),
  );
}
