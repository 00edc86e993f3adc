// The least item first; items compare by a function. What Python's heapq is to the twin.

export class Heap<T> {
  private readonly items: T[] = [];
  private readonly before: (a: T, b: T) => boolean;

  constructor(before: (a: T, b: T) => boolean) {
    this.before = before;
  }

  get size(): number {
    return this.items.length;
  }

  push(item: T): void {
    const { items } = this;
    let at = items.length;
    items.push(item);
    while (at > 0) {
      const up = (at - 1) >> 1;
      if (!this.before(item, items[up]!)) break;
      items[at] = items[up]!;
      at = up;
    }
    items[at] = item;
  }

  pop(): T {
    const { items } = this;
    const least = items[0]!;
    const last = items.pop()!;
    if (items.length > 0) {
      let at = 0;
      for (;;) {
        let down = 2 * at + 1;
        if (down >= items.length) break;
        if (down + 1 < items.length && this.before(items[down + 1]!, items[down]!)) down++;
        if (!this.before(items[down]!, last)) break;
        items[at] = items[down]!;
        at = down;
      }
      items[at] = last;
    }
    return least;
  }
}
