import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { Problem, server, Unreachable } from "../../sync/server.ts";

export type Answer<T> =
  | { readonly state: "waiting" }
  | { readonly state: "here"; readonly data: T }
  | { readonly state: "refused"; readonly problem: Problem }
  | { readonly state: "unreachable" };

/** Reads `path` when shown and again when `again()` is called; null waits. For desk screens: deck screens read the store. */
export function useServer<T>(path: string | null): { answer: Answer<T>; again: () => void } {
  const [answer, setAnswer] = useState<Answer<T>>({ state: "waiting" });
  const [turn, setTurn] = useState(0);
  useEffect(() => {
    if (path === null) return undefined;
    const gone = new AbortController();
    server.get<T>(path, { signal: gone.signal }).then(
      (data) => !gone.signal.aborted && setAnswer({ state: "here", data }),
      (error: unknown) => !gone.signal.aborted && setAnswer(failed(error)),
    );
    return () => gone.abort();
  }, [path, turn]);
  return { answer, again: useCallback(() => setTurn((n) => n + 1), []) };
}

/** For a form: `send(work)` runs one request at a time, keeps its problem for `ProblemList`, and tells whether it is under way. */
export function useSend(): {
  sending: boolean;
  problem: Problem | null;
  send: (work: () => Promise<void>) => void;
  clear: () => void;
} {
  const [sending, setSending] = useState(false);
  const [problem, setProblem] = useState<Problem | null>(null);
  const busy = useRef(false);
  const send = useCallback((work: () => Promise<void>) => {
    if (busy.current) return;
    busy.current = true;
    setSending(true);
    setProblem(null);
    work()
      .catch((error: unknown) => {
        if (error instanceof Problem) setProblem(error);
        else if (error instanceof Unreachable) {
          setProblem(new Problem(0, "No network.", "Nothing was sent. What you typed is still here: try again when there is a network."));
        } else throw error;
      })
      .finally(() => {
        busy.current = false;
        setSending(false);
      });
  }, []);
  return { sending, problem, send, clear: useCallback(() => setProblem(null), []) };
}

function failed<T>(error: unknown): Answer<T> {
  if (error instanceof Problem) return { state: "refused", problem: error };
  return { state: "unreachable" };
}
