// At sea, no network: a phone that never had the trip reads it off another one's screen, takes the deck, and joins in port.
import { assert, Browser, kept, look, pause, PHONE, report, seenByLeader, settings, show, signIn, squares, tap } from "./phone.mjs";

const { encodeQR } = await import(new URL("../../frontend/node_modules/qr/index.js", import.meta.url));
const [first, second] = await Promise.all([Browser.open(`${settings.profile}/first`, PHONE), Browser.open(`${settings.profile}/second`, PHONE)]);
await signIn(first.page, "leader");
await first.page.getByRole("list", { name: "Trips kept by your club" }).getByRole("link").filter({ hasText: "ready" }).first().click();
await first.page.getByRole("button", { name: "Bring it here" }).click();
await first.page.getByRole("list", { name: "Readiness" }).waitFor();
const trip = /trips\/([0-9a-f-]{36})/.exec(first.page.url())[1];
const snapshot = await first.page.evaluate((id) => fetch(`/api/trips/${id}/snapshot`).then((answer) => answer.json()), trip);
await second.page.goto(settings.url);
await second.page.waitForFunction(() => navigator.serviceWorker.controller !== null);
for (const each of [first, second]) await each.context.setOffline(true);

const full = (person) => snapshot.names[person];
const dry = snapshot.snapshot.people.find((person) => !person.dives).id;
await show(first.page, `/trips/${trip}/hand-over`);
await tap(first.page, new RegExp(full(dry)));
await tap(first.page, `I am ${full(dry)}: I have the deck`);
await show(first.page, `/trips/${trip}/deck`);
await tap(first.page, "Team 1 down");
await first.page.locator('[data-team="1"][data-status="down"]').waitFor();

// What the first phone shows, picture by picture, as a camera has it: told apart by what they say.
const { default: decodeQR } = await import(new URL("../../frontend/node_modules/qr/decode.js", import.meta.url));
function saying(rows) {
  const [scale, side] = [4, 4 * rows.length];
  const data = new Uint8ClampedArray(side * side * 4).fill(255);
  for (let at = 0; at < side * side; at += 1) if (rows[Math.floor(at / side / scale)][Math.floor((at % side) / scale)]) data.fill(0, 4 * at, 4 * at + 3);
  return decodeQR({ width: side, height: side, data });
}
await show(first.page, `/trips/${trip}/pictures/show`);
const place = first.page.locator("[data-pictures]");
const alone = await place.getAttribute("data-pictures");
await first.page.getByRole("button", { name: "For a phone that does not have this trip" }).click();
await first.page.locator(`[data-pictures]:not([data-pictures="${alone}"])`).waitFor();
await first.page.getByText("Whoever reads these has the names").waitFor();
const all = Number(await place.getAttribute("data-pictures"));
const shown = new Map();
for (let n = 0; n < 400 && shown.size < all; n += 1) {
  const rows = await squares(first.page);
  const text = saying(rows);
  if (!text.startsWith("CLOCK:")) shown.set(text, rows);
  await pause(30);
}
const pictures = [...shown.values()].reverse();
assert.equal(pictures.length, all, "every picture came round");
assert.ok(all > 2, `only ${all} pictures`);

/** The second phone's camera: what it sees is put before it, and goes the way of every picture. */
async function withCamera(page) {
  await page.evaluate(() => {
    const canvas = Object.assign(document.createElement("canvas"), { width: 640, height: 640 });
    const pen = canvas.getContext("2d");
    let rows = [];
    const draw = () => {
      pen.fillStyle = "#e1e1e1";
      pen.fillRect(0, 0, 640, 640);
      const scale = Math.floor(640 / Math.max(1, rows.length));
      const left = Math.floor((640 - scale * rows.length) / 2);
      pen.fillStyle = "#1e1e1e";
      rows.forEach((row, y) => row.forEach((dark, x) => dark && pen.fillRect(left + x * scale, left + y * scale, scale, scale)));
    };
    setInterval(draw, 50);
    globalThis.putBefore = (next) => (rows = next);
    navigator.mediaDevices.getUserMedia = () => Promise.resolve(canvas.captureStream(20));
  });
}
const read = async (page) => Number(await page.locator("[data-read]").getAttribute("data-read"));
async function see(page, rows) {
  const before = await read(page);
  await page.evaluate((next) => globalThis.putBefore(next), rows);
  await page.waitForFunction((n) => Number(document.querySelector("[data-read]")?.dataset.read ?? n + 1) > n, before, { timeout: 30_000 });
}

await withCamera(second.page);
await second.page.getByRole("link", { name: "Read it off another phone" }).click();
await second.page.locator("[data-read]").waitFor();
const half = Math.ceil(pictures.length / 2);
for (const rows of pictures.slice(0, half)) await see(second.page, rows);
// A poster on the wheelhouse door comes into sight: said, and nothing is lost by it.
await second.page.evaluate((rows) => globalThis.putBefore(rows), encodeQR("HTTPS://VARROW.EXAMPLE/FUEL", "raw", { ecc: "low", border: 4 }));
await second.page.getByText("Not read: this picture is not part of a boat log.").waitFor();
assert.equal(await read(second.page), half);
await look(second.page, "read-trip-half");
// The app is closed in between.
await second.page.goto("about:blank");
await second.page.goto(settings.url);
await second.page.getByRole("link", { name: "Read it off another phone" }).waitFor();
await withCamera(second.page);
await second.page.getByRole("link", { name: "Read it off another phone" }).click();
await second.page.getByText(`${half} of ${pictures.length}`).waitFor();
for (const rows of pictures.slice(half, -1)) await see(second.page, rows);
await second.page.evaluate((rows) => globalThis.putBefore(rows), pictures.at(-1));
await second.page.getByRole("link", { name: "Show this phone's log" }).waitFor();
await second.page.getByText("This phone has not joined").first().waitFor();
await look(second.page, "read-trip-done");

// It knows who is under, and takes the deck: it writes in its own name.
await show(second.page, `/trips/${trip}/deck`);
await second.page.locator('[data-team="1"][data-status="down"]').waitFor();
await look(second.page, "deck-not-joined");
const theirs = await kept(first.page);
const ours = await kept(second.page);
assert.ok(theirs.every((entry) => ours.some(({ hash }) => hash === entry.hash)), "all of the first phone's log");
assert.deepEqual(ours.filter(({ device }) => device !== theirs[0].device).map(({ kind, data }) => [kind, data.joined]), [["snapshot_taken", false]]);

// The app was closed for 40 minutes, or the clock was set forward meanwhile: a person says which, by a watch, with one tap.
await second.page.addInitScript((key) => {
  if (sessionStorage.getItem("closed") !== null) return;
  sessionStorage.setItem("closed", "once");
  localStorage.setItem(key, `${Date.now() - 40 * 60_000} 0`);
}, `teamdive.clock_seen.${trip}`);
await second.page.reload();
await second.page.getByText(/^This phone slept for 4[01] min, or its clock was set forward/).waitFor();
await look(second.page, "deck-slept");
await pause(1300);
await second.page.getByRole("button", { name: "No", exact: true }).click();
await second.page.getByText("Then times due come early").waitFor();
await pause(800);
await second.page.getByRole("button", { name: "Back", exact: true }).click();
await pause(800);
await second.page.getByRole("button", { name: "Yes, it does" }).click();
await second.page.getByText("This phone slept").waitFor({ state: "detached" });
assert.equal((await kept(second.page)).filter(({ data }) => data.how === "step").length, 0, "nothing to write");
await tap(second.page, "Team 2 down");
await second.page.locator('[data-team="2"][data-status="down"]').waitFor();

// In port it joins with a code: what it wrote is handed in, and what it does from then on is its new self's.
for (const each of [first, second]) await each.context.setOffline(false);
await first.page.goto(`${settings.url}#/organise/trips/${trip}/boat-log`);
await first.page.getByRole("button", { name: "Show a code" }).click();
await first.page.getByText("Good until").waitFor();
const code = await first.page.locator(".number-value").first().innerText();
await show(second.page, "/join");
await second.page.getByRole("textbox", { name: "Code" }).fill(code);
await second.page.getByLabel("What to call this phone").fill("Ola's phone");
await second.page.getByRole("button", { name: "Join", exact: true }).click();
await second.page.getByRole("list", { name: "Readiness" }).waitFor();
await show(second.page, `/trips/${trip}/deck`);
await second.page.locator('[data-only-here="0"]').waitFor();
assert.equal(await second.page.getByText("This phone has not joined").count(), 0);
// The watch over the trip follows the phone that it is now: the last tap can be taken back, wherever the page is.
await tap(second.page, "Team 3 down");
await second.page.locator('[data-team="3"][data-status="down"]').waitFor();
await second.page.getByRole("button", { name: /^Undo/ }).waitFor({ timeout: 3000 });
await second.page.locator('[data-only-here="0"]').waitFor();
const record = await seenByLeader(`/api/trips/${trip}/boat-log/record`);
const downs = record.entries.filter(({ entry }) => entry.kind === "down");
assert.equal(downs.length, 3);
assert.deepEqual(downs.map(({ trouble }) => trouble).filter((codes) => codes.length > 0), [["device_unknown"]]);
assert.deepEqual([...first.errors, ...second.errors], []);
report({ pictures: pictures.length, done: true });
await first.close();
await second.close();
