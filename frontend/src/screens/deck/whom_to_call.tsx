import { Facts } from "../parts/index.ts";
import { label } from "./frame.tsx";
import type { Deck } from "./use_trip.ts";

/** What the club wrote down for a call for help; nothing where it wrote nothing. */
export function WhomToCall({ deck }: { readonly deck: Deck }) {
  const known = ([["Radio channel", "radio_channel"], ["Our call sign", "call_sign"], ["Whom to call", "rescue_contact"]] as const)
    .map(([title, key]) => [title, label(deck, key)] as const)
    .filter(([, text]) => text !== "");
  return known.length === 0 ? null : <Facts items={known} />;
}
