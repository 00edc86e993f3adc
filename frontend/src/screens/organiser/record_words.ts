/** What of a diver's record was typed anew, and the body that changes just that. */
import type { DiverRecord } from "../words/answers.ts";
import { hundredths, number, whole } from "../words/units.ts";

export interface TypedRecord {
  readonly name: string;
  readonly email: string;
  readonly phone: string;
  readonly certification: string;
  readonly depth: string;
  readonly depthUnit: "m" | "ft";
  readonly evidence: string;
  /** A draft of an older version has none. */
  readonly certifiedUntil?: string;
  readonly fitnessUntil: string;
  readonly lastDive: string;
  readonly dives: string;
  readonly rmv: string;
  readonly volume: string;
  readonly workingPressure: string;
  readonly born: string;
  readonly emergency: string;
  readonly canLead: boolean;
  readonly supervised: boolean;
  /** "": not known. */
  readonly consent: "" | "yes" | "no";
  /** The id of a diver of the club, "" for none. */
  readonly guardian: string;
}

const ADULT = 18;

/** Whether someone born on that day is under age on a day; both as YYYY-MM-DD. */
export function underAge(born: string, today: string): boolean {
  const years = Number(today.slice(0, 4)) - Number(born.slice(0, 4)) - (today.slice(5) < born.slice(5) ? 1 : 0);
  return born !== "" && years < ADULT;
}

export function typedRecord(diver: DiverRecord): TypedRecord {
  const cylinder = diver.cylinders.find((one) => !one.redundant);
  return {
    name: diver.name,
    email: diver.email,
    phone: diver.phone,
    certification: diver.certification ?? "",
    depth: diver.certified_depth === null ? "" : String(diver.certified_depth.hundredths / 100),
    depthUnit: diver.certified_depth?.unit ?? diver.units.depth,
    evidence: diver.evidence ?? "said",
    certifiedUntil: diver.certified_until ?? "",
    // The date itself is not shown to anyone: a new one is typed, or none.
    fitnessUntil: "",
    lastDive: diver.last_dive ?? "",
    dives: diver.dives === null ? "" : String(diver.dives),
    rmv: diver.rmv_l_min === null ? "" : String(Number(diver.rmv_l_min)),
    volume: cylinder === undefined ? "" : String(Number(cylinder.volume)),
    workingPressure: cylinder?.working_pressure == null ? "" : String(cylinder.working_pressure),
    born: diver.born ?? "",
    emergency: diver.emergency_contact,
    canLead: diver.can_lead,
    supervised: diver.supervised,
    consent: diver.guardian_consent === null ? "" : diver.guardian_consent ? "yes" : "no",
    guardian: diver.guardians[0]?.id ?? "",
  };
}

export type RecordMistakes = Partial<Record<keyof TypedRecord, string>>;

export function recordMistakes(typed: TypedRecord): RecordMistakes {
  const mistakes: RecordMistakes = {};
  if (typed.name.trim() === "") mistakes.name = "Give the name that the roll call uses.";
  if (typed.depth.trim() !== "" && (hundredths(typed.depth) ?? 0) === 0) mistakes.depth = "A depth such as 30, or leave it empty.";
  if (typed.depth.trim() !== "" && typed.certification.trim() === "") mistakes.certification = "Say which certification goes this deep.";
  if (typed.dives.trim() !== "" && whole(typed.dives) === null) mistakes.dives = "A whole number, or leave it empty.";
  if (typed.rmv.trim() !== "" && number(typed.rmv) === null) mistakes.rmv = "Litres a minute such as 18, or leave it empty.";
  const [volume, working] = [typed.volume.trim(), typed.workingPressure.trim()];
  if (volume === "" && working !== "") mistakes.volume = "Give the size too.";
  else if (volume !== "" && !((number(volume) ?? 0) > 0)) mistakes.volume = "A size such as 12.";
  if (working === "" && volume !== "") mistakes.workingPressure = "Give the working pressure too.";
  else if (working !== "" && !((whole(working) ?? 0) > 0)) mistakes.workingPressure = "A whole number such as 232.";
  return mistakes;
}

/** Only what differs from the record is sent: what was not touched stays as it is, whoever else changes it meanwhile. */
export function recordBody(typed: TypedRecord, diver: DiverRecord): Readonly<Record<string, unknown>> {
  const before = typedRecord(diver);
  const changed = (...fields: (keyof TypedRecord)[]) => fields.some((field) => typed[field] !== undefined && typed[field] !== before[field]);
  const own = diver.cylinders.find((one) => !one.redundant);
  // What the form does not show of the same certification stays with it.
  const held = diver.certifications.find((one) => one.name === typed.certification.trim());
  return {
    ...(changed("name") ? { name: typed.name.trim() } : {}),
    ...(changed("email") ? { email: typed.email.trim() } : {}),
    ...(changed("phone") ? { phone: typed.phone.trim() } : {}),
    ...(changed("certification", "depth", "depthUnit", "evidence", "certifiedUntil") && typed.certification.trim() !== ""
      ? {
          certification: {
            name: typed.certification.trim(),
            evidence: typed.evidence,
            ...(held === undefined ? {} : { organisation: held.organisation, on: held.on }),
            ...((typed.certifiedUntil ?? "") === "" ? {} : { until: typed.certifiedUntil }),
            ...(typed.depth.trim() === "" ? {} : { depth_hundredths: hundredths(typed.depth), depth_unit: typed.depthUnit }),
          },
        }
      : {}),
    ...(typed.fitnessUntil === "" ? {} : { fitness: { in_date_until: typed.fitnessUntil } }),
    ...(changed("lastDive") ? { stated_last_dive: typed.lastDive === "" ? null : typed.lastDive } : {}),
    ...(changed("dives") ? { stated_dives: whole(typed.dives) } : {}),
    ...(changed("rmv") ? { rmv_l_min: number(typed.rmv) } : {}),
    ...(changed("volume", "workingPressure") && typed.volume.trim() !== ""
      ? {
          cylinder: {
            volume: typed.volume.trim().replace(",", "."),
            volume_unit: own?.volume_unit ?? diver.units.volume,
            working_pressure: whole(typed.workingPressure),
            pressure_unit: own?.pressure_unit ?? diver.units.pressure,
          },
        }
      : {}),
    ...(changed("born") ? { born: typed.born === "" ? null : typed.born } : {}),
    ...(changed("emergency") ? { emergency_contact: typed.emergency.trim() } : {}),
    ...(changed("canLead") ? { can_lead: typed.canLead } : {}),
    ...(changed("supervised") ? { supervised: typed.supervised } : {}),
    ...(changed("consent") ? { guardian_consent: typed.consent === "" ? null : typed.consent === "yes" } : {}),
    ...(changed("guardian") ? { guardians: typed.guardian === "" ? [] : [typed.guardian] } : {}),
  };
}
