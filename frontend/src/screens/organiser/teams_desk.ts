/** What every part of the teams page is given, and how a refusal is said with names. */
import { Problem } from "../../sync/server.ts";
import type { Asked, DiveTeams, Override } from "../words/answers_teams.ts";
import { plain } from "../words/plain.ts";
import type { TripHere } from "./use_trip.tsx";

export interface TeamsDesk {
  readonly here: TripHere;
  readonly data: DiveTeams;
  readonly asked: Asked;
  readonly sending: boolean;
  readonly nameOf: (id: string) => string;
  /** Solves again with these wishes; nothing is announced. */
  readonly solve: (part?: Partial<Asked> & { readonly why_not?: readonly (readonly string[])[] }) => void;
}

/** A refusal speaks of people by their ids: here it gets their names. */
export function named(problem: Problem | null, nameOf: (id: string) => string): Problem | null {
  if (problem === null) return null;
  // A place with ids in it tells a person nothing; the sentence itself says where.
  const place = (pointer: string) => (/[0-9a-f]{8}-/.test(pointer) ? "" : pointer);
  const errors = problem.errors.map((error) => ({ ...error, pointer: place(error.pointer), message: plain(error.message, nameOf), ...(error.remedy === undefined ? {} : { remedy: plain(error.remedy, nameOf) }) }));
  // The detail repeats the first error; once is enough.
  return new Problem(problem.status, problem.title, errors.length > 0 ? "" : plain(problem.detail, nameOf), errors, problem.type);
}

/** The team that a JSON Pointer of the announcement means. */
export function teamPointer(pointer: string): string | undefined {
  const team = /^\/teams\/(\d+)/.exec(pointer)?.[1];
  return team === undefined ? undefined : `Team ${Number(team) + 1}`;
}

/** Up to this many teams what helps to choose is worked out again each time without being felt. */
const FEW_TEAMS = 8;

/** The wishes of the last time teams were found, so that they stay until taken back; and what was asked about them. */
export function askedOf(data: DiveTeams): Asked {
  const { wishes = [], locked = [], forbidden = [], guided = [], overrides = [], surface_cover = [], alternatives, drop_outs, robust } = data.proposal?.asked ?? {};
  const few = (data.proposal?.answer.teams.length ?? 0) <= FEW_TEAMS;
  return {
    wishes,
    locked,
    forbidden,
    guided,
    overrides,
    surface_cover,
    ...(few && alternatives !== undefined ? { alternatives } : {}),
    ...(few && drop_outs === true ? { drop_outs } : {}),
    ...(few && robust === true ? { robust } : {}),
    least_change: wasAnnounced(data),
  };
}

/** Whether divers have been told their teams already: from then on as few of them as can be are told another. */
export function wasAnnounced(data: DiveTeams): boolean {
  return (data.announced_before ?? []).length > 0;
}

/** The rules behind a refused announcement that may be set aside, as the server takes them; none where any of them may not. */
export function settable(problem: Problem | null): readonly Omit<Override, "reason">[] {
  const errors = problem?.errors ?? [];
  if (errors.length === 0 || !errors.every((error) => error.overridable === true)) return [];
  return errors.flatMap((error) => {
    const [diver] = error.divers ?? [];
    return diver === undefined ? [] : [{ rule: error.code, diver }];
  });
}
