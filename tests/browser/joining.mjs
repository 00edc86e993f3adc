// At the dock: the leader shows a code at the desk, a phone that nobody signed in on joins with it, and what it enters is in the record.
import { assert, Browser, DESK, look, pause, PHONE, report, settings, show, signIn } from "./phone.mjs";

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

await desk.page.reload();
const phones = desk.page.getByRole("list", { name: "Phones" });
await phones.getByText("Ida's phone").waitFor();
await phones.getByText("signed to the end").waitFor();
await look(desk.page, "boat-log-phones");
await desk.page.setViewportSize(PHONE);
await look(desk.page, "boat-log-phones-phone");
const record = await desk.page.evaluate(async (id) => (await (await fetch(`/api/trips/${id}/boat-log/record`)).json()).entries.map((one) => one.entry.kind), trip);
assert.ok(record.includes("snapshot_taken"), record.join());
await desk.page.setViewportSize({ width: 1280, height: 800 });
await desk.page.goto(`${settings.url}api/trips/${trip}/boat-log/record.html`);
await desk.page.getByText("Counts and departures").waitFor();
await look(desk.page, "record-to-print");

await desk.page.goto(`${settings.url}#/organise/trips/${trip}/boat-log`);
await desk.page.getByText("Lost, or no longer aboard").first().click();
await desk.page.getByRole("button", { name: "Take this phone off" }).click();
await phones.getByText("taken off").waitFor();
await phone.close();
await desk.close();
report({ done: true });
