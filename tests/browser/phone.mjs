// Drives Chromium as a person does. Started by run_script; asks it for the server by lines on standard output.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { createInterface } from "node:readline";

const require = createRequire(new URL("../../frontend/checks/package.json", import.meta.url));
const { chromium } = require("playwright-core");
const axeSource = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

export const settings = JSON.parse(process.argv[2]);
const lines = createInterface({ input: process.stdin });
const answers = lines[Symbol.asyncIterator]();

/** Calls every name of a count, each after the short distance that two taps keep. */
export async function callNames(page, names) {
  await pause(270);
  for (const name of names) {
    await page.getByRole("button", { name: `${name} answered`, exact: true }).click();
    await pause(270);
  }
}

/** Hands the counting to somebody else, who calls every name again. */
export async function secondCount(page, by, names) {
  await page.getByRole("heading", { name: "Who counts second?" }).waitFor();
  await page.getByRole("button", { name: by, exact: true }).click();
  // A count that opens does not take the tap meant for the page before.
  await pause(1300);
  await callNames(page, names);
}

export async function ask(what) {
  process.stdout.write(`${JSON.stringify({ ask: what })}\n`);
  await answers.next();
}

export function report(facts) {
  process.stdout.write(`${JSON.stringify(facts)}\n`);
}

const ARGUMENTS = [
  "--headless=new",
  "--hide-scrollbars",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  "--disable-dev-shm-usage",
  "--autoplay-policy=document-user-activation-required",
  "--remote-debugging-port=0",
];

// Whatever ends this script, no browser of it is left behind.
const children = new Set();
process.on("exit", () => {
  for (const child of children) {
    try {
      process.kill(-child.pid, "SIGKILL");
    } catch {
      // Gone already.
    }
  }
});
for (const signal of ["SIGTERM", "SIGINT"]) process.on(signal, () => process.exit(1));

export const PHONE = { width: 390, height: 844 };
export const DESK = { width: 1280, height: 800 };

/** A browser of our own on a folder that outlives it, so that it can be killed as a phone's battery would. */
export class Browser {
  static async open(profile, size = PHONE, more = []) {
    const file = `${profile}/DevToolsActivePort`;
    mkdirSync(profile, { recursive: true });
    rmSync(file, { force: true });
    const child = spawn("/usr/bin/chromium", [...ARGUMENTS, ...more, `--user-data-dir=${profile}`, "about:blank"], { detached: true, stdio: "ignore" });
    children.add(child);
    // The file is there a moment before the port is in it.
    let port = "";
    for (let n = 0; n < 300 && port === ""; n += 1) {
      await pause(100);
      if (existsSync(file)) port = readFileSync(file, "utf8").split("\n")[0];
    }
    const browser = await chromium.connectOverCDP(`http://127.0.0.1:${port}`);
    const context = browser.contexts()[0];
    const page = context.pages()[0] ?? (await context.newPage());
    await page.setViewportSize(size);
    page.setDefaultTimeout(15_000);
    const self = new Browser();
    Object.assign(self, { child, browser, context, page, errors: [] });
    page.on("pageerror", (error) => self.errors.push(String(error)));
    page.on("console", (message) => {
      // A server that is off is no error of the app; everything else that the console calls one is.
      if (message.type() === "error" && !/ERR_|Failed to load resource/.test(message.text())) self.errors.push(message.text());
    });
    return self;
  }

  /** Ends every process of this browser at once, with nothing written down on the way. */
  async kill() {
    process.kill(-this.child.pid, "SIGKILL");
    await new Promise((done) => (this.child.exitCode === null && this.child.signalCode === null ? this.child.once("exit", done) : done()));
    children.delete(this.child);
    await this.browser.close().catch(() => {});
    await pause(300);
  }

  async close() {
    await this.browser.close().catch(() => {});
    await this.kill().catch(() => {});
    children.delete(this.child);
    // With no browser left there is nothing more to ask: standard input must not keep the script alive.
    if (children.size === 0) {
      lines.close();
      process.stdin.destroy();
    }
  }
}

export const pause = (ms) => new Promise((done) => setTimeout(done, ms));

export async function signIn(page, role) {
  await page.goto(`${settings.url}#/sign-in`);
  await page.getByLabel("E-mail").fill(settings.emails[role]);
  await page.getByLabel("Password").fill(settings.passwords[role]);
  await page.getByRole("button", { name: "Sign in" }).last().click();
  await page.getByRole("button", { name: "Sign out" }).waitFor();
}

export async function show(page, path) {
  await page.evaluate((to) => {
    location.hash = to;
  }, path);
  await page.waitForTimeout(150);
}

/** What the server holds, asked from outside the browser: a killed one may have lost its sign-in, never its entries. */
export async function seenByLeader(path) {
  const cookies = new Map();
  const call = async (address, more = {}) => {
    const cookie = [...cookies].map(([name, value]) => `${name}=${value}`).join("; ");
    const headers = { cookie, "x-csrftoken": cookies.get("csrftoken") ?? "", referer: settings.url, ...more.headers };
    const answer = await fetch(new URL(address, settings.url), { ...more, headers });
    for (const line of answer.headers.getSetCookie()) {
      const [, name, value] = /^([^=]+)=([^;]*)/.exec(line);
      cookies.set(name, value);
    }
    assert.ok(answer.ok, `${address}: ${answer.status}`);
    return answer.json();
  };
  await call("/_allauth/browser/v1/config");
  await call("/_allauth/browser/v1/auth/login", {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ email: settings.emails.leader, password: settings.passwords.leader }),
  });
  return call(path);
}

/** One press, then the moment during which the row is deaf, so that the next press of the same row counts. */
export async function tap(page, name, role = "button") {
  await page.getByRole(role, { name, exact: true }).first().click();
  await pause(1300);
}

/** Everything the phone keeps of the trip, read from its disk and not from the page. */
export function kept(page) {
  return page.evaluate(
    () =>
      new Promise((done, failed) => {
        const opening = indexedDB.open("teamdive");
        opening.onerror = () => failed(opening.error);
        opening.onsuccess = () => {
          const all = opening.result.transaction("entries").objectStore("entries").getAll();
          all.onerror = () => failed(all.error);
          all.onsuccess = () => {
            opening.result.close();
            done(all.result.map(({ entry, sent }) => ({ ...entry, sent })).sort((a, b) => a.seq - b.seq));
          };
        };
      }),
  );
}

/** axe-core on the page as it is: no violation of WCAG 2.2 A and AA or of its best practices. */
export async function checkAccess(page, where) {
  await page.evaluate(axeSource);
  const found = await page.evaluate(async () => {
    const result = await globalThis.axe.run({ runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] });
    return result.violations.map((each) => `${each.id}: ${each.nodes.map((node) => node.html.slice(0, 160)).join(" | ")}`);
  });
  assert.deepEqual(found, [], where);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  assert.ok(wide <= 0, `${where}: ${wide} px wider than the screen`);
}

/** A film for a browser's pretended camera (YUV4MPEG2, five frames a second) of QR pictures, each given as rows of dark squares. */
export function film(file, squares) {
  const side = 640;
  const frames = squares.map((rows) => {
    const scale = Math.floor(side / rows.length);
    const left = Math.floor((side - scale * rows.length) / 2);
    const luma = Buffer.alloc(side * side, 225);
    rows.forEach((row, y) =>
      row.forEach((dark, x) => {
        if (dark) for (let dy = 0; dy < scale; dy += 1) luma.fill(30, (left + y * scale + dy) * side + left + x * scale, (left + y * scale + dy) * side + left + (x + 1) * scale);
      }),
    );
    return Buffer.concat([Buffer.from("FRAME\n"), luma, Buffer.alloc((side * side) / 2, 128)]);
  });
  writeFileSync(file, Buffer.concat([Buffer.from(`YUV4MPEG2 W${side} H${side} F5:1 Ip A1:1 C420jpeg\n`), ...frames]));
}

/** The QR picture that a page shows, square by square. */
export function squares(page) {
  return page.locator("canvas.qr").evaluate((canvas) => {
    const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
    return Array.from({ length: canvas.height }, (_, y) => Array.from({ length: canvas.width }, (_, x) => data[4 * (y * canvas.width + x)] < 128));
  });
}

let shot = 0;
export async function look(page, name) {
  await checkAccess(page, name);
  if (settings.shots !== null) await page.screenshot({ path: `${settings.shots}/${String((shot += 1)).padStart(2, "0")}-${name}.png`, fullPage: true });
}

export { assert };
