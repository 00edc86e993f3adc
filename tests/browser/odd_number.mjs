// A day that does not go as planned: one stays ashore, so two teams become a three; the three comes up apart.
// Also makes the picture of the deck (deck.png) where screenshots are asked for.
import { writeFileSync } from "node:fs";
import { assert, Browser, callNames, kept, look, pause, PHONE, report, secondCount, settings, show, signIn } from "./phone.mjs";

const phone = await Browser.open(settings.profile);
const { page } = phone;
const minute = 60_000;
const pass = async (ms) => {
  await page.clock.fastForward(ms);
  await pause(250);
};
/** One press by name, then the time for which what comes in its place is dead. */
const press = async (name, where = page) => {
  await where.getByRole("button", { name, exact: true }).first().click();
  await page.clock.runFor(6500);
  await pause(1300);
};

/** The deck as a phone shows it, with the teams in sight. */
async function picture() {
  const devtools = await phone.context.newCDPSession(page);
  await devtools.send("Emulation.setDeviceMetricsOverride", { width: 390, height: 844, deviceScaleFactor: 1.5, mobile: true });
  await page.evaluate(() => document.querySelector(".teams").scrollIntoView());
  await page.evaluate(() => scrollBy(0, -document.querySelector(".deck-head").offsetHeight + 14));
  await pause(300);
  const { data } = await devtools.send("Page.captureScreenshot", { format: "png" });
  writeFileSync(`${settings.shots}/deck.png`, Buffer.from(data, "base64"));
  await devtools.send("Emulation.clearDeviceMetricsOverride");
  await page.setViewportSize(PHONE);
}

await signIn(page, "leader");
await page.getByRole("list", { name: "Trips kept by your club" }).getByRole("link").filter({ hasText: "ready" }).first().click();
await page.getByRole("button", { name: "Bring it here" }).click();
await page.getByRole("list", { name: "Readiness" }).waitFor();
const trip = /trips\/([0-9a-f-]{36})/.exec(page.url())[1];
await page.locator('[data-only-here="0"]').waitFor();
const { snapshot, names } = await page.evaluate((id) => fetch(`/api/trips/${id}/snapshot`).then((answer) => answer.json()), trip);
await page.clock.install();
// The page must not see its clock change hands: it would take that for a jump.
await page.reload();
await page.locator('[data-only-here="0"]').waitFor();
await phone.context.setOffline(true);
const at = (path) => show(page, `/trips/${trip}/${path}`);
const row = (number) => page.locator(`[data-team='${number}']`);
const dive = snapshot.dives[0];
const divers = new Set(snapshot.dives.flatMap((each) => each.teams.flatMap((team) => team.members)));
const [mate, crew] = snapshot.people.filter((person) => !divers.has(person.id)).map((person) => person.id);
const pairs = dive.teams.length;
const [stays, odd] = dive.teams[pairs - 1].members;

const here = snapshot.people.filter(({ id }) => id !== stays).map(({ id }) => names[id]);
const callAll = () => callNames(page, here);
const twice = async () => {
  await callAll();
  await secondCount(page, names[crew].split(" ")[0], here);
};

await at("hand-over");
await page.getByRole("button", { name: names[mate] }).click();
await pause(1300);
await page.getByRole("button", { name: /I have the deck/ }).click();
await page.getByRole("heading", { name: "Deck", exact: true }).waitFor({ state: "attached" });

// Roll call: everyone but one answers. The one is asked for by name, then said to stay ashore: only then may the boat leave.
await at("roll-call");
await callAll();
assert.equal(await page.locator(".missing-names").innerText(), names[stays]);
assert.equal(await page.getByRole("button", { name: "Leave port" }).count(), 0);
await look(page, "one-does-not-answer");
// The phone is dropped and opened again in the middle of the count: nobody is called twice.
await page.reload();
await page.locator(".missing-names").waitFor();
assert.equal(await page.locator(".missing-names").innerText(), names[stays]);
assert.equal(await page.getByRole("button", { name: / answered$/ }).count(), 1);
await page.getByRole("link", { name: "Somebody stays ashore" }).click();
await page.getByRole("button", { name: names[stays] }).waitFor();
await look(page, "who-stays-ashore");
await page.getByRole("button", { name: names[stays] }).click();
// Whoever stays ashore is not counted: the first count can now be ended, and a second person calls the others.
await page.getByRole("link", { name: "Somebody stays ashore" }).waitFor();
await pause(300);
await press("End this count: everyone here is named");
await secondCount(page, names[crew].split(" ")[0], here);
await page.getByText(/^Bryn Tal ashore expects you by (.*, )?\d\d:\d\d, as known \d\d:\d\d\. Nothing here calls them: tell them yourselves if you are late\.$/).waitFor();
await look(page, "leave-port");
await press("Leave port");
await page.getByRole("heading", { name: "Deck", exact: true }).waitFor({ state: "attached" });
// One tap left port, not two places: and the next departure asks for a count of its own.
assert.equal((await kept(page)).filter((entry) => entry.kind === "departed").length, 1);
await at("roll-call");
await page.getByText("Count again before the boat leaves").waitFor();
assert.equal(await page.getByRole("button", { name: /Leave/ }).count(), 0);
await look(page, "count-again");

// The team of the one who stayed does not go; the other makes a three of the team before. Nobody is left to dive alone.
await at("deck");
await row(pairs).getByText("stayed ashore: change this team").waitFor();
assert.equal(await row(pairs).getByRole("button", { name: "Down" }).count(), 0);
await row(pairs).getByRole("link", { name: "Change team" }).click();
await press(names[stays]);
assert.ok(await page.getByRole("button", { name: "Nobody dives alone" }).isDisabled());
await look(page, "change-team-alone");
await press(names[odd]);
await press("This team does not dive");
await row(pairs).getByText("Not diving").waitFor();
const three = pairs - 1;
await row(three).getByRole("link", { name: "Change team" }).click();
await page.getByRole("button", { name: names[odd] }).waitFor();
await look(page, "change-team-three");
await press(names[odd]);
await page.getByRole("button", { name: /^Now: / }).click();
await page.clock.runFor(1500);
await row(three).waitFor();
await look(page, "deck-changed-teams");

// One of team 1 and one of team 2 swim before the dive. Entered back aboard by one tap in the row, the team goes down;
// whoever went down from the water all the same is entered by a second way.
const swimmers = [0, 1].map((n) => dive.teams[n].members[0]);
for (const swimmer of swimmers) {
  await at("went-in");
  await press(names[swimmer]);
  await row(1).waitFor();
}
for (const [n, swimmer] of swimmers.entries()) {
  await row(n + 1).getByText(`Not back aboard yet: ${names[swimmer].split(" ")[0]}`).waitFor();
  assert.equal(await row(n + 1).getByRole("button", { name: /down$/ }).count(), 0);
}
await look(page, "deck-swimmers");
await press(`${names[swimmers[1]].split(" ")[0]} aboard`, row(2));
await row(1).getByText("They have gone down all the same").click();
await look(page, "deck-down-all-the-same");

// Where "Down" was, "up" comes: dead at first, whatever touches it.
await row(2).getByRole("button", { name: "Team 2 down" }).click();
await row(2).getByRole("button", { name: / up/ }).first().waitFor();
for (const button of await row(2).getByRole("button", { name: / up/ }).all()) assert.ok(await button.isDisabled(), "up where Down was tapped a moment ago");
await page.clock.runFor(6500);
for (const button of await row(2).getByRole("button", { name: / up/ }).all()) assert.ok(await button.isEnabled());
await pass(2 * minute);
await press(`Team ${three} down`);
await pass(4 * minute);
await press("They are down, team 1");
await row(1).and(page.locator("[data-status='down']")).waitFor();
await pass(6 * minute);

// Two of one pair: one up alone starts the other's own clock at once, and it is the earlier.
const [left, right] = dive.teams[1].members;
const nameOn = async (number, person, word) => {
  for (const button of await row(number).getByRole("button", { name: new RegExp(` ${word}$`) }).all()) {
    const name = await button.getAttribute("aria-label");
    if (names[person].startsWith(name.split(" ")[0])) return name;
  }
  throw new Error(`no "${word}" for ${names[person]}`);
};
const dueOf = (number) => row(number).locator(".clock b").nth(1).innerText();
const asPlanned = await dueOf(2);
await press(await nameOn(2, left, "up"), row(2));
await row(2).getByText("one still down").waitFor();
await row(2).getByText(/own clock/).waitFor();
assert.ok((await dueOf(2)) < asPlanned, "the partner's own clock is not the earlier");
await pass(11_000);
await look(page, "one-up-alone");
if (settings.shots !== null) await picture();
await press(await nameOn(2, right, "up"), row(2));
assert.equal(await row(2).getAttribute("data-status"), "up");

// The three: two up, one still down, whose due time comes forward; a marker is not a head.
const planned = await dueOf(three);
const members = [...dive.teams[three - 1].members, odd];
await press(await nameOn(three, members[0], "up"), row(three));
await row(three).getByText("2 still down").waitFor();
const alone = await dueOf(three);
assert.ok(alone < planned, `${alone} is not before ${planned}`);
await look(page, "three-one-up");
await press(await nameOn(three, members[1], "up"), row(three));
await row(three).getByText("one still down").waitFor();
await row(three).getByRole("button", { name: "Marker seen" }).click();
await row(three).getByText(/marker seen/).waitFor();
assert.equal(await row(three).getAttribute("data-status"), "down");
await page.clock.runFor(1500);
await look(page, "three-two-up-marker");
await at("roll-call");
assert.ok((await page.locator(".missing-names").innerText()).includes(names[odd]));
await look(page, "roll-call-one-down");

// Overdue on that clock, not on the team's: the one up is then taken back as a wrong tap, from the alarm's own page.
await at("deck");
// Team 1 comes back first: whatever its limit, the alarm below is about the three alone.
await press("Both up, team 1", row(1));
for (let n = 0; n < 2; n += 1) {
  await row(1).getByRole("button", { name: / aboard$/ }).first().click();
  await page.clock.runFor(1500);
  await pause(1300);
}
await pass(snapshot.settings.overdue_after_min * minute + 9 * minute);
const alarm = page.getByRole("alertdialog", { name: "Overdue" });
await alarm.getByRole("heading", { name: names[odd] }).waitFor();
await look(page, "overdue-one");
// What covers the page at once does not take the tap that was meant for the page below.
await pause(1300);
await alarm.getByRole("button", { name: / up$/ }).first().click();
await page.clock.runFor(500);
await pause(80);
await page.getByRole("button", { name: /^Undo/ }).waitFor();
await pause(400);
await page.getByRole("button", { name: /^Undo/ }).click();
await alarm.waitFor();
await pause(1600);
assert.ok(await alarm.isVisible(), "a wrong up ended the alarm for good");
await alarm.getByRole("button", { name: / up$/ }).first().click();
await page.clock.runFor(6500);
for (const number of [2, three]) {
  while ((await row(number).getByRole("button", { name: / aboard$/ }).count()) > 0) {
    await row(number).getByRole("button", { name: / aboard$/ }).first().click();
    await page.clock.runFor(1500);
    await pause(1300);
  }
  assert.equal(await row(number).getAttribute("data-status"), "aboard");
}
await look(page, "all-aboard");

// Nothing of this day is in doubt but what was entered as such, and the count before leaving is by every name.
await at("questions");
await look(page, "questions-none");
await at("roll-call");
await callAll();
await page.getByText("Now a second count").waitFor();
await at("went-in");
await page.getByRole("button", { name: names[mate] }).click();
await row(1).waitFor();
// The swimmer holds the deck: the deck asks for somebody else at once.
await page.getByText(`${names[mate]} holds the deck and is in the water: nobody keeps watch.`).waitFor();
await at("roll-call");
assert.equal(await page.locator(".missing-names").innerText(), names[mate]);
assert.equal(await page.getByRole("button", { name: "Leave the site" }).count(), 0, "a swimmer did not open the count");
await look(page, "a-swimmer");
await at("went-in");
await pause(1300);
await page.getByRole("button", { name: `${names[mate]} is in the water` }).click();
await row(1).waitFor();
await at("roll-call");
await twice();
await page.getByText("The trip is over: everyone is ashore").click();
await look(page, "end-of-trip");
await press("End the trip");
await page.getByText(/^The trip ended at/).waitFor();
await look(page, "trip-ended");
assert.equal((await kept(page)).filter((entry) => entry.kind === "trip_ended").length, 1);
await at("roll-call");
await page.getByText("Tell Bryn Tal ashore that all are home: nothing here does.").waitFor();
await press("Leave the site");
await page.getByText(/^The trip ended at/).waitFor({ state: "detached" });
// Out again, and back-by comes near: without a sound the deck says what happens ashore.
await page.getByText(/^Bryn Tal ashore expects you by/).waitFor({ state: "detached" });
await pass(6.5 * 60 * minute);
await page.getByText(/^Bryn Tal ashore expects you by (.*, )?\d\d:\d\d, as known .*\d\d:\d\d\. Nothing here calls them: tell them yourselves if you are late\.$/).waitFor();
await look(page, "back-by-near");
await at("log");
await look(page, "log");

assert.deepEqual(phone.errors, []);
report({ trip, questions: 0 });
await phone.close();
