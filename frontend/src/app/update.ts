/**
 * A new version is fetched in the background and offered; it takes over when a person says so, never by itself: an app
 * that changes on the boat is an app that is not trusted.
 */
export interface UpdateOffer {
  readonly take: () => void;
}

export function watchForUpdate(offer: (update: UpdateOffer) => void): void {
  if (!("serviceWorker" in navigator) || import.meta.env.DEV) return;
  const { serviceWorker } = navigator;
  let asked: ServiceWorker | null = null;
  serviceWorker.addEventListener("controllerchange", () => {
    if (asked !== null) location.reload();
  });
  const offerIt = (coming: ServiceWorker) =>
    offer({
      take: () => {
        asked = coming;
        coming.postMessage("take over");
      },
    });
  serviceWorker.addEventListener("message", ({ data }) => {
    const active = serviceWorker.controller;
    // Started by the browser while every window was closed: it shows this version still.
    if (data === "newer" && active !== null) offerIt(active);
    if (data === "taken over" && asked !== null && asked === active) location.reload();
  });
  serviceWorker
    .register("/sw.js", { scope: "/" })
    .then((registration) => {
      serviceWorker.controller?.postMessage("newer?");
      if (registration.waiting !== null && serviceWorker.controller !== null) offerIt(registration.waiting);
      registration.addEventListener("updatefound", () => {
        const coming = registration.installing;
        coming?.addEventListener("statechange", () => {
          if (coming.state === "installed" && serviceWorker.controller !== null) offerIt(coming);
        });
      });
    })
    .catch(() => {
      // Without it the app works while it is open; the readiness check shows that a reload offline would not.
    });
}
