import { useEffect, useState } from "preact/hooks";

/** The browser's own offer to put the app on the home screen; it comes once, soon after the page opens, and is kept. */
interface InstallEvent extends Event {
  prompt(): Promise<unknown>;
}

let offer: InstallEvent | null = null;
const listeners = new Set<() => void>();

function keep(event: InstallEvent | null): void {
  offer = event;
  for (const listener of listeners) listener();
}

if (typeof window !== "undefined") {
  addEventListener("beforeinstallprompt", (event) => {
    event.preventDefault();
    keep(event as InstallEvent);
  });
  addEventListener("appinstalled", () => keep(null));
}

/** Asks the browser to put the app on the home screen; null where it offers nothing, or has done it. */
export function useInstall(): (() => void) | null {
  const [kept, setKept] = useState(offer);
  useEffect(() => {
    const changed = () => setKept(offer);
    listeners.add(changed);
    changed();
    return () => void listeners.delete(changed);
  }, []);
  if (kept === null) return null;
  return () => {
    keep(null);
    void kept.prompt();
  };
}
