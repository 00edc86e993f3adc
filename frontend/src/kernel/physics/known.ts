// A value, or what is missing to know it. The twin of physics/known.py.

/** What would have to be known. `what` names facts in plain words or by their field. */
export class Missing {
  readonly what: readonly string[];

  constructor(what: readonly string[]) {
    this.what = what;
  }

  asJson(): { not_known: string[] } {
    return { not_known: [...this.what] };
  }
}

export function missing(...what: string[]): Missing {
  return new Missing(what);
}

export function isMissing(value: unknown): value is Missing {
  return value instanceof Missing;
}

/** All that is missing among `values`, each once and in order, or null when all are known. */
export function merge(values: readonly unknown[]): Missing | null {
  const what: string[] = [];
  let found = false;
  for (const value of values) {
    if (!isMissing(value)) continue;
    found = true;
    for (const name of value.what) if (!what.includes(name)) what.push(name);
  }
  return found ? new Missing(what) : null;
}

/** As `merge`, for values of which at least one is missing. */
export function lacking(...values: unknown[]): Missing {
  return merge(values) ?? new Missing([]);
}
