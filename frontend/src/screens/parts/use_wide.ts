import { useEffect, useState } from "preact/hooks";

/** Whether there is room for a table beside something else: a desk, not a phone. */
export function useWide(): boolean {
  const [query] = useState(() => matchMedia("(min-width: 900px)"));
  const [wide, setWide] = useState(query.matches);
  useEffect(() => {
    const changed = () => setWide(query.matches);
    query.addEventListener("change", changed);
    return () => query.removeEventListener("change", changed);
  }, [query]);
  return wide;
}
