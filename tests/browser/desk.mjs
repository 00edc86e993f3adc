// The organiser's evenings before a trip, at a desk, and what a diver then finds on a phone: every step by its own button.
import { assert, Browser, DESK, look, PHONE, report, settings, show } from "./phone.mjs";

const desk = await Browser.open(`${settings.profile}/desk`, DESK);
let { page } = desk;

async function signInAs(email, password) {
  await page.goto(`${settings.url}#/sign-in`);
  await page.getByLabel("E-mail").fill(email);
  await page.getByLabel("Password").fill(password);
  await page.getByRole("button", { name: "Sign in" }).last().click();
  await page.getByRole("button", { name: "Sign out" }).waitFor();
}
async function signOut() {
  await press("Sign out");
  await page.getByRole("link", { name: "Sign in" }).first().waitFor();
  await heading("Trips");
}
const press = (name, within = page) => within.getByRole("button", { name, exact: true }).first().click();
const lookBoth = async (name) => {
  await look(page, name);
  await page.setViewportSize(PHONE);
  await look(page, `${name}-phone`);
  await page.setViewportSize(DESK);
};
const heading = (name) => page.getByRole("heading", { name, exact: true, level: 1 }).waitFor();
const api = (path) => page.evaluate((at) => fetch(at).then(async (answer) => ({ status: answer.status, body: await answer.json() })), path);

// A wrong password is refused in words, and what was typed stays.
await page.goto(`${settings.url}#/sign-in`);
await page.getByLabel("E-mail").fill(settings.emails.keeper);
await page.getByLabel("Password").fill("not this one");
await page.getByRole("button", { name: "Sign in" }).last().click();
await page.getByRole("alert").waitFor();
assert.equal(await page.getByLabel("E-mail").inputValue(), settings.emails.keeper);
await signInAs(settings.emails.keeper, settings.passwords.organiser);
const club = (await api("/api/me")).body.clubs[0].id;

// The roster, as the spreadsheet that the club keeps.
async function bring() {
  await show(page, `/organise/clubs/${club}/import`);
  await page.getByLabel("Spreadsheet").setInputFiles(new URL("../../fixtures/imports/roster.xlsx", import.meta.url).pathname);
  await press("Read the file");
  await heading("What is in each column");
}
await show(page, "/organise");
await page.getByText("No trip yet.").waitFor();
// What only the club can decide is asked for where a club starts.
await page.getByRole("link", { name: "Set the minutes" }).waitFor();
await lookBoth("desk-organise");
await page.getByRole("link", { name: "Set the minutes" }).click();
await page.getByLabel(/^Minutes after due/).waitFor();
await lookBoth("desk-settings");
await show(page, `/organise/clubs/${club}/import`);
await press("Read the file");
await page.getByText("Choose the file first.").waitFor();
await bring();
await look(page, "desk-columns");
await press("These columns are right");
await heading("Check the rows");
await look(page, "desk-rows");
const blocked = await page.getByRole("list", { name: "Rows" }).getByRole("listitem").count();
assert.ok(blocked > 0, "the file has rows to mend");
assert.ok(await page.locator(".desk-foot button").isDisabled(), "nothing is brought in while a row is open");
assert.equal((await api(`/api/clubs/${club}/divers`)).body.divers.length, 1, "a preview writes nothing");
async function answerRows() {
  const answers = { "two people of one name": true, "130 ft": true, no: true };
  const mended = { "E-mail": "nico.vahl@varrow.example", Born: "1985-02-28" };
  for (;;) {
    const row = page.locator(".row.stop").first();
    if ((await row.count()) === 0) return;
    const title = await row.locator(".row-title").innerText();
    const place = await row.locator(".row-note").innerText();
    const button = row.locator(".desk-problem button").filter({ hasNotText: "Use this" });
    const names = await button.allInnerTexts();
    const choice = names.find((name) => answers[name]);
    if (choice !== undefined) await button.getByText(choice, { exact: true }).click();
    else if (names.length > 0) await button.first().click();
    else {
      const field = row.getByRole("textbox").first();
      const label = (await field.getAttribute("aria-label")) ?? (await row.locator("label").first().innerText());
      const value = Object.entries(mended).find(([start]) => label.startsWith(start))?.[1];
      assert.ok(value !== undefined, `${title}, ${place}: no answer prepared for ${label}`);
      await field.fill(value);
      await press("Use this", row);
    }
    await page.waitForFunction(([t, p]) => ![...document.querySelectorAll(".row.stop")].some((one) => one.innerText.includes(t) && one.innerText.includes(`${p}\n`)), [title, place]);
  }
}
await answerRows();
await page.locator(".desk-foot button:not([disabled])").click();
await heading("Roster brought in");
await look(page, "desk-result");
const divers = (await api(`/api/clubs/${club}/divers`)).body.divers;
assert.equal(divers.length, 40);

// The same file once more: nothing changes, and it says so.
await bring();
await press("These columns are right");
await heading("Check the rows");
await answerRows();
await page.locator(".desk-foot button:not([disabled])").click();
await heading("Roster brought in");
await page.getByText(/^Nothing changed/).waitFor();
assert.deepEqual((await api(`/api/clubs/${club}/divers`)).body.divers, divers, "the second import changed something");
report({ imported: divers.length });

await show(page, `/organise/clubs/${club}/roster`);
await page.getByText("40 divers").waitFor();
await page.getByLabel("Find a diver").fill("ines");
await page.getByRole("link", { name: "Inês Farrow" }).waitFor();
await look(page, "desk-roster");

// One diver more, by hand: a name is enough, and what is wrong is said beside its field.
await show(page, `/organise/clubs/${club}/roster`);
await page.getByRole("link", { name: "Add one diver" }).click();
await heading("Add one diver");
await press("Add the diver");
await page.getByText("Give the name that the roll call uses.").waitFor();
await page.getByLabel("Name", { exact: true }).fill("Ada Brook");
await page.getByLabel("Certification", { exact: true }).fill("Deep diver");
await page.getByLabel("Certified depth, m").fill("30");
await lookBoth("desk-add-diver");
await press("Add the diver");
await heading("Ada Brook");
await page.getByText("add theirs under “Change the record” first", { exact: false }).waitFor();
const ada = /divers\/([0-9a-f-]{36})/.exec(page.url())[1];

// Without an e-mail there is no account; with one the password is shown once and nowhere else.
await page.getByText("Change the record", { exact: true }).click();
await page.getByLabel("E-mail", { exact: true }).fill(settings.emails.keeper.replace("keeper", "ada"));
await press("Save the record");
await press("Give an account");
await page.getByText("Shown this once.", { exact: false }).waitFor();
const oneTime = await page.locator("code").innerText();
assert.match(oneTime, /^[a-z2-9]{4}(-[a-z2-9]{4}){2}$/);
await lookBoth("desk-account");
await page.reload();
await heading("Ada Brook");
await page.getByText("Change the role", { exact: true }).click();
assert.ok(!(await page.content()).includes(oneTime), "the password is shown once");
await page.getByRole("radio", { name: /^leader/ }).check();
await press("Save the role");
await page.locator(".facts", { hasText: "Role" }).getByText("leader", { exact: true }).waitFor();
assert.equal((await api(`/api/divers/${ada}`)).body.role, "leader");
await page.getByRole("radio", { name: /^diver/ }).check();
await press("Save the role");
await page.locator(".facts", { hasText: "Role" }).getByText("diver", { exact: true }).waitFor();
await lookBoth("desk-account-change");

// What six of them have done; one of them typed in by hand, the rest by the same door.
const six = { "Marta Quill": [40, 1, 5], "Bo Lindqvar": [33, 1, 4], "Celia Thorn": [30, 0.6, 4], "Inês Farrow": [33, 0.8, 0], "Sten Ovrebo": [18, 0.3, 4], "Callum Dray": [30, 0.8, 0] };
const id = (name) => divers.find((diver) => diver.name === name).id;
const on = settings.emails.dived_on;
await show(page, `/organise/divers/${id("Marta Quill")}`);
await page.getByText("Add past dives").click();
await page.getByLabel("Deepest point, m").fill("40");
await page.getByLabel("How many dives like this").fill("3");
await page.getByLabel("Current, knots").fill("1");
await page.getByLabel("Task").fill("survey");
await page.getByLabel("Level").selectOption("5");
await press("Add these dives");
await page.getByText("Give the day of the latest of them.").waitFor();
assert.equal(await page.getByLabel("Task").inputValue(), "survey", "an error lost what was typed");
await page.getByLabel("Day of the latest").fill(on);
await press("Add these dives");
await page.getByText("survey level 5").waitFor();
await look(page, "desk-diver");
for (const [name, [depth, kn, level]] of Object.entries(six).slice(1)) {
  const status = await page.evaluate(
    ([at, body]) => fetch(at, { method: "POST", headers: { "Content-Type": "application/json", "X-CSRFToken": /csrftoken=([^;]+)/.exec(document.cookie)[1] }, body: JSON.stringify(body) }).then((answer) => answer.status),
    [`/api/divers/${id(name)}/dives`, { on, count: 3, depth: { unit: "m", hundredths: depth * 100 }, current_kn: kn, task: level === 0 ? null : { kind: "survey", level } }],
  );
  assert.equal(status, 201, name);
}

// The trip and its people.
await show(page, "/organise");
await page.getByRole("link", { name: "New trip" }).click();
await page.getByLabel("Name", { exact: true }).fill("Two dives");
await page.getByLabel("Leaves the dock").fill(`${settings.emails.day}T08:00`);
await page.getByLabel("Boat").selectOption("new");
await page.getByLabel("Name of the boat").fill("Grey Petrel");
await press("Make the trip");
await page.getByRole("link", { name: "Change name, start or boat" }).click();
await heading("Change the trip");
assert.equal(await page.getByLabel("Leaves the dock").inputValue(), `${settings.emails.day}T08:00`, "the start as it was typed");
await page.getByLabel("Name", { exact: true }).fill("Two dives at the Teeth");
await page.getByLabel("Leaves the dock").fill(`${settings.emails.day}T07:30`);
await lookBoth("desk-change-trip");
await press("Save the trip");
await heading("Two dives at the Teeth");
await page.getByText("07:30 · Grey Petrel", { exact: false }).waitFor();
await lookBoth("desk-trip");
await page.getByRole("link", { name: "Add people" }).click();
for (const name of Object.keys(six)) {
  await page.getByLabel("Find a diver").fill(name);
  await page.getByRole("button", { name: `Add ${name}` }).click();
  await page.getByRole("button", { name: `Add ${name}` }).waitFor({ state: "detached" });
}
await page.getByLabel("Name", { exact: true }).fill("Una Torvald");
await press("Add", page.getByRole("form", { name: "Crew or a guest" }));
await page.waitForFunction(() => document.querySelector("form[aria-label='Crew or a guest'] input").value === "");
await look(page, "desk-add-people");
await page.getByRole("link", { name: "People on the trip" }).click();
await press("I asked all 6: none has dived");
await page.getByRole("button", { name: "I asked all 6: none has dived" }).waitFor({ state: "detached" });
await look(page, "desk-people");
const trip = /trips\/([0-9a-f-]{36})/.exec(page.url())[1];

// The club decides what no table gives.
await show(page, `/organise/clubs/${club}/settings`);
await page.getByLabel("Gas margin, %").fill("0");
await page.getByLabel(/^Breathing rate of two/).fill("30");
await press("Save");
await page.getByText("Saved.").waitFor();
await page.getByRole("link", { name: /^Counts and alarms/ }).click();
await page.getByLabel(/^How long one phone may be quiet/).fill("16");
await press("Save");
await page.getByText("Whole minutes from 1 to 15, or leave it empty.").waitFor();
assert.ok(await page.getByLabel(/^Two people, each alone/).isChecked(), "a new club needs two counts");
await lookBoth("desk-counts");
await page.getByLabel(/^How long one phone may be quiet/).fill("3");
await press("Save");
await page.getByText("Saved.").waitFor();
await show(page, `/organise/clubs/${club}/missing`);
await page.getByLabel("Radio channel").fill("VHF 16");
await page.getByLabel("Call sign of our radio").fill("QQ1234");
await press("Start from the general steps");
await press("Remove step 11");
await page.getByLabel("Step 2: minutes from overdue").fill("5");
await page.getByLabel("Step 3: minutes from overdue").fill("4");
await press("Save");
await page.getByText("Step 3 is due before step 2. Move it up, or give it more minutes.").first().waitFor();
await lookBoth("desk-missing");
await page.getByLabel("Step 3: minutes from overdue").fill("6");
await press("Save");
await page.getByText("Saved.").waitFor();
const { lost_diver: steps } = (await api("/api/me")).body.clubs[0].settings;
assert.deepEqual([steps.length, steps[1].after_min, steps[2].after_min, steps[3].after_min], [10, 5, 6, null]);

// The dive. The first try names every field that is missing and keeps what was typed.
await show(page, `/organise/trips/${trip}`);
await page.getByRole("link", { name: "Plan dive 1" }).click();
await page.getByLabel("Site", { exact: true }).selectOption("new");
await page.getByLabel("Name of the site").fill("The Teeth");
await press("Save the dive");
await page.getByText("Give the depth in metres, such as 27.").waitFor();
assert.equal(await page.getByLabel("Name of the site").inputValue(), "The Teeth");
await page.getByLabel("Depth, metres").fill("27");
await page.getByLabel(/^Bottom time wanted/).fill("17");
await page.getByLabel("Planned for").fill(`${settings.emails.day}T10:00`);
await page.getByLabel("Current, knots").fill("0,5");
await page.getByLabel("Task").fill("survey");
await look(page, "desk-dive");
await press("Save the dive");
await page.getByRole("link", { name: "Gas" }).click();

// Gas: the cylinder of the record is there already; pressure and the diver's own analysis are typed.
const start = { "Marta Quill": "220", "Bo Lindqvar": "210", "Celia Thorn": "215", "Inês Farrow": "200", "Sten Ovrebo": "160", "Callum Dray": "220" };
for (const [name, pressure] of Object.entries(start)) {
  const section = page.locator("section", { has: page.getByRole("heading", { name, exact: true }) });
  await section.locator("summary").click();
  const size = section.getByLabel(/^Size/);
  await size.waitFor();
  assert.notEqual(await size.inputValue(), "", `${name}: the cylinder of the record was not taken over`);
  if (name === "Sten Ovrebo") await size.fill("10");
  await section.getByLabel(/^Start pressure/).fill(pressure);
  await section.getByLabel(/^Oxygen analysed/).fill("20,9");
  await press(`Save the gas of ${name}`, section);
  await section.getByText(/analysed 20\.9 %/).waitFor();
}
await look(page, "desk-gas");

// Teams: nobody new to two things at once, no team of two who are both new to something.
await page.getByRole("link", { name: "Teams of dive 1" }).click();
await press("Find teams");
await page.getByRole("heading", { name: "Proposed, nothing announced yet" }).waitFor();
await look(page, "desk-teams");
const proposed = await page.getByRole("list", { name: "Proposed teams" }).locator(".desk-card").allInnerTexts();
assert.equal(proposed.length, 3);
const experts = ["Marta Quill", "Bo Lindqvar", "Celia Thorn"];
for (const text of proposed) assert.equal(experts.filter((name) => text.includes(name)).length, 1, `one who has done it all in each team: ${text}`);
for (const text of proposed) assert.match(text, /Not more than\n\d+ min/, "whole minutes");
const why = page.locator("details", { has: page.getByRole("heading", { name: "Why not these two?" }) });
await why.getByLabel("One", { exact: true }).selectOption({ label: "Inês Farrow" });
await why.getByLabel("The other").selectOption({ label: "Sten Ovrebo" });
await press("Ask", why);
await why.getByText(/Two stretched together/).waitFor();
await look(page, "desk-why-not");

// By hand: two who are both new to something are refused by name; nothing is announced and the draft stays.
await press("Change by hand");
const partner = await page.evaluate(() => [...document.querySelectorAll(".desk-card")].map((card) => [...card.querySelectorAll(".desk-names button")].map((one) => one.innerText)).find((team) => team.includes("Inês Farrow")).find((name) => name !== "Inês Farrow"));
await page.getByRole("button", { name: partner, exact: true }).click();
await page.waitForTimeout(800);
await page.getByRole("button", { name: "Sten Ovrebo", exact: true }).click();
await press("Announce these teams");
await page.getByRole("alert").getByText(/Two stretched together/).waitFor();
await look(page, "desk-by-hand");
assert.equal((await api(`/api/trips/${trip}`)).body.dives_planned[0].teams.length, 0);

// People decide: the rule is set aside with a reason that stays with the plan, and not without one.
await press("Set aside and announce");
await page.getByText("Say why: it stays with the plan.").waitFor();
await page.getByLabel(/may be set aside here$/).fill("Both were here last week with Marta beside them.");
await lookBoth("desk-set-aside");
await press("Set aside and announce");
await page.getByRole("heading", { name: "Announced", exact: true }).waitFor();
const asDecided = (await api(`/api/trips/${trip}`)).body.dives_planned[0].teams.flatMap((team) => team.reasons).filter((reason) => reason.code === "override");
assert.match(asDecided[0].message, /Both were here last week/);
await press("Find teams again");
await page.getByRole("heading", { name: "Proposed, not announced" }).waitFor();

// A wish is taken and taken back.
const wishes = page.locator("details", { has: page.getByRole("heading", { name: /^Wishes/ }) });
await wishes.getByLabel("One", { exact: true }).selectOption({ label: "Callum Dray" });
await wishes.getByLabel("The other").selectOption({ label: "Marta Quill" });
await press("Add the wish and find teams", wishes);
await wishes.getByRole("button", { name: /^Take back/ }).waitFor();
await wishes.getByRole("button", { name: /^Take back/ }).click();
await wishes.getByText("None: teams are found from the facts alone.").waitFor();
await press("Announce these teams");
await page.getByRole("heading", { name: "Announced", exact: true }).waitFor();
await look(page, "desk-announced");

// The plan of the team whose gas binds.
const binding = page.getByRole("list", { name: "Announced teams" }).locator(".desk-card").filter({ hasText: "Sten Ovrebo" });
await binding.getByText("Sten Ovrebo: gas").waitFor();
await binding.getByRole("link", { name: "Plan" }).click();
await page.getByText("Bottom time, not more than").waitFor();
const planned = await page.locator("main").innerText();
assert.match(planned, /by the tissue model, .* by the air table/, "both methods are shown");
assert.match(planned, /US Navy Diving Manual, Revision 7/, "the source of the table is shown");
assert.match(planned, /local rules and your own instruments come first/, "the plan defers");
assert.match(planned, /Sten Ovrebo: a cylinder of \d+ l/, "what would buy time names the cylinder");
assert.ok(!/\bsafe\b/i.test(planned), "no plan is called that");
assert.ok(!/\d\.\d min\b/.test(planned), "minutes are whole");
await look(page, "desk-plan");

// The network drops while a form is filled: it says so, and nothing typed is lost.
await show(page, `/organise/clubs/${club}/settings`);
await page.getByLabel(/^Minutes after due/).fill("10");
await desk.context.setOffline(true);
await press("Save");
await page.getByText("Nothing was sent.", { exact: false }).waitFor();
assert.equal(await page.getByLabel(/^Minutes after due/).inputValue(), "10");
await desk.context.setOffline(false);
await show(page, `/organise/trips/${trip}/ready`);
await page.getByText("after how many minutes a late team counts as overdue").waitFor();
assert.ok(await page.getByRole("button", { name: "Make the trip ready" }).isDisabled());
await look(page, "desk-not-ready");
await page.getByRole("link", { name: "Open the club’s settings" }).click();
await page.getByLabel(/^Minutes after due/).waitFor();
assert.equal(await page.getByLabel(/^Minutes after due/).inputValue(), "10", "the draft came back");
await press("Save");
await page.getByText("Saved.").waitFor();
// Who ashore waits for the boat: nobody, which it says; then one person, whom the club's own figures have to call.
await show(page, `/organise/trips/${trip}/ready`);
await page.getByText("nobody ashore is alarmed if this boat does not come back", { exact: false }).waitFor();
await page.getByRole("link", { name: "Float plan" }).click();
await page.getByRole("link", { name: "Write a float plan" }).click();
await heading("Change the float plan");
await page.getByLabel("Back by").fill(`${settings.emails.day}T07:00`);
await page.getByLabel("Number 1: name").fill("Bryn Tal");
await page.getByLabel("Number 1: e-mail").fill("bryn.tal@varrow.example");
await press("Save the float plan");
await page.getByText("The boat would be back before it leaves.", { exact: false }).first().waitFor();
await page.getByLabel("Back by").fill(`${settings.emails.day}T18:30`);
await lookBoth("desk-float-plan-change");
await press("Save the float plan");
await heading("Float plan");
await page.getByText("Nobody is told yet.", { exact: false }).waitFor();
await lookBoth("desk-float-plan");
await show(page, `/organise/trips/${trip}/ready`);
await page.getByRole("link", { name: "Set how the alarm ashore calls" }).click();
await page.getByLabel("Calls every so many minutes").fill("10");
await page.getByLabel("Calls until the next person is called as well").fill("3");
await press("Save");
await page.getByText("Saved.").waitFor();
// No mail is set up: nobody would be called, and that takes somebody's name.
await show(page, `/organise/trips/${trip}/ready`);
await page.getByText("No alarm would reach anybody ashore", { exact: false }).first().waitFor();
assert.ok(await page.getByRole("button", { name: "Make the trip ready" }).isDisabled());
await page.getByRole("link", { name: "Open the float plan" }).first().click();
await heading("Change the float plan");
await page.getByLabel(/^I tell each of them another way/).check();
await lookBoth("desk-told-otherwise");
await press("Save the float plan");
await heading("Float plan");
await show(page, `/organise/trips/${trip}/ready`);
await press("Make the trip ready");
await heading("The trip is ready");
await look(page, "desk-ready");
const held = await api(`/api/trips/${trip}/snapshot`);
assert.equal(held.status, 200);
assert.deepEqual(held.body.snapshot.dives[0].teams.map((team) => team.members.length), [2, 2, 2]);
report({ ready: held.body.hash });
assert.deepEqual(held.body.labels.ashore, ["Bryn Tal"]);
// Armed, and it says whom it would not reach; the link is read by somebody without an account, and ends the duty.
await show(page, `/organise/trips/${trip}/shore`);
await page.getByText(/it would reach nobody: .* said that they are told another way/).waitFor();
const plan = (await api(`/api/trips/${trip}/float-plan`)).body;
const nobody = await desk.browser.newContext({ viewport: PHONE });
const ashore = await nobody.newPage();
await ashore.goto(settings.url.replace(/\/$/, "") + new URL(plan.contacts[0].link).pathname);
await ashore.getByText("You wait for this boat.", { exact: false }).waitFor();
await look(ashore, "ashore-armed");
await ashore.getByRole("button", { name: "All home" }).click();
await ashore.getByText("All home. Bryn Tal said so", { exact: false }).waitFor();
await look(ashore, "ashore-home");
await nobody.close();
await page.reload();
await page.getByText("All home: Bryn Tal said so", { exact: false }).waitFor();
const teams = held.body.snapshot.dives[0].teams;

// Another trip, of two dives with its gas recorded: both dives are paired together, partners changed, and taken at once.
const day = await page.evaluate(
  async ([trip, on]) => {
    const csrf = /csrftoken=([^;]+)/.exec(document.cookie)[1];
    const call = async (method, path, body) => {
      const answer = await fetch(path, { method, headers: { "Content-Type": "application/json", "X-CSRFToken": csrf }, body: body && JSON.stringify(body) });
      const read = await answer.json();
      if (!answer.ok) throw new Error(`${path}: ${JSON.stringify(read)}`);
      return read;
    };
    const before = await call("GET", `/api/trips/${trip}`);
    const starts = (hour) => new Date(Date.parse(`${on}T${hour}:00Z`) + 7 * 86400e3).toISOString();
    let made = await call("POST", "/api/trips", { club: before.club, name: "Both dives", starts_at: starts("08:00") });
    const at = `/api/trips/${made.id}`;
    for (const one of before.bookings.filter((booking) => booking.dives)) made = await call("POST", `${at}/bookings`, { diver: one.diver, role: one.role, dives: true, earlier_dives: [] });
    for (const [hour, hundredths] of [["10:00", 1800], ["13:00", 1200]]) made = await call("POST", `${at}/dives`, { planned_at: starts(hour), depth: { unit: "m", hundredths }, bottom_time_s: 1800 });
    const divers = made.bookings;
    await call("POST", `${at}/bookings`, { name: "Ida Holm", role: "crew" });
    for (const [name, most_persons] of [["Large boat", 6], ["Small boat", null]]) await call("POST", `/api/clubs/${before.club}/places`, { kind: "boat", name, most_persons });
    for (const dive of made.dives_planned)
      for (const one of divers)
        await call("PUT", `${at}/dives/${dive.id}/gas/${one.id}`, { cylinder: one.name, volume: "12", volume_unit: "l", working_pressure: 232, pressure_unit: "bar", start_pressure: 220, analysed_o2_pm: 209, analysed_by: one.id });
    return made.id;
  },
  [trip, settings.emails.day],
);
await show(page, `/organise/trips/${day}`);
await lookBoth("desk-two-dives");
// How many the small boat may carry was not known: it is entered where a boat is chosen.
await page.getByRole("link", { name: "Change name, start or boat" }).click();
await page.getByLabel("Boat", { exact: true }).selectOption({ label: "Small boat" });
await page.getByLabel("Persons it may carry").fill("5");
await look(page, "desk-boat-carries");
await press("Save the trip");
await page.getByRole("link", { name: "Teams of both dives" }).click();
await heading("Teams of both dives");
await page.getByLabel("Small boat").check();
await page.getByLabel("Large boat").check();
await press("Find the teams of all dives");
await page.getByText("Say which boat they go on: Ida Holm", { exact: false }).first().waitFor();
await page.getByLabel("Ida Holm goes on").selectOption({ label: "Large boat" });
await page.getByLabel("Change partners").check();
await page.waitForTimeout(800); // The same button again at once would be a bounce.
await press("Find the teams of all dives");
await page.getByRole("list", { name: "Teams of Dive 2" }).waitFor();
await page.getByRole("list", { name: "Who is on which boat" }).getByText("of 6 seats taken", { exact: false }).waitFor();
await lookBoth("desk-day-teams");
const dayTeams = await Promise.all([1, 2].map((n) => page.getByRole("list", { name: `Teams of Dive ${n}` }).locator(".desk-card .desk-members").allInnerTexts()));
assert.ok(dayTeams[0].length > 0 && dayTeams[0].filter((team) => !dayTeams[1].includes(team)).length > 1, "partners change, but for the two on the small boat");
await press("Announce the teams of all dives");
await page.getByText("Announced: 2 dives, each team with its plan.").waitFor();
const announcedDay = (await api(`/api/trips/${day}`)).body.dives_planned;
assert.deepEqual(announcedDay.map((dive) => dive.teams.length), dayTeams.map((dive) => dive.length));

// On one of them: the day that a drop-out disturbs least, then a guided group, taken back again.
await show(page, `/organise/trips/${day}/dives/${announcedDay[1].id}/teams`);
const dropOuts = page.locator("details", { has: page.getByRole("heading", { name: "If someone drops out" }) });
await press("Find teams again");
await dropOuts.waitFor();
await dropOuts.locator("summary").first().click();
await dropOuts.getByLabel("of equally good days, take the one a drop-out disturbs least").click();
await page.waitForFunction(() => document.querySelector("details.desk-panel input:checked[type=checkbox]") !== null);
const guided = page.locator("details", { has: page.getByRole("heading", { name: /^Guided groups/ }) });
await guided.locator("summary").first().click();
for (const name of ["Marta Quill", "Callum Dray", "Sten Ovrebo"]) await guided.getByLabel(name).check();
await press("Make the group", guided);
await guided.getByRole("button", { name: /^Take back/ }).waitFor();
await page.getByRole("heading", { name: /^Guided group \d/ }).first().waitFor();
await lookBoth("desk-guided");
await guided.getByRole("button", { name: /^Take back/ }).click();
await guided.getByRole("button", { name: /^Take back/ }).waitFor({ state: "detached" });
assert.deepEqual(desk.errors, []);
await desk.close();

// A diver, on a phone: their own team and record, and no other's.
const phone = await Browser.open(`${settings.profile}/phone`, PHONE);
page = phone.page;
await signInAs(settings.emails.member, settings.passwords.diver);
await show(page, "/me");
await page.getByRole("list", { name: "My trips" }).locator(`a[href$="${trip}"]`).click();
await page.getByText("Bottom time, not more than").waitFor();
await look(page, "diver-team");
const mine = await page.locator("main").innerText();
const names = held.body.names;
const own = teams.find((team) => team.members.some((person) => names[person] === "Sten Ovrebo"));
for (const person of own.members.filter((one) => names[one] !== "Sten Ovrebo")) assert.match(mine, new RegExp(names[person]));
for (const person of teams.filter((team) => team !== own).flatMap((team) => team.members)) assert.ok(!mine.includes(names[person]), `${names[person]} is in another team`);
assert.match(mine, /New for you on this dive/);
assert.match(mine, /My minimum gas\n\d+ bar/);
assert.match(mine, /My turn pressure\n\d+ bar/);
await show(page, "/me/status");
await page.getByText("No dive of yours has come in from the boat yet.").waitFor();
await look(page, "diver-status");
await show(page, "/me/inbox");
await page.getByText("Nothing yet.").waitFor();
await look(page, "diver-inbox");
await show(page, "/me");
await page.getByRole("link", { name: /^My record/ }).click();
await heading("My record");
await page.getByText("Certified to").waitFor();
await look(page, "diver-record");
assert.equal((await api(`/api/divers/${id("Sten Ovrebo")}`)).status, 200);
assert.equal((await api(`/api/divers/${id("Marta Quill")}`)).status, 404, "another's record");
assert.equal((await api(`/api/clubs/${club}/divers`)).status, 403, "the roster");
await show(page, `/organise/divers/${id("Marta Quill")}`);
await page.getByRole("alert").waitFor();
assert.ok(!(await page.locator("main").innerText()).includes("marta.quill"), "another's record on the screen");
await show(page, `/organise/trips/${trip}`);
await page.waitForFunction((own) => location.hash === own, `#/me/trips/${trip}`);
assert.deepEqual(phone.errors, []);

// Who got an account signs in with what was said to them, makes a password of their own, and organises nothing.
await signOut();
await signInAs(settings.emails.keeper.replace("keeper", "ada"), oneTime);
assert.equal(await page.getByRole("link", { name: "Organise" }).count(), 0, "who organises nothing is offered nothing to organise");
await show(page, "/me");
await look(page, "diver-start");
await page.getByRole("link", { name: /^Password/ }).click();
await heading("Password");
await page.getByLabel("Current password").fill("not this one");
await page.getByLabel("New password").fill("a plank above the ladder");
await press("Change the password");
await page.getByRole("alert").waitFor();
assert.equal(await page.getByLabel("New password").inputValue(), "a plank above the ladder", "an error lost what was typed");
await page.getByLabel("Current password").fill(oneTime);
await look(page, "diver-password");
await press("Change the password");
await page.getByText("Changed. You stay signed in here", { exact: false }).waitFor();
await signOut();
await signInAs(settings.emails.keeper.replace("keeper", "ada"), "a plank above the ladder");
assert.deepEqual(phone.errors, []);
await phone.close();
report({ done: true });
