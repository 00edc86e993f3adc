import { facts } from "../../kernel/boatlog/facts.ts";
import { rollCallRecord, type Line } from "../../kernel/boatlog/record.ts";
import { Button, Empty, List, Page, Row, type ScreenProps } from "../parts/index.ts";
import { clockTime, count, day, names as joined } from "../words/format.ts";
import { boatName, boats } from "./boats.ts";
import { label, OnTrip, type Names } from "./frame.tsx";

export function RecordOfCounts({ params }: ScreenProps) {
  return (
    <OnTrip trip={params["trip"] ?? ""}>
      {(deck, names) => {
        const { log, zone } = deck;
        const lines = rollCallRecord(log.state, facts(log.state));
        return (
          <Page
            title="Record of the counts"
            back={`/trips/${log.trip}/roll-call`}
            backLabel="Roll call"
            note={[label(deck, "trip"), day(log.snapshot.starts_at, zone), boats(deck)].filter((text) => text !== "").join(" · ")}
          >
            {lines.length === 0 && <Empty>Nobody has counted yet.</Empty>}
            <List label="Counts and departures">
              {lines.map((line, n) => (
                <Row key={n} title={`${line.boat === null ? "" : `${boatName(deck, line.boat)}: `}${words(line, names)}`} side={line.at === null ? "" : clockTime(line.at, zone)} tone={bad.has(line.what) ? "stop" : "plain"} />
              ))}
            </List>
            <div class="buttons">
              <Button tone="act" size="large" onPress={() => print()}>
                Print it
              </Button>
            </div>
          </Page>
        );
      }}
    </OnTrip>
  );
}

const bad: ReadonlySet<string> = new Set(["differed", "not_accounted_for", "overridden"]);
const howWords: Readonly<Record<string, string>> = { answered: "each answered", signed: "each signed", tag: "by tags", seen: "by eye" };

function words(line: Line, names: Names): string {
  const who = joined(line.people.map(names.full));
  const by = line.by.length === 0 ? "someone" : joined(line.by.map(names.full));
  const how = line.how.map((each) => howWords[each] ?? each).join(", ");
  const said: Readonly<Record<Line["what"], string>> = {
    counted: `Counted by ${by}${how === "" ? "" : `, ${how}`}: ${line.heads === null ? count(line.people.length, "name") : count(line.heads, "head")}${who === "" ? "" : `: ${who}`}`,
    agreed: "The two counts agreed",
    differed: `The two counts differed, or both lacked a name${who === "" ? "" : `: ${who}`}`,
    came: `Came since the count before: ${who}`,
    went: `Gone since the count before: ${who}`,
    not_accounted_for: `Not accounted for: ${who}`,
    overridden: `${by} decided to leave without ${who}`,
    left: line.how[0] === "port" ? `Left port, said by ${by}` : `Left the site, said by ${by}`,
    not_left: "Not left yet",
  };
  return said[line.what];
}
