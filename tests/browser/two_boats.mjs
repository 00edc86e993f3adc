// Two boats, a phone on each, the network off: each watches, counts and leaves for itself; one diver is picked up by the
// other boat. Then the two logs join, and both phones show the same.
import { assert, Browser, callNames, kept, look, pause, PHONE, report, secondCount, settings, show, signIn, tap } from "./phone.mjs";

const phones = await Promise.all(
  ["petrel", "auk"].map(async (name) => {
    const phone = await Browser.open(`${settings.profile}/${name}`, PHONE);
    const { page } = phone;
    // Two browsers at once: on a busy machine each waits for the other.
    page.setDefaultTimeout(30_000);
    await signIn(page, "leader");
    await page.getByRole("list", { name: "Trips kept by your club" }).getByRole("link").filter({ hasText: "ready" }).first().click();
    await page.getByRole("button", { name: "Bring it here" }).click();
    await page.getByRole("list", { name: "Readiness" }).waitFor();
    await page.locator('[data-only-here="0"]').waitFor();
    return phone;
  }),
);
const [petrel, auk] = phones;
const trip = /trips\/([0-9a-f-]{36})/.exec(petrel.page.url())[1];
const { snapshot, names, labels } = await petrel.page.evaluate((id) => fetch(`/api/trips/${id}/snapshot`).then((answer) => answer.json()), trip);
const short = (person) => names[person].split(" ")[0];
const boat = (name) => Object.keys(labels.boats).find((id) => labels.boats[id] === name);
for (const [phone, name] of [[petrel, "Grey Petrel"], [auk, "Little Auk"]]) {
  const id = boat(name);
  const people = snapshot.people.filter((person) => person.boat === id);
  const teams = snapshot.dives[0].teams.flatMap((team, n) => (team.members.every((one) => people.some((each) => each.id === one)) ? [{ ...team, number: n + 1 }] : []));
  Object.assign(phone, { id, name, people: people.map((person) => person.id), teams, dry: people.find((person) => !person.dives).id, at: (path) => show(phone.page, `/trips/${trip}/${path}`) });
}
const both = (work) => Promise.all(phones.map(work));
// What the phone does when its network comes back; else it asks less and less often.
const nudge = () => both(({ page }) => page.evaluate(() => dispatchEvent(new Event("online"))));
const row = ({ page }, team) => page.locator(`[data-team='${team.number}']`);
const counted = async (phone, people) => {
  await phone.at("roll-call");
  await callNames(phone.page, people.map((person) => names[person]));
  await secondCount(phone.page, short(people.find((person) => person !== phone.dry)), people.map((person) => names[person]));
  await phone.page.getByText("Everyone is accounted for by name").waitFor();
};
const leave = async ({ page }, place) => {
  await page.getByRole("button", { name: place, exact: true }).click();
  await page.getByRole("heading", { name: "Deck", exact: true }).waitFor({ state: "attached" });
  await pause(500);
};

// Asked once, where the deck is first opened; from then on in the head of it.
await both((phone) => phone.context.setOffline(true));
await petrel.at("deck");
await petrel.page.getByRole("heading", { name: "Which boat is this phone on?" }).waitFor();
await look(petrel.page, "which-boat");
await both(async (phone) => {
  const { page } = phone;
  await phone.at("hand-over");
  await page.getByRole("button", { name: phone.name, exact: true }).click();
  await pause(1300);
  await tap(page, new RegExp(names[phone.dry]));
  await tap(page, `I am ${names[phone.dry]}: I have the deck`);
  await page.locator(".deck-holder").getByText(phone.name).waitFor();
  await page.reload();
  await page.locator(".deck-holder").getByText(phone.name).waitFor();
  // Only this boat's people are called, and the others keep it from leaving nowhere.
  await counted(phone, phone.people);
  await leave(phone, "Leave port");
  await tap(page, `Team ${phone.teams[0].number} down`);
});
await look(petrel.page, "deck-of-one-boat");
assert.equal(await petrel.page.locator("[data-team]").count(), petrel.teams.length, "the other boat's teams stand elsewhere");
await petrel.page.getByRole("link", { name: "Little Auk: no team down as far as this phone knows" }).waitFor();

// Both of the Petrel's team come up; one climbs aboard, the other is picked up by the Auk, whose own team is still down.
const [team] = petrel.teams;
const [mate, lost] = team.members;
const up = new RegExp(`^Both up, team ${team.number}$`);
await pause(4000);
await row(petrel, team).getByRole("button", { name: up }).click();
await row(petrel, team).getByRole("button", { name: `${short(mate)} aboard` }).and(petrel.page.locator(":enabled")).click();
await petrel.at("roll-call");
assert.equal(await petrel.page.locator(".missing-names").innerText(), names[lost]);
await auk.at("roll-call");
await auk.page.getByRole("link", { name: "Somebody from another boat is here" }).click();
await auk.page.getByRole("heading", { name: "Who of another boat is here?" }).waitFor();
await look(auk.page, "from-another-boat");
await auk.page.getByRole("button", { name: new RegExp(names[lost]) }).click();
await auk.page.getByRole("heading", { name: "Roll call of Little Auk" }).waitFor();
assert.ok((await auk.page.locator(".missing-names").innerText()).includes(names[auk.teams[0].members[0]]));
await look(auk.page, "roll-call-other-boat");

// Heard by radio on the Petrel, it is two taps and who said it: the Petrel counts and leaves, with nobody overridden.
await petrel.page.getByRole("link", { name: "Another boat says it has one of ours" }).click();
await petrel.page.getByRole("button", { name: new RegExp(names[lost]) }).click();
await pause(1300);
await look(petrel.page, "on-another-boat");
await petrel.page.getByRole("button", { name: names[auk.dry], exact: true }).click();
await petrel.page.getByText(`${names[lost]} is said to be on Little Auk`).waitFor();
await counted(petrel, petrel.people.filter((person) => person !== lost));
await petrel.page.getByText("The trip goes on: this phone has no word yet of").waitFor();
assert.equal(await petrel.page.getByText("The trip is over: everyone is ashore").count(), 0);
await look(petrel.page, "one-boat-may-leave");
await leave(petrel, "Leave the site");
assert.equal(await auk.page.getByRole("button", { name: /Leave/ }).count(), 0, "the other boat has a team down");

// The Auk's own team comes up; it counts the one it picked up by name, and leaves.
await auk.at("deck");
for (const each of auk.teams.slice(0, 1)) await row(auk, each).getByRole("button", { name: `Both up, team ${each.number}` }).click(), await pause(300);
for (const each of auk.teams.slice(0, 1))
  for (const person of each.members) await row(auk, each).getByRole("button", { name: `${short(person)} aboard` }).click(), await pause(1300);
await counted(auk, [...auk.people, lost]);
await leave(auk, "Leave the site");

// Nothing was entered about a boat but by its own phone, and nobody had to decide anything all the same.
await both(async (phone) => {
  const own = await kept(phone.page);
  assert.ok(own.every((entry) => entry.kind !== "override"));
  const about = own.filter((entry) => ["roll_call_taken", "count_finished", "departed", "deck_accepted", "deck_handed_over", "back_aboard"].includes(entry.kind));
  assert.deepEqual([...new Set(about.map((entry) => entry.data.boat))], [phone.id]);
});

// The network is there again: the logs join. Both phones hold and show the same, and nothing is in doubt.
await both((phone) => phone.context.setOffline(false));
await both((phone) => phone.page.locator('[data-only-here="0"]').first().waitFor({ timeout: 30_000 }));
const all = async () => Promise.all(phones.map(async ({ page }) => (await kept(page)).map((entry) => entry.hash).sort().join(" ")));
for (let n = 0; n < 60 && new Set(await all()).size > 1; n += 1) await nudge(), await pause(500);
assert.equal(new Set(await all()).size, 1, "the phones hold the same entries");
const shown = await both(async (phone) => {
  const { page } = phone;
  await phone.at("questions");
  await page.getByText("Nothing is in doubt.").waitFor();
  await phone.at("record");
  await page.getByText("Left the site", { exact: false }).first().waitFor();
  return page.getByRole("list", { name: "Counts and departures" }).innerText();
});
assert.equal(shown[0], shown[1]);
assert.ok(shown[0].includes("Grey Petrel: Left the site") && shown[0].includes("Little Auk: Left the site"));
await look(auk.page, "record-of-two-boats");

// Ashore each counts once more; then the trip is ended on one phone, and is over on both.
await both((phone) => counted(phone, phone === petrel ? petrel.people.filter((person) => person !== lost) : [...auk.people, lost]));
await petrel.page.getByText("is said to be on").waitFor({ state: "detached" });
await nudge();
await pause(1000);
await nudge();
await petrel.page.getByText("The trip is over: everyone is ashore").click({ timeout: 20_000 });
await petrel.page.getByRole("button", { name: "End the trip" }).click();
await petrel.page.getByText(/^The trip ended at/).waitFor();
await auk.at("deck");
await nudge();
await pause(1000);
await nudge();
await auk.page.getByText(/^The trip ended at/).waitFor({ timeout: 20_000 });
await both((phone) => assert.deepEqual(phone.errors, []));
report({ trip, entries: (await kept(auk.page)).length });
await both((phone) => phone.close());
