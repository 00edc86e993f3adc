/** Addresses are hash paths, so that the server needs no rule for them and a reload offline finds the same screen. */
export function to(path: string): string {
  return `#${path}`;
}

export function go(path: string): void {
  location.hash = path;
}

/** Replaces the present address: Back does not return to it. */
export function goInstead(path: string): void {
  location.replace(`#${path}`);
}
