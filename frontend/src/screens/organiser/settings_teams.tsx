import { List, Row, Section } from "../parts/index.ts";
import type { Club } from "../words/answers.ts";
import { POLICY_GROUPS } from "./policy_fields.ts";

/** Where a club decides who dives with whom: a few decisions a page, each with what is usual. */
export function TeamRules(props: { readonly club: Club }) {
  return (
    <Section title="Rules for teams">
      <List label="Rules for teams">
        {POLICY_GROUPS.map((group) => (
          <Row key={group.id} path={`/organise/clubs/${props.club.id}/rules/${group.id}`} title={group.title} note={group.about} />
        ))}
      </List>
    </Section>
  );
}
