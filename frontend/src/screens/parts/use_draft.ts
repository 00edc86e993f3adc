import { useCallback, useState } from "preact/hooks";

/** State that survives a reload and a forced sign-in in this window: nothing typed is lost. `drop` forgets it when it was sent. */
export function useDraft<T>(key: string, initial: T): readonly [T, (value: T) => void, () => void] {
  const name = `draft ${key}`;
  const [value, setValue] = useState<T>(() => read(name, initial));
  const set = useCallback(
    (next: T) => {
      setValue(next);
      write(name, JSON.stringify(next));
    },
    [name],
  );
  const drop = useCallback(() => write(name, null), [name]);
  return [value, set, drop];
}

function read<T>(name: string, initial: T): T {
  try {
    const text = sessionStorage.getItem(name);
    if (text === null) return initial;
    const kept = JSON.parse(text) as T;
    // A draft kept by an older version lacks the fields that this one asks for.
    return isObject(initial) && isObject(kept) ? { ...initial, ...kept } : kept;
  } catch {
    return initial;
  }
}

function isObject(value: unknown): value is object {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function write(name: string, text: string | null): void {
  try {
    if (text === null) sessionStorage.removeItem(name);
    else sessionStorage.setItem(name, text);
  } catch {
    // A full or forbidden store only means that a reload forgets the draft.
  }
}
