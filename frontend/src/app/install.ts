/** The browser's own offer to install, kept until a person asks for it. */
interface InstallEvent extends Event {
  prompt(): Promise<unknown>;
}

let kept: InstallEvent | null = null;

export function watchForInstall(changed: (can: boolean) => void): void {
  addEventListener("beforeinstallprompt", (event) => {
    event.preventDefault();
    kept = event as InstallEvent;
    changed(true);
  });
  addEventListener("appinstalled", () => {
    kept = null;
    changed(false);
  });
}

export async function install(): Promise<void> {
  const event = kept;
  kept = null;
  await event?.prompt();
}
