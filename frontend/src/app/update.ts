/**
 * A new version is fetched in the background and offered; it takes over when a person says so, never by itself: an app
 * that changes on the boat is an app that is not trusted.
 */
export interface UpdateOffer {
  readonly take: () => void;
}

export function watchForUpdate(offer: (update: UpdateOffer) => void): void {
  if (!("serviceWorker" in navigator) || import.meta.env.DEV) return;
  let asked = false;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (asked) location.reload();
  });
  const offerIt = (waiting: ServiceWorker) =>
    offer({
      take: () => {
        asked = true;
        waiting.postMessage("take over");
      },
    });
  navigator.serviceWorker
    .register("/sw.js", { scope: "/" })
    .then((registration) => {
      if (registration.waiting !== null && navigator.serviceWorker.controller !== null) offerIt(registration.waiting);
      registration.addEventListener("updatefound", () => {
        const coming = registration.installing;
        coming?.addEventListener("statechange", () => {
          if (coming.state === "installed" && navigator.serviceWorker.controller !== null) offerIt(coming);
        });
      });
    })
    .catch(() => {
      // Without it the app works while it is open; the readiness check shows that a reload offline would not.
    });
}
