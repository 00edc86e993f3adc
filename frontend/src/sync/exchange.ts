import type { Entry } from "../kernel/boatlog/entries.ts";
import type { Offset } from "../kernel/boatlog/offsets.ts";
import { hasJoined, type StoredEntry, type Text } from "../store/records.ts";
import type { TripLog } from "../store/trip_log.ts";
import { best, measure } from "./own_clock.ts";
import { Problem, Unreachable, type RequestOptions } from "./server.ts";

/** One batch: small enough for a weak signal, large enough for a day at sea in a few of them. */
export const BATCH = 200;

export interface Wire {
  get<T>(path: string, options: RequestOptions): Promise<T>;
  post<T>(path: string, body: Readonly<Record<string, unknown>>, options: RequestOptions): Promise<T>;
}

/** Refusals that are about the phone, or about asking too often: the same for every entry. */
const ONE_FOR_ALL: ReadonlySet<number> = new Set([401, 403, 404, 429]);

interface Pushed {
  readonly accepted: readonly string[];
  readonly problems: readonly { readonly id?: string; readonly kept: boolean }[];
  readonly server_time: number;
  readonly epoch: string;
  readonly position: number;
}

interface WireText {
  readonly entry: string;
  readonly salt?: string;
  readonly text?: string;
}

interface Pulled {
  readonly entries: readonly { readonly position: number; readonly entry: Entry; readonly trouble?: readonly string[] }[];
  readonly texts: readonly WireText[];
  readonly server_time: number;
  readonly epoch: string;
  readonly position: number;
  /** Who ashore expects the boat; a server of before says nothing. */
  readonly ashore?: Readonly<Record<string, unknown>>;
}

/**
 * One round with the server: offer what it has not confirmed, read what it has that we have not. Stateless and idempotent
 * on both sides: a round that breaks off anywhere is simply done again. Answers the clock offset measured on the way.
 */
export async function exchange(log: TripLog, wire: Wire, now: () => number, most = BATCH): Promise<Offset | null> {
  const device = log.device;
  if (device === null || !hasJoined(device)) return null;
  // What the disk still refuses is handed in from memory: the page may be closed any moment.
  await log.bringHome().catch(() => {});
  const path = `/api/trips/${log.trip}/entries`;
  const options: RequestOptions = { device: device.token, pack: true };
  let offset: Offset | null = null;
  let failed: { readonly error: unknown } | null = null;
  let takenOff = false;
  try {
    offset = await pull(log, wire, path, options, now, most);
  } catch (error) {
    // A phone that was taken off the trip reads nothing more, and still hands in what it wrote before it knew; so does
    // one whose disk takes nothing in, or whose server cannot read its log out.
    takenOff = error instanceof Problem && error.status === 403;
    if (error instanceof Unreachable || (error instanceof Problem && !takenOff && ONE_FOR_ALL.has(error.status))) throw error;
    failed = { error };
  }
  let pushed = false;
  let refused: Problem | null = null;
  for (;;) {
    const batch = await log.unsent(most);
    // Who reads nothing more still has to hear of a server set back to a backup: an empty batch is answered with its epoch.
    if (batch.length === 0 && (!takenOff || pushed)) break;
    // Only with the last batch does the server hold everything that the signed head rests on.
    const head = batch.length < most ? await signedHead(log) : null;
    const offer = async (part: readonly StoredEntry[]): Promise<number> => {
      const started = now();
      try {
        const answer = await wire.post<Pushed>(path, { entries: part.map((one) => one.entry), texts: texts(part), head: part === batch ? head : null }, options);
        offset = best(offset, measure(started, answer.server_time, now()));
        pushed = true;
        return (await metNewEpoch(log, answer.epoch)) ? Number.NaN : await settle(log, part, answer);
      } catch (error) {
        // One entry that a server chokes on must not hold up the others of its batch.
        if (!(error instanceof Problem) || ONE_FOR_ALL.has(error.status) || part.length === 0) throw error;
        refused = error;
        if (part.length === 1) return 0;
        const middle = part.length >> 1;
        return (await offer(part.slice(0, middle))) + (await offer(part.slice(middle)));
      }
    };
    const settled = await offer(batch);
    if (Number.isNaN(settled)) continue;
    if (batch.length === 0) break;
    // A server that neither took nor refused anything of the batch would be asked the same for ever.
    if (settled === 0) break;
  }
  if (failed !== null) throw failed.error;
  if (refused !== null) throw refused as Problem;
  if (pushed) offset = best(offset, await pull(log, wire, path, options, now, most));
  return offset;
}

async function pull(log: TripLog, wire: Wire, path: string, options: RequestOptions, now: () => number, most: number): Promise<Offset> {
  let offset: Offset | null = null;
  for (;;) {
    const known = await log.cursor();
    const after = known?.after ?? 0;
    const started = now();
    const page = await wire.get<Pulled>(`${path}?after=${after}&limit=${most}`, options);
    offset = best(offset, measure(started, page.server_time, now()));
    if (page.ashore !== undefined) await log.expect(page.ashore, page.server_time);
    if (await metNewEpoch(log, page.epoch)) continue;
    // Another window met it meanwhile: what was asked for is a place in the log of before.
    if ((known?.epoch ?? page.epoch) !== page.epoch) continue;
    const byEntry = new Map(page.texts.map((text) => [text.entry, text]));
    const last = page.entries.at(-1)?.position ?? after;
    // Nothing new: nothing to write every few seconds.
    if (page.entries.length === 0 && known?.epoch === page.epoch) return offset;
    await log.receive(
      page.entries.map(({ entry, trouble }) => ({
        id: entry.id,
        trip: log.trip,
        entry,
        text: textOf(byEntry.get(entry.id)),
        sent: 1 as const,
        ...(trouble === undefined || trouble.length === 0 ? {} : { trouble }),
      })),
      { trip: log.trip, epoch: page.epoch, after: last },
    );
    if (page.entries.length === 0 || last >= page.position) return offset;
  }
}

/** A new epoch means a server restored from a backup: it may lack what it once confirmed, so all is offered again. */
async function metNewEpoch(log: TripLog, epoch: string): Promise<boolean> {
  const known = (await log.cursor())?.epoch ?? null;
  if (known === epoch) return false;
  if (known === null) {
    await log.receive([], { trip: log.trip, epoch, after: 0 });
    return false;
  }
  await log.offerAllAgain(epoch);
  return true;
}

async function settle(log: TripLog, batch: readonly StoredEntry[], answer: Pushed): Promise<number> {
  const ours = (named: ReadonlySet<string | undefined>) => batch.flatMap((one) => (named.has(one.entry.id) ? [one.id] : []));
  const taken = ours(new Set(answer.accepted));
  const refused = ours(new Set(answer.problems.flatMap((problem) => (problem.kept ? [] : [problem.id]))));
  if (taken.length > 0) await log.mark(answer.epoch, taken, 1);
  if (refused.length > 0) await log.mark(answer.epoch, refused, 2);
  return taken.length + refused.length;
}

function texts(batch: readonly StoredEntry[]): WireText[] {
  return batch.flatMap((one) => (one.text === null ? [] : [{ entry: one.entry.id, salt: one.text.salt, text: one.text.text }]));
}

function textOf(text: WireText | undefined): Text | null {
  return text?.salt === undefined || text.text === undefined ? null : { salt: text.salt, text: text.text };
}

/** The end of this phone's chain with its signature: what the server then cannot be told otherwise by anyone else. */
async function signedHead(log: TripLog): Promise<{ seq: number; hash: string; signature: string } | null> {
  const device = log.device;
  if (device === null || device.key === null) return null;
  const own = log.entries.filter(({ entry }) => entry.device === device.device).sort((a, b) => b.entry.seq - a.entry.seq)[0];
  if (own === undefined) return null;
  const { seq, hash } = own.entry;
  // A browser may give a key back that signs nothing: entries without a signature are better than none.
  const signature = await crypto.subtle.sign({ name: "ECDSA", hash: "SHA-256" }, device.key, bytesOf(hash)).catch(() => null);
  return signature && { seq, hash, signature: base64url(new Uint8Array(signature)) };
}

function bytesOf(hex: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from({ length: hex.length / 2 }, (_, n) => Number.parseInt(hex.slice(2 * n, 2 * n + 2), 16));
}

function base64url(bytes: Uint8Array): string {
  return btoa(String.fromCharCode(...bytes))
    .replaceAll("+", "-")
    .replaceAll("/", "_")
    .replaceAll("=", "");
}
