import { useEffect } from "preact/hooks";

/** Keeps the screen on while this page is shown (and `wanted`); asked for again each time the page comes back into sight. */
export function useWakeLock(wanted = true): void {
  useEffect(() => {
    if (!wanted || !("wakeLock" in navigator)) return undefined;
    let lock: WakeLockSentinel | null = null;
    let gone = false;
    const ask = () => {
      if (document.visibilityState !== "visible" || gone) return;
      navigator.wakeLock.request("screen").then(
        (granted) => {
          lock = granted;
          if (gone) void granted.release();
        },
        () => {
          // Low battery or a setting of the phone: the page says that a locked phone may not ring.
        },
      );
    };
    ask();
    document.addEventListener("visibilitychange", ask);
    return () => {
      gone = true;
      document.removeEventListener("visibilitychange", ask);
      void lock?.release();
    };
  }, [wanted]);
}
