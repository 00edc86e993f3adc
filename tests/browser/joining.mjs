// At the dock: the leader shows a code at the desk, phones that nobody signed in on join with it, and what they enter is in
// the record. At sea: one phone shows its log as pictures, the other reads them with its camera and takes the deck over.
import { assert, Browser, DESK, film, kept, look, pause, PHONE, report, settings, show, signIn, squares, tap } from "./phone.mjs";

const desk = await Browser.open(`${settings.profile}/desk`, DESK);
await signIn(desk.page, "leader");
await show(desk.page, "/organise");
const trip = await desk.page.evaluate(async () => (await (await fetch("/api/trips")).json()).trips.find((one) => one.state === "ready").id);
await show(desk.page, `/organise/trips/${trip}`);
await desk.page.getByRole("list", { name: "On the boat" }).getByText("no phone yet").waitFor();
await look(desk.page, "trip-line");
await desk.page.getByRole("list", { name: "On the boat" }).getByRole("link").click();
await desk.page.getByRole("button", { name: "Show a code" }).click();
await desk.page.getByText("Good until").waitFor();
await look(desk.page, "boat-log-code");
const code = await desk.page.locator(".number-value").first().innerText();

const phone = await Browser.open(`${settings.profile}/phone`, PHONE);
const { page } = phone;
await page.goto(settings.url);
await page.getByRole("link", { name: "Join with a code" }).click();
await page.getByRole("button", { name: "Join", exact: true }).click();
await page.getByText("Type the code that the leader shows.").waitFor();
await page.getByRole("textbox", { name: "Code" }).fill("2222 2222");
await page.getByLabel("What to call this phone").fill("Ida's phone");
await pause(800);
await page.getByRole("button", { name: "Join", exact: true }).click();
await page.getByText("This code is not valid").first().waitFor();
await look(page, "join-refused");
await page.getByRole("textbox", { name: "Code" }).fill(code.toLowerCase());
await page.getByRole("button", { name: "Join", exact: true }).click();
await page.getByRole("list", { name: "Readiness" }).waitFor();
await page.locator('[data-only-here="0"]').waitFor();
const { default: decodeQR } = await import(new URL("../../frontend/node_modules/qr/decode.js", import.meta.url));

// A second phone: its own camera app reads the picture, which is the address with the code in it.
const read = (rows) => {
  const [scale, side] = [4, 4 * rows.length];
  const data = new Uint8ClampedArray(side * side * 4).fill(255);
  for (let at = 0; at < side * side; at += 1) if (rows[Math.floor(at / side / scale)][Math.floor((at % side) / scale)]) data.fill(0, 4 * at, 4 * at + 3);
  return decodeQR({ width: side, height: side, data });
};
const address = read(await squares(desk.page));
assert.equal(address, `${settings.url}#/join/${code.replace(" ", "")}`);
const reel = `${settings.profile}/log.y4m`;
const camera = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream", `--use-file-for-fake-video-capture=${reel}`];
const second = await Browser.open(`${settings.profile}/second`, PHONE, camera);
await second.page.goto(address);
await second.page.getByLabel("What to call this phone").fill("Ola's phone");
await second.page.getByRole("button", { name: "Join", exact: true }).click();
await second.page.getByRole("list", { name: "Readiness" }).waitFor();
await second.page.locator('[data-only-here="0"]').waitFor();

// No network for either from here. The first counts everyone, puts team 1 down, and shows its log.
const snapshot = await desk.page.evaluate((id) => fetch(`/api/trips/${id}/snapshot`).then((answer) => answer.json()), trip);
const full = (person) => snapshot.names[person];
const { people } = snapshot.snapshot;
const [one, two] = snapshot.snapshot.dives[0].teams;
const dry = people.find((person) => !person.dives).id;
for (const each of [phone, second]) await each.context.setOffline(true);
await show(page, `/trips/${trip}/hand-over`);
await tap(page, new RegExp(full(dry)));
await tap(page, `I am ${full(dry)}: I have the deck`);
await show(page, `/trips/${trip}/deck`);
await tap(page, "Team 1 down");
await page.locator('[data-team="1"][data-status="down"]').waitFor();
await show(page, `/trips/${trip}/more`);
await page.getByRole("link", { name: "Another phone" }).click();
await page.getByRole("link", { name: "Show this phone's log" }).waitFor();
await look(page, "another-phone");
await page.getByRole("link", { name: "Show this phone's log" }).click();
await page.locator("[data-pictures]").waitFor();
await look(page, "show-pictures");
const all = Number(await page.locator("[data-pictures]").getAttribute("data-pictures"));
const seen = new Map();
for (let n = 0; n < 400 && seen.size < all; n += 1) {
  const [before, rows, after] = [await page.locator("[data-piece]").getAttribute("data-piece"), await squares(page), await page.locator("[data-piece]").getAttribute("data-piece")];
  if (before === after && before !== "-1") seen.set(before, rows);
  await pause(40);
}
assert.equal(seen.size, all, "every picture came round");
film(reel, [...seen.values()].reverse());
// For a phone that lacks some: the pictures stop, and go on by number.
await page.getByRole("button", { name: /^Stop at one/ }).click();
const stopped = Number(await page.locator("[data-piece]").getAttribute("data-piece"));
await page.getByRole("button", { name: "1 on", exact: true }).click();
await page.getByText(`${((stopped + 1) % all) + 1} of ${all}`).waitFor();
await look(page, "show-pictures-stopped");
await page.getByRole("button", { name: "Let them go round again" }).click();
await page.getByRole("button", { name: "For a phone that does not have this trip" }).click();
await page.getByText("Whoever reads these has the names").waitFor();
await page.locator("[data-pictures]").waitFor();
await look(page, "show-pictures-with-trip");
assert.ok(Number(await page.locator("[data-pictures]").getAttribute("data-pictures")) > all, "the trip takes pictures of its own");
// The browser denies the camera: another way is offered, and the camera asked for again once it is allowed.
await second.page.evaluate(() => (navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("", "NotAllowedError"))));
await show(second.page, `/trips/${trip}/pictures/read`);
await second.page.getByText("Another way").waitFor();
await look(second.page, "pictures-no-camera");
await second.page.evaluate(() => delete navigator.mediaDevices.getUserMedia);
await second.page.getByRole("button", { name: "Try the camera again" }).click();
await second.page.getByText("Their log is on this phone").waitFor({ timeout: 40_000 });
await look(second.page, "pictures-read");
const [theirs, ours] = [await kept(page), await kept(second.page)];
assert.ok(theirs.every((entry) => ours.some((mine) => mine.hash === entry.hash)), "everything was handed over");
await show(second.page, `/trips/${trip}/deck`);
await second.page.locator('[data-team="1"][data-status="down"]').waitFor();

// The first phone is dead from here. The second takes over: who stands here, and since when team 2 is gone. No typing.
await phone.kill();
await show(second.page, `/trips/${trip}/hand-over`);
await second.page.getByRole("link", { name: "The deck phone is lost or dead" }).click();
await second.page.getByRole("heading", { name: "Who takes the deck?" }).waitFor();
await look(second.page, "take-over-who");
await second.page.getByRole("button", { name: full(dry), exact: true }).click();
await second.page.getByRole("heading", { name: "Who stands here?" }).waitFor();
const wet = new Set([...one.members, ...two.members, dry]);
for (const person of people.filter(({ id }) => !wet.has(id))) await second.page.getByRole("button", { name: full(person.id), exact: true }).click();
await look(second.page, "take-over-here");
await second.page.getByRole("button", { name: /stand here$/ }).click();
await second.page.getByRole("heading", { name: "When did they go down?" }).waitFor();
await second.page.getByRole("button", { name: "10 min later" }).click();
await look(second.page, "take-over-since");
await pause(1300);
await second.page.getByRole("button", { name: /^After team 1/ }).click();
await second.page.getByText("Go back and mend it").waitFor();
await look(second.page, "take-over-accept");
await pause(1300);
await tap(second.page, `I am ${full(dry)}: I have the deck`);
await second.page.locator('[data-team="2"][data-status="down"]').waitFor();
await look(second.page, "deck-taken-over");
const written = (await kept(second.page)).filter((entry) => entry.device !== theirs[0].device).map((entry) => entry.kind);
assert.deepEqual(written.slice(written.indexOf("phone_lost")), ["phone_lost", "deck_accepted", "roll_call_taken", "down"]);
// One depth is read aloud on the way home.
const noor = people.find(({ id }) => full(id) === "Noor Haddow").id;
const hers = snapshot.snapshot.dives[0].teams.find(({ members }) => members.includes(noor)).id;
await show(second.page, `/trips/${trip}/depth/${hers}`);
for (const step of ["+5", "+1", "+1"]) await second.page.getByRole("button", { name: step, exact: true }).click();
await second.page.getByRole("button", { name: "Noor", exact: true }).click();
await second.page.getByRole("heading", { name: "When did they start up?" }).waitFor();
await second.context.setOffline(false);
await show(second.page, `/trips/${trip}/deck`);
await second.page.locator('[data-only-here="0"]').waitFor({ timeout: 60_000 });

await desk.page.reload();
const phones = desk.page.getByRole("list", { name: "Phones" });
await phones.getByText("Ida's phone").waitFor();
await phones.getByText("signed to the end").first().waitFor();
await look(desk.page, "boat-log-phones");
await desk.page.setViewportSize(PHONE);
await look(desk.page, "boat-log-phones-phone");
const record = await desk.page.evaluate(async (id) => (await (await fetch(`/api/trips/${id}/boat-log/record`)).json()).entries.map((one) => one.entry.kind), trip);
assert.ok(record.includes("snapshot_taken"), record.join());
await desk.page.setViewportSize({ width: 1280, height: 800 });
await desk.page.goto(`${settings.url}api/trips/${trip}/boat-log/record.html`);
await desk.page.getByText("Counts and departures").waitFor();
await look(desk.page, "record-to-print");

// Afterwards its diver says that 34 m was mistyped, and the leader says so too: nothing is edited, and what was known
// before stays what was known then.
const asKnown = (at) => desk.page.evaluate(async ([id, when]) => (await fetch(`/api/trips/${id}/boat-log/record${when}`)).json(), [trip, at === null ? "" : `?at=${encodeURIComponent(at)}`]);
const before = await asKnown(null);
const diver = await Browser.open(`${settings.profile}/diver`, PHONE);
await signIn(diver.page, "diver");
await show(diver.page, `/me/trips/${trip}/depths`);
await diver.page.getByText("It was mistyped or misread").click();
for (const step of ["−5", "+1"]) await diver.page.getByRole("button", { name: step, exact: true }).click();
await diver.page.getByRole("button", { name: "It was 30 m" }).click();
await diver.page.getByText("the deeper counts: 34 m.").waitFor();
await look(diver.page, "my-depth-asked");
await diver.close();
await desk.page.goto(`${settings.url}#/organise/trips/${trip}/boat-log`);
const told = desk.page.getByRole("list", { name: "Depths as told" });
await told.getByText("34 m, read by Noor Haddow").waitFor();
await look(desk.page, "depth-asked");
await told.getByRole("button", { name: "I say so too: 30 m" }).click();
await told.getByText("Settled: 30 m counts. Every entry stays.").waitFor();
await look(desk.page, "depth-settled");
const [then, now] = [await asKnown(before.at), await asKnown(null)];
assert.deepEqual([then.set_hash, then.state], [before.set_hash, before.state]);
assert.equal(now.entries.length, before.entries.length + 2);
assert.deepEqual(now.entries.filter(({ entry }) => entry.kind === "depth_reported").map(({ entry }) => entry.data.depth.hundredths), [3400]);
// The first phone is at the bottom of the sea; this one still listens.
await desk.page.getByText("Lost, or no longer aboard").last().click();
await desk.page.getByRole("button", { name: "Take this phone off" }).click();
await phones.getByText("taken off").waitFor();
await second.page.getByText("This phone hears nothing of the other phones any more").first().waitFor();
await second.close();
await desk.close();
report({ done: true });
