import type { ComponentType } from "preact";

/** Who is using the phone, as far as the server last said; null when nobody signed in on it. */
export interface Session {
  readonly email: string;
  readonly name: string;
  /** The answer of GET /api/me as it came. */
  readonly me: Readonly<Record<string, unknown>>;
}

export interface ScreenProps {
  /** The `:name` parts of the path, decoded. */
  readonly params: Readonly<Record<string, string>>;
  readonly session: Session | null;
}

interface Common {
  /** Hash path such as `/trips/:trip/roster`; a part that starts with a colon is a parameter. */
  readonly path: string;
  /** Shown in the browser's tab and read out when the screen changes. */
  readonly title: string;
  /** `session`: the shell asks for sign-in first. `nothing`: works with no account and no network. */
  readonly needs: "session" | "nothing";
  /** `deck` screens take the whole window: no navigation bar that a wet hand could hit. */
  readonly frame?: "deck";
}

/** A screen is either here at once (`show`) or fetched when first opened (`load`; cached for offline use all the same). */
export type Screen = Common &
  (
    | { readonly show: ComponentType<ScreenProps> }
    | { readonly load: () => Promise<{ readonly default: ComponentType<ScreenProps> }> }
  );
