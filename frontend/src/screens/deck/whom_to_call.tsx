import { Facts } from "../parts/index.ts";
import { label } from "./frame.tsx";
import type { Deck } from "./use_trip.ts";

/** What a call for help needs, by the label it travels under. */
export const callFacts = [["Radio channel", "radio_channel"], ["Our call sign", "call_sign"], ["Whom to call", "rescue_contact"]] as const;

/** What the club wrote down for a call for help, and what has to be read from its own sheet. */
export function WhomToCall({ deck }: { readonly deck: Deck }) {
  return <Facts items={callFacts.map(([title, key]) => [title, label(deck, key) || "see the club’s sheet"])} />;
}
