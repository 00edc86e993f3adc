import type { DiverRecord } from "../words/answers.ts";
import { showCertified, type System } from "../words/units.ts";
import { Facts, List, Row } from "./list.tsx";
import { Empty, Section } from "./page.tsx";

/** The facts about a diver that decide depth, teams and gas; each unknown is said as such. */
export function RecordFacts(props: { readonly diver: DiverRecord; readonly system: System }) {
  const { diver, system } = props;
  return (
    <div>
      <Section title="For planning">
        <Facts
          items={[
            ["Certified to", diver.certified_depth === null ? "not known" : showCertified(diver.certified_depth, system)],
            ["Certification", diver.certification ?? "not known"],
            ...(diver.certified_until == null ? [] : [["Good until", diver.certified_until] as const]),
            ["Fitness", diver.fitness],
            ["May lead", diver.can_lead ? "yes" : "no"],
            ...(diver.supervised ? [["Dives", "under supervision only"] as const] : []),
            ["Dives", diver.dives ?? "not known"],
            ["Last dive", diver.last_dive ?? "not known"],
            ["Breathing rate (RMV)", diver.rmv_l_min === null ? "not known" : `${Number(diver.rmv_l_min)} l/min`],
          ]}
        />
      </Section>
      <Section title="Cylinders">
        {diver.cylinders.length === 0 ? (
          <Empty>None on record: gas limits are not known until one is.</Empty>
        ) : (
          <List label="Cylinders">
            {diver.cylinders.map((cylinder) => (
              <Row
                key={cylinder.id}
                title={`${Number(cylinder.volume)} ${cylinder.volume_unit}${cylinder.label === "" ? "" : ` · ${cylinder.label}`}`}
                note={cylinder.working_pressure === null ? "working pressure not known" : `working pressure ${cylinder.working_pressure} ${cylinder.pressure_unit}`}
                {...(cylinder.redundant ? { side: "redundant" } : {})}
              />
            ))}
          </List>
        )}
      </Section>
    </div>
  );
}
