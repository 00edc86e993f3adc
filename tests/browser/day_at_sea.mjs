// A whole dive with the network really off: the browser told so and the server not running, the browser killed in between.
import { ask, assert, Browser, callNames, kept, look, pause, report, secondCount, seenByLeader, settings, show, signIn, tap } from "./phone.mjs";

let phone = await Browser.open(settings.profile);
let { page } = phone;
// The phone may say where it is; where the boat is, is the platform's business, not the browser's.
await phone.context.grantPermissions(["geolocation"], { origin: new URL(settings.url).origin });
await phone.context.setGeolocation({ latitude: 38.601234, longitude: -28.7, accuracy: 11.2 });
await signIn(page, "leader");
await page.getByRole("list", { name: "Trips kept by your club" }).getByRole("link").filter({ hasText: "ready" }).first().click();
await page.getByRole("button", { name: "Bring it here" }).click();
await page.getByRole("list", { name: "Readiness" }).waitFor();
const trip = /trips\/([0-9a-f-]{36})/.exec(page.url())[1];
await page.getByText("This phone's clock is right to").waitFor();
await page.getByText("It opens with no network.").waitFor();
await page.getByRole("button", { name: "Test ring" }).click();
await page.getByRole("button", { name: "I heard it" }).click();
await page.getByText("Heard on this phone.").waitFor();
// The demo's club has written nothing down for a call for help: that is said at the dock, not when it is needed.
await page.getByText("Missing: radio channel, our call sign and whom to call.").waitFor();
await page.getByText("Down, up and marker carry its last position").waitFor();
await page.locator('[data-only-here="0"]').waitFor();
const snapshot = await page.evaluate((id) => fetch(`/api/trips/${id}/snapshot`).then((answer) => answer.json()), trip);
const before = await kept(page);
report({ at_the_dock: before.map((entry) => entry.kind) });

// Off: the browser believes it, and nobody listens on the port either.
await phone.context.setOffline(true);
await ask("stop");
await page.reload();
await page.getByRole("heading", { name: /ready for the boat/i }).waitFor();

// Roll call before leaving port, each person by name, by two people: the club of the demo needs two.
const everyone = snapshot.snapshot.people.map((person) => person.id);
const full = (person) => snapshot.names[person];
const short = (person) => full(person).split(" ")[0];
await show(page, `/trips/${trip}/hand-over`);
const first = snapshot.snapshot.dives[0];
const pairs = first.teams.filter((team) => team.members.length === 2);
const team = pairs[0];
const number = first.teams.indexOf(team) + 1;
const [one, two] = team.members;
// The leader of the day takes the deck first, though the leader is about to dive.
await tap(page, new RegExp(full(one)));
await tap(page, `I am ${full(one)}: I have the deck`);
await page.getByRole("heading", { name: "Deck", exact: true }).waitFor({ state: "attached" });
await show(page, `/trips/${trip}/roll-call`);
await page.getByText("Do not leave. Not accounted for:").waitFor();
assert.equal(await page.getByRole("button", { name: "Leave port" }).count(), 0, "departure must be blocked");
await callNames(page, everyone.map(full));
await page.getByText("Now a second count").waitFor();
assert.equal(await page.getByRole("button", { name: "Leave port" }).count(), 0, "one count is not two");
await look(page, "roll-call-second");
await secondCount(page, short(everyone.find((person) => person !== one)), everyone.map(full));
await page.getByText("Two counts agree, name by name.").waitFor();
await page.getByText("Everyone is accounted for by name").waitFor();
await page.getByRole("button", { name: "Leave port" }).click();
await page.getByRole("heading", { name: "Deck", exact: true }).waitFor({ state: "attached" });

// The deck holder cannot be marked down: the tap asks for the hand-over, two taps, no password.
await pause(1300);
await tap(page, `Team ${number} down`);
await page.getByText("Whoever holds the deck stays on deck").waitFor();
assert.ok(!(await kept(page)).some((entry) => entry.kind === "down"), "the holder was marked down");
const dry = snapshot.snapshot.people.find((person) => !person.dives)?.id ?? everyone.find((person) => !team.members.includes(person));
await tap(page, new RegExp(full(dry)));
await tap(page, `I am ${full(dry)}: I have the deck`);
const row = page.locator(`[data-team="${number}"]`);

// Down, undone at once, and down again.
await tap(page, `Team ${number} down`);
await page.locator(`[data-team="${number}"][data-status="down"]`).waitFor();
await page.getByRole("button", { name: /^Undo/ }).click();
await page.locator(`[data-team="${number}"][data-status="ready"]`).waitFor();
await pause(400);
await tap(page, `Team ${number} down`);
await row.getByText("time left").waitFor();
await look(page, "deck-down");

// The page is reloaded, then the browser killed: the team is still down, since the same moment.
const downAt = (await kept(page)).filter((entry) => entry.kind === "down").at(-1).at;
const { age_s: age, ...place } = (await kept(page)).filter((entry) => entry.kind === "down").at(-1).data.fix;
assert.deepEqual(place, { lat_e6: 38_601_234, lon_e6: -28_700_000, accuracy_m: 12 });
assert.ok(Number.isInteger(age) && age >= 0 && age < 600);
await page.reload();
await page.locator(`[data-team="${number}"][data-status="down"]`).waitFor();
const nameOn = async (person, word) => {
  for (const button of await row.getByRole("button").all()) {
    const name = await button.getAttribute("aria-label");
    if (name?.endsWith(` ${word}`) && full(person).startsWith(name.split(" ")[0])) return name;
  }
  throw new Error(`no button "${word}" for ${full(person)}`);
};
await tap(page, await nameOn(two, "up"));
await row.getByText("one still down").waitFor();
await row.getByText(/own clock/).waitFor();
await look(page, "deck-one-up");
const beforeKill = await kept(page);
await phone.kill();
phone = await Browser.open(settings.profile);
({ page } = phone);
await phone.context.setOffline(true);
await page.goto(`${settings.url}#/trips/${trip}/deck`);
// Nothing sounds before the first touch of a page that was opened again: it says so until then, and one finger is enough.
// Looked at past Playwright, whose own looks count as a person's.
const raw = await phone.context.newCDPSession(page);
const silent = async (wanted) => {
  for (let n = 0; n < 100; n += 1) {
    const { result } = await raw.send("Runtime.evaluate", { expression: "document.body.innerText", userGesture: false });
    if (result.value.includes("in the water") && result.value.includes("This phone cannot ring yet: touch the screen once.") === wanted) return;
    await pause(100);
  }
  throw new Error(wanted ? "nothing says that this phone is silent" : "one touch does not let this phone sound");
};
await silent(true);
await raw.send("Emulation.setTouchEmulationEnabled", { enabled: true });
await raw.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [{ x: 300, y: 110 }] });
await raw.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
await silent(false);
// Not let go of before the end: with it the browser would take its network for back, and not hear when it is.
await page.locator(`[data-team="${number}"][data-status="down"]`).waitFor();
const afterKill = await kept(page);
assert.deepEqual(afterKill, beforeKill, "the killed browser lost or changed something");
assert.equal(afterKill.filter((entry) => entry.kind === "down").at(-1).at, downAt);

// The boat cannot leave while one is down, and it says who. The screen stays on: a phone that falls asleep there is silent.
await page.evaluate(() => {
  const { request } = WakeLock.prototype;
  WakeLock.prototype.request = function (...asked) {
    globalThis.screenOn = (globalThis.screenOn ?? 0) + 1;
    return request.apply(this, asked);
  };
});
await show(page, `/trips/${trip}/roll-call`);
await page.locator(".missing-names").waitFor();
await page.evaluate(() => document.dispatchEvent(new Event("visibilitychange")));
assert.ok((await page.evaluate(() => globalThis.screenOn ?? 0)) > 0, "the roll call lets the screen go dark over a team in the water");
assert.ok((await page.locator(".missing-names").innerText()).includes(full(one)));
assert.equal(await page.getByRole("button", { name: /Leave/ }).count(), 0);
await show(page, `/trips/${trip}/deck`);
const last = page.locator(`[data-team="${number}"]`);
await last.getByRole("button", { name: / up$/ }).click();
await pause(1300);
for (let n = 0; n < 2; n += 1) {
  await last.getByRole("button", { name: / aboard$/ }).first().click();
  await pause(1300);
}
await page.locator(`[data-team="${number}"][data-status="aboard"]`).waitFor();
await last.getByRole("link", { name: "Report the depth" }).click();
await page.getByRole("button", { name: "−5", exact: true }).click();
await look(page, "depth");
await page.getByRole("button", { name: full(one).split(" ")[0] }).first().click();
await pause(1300);
await page.getByRole("button", { name: /Nobody read it/ }).click();
await page.locator(`[data-team="${number}"]`).waitFor();

// Roll call before leaving the site: everyone again, since people were in the water.
await show(page, `/trips/${trip}/roll-call`);
await callNames(page, everyone.map(full));
await secondCount(page, short(two), everyone.map(full));
await look(page, "roll-call");
await page.getByText("Everyone is accounted for by name").waitFor();
await page.getByRole("button", { name: "Leave the site" }).click();
await page.getByRole("heading", { name: "Deck", exact: true }).waitFor({ state: "attached" });

// Somebody sets the phone's clock while it is in sight: said with how much, one tap for the reason; the due times stay.
const setClock = (ms) =>
  page.evaluate((by) => {
    globalThis.rightNow ??= Date.now.bind(Date);
    Date.now = () => globalThis.rightNow() + by;
  }, ms);
await setClock(-3_600_000);
await page.getByText("This phone's own clock is 60 min behind.").waitFor();
await look(page, "deck-clock-behind");
await setClock(-1_800_000);
await page.getByText("Clock: about 16 min uncertain").click();
await page.getByText("Go by a watch.").waitFor();
await look(page, "deck-clock-uncertain");

const atSea = await kept(page);
assert.equal(atSea.filter((entry) => entry.data.how === "step").length, 4, "each jump is written down once");
const own = atSea.filter((entry) => entry.sent === 0);
assert.equal(await page.locator("[data-only-here]").first().getAttribute("data-only-here"), String(own.length));
assert.ok(own.length > 2 * everyone.length);

// Back: the server runs again, the network is there, and everything arrives by itself, without signing in again.
await ask("start");
await phone.context.setOffline(false);
await page.locator('[data-only-here="0"]').waitFor({ timeout: 60_000 });
await page.getByText("This phone's own clock is 30 min behind.").waitFor({ timeout: 30_000 });
// That was written down as one more entry, which goes with the next exchange.
await pause(400);
await page.locator('[data-only-here="0"]').waitFor({ timeout: 60_000 });
const there = await seenByLeader(`/api/trips/${trip}/entries?after=0&limit=1000`);
const ids = there.entries.map(({ entry }) => entry.id);
assert.equal(new Set(ids).size, ids.length, "an entry arrived twice");
const here = await kept(page);
assert.deepEqual([...ids].sort(), here.map((entry) => entry.id).sort());
for (const { entry } of there.entries) {
  const mine = here.find((each) => each.id === entry.id);
  assert.equal(mine.hash, entry.hash);
}
assert.deepEqual(there.entries.flatMap(({ trouble }) => trouble), []);
await pause(6_000);
const later = await seenByLeader(`/api/trips/${trip}/entries?after=0&limit=1000`);
assert.deepEqual(later.entries.map(({ entry }) => entry.id), here.length === later.entries.length ? ids : later.entries.map(({ entry }) => entry.id));
assert.equal(new Set(later.entries.map(({ entry }) => entry.id)).size, later.entries.length);
assert.deepEqual(phone.errors, []);
report({ trip, entries: ids.length, written_at_sea: own.length, device: here[0].device, people: everyone.length });
await phone.close();
