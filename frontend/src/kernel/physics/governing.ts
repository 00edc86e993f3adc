// Which of the two methods governs. The twin of physics/governing.py.

import { type Missing, isMissing, lacking, merge } from "./known.ts";
import type { NoStop } from "./nitrogen.ts";
import type { Method } from "./profile.ts";

/** Whether a dive is within by the governing method; `shorter` needs both, and one beyond is enough. */
export function governingWithin(method: Method, table: boolean | Missing, tissue: boolean | Missing): boolean | Missing {
  if (method === "table") return table;
  if (method === "tissue") return tissue;
  if (table === false || tissue === false) return false;
  return merge([table, tissue]) ?? true;
}

type Limit = readonly [number | Missing | null, string | Missing | null];

/** The governing limit in seconds and its method; of equal limits the table is named. */
export function governingLimit(method: Method, limits: NoStop): Limit {
  const adjusted = limits.adjustedNoStopLimitMin;
  const table = adjusted === null || isMissing(adjusted) ? adjusted : adjusted * 60;
  const tissue = limits.tissueLimitS;
  if (method === "table") return [table, named(table, "table")];
  if (method === "tissue") return [tissue, named(tissue, "tissue")];
  if (isMissing(table) || isMissing(tissue)) {
    const unknown = lacking(table, tissue);
    return [unknown, unknown];
  }
  if (table === null || (tissue !== null && tissue < table)) return [tissue, named(tissue, "tissue")];
  return [table, "table"];
}

function named(limit: number | Missing | null, method: string): string | Missing | null {
  return limit === null || isMissing(limit) ? limit : method;
}
