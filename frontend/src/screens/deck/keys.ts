import { useEffect, useRef, useState } from "preact/hooks";

const WAIT_MS = 6000;

/**
 * A keypad in a plastic bag: 1-9 chooses the team, then d (down), u (all of it up), or a, b, c (the first, second, third
 * name up). Answers the team chosen now; the choice lapses by itself.
 */
export function useKeys(teams: number, onKey: (team: number, key: string) => void): number | null {
  const [chosen, setChosen] = useState<number | null>(null);
  const latest = useRef({ chosen, onKey, teams });
  latest.current = { chosen, onKey, teams };
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined;
    const pressed = (event: KeyboardEvent) => {
      if (event.repeat || event.ctrlKey || event.altKey || event.metaKey || isTyping(event.target)) return;
      const { chosen: team, onKey: call, teams: most } = latest.current;
      const digit = /^[1-9]$/.test(event.key) ? Number(event.key) : null;
      if (digit !== null && digit <= most) {
        setChosen(digit);
        clearTimeout(timer);
        timer = setTimeout(() => setChosen(null), WAIT_MS);
      } else if (team !== null && /^[duabc]$/i.test(event.key)) {
        call(team, event.key.toLowerCase());
        setChosen(null);
      }
    };
    addEventListener("keydown", pressed);
    return () => {
      clearTimeout(timer);
      removeEventListener("keydown", pressed);
    };
  }, []);
  return chosen;
}

function isTyping(target: EventTarget | null): boolean {
  return target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement;
}
