// Past dives from a sheet, each step by its own button, at a desk and on a phone.
import { assert, Browser, DESK, look, PHONE, report, settings, show } from "./phone.mjs";

const desk = await Browser.open(`${settings.profile}/desk`, DESK);
const { page } = desk;
const press = (name, within = page) => within.getByRole("button", { name, exact: true }).first().click();
const heading = (name) => page.getByRole("heading", { name, exact: true, level: 1 }).waitFor();
const api = (path) => page.evaluate((at) => fetch(at).then((answer) => answer.json()), path);
async function seen(name) {
  await look(page, `${name}-wide`);
  await page.setViewportSize(PHONE);
  await page.waitForTimeout(200);
  await look(page, name);
  await page.setViewportSize(DESK);
  await page.waitForTimeout(200);
}

await page.goto(`${settings.url}#/sign-in`);
await page.getByLabel("E-mail").fill(settings.emails.keeper);
await page.getByLabel("Password").fill(settings.passwords.organiser);
await page.getByRole("button", { name: "Sign in" }).last().click();
await page.getByRole("button", { name: "Sign out" }).waitFor();
const club = (await api("/api/me")).clubs[0].id;
const divers = (await api(`/api/clubs/${club}/divers`)).divers;
const id = (number) => divers.find((diver) => diver.member_number === number).id;

// Where past dives are missing, the page of the teams says so and leads to where they are brought.
await show(page, `/organise/trips/${settings.emails.trip}/dives/${settings.emails.dive}/teams`);
await press("Find teams");
await page.getByText(/^Past dives are missing for 4 divers/).waitFor();
await seen("past-dives-missing");
await page.getByRole("link", { name: "Bring past dives" }).click();
await heading("Bring past dives");
await press("Read the file");
await page.getByText("Choose the file first.").waitFor();
await seen("past-dives-file");

async function bring() {
  await show(page, `/organise/clubs/${club}/past-dives`);
  await page.getByLabel("Spreadsheet").setInputFiles(new URL("../../fixtures/imports/past_dives.csv", import.meta.url).pathname);
  await press("Read the file");
  await heading("What is in each column");
}
await bring();
await seen("past-dives-columns");
await press("These columns are right");
await heading("Check the rows");
await seen("past-dives-rows");
const line = (row) => page.locator(".row").filter({ has: page.locator(".row-note", { hasText: new RegExp(`^row ${row}$`) }) });
async function gone(row) {
  await page.waitForFunction((n) => ![...document.querySelectorAll(".row.stop .row-note")].some((one) => one.innerText === `row ${n}`), row);
}
async function choose(row, label) {
  await line(row).locator(".desk-problem button").filter({ hasText: label }).first().click();
  await gone(row);
}
async function retype(row, value) {
  await line(row).getByRole("textbox").first().fill(value);
  await press("Use this", line(row));
  await gone(row);
}
async function answerRows() {
  const pending = async (row) => (await line(row).count()) > 0 && (await page.locator(".row.stop").filter({ has: page.locator(".row-note", { hasText: new RegExp(`^row ${row}$`) }) }).count()) > 0;
  // One question of several rows is answered once, where a person says so: here both rows are left out together.
  if (await pending(20)) {
    await line(20).getByLabel("The same answer for 1 other row that asks this").check();
    await press("Leave all 2 rows out", line(20));
    await gone(20);
    await gone(21);
  }
  if (await pending(19)) await choose(19, "born 1988");
  if (await pending(22)) await choose(22, "Marta Quill");
  if (await pending(23)) await choose(23, "3 did it supervised");
  if (await pending(26)) await choose(26, "60 ft");
  if (await pending(32)) await choose(32, "in daylight");
  for (const [row, value] of [[30, "27/09/2026"], [31, "22 m"], [33, "3"], [36, "30/09/2026"]]) if (await pending(row)) await retype(row, value);
  for (const row of [29, 34, 35]) {
    if (!(await pending(row))) continue;
    await page.getByRole("button", { name: `Leave this row out: row ${row}`, exact: true }).click();
    await gone(row);
  }
}
await answerRows();
await page.locator(".desk-foot button:not([disabled])").click();
await heading("Past dives brought in");
await seen("past-dives-result");
const done = (await api(`/api/divers/${id("101")}/experience`)).done;
assert.equal(done.length, 4);

// The same sheet once more: nothing changes, and it says so.
await bring();
await press("These columns are right");
await heading("Check the rows");
await answerRows();
await page.locator(".desk-foot button:not([disabled])").click();
await page.getByText(/^Nothing changed/).waitFor();
assert.deepEqual((await api(`/api/divers/${id("101")}/experience`)).done, done);

// Teams are found now, with nothing typed by hand.
await show(page, `/organise/trips/${settings.emails.trip}/dives/${settings.emails.dive}/teams`);
await press("Find teams again");
await page.getByRole("list", { name: "Proposed teams" }).locator(".desk-card").nth(1).waitFor();
await look(page, "past-dives-teams");
await show(page, "/organise");
await page.getByRole("link", { name: /^Bring past dives/ }).waitFor();
await seen("past-dives-start");
await show(page, `/organise/clubs/${club}/roster`);
await page.getByRole("link", { name: "Bring past dives" }).waitFor();
await seen("past-dives-roster");
assert.deepEqual(desk.errors, []);
report({ done: true });
await desk.close();
