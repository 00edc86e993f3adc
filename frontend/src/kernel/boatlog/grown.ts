// A map with a few more entries than one that is shared: copying ten thousand for one more was most of its cost.
// Only for speed: Python copies a whole dict faster, and has no twin of this.

const MOST_MORE = 128;
/** Up to this size copying is as fast. */
const SMALL = 256;

class Grown<V> implements ReadonlyMap<string, V> {
  readonly base: ReadonlyMap<string, V>;
  readonly more: ReadonlyMap<string, V>;
  readonly size: number;

  constructor(base: ReadonlyMap<string, V>, more: ReadonlyMap<string, V>) {
    this.base = base;
    this.more = more;
    let size = base.size;
    for (const key of more.keys()) if (!base.has(key)) size += 1;
    this.size = size;
  }

  get(key: string): V | undefined {
    return this.more.get(key) ?? this.base.get(key);
  }
  has(key: string): boolean {
    return this.more.has(key) || this.base.has(key);
  }
  whole(): Map<string, V> {
    return new Map([...this.base, ...this.more]);
  }
  keys() {
    return this.whole().keys();
  }
  values() {
    return this.whole().values();
  }
  entries() {
    return this.whole().entries();
  }
  [Symbol.iterator]() {
    return this.entries();
  }
  forEach(work: (value: V, key: string, map: ReadonlyMap<string, V>) => void): void {
    this.whole().forEach((value, key) => work(value, key, this));
  }
}

/** The map with these entries in it, the one given left as it is; that one itself where there are none. */
export function grown<V>(map: ReadonlyMap<string, V>, more: ReadonlyMap<string, V>): ReadonlyMap<string, V> {
  if (more.size === 0) return map;
  if (!(map instanceof Grown)) return map.size <= SMALL ? new Map([...map, ...more]) : new Grown(map, more);
  return map.more.size + more.size <= MOST_MORE ? new Grown(map.base, new Map([...map.more, ...more])) : new Map([...map, ...more]);
}
