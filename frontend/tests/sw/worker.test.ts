// The service worker as it is written, its types left out, on a store of answers that keeps to the published interface.
import { readFileSync } from "node:fs";
import { stripTypeScriptTypes } from "node:module";
import { expect, test } from "vitest";

const source = stripTypeScriptTypes(readFileSync(new URL("../../src/sw/worker.ts", import.meta.url), "utf8"))
  .replace("export {};", "")
  .replace('"__PRECACHE_FILES__"', "files")
  .replace('"teamdive-__PRECACHE_HASH__"', "name");

type Heard = Record<string, (event: unknown) => void>;

/** One phone: what it keeps stays when the next worker comes. */
class Phone {
  readonly boxes = new Map<string, Map<string, string>>();
  online = true;
  private readonly caches = {
    keys: async () => [...this.boxes.keys()],
    has: async (name: string) => this.boxes.has(name),
    delete: async (name: string) => this.boxes.delete(name),
    open: async (name: string) => {
      const box = this.boxes.get(name) ?? new Map<string, string>();
      this.boxes.set(name, box);
      return {
        match: async (path: string) => (box.has(path) ? new Response(box.get(path)!) : undefined),
        put: async (path: string, answer: Response) => void box.set(path, await answer.text()),
        // All or nothing, as the interface has it.
        addAll: async (wanted: readonly { readonly url: string }[]) => {
          if (!this.online) throw new TypeError("Failed to fetch");
          for (const { url } of wanted) box.set(url, `${name} ${url}`);
        },
      };
    },
  };

  worker(name: string): Heard {
    const heard: Heard = {};
    const self = {
      addEventListener: (kind: string, work: (event: unknown) => void) => (heard[kind] = work),
      location: { origin: "https://here" },
      clients: { claim: async () => {} },
      skipWaiting: async () => {},
    };
    const request = class {
      constructor(readonly url: string) {}
    };
    const fetched = async () => {
      throw new TypeError("Failed to fetch");
    };
    new Function("self", "caches", "Request", "fetch", "files", "name", source)(self, this.caches, request, fetched, ["/", "/assets/app.js"], name);
    return heard;
  }
}

async function happens(worker: Heard, kind: string, more: object = {}): Promise<void> {
  let work: Promise<unknown> = Promise.resolve();
  worker[kind]!({ ...more, waitUntil: (each: Promise<unknown>) => (work = each) });
  await work;
}

async function opened(worker: Heard): Promise<string> {
  let answer: Promise<Response> = Promise.reject(new Error("not answered"));
  answer.catch(() => {});
  worker["fetch"]!({ request: { url: "https://here/", method: "GET", mode: "navigate" }, respondWith: (each: Promise<Response>) => (answer = each) });
  return (await answer).text();
}

test("a version that is offered again and does not arrive leaves the one that is shown", async () => {
  const phone = new Phone();
  const first = phone.worker("teamdive-1");
  await happens(first, "install");
  await happens(first, "activate");
  await happens(phone.worker("teamdive-2"), "install");
  // The server is set back to the version before: a browser that has the second one waiting fetches the first anew.
  phone.online = false;
  await expect(happens(phone.worker("teamdive-1"), "install")).rejects.toThrow("Failed to fetch");
  expect(await opened(first)).toBe("teamdive-1 /");
});

test("a version that does not arrive leaves nothing behind, and the next one is shown when a person says so", async () => {
  const phone = new Phone();
  const first = phone.worker("teamdive-1");
  await happens(first, "install");
  await happens(first, "activate");
  phone.online = false;
  await expect(happens(phone.worker("teamdive-2"), "install")).rejects.toThrow("Failed to fetch");
  expect([...phone.boxes.keys()]).toEqual(["teamdive-1", "teamdive.shown"]);
  phone.online = true;
  const second = phone.worker("teamdive-2");
  await happens(second, "install");
  await happens(second, "activate");
  expect(await opened(second)).toBe("teamdive-1 /");
  await happens(second, "message", { data: "take over" });
  expect(await opened(second)).toBe("teamdive-2 /");
});
