import { count } from "../words/format.ts";

/** A phone's chain as GET /api/trips/<trip>/boat-log/chains tells it. */
export interface PhoneChain {
  readonly device: string;
  readonly label: string | null;
  readonly enrolled: boolean;
  readonly revoked_at: string | null;
  readonly last_seq: number;
  readonly signed_seq: number | null;
  readonly trouble: readonly { readonly code: string; readonly seq: number; readonly entries: readonly string[] }[];
}

const words: Readonly<Record<string, string>> = {
  altered: "was altered after it was written",
  forked: "stands twice, with two contents",
  missing: "and maybe more has not come in yet",
  not_linked: "does not follow the one before it",
  signed_entry_not_here: "was signed by the phone and is no longer here",
  stored_copy_changed: "was changed in the database",
};

/** What is wrong in a chain, by the number of the entry on that phone. */
export function troubleText(trouble: { readonly code: string; readonly seq: number }): string {
  return `Entry ${trouble.seq} ${words[trouble.code] ?? trouble.code.replaceAll("_", " ")}.`;
}

/** Entries that have not come in yet are a matter of time; everything else needs a person to look. */
export function isGrave(trouble: { readonly code: string }): boolean {
  return trouble.code !== "missing";
}

export function phoneNote(phone: PhoneChain): string {
  const parts = [phone.last_seq === 0 ? "no entry yet" : count(phone.last_seq, "entry", "entries")];
  if (phone.last_seq > 0) parts.push(phone.signed_seq === null ? "not signed" : phone.signed_seq === phone.last_seq ? "signed to the end" : `signed up to ${phone.signed_seq}`);
  if (!phone.enrolled) parts.push("never enrolled on this trip");
  if (phone.revoked_at !== null) parts.push("taken off: what it wrote is kept and marked");
  return parts.join(" · ");
}

/** The line on the page of a trip. */
export function chainsNote(phones: readonly PhoneChain[]): { readonly note: string; readonly warn: boolean } {
  const grave = phones.flatMap((phone) => phone.trouble.filter(isGrave)).length;
  const writing = phones.filter((phone) => phone.last_seq > 0).length;
  if (grave > 0) return { note: `${count(grave, "entry", "entries")} of a phone changed, doubled or missing: look`, warn: true };
  if (phones.length === 0) return { note: "no phone yet: show a code at the dock", warn: false };
  const rest = phones.some((phone) => phone.trouble.length > 0) ? "some still to come in" : "every chain whole";
  return { note: `${count(phones.length, "phone")}, ${writing} with entries here, ${rest}`, warn: false };
}
