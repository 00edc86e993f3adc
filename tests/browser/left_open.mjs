// After the day: two leaders look at what the boat log leaves open, at the desk and on a phone.
import { assert, Browser, checkAccess, DESK, look, pause, PHONE, report, settings, show, signIn } from "./phone.mjs";

const { trip } = settings.emails;
const desk = await Browser.open(`${settings.profile}/desk`, DESK);
await signIn(desk.page, "leader");
const open = desk.page.getByRole("list", { name: "Left open" });
const row = (words) => open.getByRole("listitem").filter({ hasText: words });
await show(desk.page, `/organise/trips/${trip}/boat-log`);
await row("A team went down while nobody held the deck").waitFor();
await open.scrollIntoViewIfNeeded();
await look(desk.page, "left-open");
await checkAccess(desk.page, "left open");
await desk.page.setViewportSize(PHONE);
await open.scrollIntoViewIfNeeded();
await look(desk.page, "left-open-phone");
assert.ok(await desk.page.evaluate(() => document.documentElement.scrollWidth <= innerWidth), "nothing runs off a phone");
await desk.page.setViewportSize(DESK);
const taps = await row("A correction stands alone").getByRole("button").count();
assert.equal(taps, 0, "what a correction answers is closed by nobody's look");
await row("A correction stands alone").getByText("under Depths as told").waitFor();
await row("A team went down while nobody held the deck").getByRole("button", { name: "I looked at it" }).click();
await row("A team went down while nobody held the deck").getByText("looked at it. A second person closes it.").waitFor();
assert.equal(await row("A team went down while nobody held the deck").getByRole("button").count(), 0);
await look(desk.page, "left-open-looked");
await desk.close();

const second = await Browser.open(`${settings.profile}/second`, PHONE);
await signIn(second.page, "second");
await show(second.page, `/organise/trips/${trip}/boat-log`);
const theirs = second.page.getByRole("listitem").filter({ hasText: "A team went down while nobody held the deck" });
await theirs.scrollIntoViewIfNeeded();
await look(second.page, "left-open-second");
await theirs.getByRole("button", { name: "I looked at it" }).click();
await theirs.waitFor({ state: "detached" });
await pause(300);
await look(second.page, "left-open-closed");
await second.close();
report({ done: true });
