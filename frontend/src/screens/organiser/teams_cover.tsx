import { SelectField } from "../parts/index.ts";
import type { CoverRole } from "../words/answers_teams.ts";
import type { TeamsDesk } from "./teams_desk.ts";

export const ROLES: readonly (readonly [CoverRole["role"], string])[] = [
  ["boat_handler", "Handles the boat"],
  ["lookout", "Looks out"],
  ["oxygen", "Gives oxygen"],
  ["standby", "Standby diver"],
];

/** Who stays out of the water while the others dive: named, they are in no team of this dive. */
export function Cover(props: { readonly desk: TeamsDesk; readonly open: boolean }) {
  const { desk } = props;
  const { surface_cover = [] } = desk.asked;
  const everyone = [{ value: "", label: "nobody named" }, ...desk.here.trip.bookings.map((one) => ({ value: one.id, label: one.name }))];
  const name = (role: CoverRole["role"], person: string) => {
    const others = surface_cover.filter((one) => one.role !== role);
    desk.solve({ surface_cover: person === "" ? others : [...others, { role, person }] });
  };
  return (
    <details class="desk-panel" open={props.open}>
      <summary>
        <h2>Stays out of the water{surface_cover.length > 0 ? ` (${surface_cover.length})` : ""}</h2>
      </summary>
      {ROLES.map(([role, label]) => (
        <SelectField key={role} label={label} value={surface_cover.find((one) => one.role === role)?.person ?? ""} options={everyone} onChange={(person) => name(role, person)} />
      ))}
    </details>
  );
}
