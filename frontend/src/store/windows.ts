/** Windows of one phone tell each other that there is something to read. */
const channel = typeof BroadcastChannel === "undefined" || typeof window === "undefined" ? null : new BroadcastChannel("teamdive-entries");

export function tellOtherWindows(trip: string): void {
  channel?.postMessage(trip);
}

export function onOtherWindow(heard: (trip: string) => void): () => void {
  if (channel === null) return () => {};
  const listen = (event: MessageEvent) => heard(String(event.data));
  channel.addEventListener("message", listen);
  return () => channel.removeEventListener("message", listen);
}
