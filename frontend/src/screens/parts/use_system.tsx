import { useEffect, useState } from "preact/hooks";
import type { System } from "../words/units.ts";
import { SelectField } from "./field.tsx";

const STORED = "teamdive units";
const CHANGED = "teamdive-units";

type Wanted = System | "club";

function wanted(): Wanted {
  try {
    const stored = localStorage.getItem(STORED);
    return stored === "metric" || stored === "imperial" ? stored : "club";
  } catch {
    return "club";
  }
}

function useWanted(): Wanted {
  const [value, setValue] = useState(wanted);
  useEffect(() => {
    const changed = () => setValue(wanted());
    addEventListener(CHANGED, changed);
    return () => removeEventListener(CHANGED, changed);
  }, []);
  return value;
}

/** Metres and bar, or feet and psi: what this person chose on this device, else what the club uses. */
export function useSystem(clubDepth: "m" | "ft" | undefined): System {
  const value = useWanted();
  if (value !== "club") return value;
  return clubDepth === "ft" ? "imperial" : "metric";
}

/** Where a person says which they want to see. */
export function UnitChoice() {
  const value = useWanted();
  const choose = (next: Wanted) => {
    try {
      if (next === "club") localStorage.removeItem(STORED);
      else localStorage.setItem(STORED, next);
    } catch {
      // Nothing is kept where nothing may be stored; the club's units stay.
    }
    dispatchEvent(new Event(CHANGED));
  };
  return (
    <SelectField
      label="Show depths and pressures in"
      value={value}
      options={[
        { value: "club", label: "What the club uses" },
        { value: "metric", label: "Metres and bar" },
        { value: "imperial", label: "Feet and psi" },
      ]}
      onChange={(next) => choose(next === "metric" || next === "imperial" ? next : "club")}
    />
  );
}
