// Every page of the phone at both sizes, through a day whose hours pass by the page's own clock; nothing of it is sent.
import { assert, Browser, DESK, kept, look as lookOnce, pause, PHONE, report, settings, show, signIn } from "./phone.mjs";

const phone = await Browser.open(settings.profile);
const { page } = phone;
const look = async (name) => {
  for (const [size, word] of [
    [PHONE, "phone"],
    [DESK, "desk"],
  ]) {
    await page.setViewportSize(size);
    await pause(120);
    await lookOnce(page, `${name}-${word}`);
  }
  await page.setViewportSize(PHONE);
};
const minute = 60_000;
const pass = async (ms) => {
  await page.clock.fastForward(ms);
  await pause(300);
};
// To an instant, not by a step: the page's clock runs on while it is looked at, longer on a busy machine.
const passTo = async (instant) => pass(instant - (await page.evaluate(() => Date.now())));
const tap = async (name) => {
  await page.getByRole("button", { name, exact: true }).first().click();
  await page.clock.runFor(1500);
  await pause(60);
};

await page.goto(settings.url);
await page.getByText("To bring a trip onto this phone, sign in once.").waitFor();
await look("home-first");
await show(page, "/sign-in");
await look("sign-in");
await page.getByLabel("E-mail").fill(settings.emails.leader);
await page.getByLabel("Password").fill("not the password");
await page.getByRole("button", { name: "Sign in" }).last().click();
await page.getByRole("alert").waitFor();
await look("sign-in-refused");
await signIn(page, "leader");
await page.getByRole("list", { name: "Trips kept by your club" }).getByRole("link").first().waitFor();
await look("home-signed-in");
await page.getByRole("list", { name: "Trips kept by your club" }).getByRole("link").filter({ hasText: "ready" }).first().click();
await page.getByRole("button", { name: "Bring it here" }).waitFor();
await look("take");
await page.getByRole("button", { name: "Bring it here" }).click();
await page.getByRole("list", { name: "Readiness" }).waitFor();
const trip = /trips\/([0-9a-f-]{36})/.exec(page.url())[1];
await page.locator('[data-only-here="0"]').waitFor();
const { snapshot, names } = await page.evaluate((id) => fetch(`/api/trips/${id}/snapshot`).then((answer) => answer.json()), trip);
await page.getByRole("button", { name: "Test ring" }).click();
await look("ready");
await page.getByRole("button", { name: "I heard it" }).click();
await phone.context.setOffline(true);

await show(page, `/trips/${trip}`);
await page.getByText("Why, and pressures").first().click();
await look("trip");
await show(page, `/trips/${trip}/deck`);
await look("deck-nobody-holds-it");
await show(page, `/trips/${trip}/interval`);
await page.getByRole("heading", { name: "Surface interval" }).waitFor();
await show(page, `/trips/${trip}/hand-over`);
await look("hand-over-whom");
const divers = new Set(snapshot.dives.flatMap((dive) => dive.teams.flatMap((team) => team.members)));
const holder = snapshot.people.find((person) => !divers.has(person.id)) ?? snapshot.people.find((person) => !person.dives);
assert.ok(holder, "the demo trip has nobody who stays dry");
await page.getByRole("button", { name: names[holder.id] }).click();
await page.getByRole("button", { name: /I have the deck/ }).waitFor();
await look("hand-over-accept");
await pause(1300);
await page.getByRole("button", { name: /I have the deck/ }).click();
await page.getByRole("heading", { name: "Deck", exact: true }).waitFor({ state: "attached" });
await show(page, `/trips/${trip}/roll-call`);
await look("roll-call-nobody-yet");
await show(page, `/trips/${trip}/deck`);
await page.clock.install();
await page.reload();
await page.locator("[data-team='1']").waitFor();
await look("deck-ready");

// Before: who keeps watch, the check with both gauges, the sea; each writes at once what it says.
const first = snapshot.dives[0];
const type = async (digits) => {
  for (const digit of digits) await page.getByRole("button", { name: digit, exact: true }).click();
};
const lastOf = async (kind) => (await kept(page)).filter((entry) => entry.kind === kind).at(-1);
await page.getByRole("link", { name: /to be said before they go down/ }).click();
await page.getByRole("button", { name: /^Lookout/ }).click();
await page.getByRole("button", { name: names[holder.id] }).first().click();
await page.getByRole("button", { name: "Flag: not up" }).click();
await page.getByRole("button", { name: "Engine: running" }).click();
await pause(1300);
await look("cover");
await tap("That is how it is");
const cover = (await lastOf("surface_cover_confirmed")).data;
assert.deepEqual([cover.lookout, cover.standby, cover.flag_up, cover.engine_off], [holder.id, null, true, true]);
await page.locator("[data-team='1']").getByRole("link", { name: "Team 1 check" }).click();
await pause(1300);
await look("team-check");
await tap("All five done: read the gauges");
for (const [place] of first.teams[0].members.entries()) {
  await type("20".concat(place));
  await pause(1300);
  if (place === 0) await look("gauge");
  await page.getByRole("button", { name: /^It shows 20/ }).click();
  await page.clock.runFor(1500);
}
await page.locator("[data-team='1']").getByText("checked").waitFor();
assert.deepEqual((await lastOf("team_check_done")).data.pressures.map(({ pressure }) => pressure.value).sort(), first.teams[0].members.map((_, n) => 200 + n));
await show(page, `/trips/${trip}/conditions`);
await page.getByRole("button", { name: /^Current/ }).click();
await look("current");
await page.getByRole("button", { name: "0.5 kn" }).click();
await page.getByRole("button", { name: "NE", exact: true }).click();
await page.getByText("0.5 kn, toward NE").waitFor();
await show(page, `/trips/${trip}/dive/${first.id}`);
await look("this-dive");
await show(page, `/trips/${trip}/deck`);
await pause(1300);

// Down: by tap, and by the keys of a keypad.
await tap("Team 1 down");
await page.keyboard.press("2");
await page.locator(".team.chosen").waitFor();
await page.keyboard.press("d");
await page.locator("[data-team='2'][data-status='down']").waitFor();
await page.clock.runFor(1500);
await page.keyboard.press("d");
assert.equal((await kept(page)).filter((entry) => entry.kind === "down").length, 2, "a letter without a number did something");
await look("deck-two-down");
// A small phone, and text twice as large: nothing is cut off at the side.
await page.setViewportSize({ width: 320, height: 568 });
await lookOnce(page, "deck-small");
await page.setViewportSize(PHONE);
await page.evaluate(() => document.documentElement.style.setProperty("font-size", "36px"));
await lookOnce(page, "deck-large-text");
await page.evaluate(() => document.documentElement.style.removeProperty("font-size"));
const statusOf = (team) => page.locator(`[data-team='${team}']`).getAttribute("data-status");

// A normal dive is silent; due is shown; overdue takes the screen, at the club's minutes and not before.
const downs = (await kept(page)).filter((entry) => entry.kind === "down");
const dueOf = (team) => {
  const shorter = Math.max(0, first.bottom_time_s - (team.limit_s || first.bottom_time_s));
  return Math.min(...downs.filter((entry) => entry.subject === team.id).map((entry) => entry.at)) + (first.run_time_s - shorter) * 1000;
};
const due = dueOf(first.teams[0]);
const overdue = [due, dueOf(first.teams[1])].map((instant) => instant + snapshot.settings.overdue_after_min * minute);
await passTo(due - minute);
assert.equal(await statusOf(1), "down");
await look("deck-nearly-due");
await passTo(due + minute);
assert.equal(await statusOf(1), "due");
assert.equal(await page.getByRole("alertdialog").count(), 0, "an alarm that is not real");
await look("deck-late");
await passTo(Math.min(...overdue) - minute);
assert.equal(await page.getByRole("alertdialog").count(), 0, "an alarm that is not real");
await passTo(Math.max(...overdue) + 2_000);
const alarm = page.getByRole("alertdialog", { name: "Overdue" });
await alarm.waitFor();
for (const person of first.teams[0].members) await alarm.getByText(names[person]).first().waitFor();
// The phone that keeps the deck enters it by itself, once a team; this one has no position and says so.
const reached = (await kept(page)).filter((entry) => entry.kind === "overdue_reached");
assert.deepEqual(reached.map((entry) => [entry.subject, entry.by, entry.data.fix]).sort(), [first.teams[0].id, first.teams[1].id].map((team) => [team, null, null]).sort());
await look("overdue");
await alarm.getByRole("button", { name: "Sound off for 2 min" }).click();
await pass(1000);
assert.ok(await alarm.isVisible(), "quieting ended the alarm");
await alarm.getByRole("button", { name: "See the deck" }).click();
await alarm.waitFor({ state: "detached" });
await look("deck-overdue");
await pass(2 * minute);
await alarm.waitFor();
// What covers the page at once does not take the tap that was meant for the page below.
await pause(1300);
// The emergency plan: the club's steps with one tap each, the words to read aloud; ending it brings nobody back.
await alarm.getByRole("button", { name: "Start the emergency plan" }).click();
await alarm.getByRole("button", { name: "Steps, and words for the radio" }).click();
await page.getByRole("heading", { name: "Emergency", exact: true }).waitFor();
await alarm.waitFor({ state: "detached" });
await look("emergency");
// Four people late: the first step to do is on the first screen all the same.
let step = await page.getByRole("button", { name: /^Done: / }).first().boundingBox();
// A slow machine has not yet laid the page out for the phone again.
for (let n = 0; n < 30 && step.y + step.height > PHONE.height; n += 1) {
  await pause(100);
  step = await page.getByRole("button", { name: /^Done: / }).first().boundingBox();
}
assert.ok(step.y + step.height <= PHONE.height, `the first step ends at ${step.y + step.height}`);
await page.getByRole("button", { name: /^Done: / }).first().click();
await page.getByText(/^Done \d\d:\d\d/).waitFor();
await page.getByRole("link", { name: "Words for the radio" }).first().click();
await page.getByText("MAYDAY, MAYDAY, MAYDAY.").waitFor();
await page.getByText(/^\d+ people are missing\. I need help with the search\.$/).waitFor();
await page.getByText(/^\d+ people in all: /).waitFor();
await look("lost-diver");
await show(page, `/trips/${trip}/emergency`);
await page.getByText("The emergency is over: who says so?").click();
await page.getByRole("button", { name: names[holder.id], exact: true }).click();
await alarm.waitFor();
assert.equal((await kept(page)).find((entry) => entry.kind === "emergency_ended").by, holder.id);
await show(page, `/trips/${trip}/deck`);
await pause(1300);
for (const team of [1, 2]) {
  const whole = alarm.getByRole("button", { name: new RegExp(`^(Both|All three) up, team ${team}$`) });
  if ((await whole.count()) > 0) await whole.click();
  await page.clock.runFor(1500);
  await pause(400);
}
await alarm.waitFor({ state: "detached" });
await look("deck-up");
for (const team of [1, 2]) {
  const row = page.locator(`[data-team='${team}']`);
  for (let n = 0; n < first.teams[team - 1].members.length; n += 1) {
    await row.getByRole("button", { name: / aboard$/ }).first().click();
    await page.clock.runFor(1500);
    await pause(1300);
  }
}
await look("deck-aboard");
await page.locator("[data-team='1']").getByRole("link", { name: "Pressure and effort" }).click();
await pause(1300);
await type("65");
await tap("It shows 65 bar");
await pause(1300);
await look("effort");
await tap("3: Moderate");
assert.deepEqual([(await lastOf("pressure_reported")).data.pressure.value, (await lastOf("effort_said")).data.effort], [65, 3]);

// Without a depth the next limit is not known, and the page says which fact is missing and where to give it.
await show(page, `/trips/${trip}/interval`);
await page.getByText("missing: reported depth of dive 1").first().waitFor();
await look("interval-not-known");
for (const team of [1, 2]) {
  await show(page, `/trips/${trip}/depth/${first.teams[team - 1].id}`);
  await page.getByRole("button", { name: first.depth.unit === "m" ? "−1" : "−5", exact: true }).click();
  if (team === 1) await look("depth");
  await page.locator(".buttons.even .button.act").first().click();
  await page.getByRole("heading", { name: "When did they start up?" }).waitFor();
  // Back to the planned bottom time: the run was long, the bottom time as planned.
  const planned = Math.floor(first.bottom_time_s / 60) - 2;
  for (;;) {
    const shown = Number.parseInt(await page.locator(".number-value").innerText(), 10);
    if (shown <= planned) break;
    const step = shown - planned >= 10 ? "−10" : shown - planned >= 5 ? "−5" : "−1";
    await page.getByRole("button", { name: step, exact: true }).click();
  }
  if (team === 1) await look("bottom-time");
  // A page that just came does not take the tap meant for the one before.
  await pause(1300);
  await page.getByRole("button", { name: /They started up after/ }).click();
  await page.locator("[data-team='1']").waitFor();
}

// The limit grows as the wait does, never shrinks, and rises when the page said it would.
await pass(12 * minute);
await show(page, `/trips/${trip}/interval`);
const limits = () => page.evaluate(() => [...document.querySelectorAll(".number.huge .number-value")].map((each) => Number.parseInt(each.textContent, 10)));
await page.locator(".number.huge").first().waitFor();
let before = await limits();
await look("interval");
let grew = false;
for (let n = 0; n < 8; n += 1) {
  await pass(15 * minute);
  const now = await limits();
  assert.equal(now.length, before.length);
  for (const [place, limit] of now.entries()) {
    assert.ok(!(limit < before[place]), `the limit fell from ${before[place]} to ${limit} while waiting`);
    if (limit > before[place]) grew = true;
  }
  before = now;
}
assert.ok(grew, "no limit grew in two hours at the surface");
await page.getByText("Each diver, both methods").first().click();
await look("interval-later");

// Ten minutes and an hour after a dive each is asked by name; whoever came up too fast is held, limits withdrawn.
await show(page, `/trips/${trip}/deck`);
await page.getByRole("link", { name: /^Ask how they feel/ }).click();
await page.getByRole("heading", { name: "How are they?" }).waitFor();
await look("how-are-they");
const fast = first.teams[0].members[0];
await page.getByRole("button", { name: `${names[fast]} is well` }).click();
await page.getByRole("button", { name: `${names[fast]} is well` }).waitFor({ state: "detached" });
// "Not well" is one tap: written, held, and the emergency page opens.
const unwell = first.teams[1].members[0];
await pause(400);
await page.getByRole("button", { name: `${names[unwell]} is not well` }).click();
await page.getByRole("heading", { name: "Emergency", exact: true }).waitFor();
assert.ok((await kept(page)).some((entry) => entry.kind === "symptoms_asked" && entry.subject === unwell && entry.data.said === "not_well"));
await show(page, `/trips/${trip}/not-well`);
await page.getByRole("list", { name: "Who" }).getByRole("button", { name: names[fast] }).click();
await pause(1300);
await look("what-happened");
await page.getByRole("button", { name: "Came up too fast" }).click();
await page.getByRole("heading", { name: "Emergency", exact: true }).waitFor();
await page.getByText("Held from diving").first().waitFor();
await look("emergency-held");
await show(page, `/trips/${trip}/interval`);
await page.getByRole("heading", { name: "Surface interval" }).waitFor();
await look("interval-held");
await show(page, `/trips/${trip}/more`);
await look("something-else");
await show(page, `/trips/${trip}/record`);
await page.getByRole("heading", { name: "Record of the counts" }).waitFor();
await look("record");

// A swimmer opens the count again; the roll call names who is missing, largest.
await show(page, `/trips/${trip}/went-in`);
await page.getByRole("button", { name: names[holder.id] }).click();
await page.locator("[data-team='1']").waitFor();
await show(page, `/trips/${trip}/went-in`);
await look("went-in");
await show(page, `/trips/${trip}/roll-call`);
assert.ok((await page.locator(".missing-names").innerText()).includes(names[holder.id]));
await look("roll-call-missing");

// Two counts that differ are taken again; if they differ still it is an emergency. Two named people may leave all the
// same, with a reason: whoever is missing stays missing.
const aboard = first.teams.slice(0, 2).flatMap((team) => team.members);
const short = (person) => names[person].split(" ")[0];
const count = async (by, sees, heading) => {
  if (heading !== null) {
    await page.getByRole("heading", { name: heading }).waitFor();
    await page.getByRole("button", { name: short(by), exact: true }).first().click();
    await pause(1300);
  }
  await page.getByRole("button", { name: `${names[sees]} answered`, exact: true }).click();
  await page.getByText("This count is over, and names are missing").click();
  await page.getByRole("button", { name: /^End this count without / }).click();
};
await count(null, aboard[0], null);
await look("roll-call-second");
await count(aboard[1], aboard[1], "Who counts second?");
await page.getByText("The two counts do not agree.").waitFor();
await look("roll-call-recount");
await count(aboard[0], aboard[2], "Who counts now?");
await count(aboard[1], aboard[3], "Who counts second?");
await page.getByText("The two counts still differ.").waitFor();
await look("roll-call-emergency");
await page.getByRole("link", { name: "Emergency", exact: true }).click();
await page.getByText("Two counts differ or lack a name, and the recount too.").waitFor();
// Whoever is held is released by two others, by name.
const card = page.locator("article").filter({ hasText: names[fast] });
await card.getByText("Release to dive again").click();
await card.getByRole("group", { name: "Who releases" }).getByRole("button", { name: short(fast), exact: true }).waitFor({ state: "detached" });
for (const person of [aboard[1], aboard[3]]) await card.getByRole("button", { name: short(person), exact: true }).click();
await card.getByRole("button", { name: new RegExp(` release ${short(fast)}$`) }).click();
await card.getByText("Held from diving").waitFor({ state: "detached" });
await show(page, `/trips/${trip}/roll-call`);
assert.equal(await page.getByRole("button", { name: /^Leave/ }).count(), 0, "counts that differ let the boat go");
await page.getByText("The boat has to leave without them").click();
for (const person of [aboard[2], aboard[3]]) await page.getByRole("group", { name: "Who decides" }).getByRole("button", { name: short(person), exact: true }).click();
await page.getByRole("button", { name: "The rescue service told the boat to move" }).click();
await page.getByRole("button", { name: /decide: leave without/ }).click();
await page.getByText("Two people decided to leave. Not accounted for, still:").waitFor();
await look("roll-call-overridden");
await page.getByRole("button", { name: /^Leave port without / }).click();
await page.getByRole("heading", { name: "Deck", exact: true }).waitFor({ state: "attached" });
// The boat left without them: the question stays until two people whom it is not about have looked at it.
await show(page, `/trips/${trip}/questions`);
await look("questions");
const asked = page.getByRole("listitem").filter({ hasText: "The boat left while someone was not accounted for" });
await asked.getByText("Two people looked at it").click();
for (const person of [aboard[1], aboard[3]]) await asked.getByRole("group", { name: "Who looked at it" }).getByRole("button", { name: short(person), exact: true }).click();
await look("questions-looked-at");
await asked.getByRole("button", { name: / looked at it$/ }).click();
await asked.waitFor({ state: "detached" });
await show(page, `/trips/${trip}/log`);
await look("log");
// A depth that somebody says was mistyped: both stay, and the two of them is a question for two people.
const depths = page.getByRole("listitem").filter({ hasText: /^Depth / });
await depths.first().getByRole("link").click();
await page.getByText("It was another depth").waitFor();
await page.getByRole("button", { name: first.depth.unit === "m" ? "−5" : "−10", exact: true }).click();
await look("this-was-wrong");
await page.getByRole("button", { name: /^It was [0-9]/ }).click();
await page.getByText(/^Corrected: the depth was/).first().waitFor();
assert.equal((await kept(page)).filter((entry) => entry.kind === "depth_reported").length, 2);
await show(page, `/trips/${trip}/questions`);
await page.getByText(/^Yes, the depth was/).first().waitFor();
await look("questions-depth");
// A wrong name: one correction that says who it was instead. Neither of the two is aboard by it alone.
await show(page, `/trips/${trip}/log`);
await page.getByRole("listitem").filter({ hasText: /^Aboard: / }).first().getByRole("link").click();
await page.getByText("A wrong name was tapped").waitFor();
await look("this-was-wrong-name");
await page.getByRole("button", { name: "It was another person" }).click();
await look("who-was-it");
await pause(1300); // A page that has just opened takes no tap that was meant for the one before.
await page.getByRole("list", { name: "Who was it?" }).getByRole("button").first().click();
await look("it-was-another");
await pause(1300);
await page.getByRole("button", { name: /^It was .*, not / }).click();
await page.getByText(/^Corrected: it was /).first().waitFor();
const renamed = (await kept(page)).filter((entry) => entry.kind === "correction" && entry.data.subject !== undefined);
assert.equal(renamed.length, 1);
await show(page, "/read");
await page.getByRole("heading", { name: "Read a trip off another phone" }).waitFor();
await look("read-a-trip");
await show(page, "/no/such/page");
await look("no-such-page");

const words = await page.evaluate(() => document.body.innerText);
assert.ok(!/\bsafe\b/i.test(words));
assert.deepEqual(phone.errors, []);
report({ trip, pages: "all looked at" });
await phone.close();
