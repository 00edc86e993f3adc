/** Whole names that tell people apart: of those who share one each has a number, the same on every phone. */
export function distinctNames(full: Readonly<Record<string, string>>): Record<string, string> {
  const sharing = (name: string) => Object.keys(full).filter((id) => full[id]?.trim() === name.trim()).sort();
  return Object.fromEntries(
    Object.entries(full).map(([id, name]) => {
      const all = sharing(name);
      return [id, all.length === 1 ? name : `${name.trim()} ${all.indexOf(id) + 1}`];
    }),
  );
}

/** First names for a crowded deck; where two share one, as much of the rest as tells them apart. */
export function shortNames(full: Readonly<Record<string, string>>): Record<string, string> {
  const short: Record<string, string> = {};
  for (const [id, name] of Object.entries(full)) {
    const words = name.trim().split(/\s+/);
    const first = words[0] ?? name;
    const rivals = Object.entries(full).filter(([other, text]) => other !== id && text.trim().split(/\s+/)[0] === first);
    if (rivals.length === 0) {
      short[id] = first;
      continue;
    }
    const last = words.slice(1).join(" ");
    let letters = 1;
    const tail = (text: string) => text.trim().split(/\s+/).slice(1).join(" ").slice(0, letters);
    while (letters < last.length && rivals.some(([, text]) => tail(text) === last.slice(0, letters))) letters += 1;
    short[id] = last === "" ? first : `${first} ${last.slice(0, letters)}${letters < last.length ? "." : ""}`;
  }
  return short;
}
