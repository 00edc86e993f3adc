// What a heaviest matching comes with: labels that no other matching can exceed. The twin of pairing/proof.py.

/** `mate[i]` is i's partner or -1. `labels` and `blossoms` (members, label) are the doubled dual. */
export interface Matching {
  readonly mate: readonly number[];
  readonly labels: readonly bigint[];
  readonly blossoms: readonly (readonly [readonly number[], bigint])[];
}

/** Twice the gain of the matching, and so what no other one exceeds. */
export function bound(matching: Matching): bigint {
  let total = 0n;
  for (const label of matching.labels) total += label;
  for (const [members, label] of matching.blossoms) total += label * BigInt(members.length >> 1);
  return total;
}

/** For each two vertices the labels of all blossoms that hold both. */
export function inside(matching: Matching): bigint[][] {
  const { labels, blossoms } = matching;
  const found = labels.map(() => new Array<bigint>(labels.length).fill(0n));
  for (const [members, label] of blossoms) {
    for (const i of members) for (const j of members) found[i]![j] = found[i]![j]! + label;
  }
  return found;
}
