// Guided groups that would give supervised divers a place. The twin of pairing/guided.py.

import type { Candidate } from "./cost.ts";
import { sortedIds } from "./model.ts";
import type { Pricing } from "./pricing.ts";
import { teamAlone } from "./threes.ts";

/** Groups under the leader of a team that stands, each with who joins it; `left`: who has no place. */
export function guidedOffers(
  teams: readonly Candidate[],
  left: readonly string[],
  pricing: Pricing,
): [Candidate, readonly string[]][] {
  let waiting = sortedIds(left).filter((id) => pricing.able.includes(id) && pricing.case.people.get(id)!.supervised);
  const found: [Candidate, readonly string[]][] = [];
  for (const team of teams) {
    let best: Candidate | null = null;
    const joined: string[] = [];
    for (const id of waiting) {
      const tried = teamAlone(sortedIds([...team.divers, ...joined, id]), pricing, true);
      if (!("candidate" in tried) || tried.candidate.hidden > 0) continue;
      if (tried.candidate.gas.limitS === null || tried.candidate.gas.limitS === 0) continue;
      best = tried.candidate;
      joined.push(id);
    }
    if (best === null) continue;
    found.push([best, joined]);
    waiting = waiting.filter((id) => !joined.includes(id));
  }
  return found;
}
