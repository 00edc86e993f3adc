import { useEffect, useRef, useState } from "preact/hooks";
import type { RefObject } from "preact";
import decodeQR from "qr/decode.js";

/** How often a frame of the camera is looked at: twice as often as the other phone changes its picture. */
const LOOK_MS = 110;
/** Read at no more than this many pixels a side: a picture of 97 squares needs about 3 each. */
const MOST_PIXELS = 720;

export interface Camera {
  readonly place: RefObject<HTMLVideoElement>;
  /** Why there is no picture from the camera, in words that say what to do; empty while there is. */
  readonly trouble: string;
  /** Asks for the camera once more. */
  readonly again: () => void;
}

/** The camera at the back of the phone; `onRead` is told every text that a QR picture in its sight says. */
export function useCamera(onRead: (text: string) => void): Camera {
  const place = useRef<HTMLVideoElement>(null);
  const [trouble, setTrouble] = useState("");
  const [asked, ask] = useState(0);
  const heard = useRef(onRead);
  heard.current = onRead;
  useEffect(() => {
    let stream: MediaStream | null = null;
    let gone = false;
    const canvas = document.createElement("canvas");
    const pen = canvas.getContext("2d", { willReadFrequently: true });
    const look = () => {
      const video = place.current;
      if (video === null || pen === null || video.videoWidth === 0) return;
      const scale = Math.min(1, MOST_PIXELS / Math.max(video.videoWidth, video.videoHeight));
      canvas.width = Math.round(video.videoWidth * scale);
      canvas.height = Math.round(video.videoHeight * scale);
      pen.drawImage(video, 0, 0, canvas.width, canvas.height);
      let text: string;
      try {
        text = decodeQR(pen.getImageData(0, 0, canvas.width, canvas.height));
      } catch {
        return; // No picture in sight, or one blurred: the next look will do.
      }
      heard.current(text);
    };
    const devices = navigator.mediaDevices as MediaDevices | undefined;
    if (devices === undefined) {
      setTrouble("This page may not use a camera here: open teamdive by its https address.");
      return undefined;
    }
    devices.getUserMedia({ audio: false, video: { facingMode: "environment", width: { ideal: 1280 } } }).then(
      (got) => {
        stream = got;
        if (gone) return stop(got);
        const video = place.current;
        if (video !== null) {
          video.srcObject = got;
          void video.play().catch(() => {});
        }
      },
      (error: unknown) => setTrouble(words(error)),
    );
    const timer = setInterval(look, LOOK_MS);
    return () => {
      gone = true;
      clearInterval(timer);
      if (stream !== null) stop(stream);
    };
  }, [asked]);
  return {
    place,
    trouble,
    again: () => {
      setTrouble("");
      ask((before) => before + 1);
    },
  };
}

function stop(stream: MediaStream): void {
  for (const track of stream.getTracks()) track.stop();
}

function words(error: unknown): string {
  const name = error instanceof Error ? error.name : "";
  if (name === "NotAllowedError") return "The phone does not let this page use its camera. Allow it in the browser's settings of this page, then try again.";
  if (name === "NotFoundError" || name === "OverconstrainedError") return "This phone has no camera that can be used.";
  if (name === "NotReadableError" || name === "AbortError") return "The camera is in use by something else. Close that, then try again.";
  return "The camera does not start. Close other apps, then try again.";
}
