import { gunzipSync } from "node:zlib";
import { afterEach, describe, expect, test, vi } from "vitest";
import { request } from "../../src/sync/server.ts";

interface Sent {
  readonly headers: Readonly<Record<string, string>>;
  readonly body: string | Uint8Array;
}

function listen(): Sent[] {
  const sent: Sent[] = [];
  vi.stubGlobal("fetch", async (_path: string, init: Sent) => {
    sent.push(init);
    return new Response("{}");
  });
  return sent;
}

afterEach(() => vi.unstubAllGlobals());

describe("a body sent over a weak line", () => {
  const long = { entries: Array.from({ length: 100 }, (_, n) => ({ kind: "note", seq: n })) };

  test("is packed when it is long, and unpacks to the same (Node's zlib is the other end)", async () => {
    const sent = listen();
    await request("POST", "/x", long, { device: "t", pack: true });
    expect(sent[0]?.headers["Content-Encoding"]).toBe("gzip");
    const bytes = sent[0]?.body as Uint8Array;
    expect(bytes.length).toBeLessThan(JSON.stringify(long).length / 4);
    expect(JSON.parse(gunzipSync(bytes).toString())).toEqual(long);
  });

  test("goes as it is when it is short, or where packing is not asked for", async () => {
    const sent = listen();
    await request("POST", "/x", { a: 1 }, { device: "t", pack: true });
    await request("POST", "/x", long, { device: "t" });
    expect(sent.map(({ headers }) => headers["Content-Encoding"])).toEqual([undefined, undefined]);
    expect(sent.map(({ body }) => body)).toEqual([JSON.stringify({ a: 1 }), JSON.stringify(long)]);
  });
});
