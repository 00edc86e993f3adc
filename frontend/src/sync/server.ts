/**
 * The one way to speak to the server. Answers are JSON; refusals are RFC 9457 problems; no answer at all is
 * `Unreachable`, which at sea is the ordinary case and never an error to be shown as one.
 */
export interface ProblemItem {
  readonly pointer: string;
  readonly code: string;
  readonly message: string;
  /** What mends it, where the message alone does not say so. */
  readonly remedy?: string;
  /** A rule that this person may set aside with a reason. */
  readonly overridable?: boolean;
  /** Whom it concerns, by booking. */
  readonly divers?: readonly string[];
}

export class Problem extends Error {
  override readonly name = "Problem";
  constructor(
    readonly status: number,
    readonly title: string,
    readonly detail: string,
    readonly errors: readonly ProblemItem[] = [],
    readonly type = "about:blank",
  ) {
    super(detail || title);
  }
}

export class Unreachable extends Error {
  override readonly name = "Unreachable";
  constructor() {
    super("The server cannot be reached from here.");
  }
}

type Body = Readonly<Record<string, unknown>> | readonly unknown[] | FormData;

export interface RequestOptions {
  /** A device's own token (`Authorization: Device ...`): then neither cookie nor CSRF token is sent. */
  readonly device?: string;
  readonly timeoutMs?: number;
  /** Pack a long body with gzip: for the addresses that read it, over a weak line. */
  readonly pack?: boolean;
  readonly signal?: AbortSignal;
}

export async function request<T>(method: string, path: string, body?: Body, options: RequestOptions = {}): Promise<T> {
  const headers: Record<string, string> = { Accept: "application/json" };
  if (options.device !== undefined) headers["Authorization"] = `Device ${options.device}`;
  else if (method !== "GET") headers["X-CSRFToken"] = csrfToken() ?? "";
  const form = body instanceof FormData;
  if (body !== undefined && !form) headers["Content-Type"] = "application/json";
  const text = body === undefined || form ? null : JSON.stringify(body);
  const packed = text !== null && options.pack === true ? await pack(text) : null;
  if (packed !== null) headers["Content-Encoding"] = "gzip";
  const timeout = AbortSignal.timeout(options.timeoutMs ?? 20_000);
  let response: Response;
  try {
    response = await fetch(path, {
      method,
      headers,
      credentials: options.device === undefined ? "same-origin" : "omit",
      cache: "no-store",
      signal: options.signal ? AbortSignal.any([timeout, options.signal]) : timeout,
      ...(body === undefined ? {} : { body: form ? body : (packed ?? text) }),
    });
  } catch {
    throw new Unreachable();
  }
  if ([502, 503, 504].includes(response.status)) throw new Unreachable();
  if (response.status === 204) return undefined as T;
  const answer = await response.text().catch(() => {
    throw new Unreachable();
  });
  const parsed = parse(answer);
  if (response.ok) return parsed as T;
  throw problemOf(response.status, parsed);
}

export const server = {
  get: <T>(path: string, options?: RequestOptions) => request<T>("GET", path, undefined, options),
  post: <T>(path: string, body: Body = {}, options?: RequestOptions) => request<T>("POST", path, body, options),
  put: <T>(path: string, body: Body, options?: RequestOptions) => request<T>("PUT", path, body, options),
  patch: <T>(path: string, body: Body, options?: RequestOptions) => request<T>("PATCH", path, body, options),
  delete: <T>(path: string, options?: RequestOptions) => request<T>("DELETE", path, undefined, options),
};

/** Below this a packed body saves nothing that a phone would notice. */
const WORTH_PACKING = 2048;

/** The text packed with gzip; null where it is short or the browser cannot. */
async function pack(text: string): Promise<Uint8Array<ArrayBuffer> | null> {
  if (text.length < WORTH_PACKING || typeof CompressionStream === "undefined") return null;
  const stream = new Blob([text]).stream().pipeThrough(new CompressionStream("gzip"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

function csrfToken(): string | undefined {
  return /(?:^|;\s*)csrftoken=([^;]+)/.exec(document.cookie)?.[1];
}

function parse(text: string): unknown {
  if (text === "") return null;
  try {
    return JSON.parse(text) as unknown;
  } catch {
    return null;
  }
}

/** Any refusal as a `Problem`: problem+json as it stands, sign-in errors ({errors: [{message, param}]}) translated. */
export function problemOf(status: number, answer: unknown): Problem {
  const data = typeof answer === "object" && answer !== null ? (answer as Record<string, unknown>) : {};
  const errors = Array.isArray(data["errors"]) ? (data["errors"] as Record<string, unknown>[]) : [];
  const items = errors.map((error) => ({
    pointer: String(error["pointer"] ?? (error["param"] ? `/${String(error["param"])}` : "")),
    code: String(error["code"] ?? "refused"),
    message: String(error["message"] ?? "Not accepted."),
    ...(typeof error["remedy"] === "string" && error["remedy"] !== "" ? { remedy: error["remedy"] } : {}),
    ...(typeof error["overridable"] === "boolean" ? { overridable: error["overridable"] } : {}),
    ...(Array.isArray(error["divers"]) ? { divers: error["divers"].map(String) } : {}),
  }));
  const title = typeof data["title"] === "string" ? data["title"] : (plainTitles[status] ?? "The server refused this.");
  return new Problem(status, title, String(data["detail"] ?? ""), items, String(data["type"] ?? "about:blank"));
}

const plainTitles: Readonly<Record<number, string>> = {
  400: "Something in this form is not right.",
  401: "Please sign in.",
  403: "You may not do this.",
  404: "This is not here (any more).",
  409: "Someone changed this meanwhile.",
  429: "Too many tries. Wait a moment.",
  500: "The server made a mistake.",
};
