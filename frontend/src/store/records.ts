import type { Entry } from "../kernel/boatlog/entries.ts";
import type { SnapshotBody } from "../kernel/boatlog/snapshot.ts";

/** The trip as it was when it was declared ready; never changed on the phone. */
export interface SnapshotRecord {
  readonly trip: string;
  readonly hash: string;
  readonly snapshot: SnapshotBody;
  readonly storedAt: number;
}

/** Names stand apart from everything that is hashed, so that they can be erased. */
export interface NamesRecord {
  readonly trip: string;
  readonly names: Readonly<Record<string, string>>;
  readonly labels: Readonly<Record<string, unknown>>;
}

/** The labels with who ashore expects the boat as it was told at `at` (ms, the log's time); null: no longer. */
export function withShore(labels: NamesRecord["labels"], told: NamesRecord["labels"], at: number): NamesRecord["labels"] {
  return { ...labels, back_by: null, ashore: null, told_otherwise: null, ...told, ashore_at: at };
}

/** This phone as the server knows it for one trip. */
export interface DeviceRecord {
  readonly trip: string;
  readonly device: string;
  readonly token: string;
  readonly label: string;
  /** Signs the head of this phone's chain; it never leaves the phone. Null where the browser has no key store. */
  readonly key: CryptoKey | null;
}

/** Whether the server knows this phone. One that read the trip off another phone's screen has no token: it writes all the same. */
export function hasJoined(device: DeviceRecord | null): boolean {
  return device !== null && device.token !== "";
}

/** Where this phone's own chain of entries ends. */
export interface Head {
  readonly device: string;
  readonly seq: number;
  readonly hash: string | null;
  readonly clock: { readonly ms: number; readonly n: number };
}

/** How far the server's log has been read. */
export interface Cursor {
  readonly trip: string;
  readonly epoch: string | null;
  readonly after: number;
}

/** A text that travels beside its entry: erasable, bound to it by the salted hash in the entry. */
export interface Text {
  readonly salt: string;
  readonly text: string;
}

export interface StoredEntry {
  /** The entry's id; of a second entry that claims the same id, its mark behind it. */
  readonly id: string;
  readonly trip: string;
  readonly entry: Entry;
  readonly text: Text | null;
  /** 0: only on this phone; 1: the server said that it holds it; 2: the server refused it, so this phone alone keeps it. */
  readonly sent: 0 | 1 | 2;
  /** What the server found wrong with it when it took it in, by code; absent: nothing. */
  readonly trouble?: readonly string[];
}

/** One picture read off another phone, kept until its row is whole: the app may be closed in between. */
export interface PieceRecord {
  readonly trip: string;
  readonly whole: string;
  readonly count: number;
  readonly index: number;
  readonly piece: Uint8Array;
}

/** Something read off another phone that is no entry here: kept as it came (JSON), for a person or a later version to read. */
export interface StrayRecord {
  readonly trip: string;
  /** SHA-256 of the text. */
  readonly mark: string;
  readonly text: string;
}

/** Builds the next entry of this phone from the head that the same transaction read; must not wait for anything. */
export type MakeEntry = (head: Head) => { readonly entry: Entry; readonly text: Text | null };
