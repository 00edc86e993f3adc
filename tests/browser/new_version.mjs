// A new version of the app is offered and waits: nothing changes on the phone until a person says so.
import { readFileSync, writeFileSync } from "node:fs";
import { ask, assert, Browser, pause, report, settings, show } from "./phone.mjs";

const phone = await Browser.open(settings.profile);
const { page } = phone;
await page.goto(settings.url);
await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
const versions = () => page.evaluate(() => caches.keys());
const [old] = await versions();
assert.match(old, /^teamdive-[0-9a-f]{16}$/);

const worker = `${settings.dist}/sw.js`;
writeFileSync(worker, readFileSync(worker, "utf8").replaceAll(old, "teamdive-next"));
await ask("stop");
await ask("start");
await page.reload();
await page.getByText("A new version is ready. It waits until you say so.").waitFor();
assert.deepEqual((await versions()).sort(), [old, "teamdive-next"].sort());
await page.reload();
await pause(1000);
assert.ok((await versions()).includes(old), "the new version took over by itself");
// On the deck it is not even mentioned: a hand that slips must not change the app.
await show(page, "/trips/00000000-0000-4000-8000-000000000000/deck");
assert.equal(await page.getByText("A new version is ready").count(), 0);
await show(page, "/");
await Promise.all([page.waitForEvent("load"), page.getByRole("button", { name: "Change now" }).click()]);
await page.getByRole("heading", { name: "Trips" }).waitFor();
await page.waitForFunction(async () => (await caches.keys()).join() === "teamdive-next");
assert.equal(await page.getByText("A new version is ready").count(), 0);
assert.deepEqual(phone.errors, []);
report({ old });
await phone.close();
