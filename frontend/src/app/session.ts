import { Problem, server, Unreachable } from "../sync/server.ts";
import type { Session } from "../screens/parts/screen.ts";

const KEPT = "teamdive.session";

/**
 * unknown: not asked yet; signed_in: the server said so, or said so last time and cannot be reached now (`confirmed` false);
 * signed_out: the server said so. Nothing on the boat needs this.
 */
export type SessionState =
  | { readonly state: "unknown" }
  | { readonly state: "signed_in"; readonly session: Session; readonly confirmed: boolean }
  | { readonly state: "signed_out" };

interface Me {
  readonly user: { readonly email: string };
  readonly [field: string]: unknown;
}

/** What the server last said on this phone, for the time until it answers. */
export function remembered(): SessionState {
  try {
    const kept = localStorage.getItem(KEPT);
    if (kept !== null) return { state: "signed_in", session: JSON.parse(kept) as Session, confirmed: false };
  } catch {
    // A phone that refuses storage asks for sign-in again; nothing else depends on it.
  }
  return { state: "unknown" };
}

export async function askSession(before: SessionState): Promise<SessionState> {
  try {
    return keep(await server.get<Me>("/api/me"));
  } catch (error) {
    if (error instanceof Problem && (error.status === 401 || error.status === 403)) {
      forget();
      return { state: "signed_out" };
    }
    return before.state === "unknown" ? { state: "signed_out" } : before;
  }
}

export async function signIn(email: string, password: string): Promise<SessionState> {
  // Reading the session first lets the server set the CSRF cookie that the next request must carry.
  await server.get("/_allauth/browser/v1/auth/session").catch((error: unknown) => {
    if (error instanceof Unreachable) throw error;
  });
  await server.post("/_allauth/browser/v1/auth/login", { email, password });
  return keep(await server.get<Me>("/api/me"));
}

export async function signOut(): Promise<SessionState> {
  await server.delete("/_allauth/browser/v1/auth/session").catch((error: unknown) => {
    if (!(error instanceof Problem)) throw error;
  });
  forget();
  return { state: "signed_out" };
}

function keep(me: Me): SessionState {
  const email = me.user.email;
  const session: Session = { email, name: typeof me["name"] === "string" ? me["name"] : email, me };
  try {
    localStorage.setItem(KEPT, JSON.stringify(session));
  } catch {
    // As above.
  }
  return { state: "signed_in", session, confirmed: true };
}

function forget(): void {
  try {
    localStorage.removeItem(KEPT);
  } catch {
    // As above.
  }
}
