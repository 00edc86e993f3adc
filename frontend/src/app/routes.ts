import type { Screen } from "../screens/parts/screen.ts";
import { screens as deck } from "../screens/deck/screens.ts";
import { screens as diver } from "../screens/diver/screens.ts";
import { screens as organiser } from "../screens/organiser/screens.ts";

/** Every screen of the app; the first whose path fits is shown. */
export const screens: readonly Screen[] = [...deck, ...organiser, ...diver];

export interface Match {
  readonly screen: Screen;
  readonly params: Readonly<Record<string, string>>;
}

export function match(all: readonly Screen[], hash: string): Match | null {
  const parts = pieces(hash.replace(/^#/, "").split("?")[0] ?? "");
  for (const screen of all) {
    const params = fits(pieces(screen.path), parts);
    if (params !== null) return { screen, params };
  }
  return null;
}

function pieces(path: string): string[] {
  return path.split("/").filter((piece) => piece !== "");
}

function fits(pattern: readonly string[], parts: readonly string[]): Record<string, string> | null {
  if (pattern.length !== parts.length) return null;
  const params: Record<string, string> = {};
  for (const [n, piece] of pattern.entries()) {
    const part = parts[n] ?? "";
    if (piece.startsWith(":")) params[piece.slice(1)] = decodeURIComponent(part);
    else if (piece !== part) return null;
  }
  return params;
}
