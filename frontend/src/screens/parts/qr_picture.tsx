import { useEffect, useRef } from "preact/hooks";
import { encodeQR } from "qr";

/** Light around the picture, in its own squares (ISO/IEC 18004 asks for four). */
const QUIET = 4;

/** A QR picture of a text, as large as the screen lets it be. */
export default function QrPicture(props: { readonly text: string; readonly label: string }) {
  const place = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const canvas = place.current;
    const pen = canvas?.getContext("2d") ?? null;
    if (canvas === null || pen === null) return;
    const rows = encodeQR(props.text, "raw", { ecc: "low", border: QUIET });
    canvas.width = canvas.height = rows.length;
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, rows.length, rows.length);
    pen.fillStyle = "#000";
    rows.forEach((row, y) => row.forEach((dark, x) => dark && pen.fillRect(x, y, 1, 1)));
  }, [props.text]);
  return <canvas class="qr" role="img" aria-label={props.label} ref={place} />;
}
