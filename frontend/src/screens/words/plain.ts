/** Sentences that come with ids and decimals in them, as a person reads them: names, and whole minutes. */

const ID = /(?:\bdiver )?\b[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}\b/g;

/** "Limited to 11.2 min by <id>'s gas" becomes "Limited to 11 min by Ana Roque's gas". Minutes only ever get fewer. */
export function plain(text: string, nameOf: (id: string) => string, sentence = true): string {
  const named = text.replace(ID, (found) => nameOf(found.replace(/^diver /, "")));
  const whole = named.replace(/(\d+)\.\d+(?= min\b)/g, "$1").replace(/\((-?\d+)\.0+\)/g, "($1)");
  return sentence ? whole.charAt(0).toUpperCase() + whole.slice(1) : whole;
}
