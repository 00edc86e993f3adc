/** Moving people between teams by hand, and what is different from what was announced. */

export interface Draft {
  readonly members: readonly string[];
  readonly lead: string | null;
  /** One leader and those in their care, up to the club's ratio. */
  readonly guided?: boolean;
}

/** A proposed team as it is announced or changed by hand. */
export function draftOf(team: { readonly divers: readonly string[]; readonly lead: string | null; readonly kind?: string }): Draft {
  return { members: team.divers, lead: team.lead, ...(team.kind === "guided" ? { guided: true } : {}) };
}

/** Teams that people made, as the question takes them: each as it stands. */
export function fixed(teams: readonly Draft[]): { readonly locked: readonly (readonly string[])[]; readonly guided: readonly (readonly string[])[] } {
  const members = (guided: boolean) => teams.filter((team) => (team.guided === true) === guided).map((team) => team.members);
  return { locked: members(false), guided: members(true) };
}

/** The two people change places; each keeps nothing of the other, so a lead who leaves a team leads it no more. */
export function swapped(teams: readonly Draft[], one: string, other: string): Draft[] {
  if (one === other) return [...teams];
  const exchange = (id: string) => (id === one ? other : id === other ? one : id);
  return teams.map((team) => withLead(team, team.members.map(exchange)));
}

/** The person joins that team; a team left with no one goes. */
export function moved(teams: readonly Draft[], person: string, to: number): Draft[] {
  return teams
    .map((team, n) => {
      const others = team.members.filter((id) => id !== person);
      return withLead(team, n === to ? [...others, person] : others);
    })
    .filter((team) => team.members.length > 0);
}

function withLead(team: Draft, members: readonly string[]): Draft {
  return { ...(team.guided === true ? { guided: true } : {}), members, lead: team.lead !== null && members.includes(team.lead) ? team.lead : null };
}

/** Why a draft cannot be asked for yet; empty when it can. */
export function unfinished(teams: readonly Draft[], nameOf: (id: string) => string): string[] {
  return teams.flatMap((team) => {
    const [only] = team.members;
    if (team.members.length === 1 && only !== undefined) return [`${nameOf(only)} is alone: move ${nameOf(only)} to a team, or someone to ${nameOf(only)}.`];
    if (team.members.length > 3 && team.guided !== true) return [`${team.members.map(nameOf).join(", ")}: a team has two or three divers.`];
    return [];
  });
}

function key(members: readonly string[]): string {
  return [...members].sort().join(" ");
}

/** Whether both name the same teams, whatever the order. */
export function sameTeams(one: readonly (readonly string[])[], other: readonly (readonly string[])[]): boolean {
  const keys = (teams: readonly (readonly string[])[]) => teams.map(key).sort().join("|");
  return keys(one) === keys(other);
}

/** Those whose team is not the one that was announced to them. */
export function changedFor(announced: readonly (readonly string[])[], teams: readonly (readonly string[])[]): string[] {
  const before = new Map(announced.flatMap((members) => members.map((id) => [id, key(members)] as const)));
  const now = new Map(teams.flatMap((members) => members.map((id) => [id, key(members)] as const)));
  return [...new Set([...before.keys(), ...now.keys()])].filter((id) => before.get(id) !== now.get(id)).sort();
}

/** Adds a set of people to a list of such sets once; takes it out when it is there. */
export function toggled(sets: readonly (readonly string[])[], members: readonly string[]): string[][] {
  const wanted = key(members);
  const without = sets.filter((set) => key(set) !== wanted).map((set) => [...set]);
  return without.length === sets.length ? [...without, [...members]] : without;
}

export function holds(sets: readonly (readonly string[])[], members: readonly string[]): boolean {
  return sets.some((set) => key(set) === key(members));
}
