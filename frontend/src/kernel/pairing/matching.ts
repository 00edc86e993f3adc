// Heaviest matching in a general graph, in integers. The twin of pairing/matching.py (Edmonds' blossom method).

import type { Matching } from "./proof.ts";

const FREE = 0;
const EVEN = 1;
const ODD = 2;
export const NONE = -1;

type Edge = readonly [number, number];

/** The matching of greatest total gain. `gain[i][j]` symmetric, 0 where i and j cannot pair. */
export function heaviest(size: number, gain: readonly (readonly bigint[])[]): Matching {
  const room = size + (size >> 1) + 1;
  let used = size;
  let greatest = 0n;
  for (const row of gain) for (const value of row) if (value > greatest) greatest = value;
  const filled = <T>(count: number, value: T): T[] => new Array<T>(count).fill(value);
  const label: bigint[] = [...filled(size, greatest), ...filled(room - size, 0n)];
  const top: number[] = [...Array(size).keys(), ...filled(room - size, NONE)];
  const mate = filled(room, NONE);
  const parent = filled(room, NONE);
  const kind = filled(room, FREE);
  const near = filled(room, NONE);
  const seen = filled(room, 0);
  let round = 0;
  const ring: number[][] = Array.from({ length: room }, () => []);
  const home: number[][] = Array.from({ length: room }, () => filled(size, NONE));
  const via: (Edge | null)[][] = Array.from({ length: room }, () => filled<Edge | null>(room, null));
  let queue: number[] = [];
  for (let u = 0; u < size; u++) {
    home[u]![u] = u;
    for (let v = 0; v < size; v++) if (u !== v && gain[u]![v]! > 0n) via[u]![v] = [u, v];
  }

  const twice = gain.map((row) => row.map((value) => 2n * value));
  const slack = ([u, v]: Edge): bigint => label[u]! + label[v]! - twice[u]![v]!;

  function nearer(vertex: number, to: number): void {
    const edge = via[vertex]![to]!;
    if (edge === null) return;
    const known = near[to]!;
    const old = known === NONE ? null : via[known]![to]!;
    if (old === null || slack(edge) < slack(old)) near[to] = vertex;
  }

  function findNear(to: number): void {
    near[to] = NONE;
    for (let u = 0; u < size; u++) if (top[u] !== to && kind[top[u]!] === EVEN) nearer(u, to);
  }

  function enqueue(x: number): void {
    if (x < size) queue.push(x);
    else for (const part of ring[x]!) enqueue(part);
  }

  function setTop(part: number, to: number): void {
    top[part] = to;
    if (part >= size) for (const inner of ring[part]!) setTop(inner, to);
  }

  function evenPlace(blossom: number, part: number): number {
    const around = ring[blossom]!;
    const at = around.indexOf(part);
    if (at % 2 === 1) {
      ring[blossom] = [around[0]!, ...around.slice(1).reverse()];
      return around.length - at;
    }
    return at;
  }

  function match(x: number, y: number): void {
    const edge = via[x]![y]!;
    mate[x] = edge[1];
    if (x >= size) {
      const part = home[x]![edge[0]]!;
      const at = evenPlace(x, part);
      const around = ring[x]!;
      for (let step = 0; step < at; step++) match(around[step]!, around[step ^ 1]!);
      match(part, y);
      ring[x] = [...around.slice(at), ...around.slice(0, at)];
    }
  }

  function augment(from: number, to: number): void {
    let [x, y] = [from, to];
    for (;;) {
      const freed = mate[x] === NONE ? NONE : top[mate[x]!]!;
      match(x, y);
      if (freed === NONE) return;
      const back = top[parent[freed]!]!;
      match(freed, back);
      [x, y] = [back, freed];
    }
  }

  function meet(from: number, to: number): number {
    let [x, y] = [from, to];
    round += 1;
    while (x !== NONE || y !== NONE) {
      if (x !== NONE) {
        if (seen[x] === round) return x;
        seen[x] = round;
        x = mate[x] === NONE ? NONE : top[mate[x]!]!;
        if (x !== NONE) x = top[parent[x]!]!;
      }
      [x, y] = [y, x];
    }
    return NONE;
  }

  function shrink(x: number, base: number, y: number): void {
    let b = size;
    while (b < used && top[b] !== NONE) b++;
    used = Math.max(used, b + 1);
    let around = [base];
    for (const start of [x, y]) {
      let part = start;
      while (part !== base) {
        const inner = top[mate[part]!]!;
        around.push(part, inner);
        enqueue(inner);
        part = top[parent[inner]!]!;
      }
      if (start === x) around = [around[0]!, ...around.slice(1).reverse()];
    }
    ring[b] = around;
    label[b] = 0n;
    kind[b] = EVEN;
    mate[b] = mate[base]!;
    parent[b] = parent[base]!;
    setTop(b, b);
    for (let other = 0; other < used; other++) {
      via[b]![other] = null;
      via[other]![b] = null;
    }
    home[b] = filled(size, NONE);
    for (const part of around) {
      for (let other = 0; other < used; other++) {
        const edge = via[part]![other]!;
        if (edge === null) continue;
        const old = via[b]![other]!;
        if (old === null || slack(edge) < slack(old)) {
          via[b]![other] = edge;
          via[other]![b] = [edge[1], edge[0]];
        }
      }
      for (let v = 0; v < size; v++) if (home[part]![v] !== NONE) home[b]![v] = part;
    }
    findNear(b);
  }

  function open(b: number): void {
    for (const part of ring[b]!) setTop(part, part);
    const edge = via[b]![top[parent[b]!]!]!;
    const entry = home[b]![edge[0]]!;
    const at = evenPlace(b, entry);
    const around = ring[b]!;
    for (let step = 0; step < at; step += 2) {
      const odd = around[step]!;
      const even = around[step + 1]!;
      parent[odd] = via[even]![odd]![0];
      kind[odd] = ODD;
      kind[even] = EVEN;
      near[odd] = NONE;
      findNear(even);
      enqueue(even);
    }
    kind[entry] = ODD;
    parent[entry] = parent[b]!;
    for (const part of around.slice(at + 1)) {
      kind[part] = FREE;
      findNear(part);
    }
    top[b] = NONE;
  }

  function tight(edge: Edge): boolean {
    const x = top[edge[0]]!;
    const y = top[edge[1]]!;
    if (kind[y] === FREE) {
      parent[y] = edge[0];
      kind[y] = ODD;
      const inner = top[mate[y]!]!;
      near[y] = NONE;
      near[inner] = NONE;
      kind[inner] = EVEN;
      enqueue(inner);
    } else if (kind[y] === EVEN) {
      const base = meet(x, y);
      if (base === NONE) {
        augment(x, y);
        augment(y, x);
        return true;
      }
      shrink(x, base, y);
    }
    return false;
  }

  const isTop = (x: number): boolean => top[x] === x;

  function shift(): boolean {
    let ceiling: bigint | null = null;
    for (let u = 0; u < size; u++) {
      if (kind[top[u]!] === EVEN && (ceiling === null || label[u]! < ceiling)) ceiling = label[u]!;
    }
    let step = ceiling!;
    const least = (value: bigint) => {
      if (value < step) step = value;
    };
    for (let x = 0; x < used; x++) {
      if (!isTop(x)) continue;
      if (x >= size && kind[x] === ODD) least(label[x]! / 2n);
      const edge = near[x] === NONE ? null : via[near[x]!]![x]!;
      if (edge !== null && kind[x] !== ODD) least(kind[x] === FREE ? slack(edge) : slack(edge) / 2n);
    }
    for (let u = 0; u < size; u++) {
      const as = kind[top[u]!];
      if (as === ODD) label[u] = label[u]! + step;
      else if (as === EVEN) label[u] = label[u]! - step;
    }
    for (let b = size; b < used; b++) {
      if (!isTop(b)) continue;
      if (kind[b] === EVEN) label[b] = label[b]! + 2n * step;
      else if (kind[b] === ODD) label[b] = label[b]! - 2n * step;
    }
    return step < ceiling!;
  }

  function stage(): boolean {
    for (let x = 0; x < used; x++) {
      kind[x] = FREE;
      near[x] = NONE;
    }
    queue = [];
    for (let x = 0; x < used; x++) {
      if (isTop(x) && mate[x] === NONE) {
        parent[x] = NONE;
        kind[x] = EVEN;
        enqueue(x);
      }
    }
    if (queue.length === 0) return false;
    for (;;) {
      for (let at = 0; at < queue.length; at++) {
        const u = queue[at]!;
        if (kind[top[u]!] === ODD) continue;
        for (let v = 0; v < size; v++) {
          if (via[u]![v] === null || top[u] === top[v]) continue;
          if (slack([u, v]) === 0n) {
            if (tight([u, v])) return true;
          } else nearer(u, top[v]!);
        }
      }
      if (!shift()) return false;
      queue = [];
      const known = used;
      for (let x = 0; x < known; x++) {
        const u = isTop(x) ? near[x]! : NONE;
        if (u === NONE || top[u] === x) continue;
        const edge = via[u]![x]!;
        if (edge !== null && slack(edge) === 0n && tight(edge)) return true;
      }
      for (let b = size; b < used; b++) if (isTop(b) && kind[b] === ODD && label[b] === 0n) open(b);
    }
  }

  while (stage());
  const blossoms: [number[], bigint][] = [];
  for (let b = size; b < used; b++) {
    if (top[b] !== NONE && label[b]! > 0n) {
      blossoms.push([[...Array(size).keys()].filter((v) => home[b]![v] !== NONE), label[b]!]);
    }
  }
  return { mate: mate.slice(0, size), labels: label.slice(0, size), blossoms };
}
