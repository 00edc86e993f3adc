// A new version of the app is offered and waits: nothing changes on the phone until a person says so.
import { readFileSync, writeFileSync } from "node:fs";
import { ask, assert, Browser, pause, report, settings, show } from "./phone.mjs";

let phone = await Browser.open(settings.profile);
let { page } = phone;
await page.goto(settings.url);
await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
const versions = () => page.evaluate(async () => (await caches.keys()).filter((name) => name.startsWith("teamdive-")));
const isNew = () => page.evaluate(() => document.querySelector('meta[name="next"]') !== null);
const [old] = await versions();
assert.match(old, /^teamdive-[0-9a-f]{16}$/);

const worker = `${settings.dist}/sw.js`;
writeFileSync(worker, readFileSync(worker, "utf8").replaceAll(old, "teamdive-next"));
const front = `${settings.dist}/index.html`;
writeFileSync(front, readFileSync(front, "utf8").replace("<head>", '<head><meta name="next" />'));
await ask("stop");
await ask("start");
await page.reload();
await page.getByText("A new version is ready. It waits until you say so.").waitFor();
assert.deepEqual((await versions()).sort(), [old, "teamdive-next"].sort());
await page.reload();
await pause(1000);
assert.ok(!(await isNew()) && (await versions()).includes(old), "the new version took over by itself");
// The app is closed, as phones close it, and opened again at sea: it is still the one of the dock.
await phone.close();
phone = await Browser.open(settings.profile);
({ page } = phone);
await phone.context.setOffline(true);
await page.goto(settings.url);
await page.getByText("A new version is ready. It waits until you say so.").waitFor();
assert.equal(await isNew(), false, "a closed app came back as another one");
await phone.context.setOffline(false);
// On the deck it is not even mentioned: a hand that slips must not change the app.
await show(page, "/trips/00000000-0000-4000-8000-000000000000/deck");
assert.equal(await page.getByText("A new version is ready").count(), 0);
await show(page, "/");
await Promise.all([page.waitForEvent("load"), page.getByRole("button", { name: "Change now" }).click()]);
await page.getByRole("heading", { name: "Trips" }).waitFor();
assert.equal(await isNew(), true);
assert.equal(await page.getByText("A new version is ready").count(), 0);
// Another window may still show the version before: its pages are not taken from under it.
assert.deepEqual((await versions()).sort(), [old, "teamdive-next"].sort());
assert.deepEqual(phone.errors, []);
report({ old });
await phone.close();
