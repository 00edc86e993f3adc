import { useState } from "preact/hooks";
import { server } from "../../sync/server.ts";
import { dayAndTime, depth, type Depth } from "../words/format.ts";
import { Button, Buttons, Empty, List, ProblemList, Reason, Row, useSend, useServer } from "./index.ts";
import { Loaded } from "./loaded.tsx";
import { DepthSteps } from "./set_by_steps.tsx";

/** What one correction says instead: null is what was entered; `void`: it was not read at all. */
interface Against {
  readonly entry: string;
  readonly by: string | null;
  readonly at: number;
  readonly void: boolean;
  readonly depth: Depth | null;
  readonly person: string | null;
}

type Said = Pick<Against, "void" | "depth" | "person">;

interface Told {
  readonly entry: string;
  readonly number: number | null;
  readonly person: string;
  readonly by: string | null;
  readonly at: number;
  readonly depth: Depth;
  readonly counts: Depth | null;
  readonly against: readonly Against[];
  readonly open: boolean;
  readonly may: boolean;
}

interface Depths {
  readonly me: string | null;
  readonly names: Readonly<Record<string, string>>;
  readonly depths: readonly Told[];
}

/** The depths as they were told, what was said against each, and the second voice that settles it: nothing is edited. */
export function DepthsTold(props: { readonly trip: string; readonly zone: string }) {
  const { answer, again } = useServer<Depths>(`/api/trips/${props.trip}/boat-log/depths`);
  return (
    <Loaded answer={answer} again={again}>
      {({ me, names, depths }) =>
        depths.length === 0 ? (
          <Empty>No depth has come in yet.</Empty>
        ) : (
          <List label="Depths as told">
            {depths.map((told) => (
              <OneDepth key={told.entry} {...props} told={told} me={me} nameOf={(person) => names[person ?? ""] ?? "somebody"} again={again} />
            ))}
          </List>
        )
      }
    </Loaded>
  );
}

interface OneProps {
  readonly trip: string;
  readonly zone: string;
  readonly told: Told;
  readonly me: string | null;
  readonly nameOf: (person: string | null) => string;
  readonly again: () => void;
}

function OneDepth({ trip, zone, told, me, nameOf, again }: OneProps) {
  const { sending, problem, send } = useSend();
  const say = (right: Said, reason: string) =>
    send(async () => {
      const who = right.person === null ? {} : { subject: right.person };
      // Another person goes with "did not happen": who does not know of the one takes the careful reading.
      const deep = right.depth === null ? {} : { data: { depth: right.depth } };
      await server.post(`/api/trips/${trip}/boat-log/corrections`, { corrects: told.entry, reason, void: right.void || right.person !== null, ...who, ...deep });
      again();
    });
  const words = (right: Said) => {
    if (right.void) return "not read at all";
    const of = right.person === null ? "" : `read by ${nameOf(right.person)}`;
    return [right.depth === null ? "" : depth(right.depth), of].filter((part) => part !== "").join(", ") || "at another time";
  };
  const mine = new Set(told.against.filter(({ by }) => by === me).map(words));
  const answerable = told.against.filter((one) => !mine.has(words(one)) && (one.void || one.depth !== null || one.person !== null));
  const others = [...new Map(answerable.map((one) => [words(one), one])).values()];
  return (
    <Row
      title={`${depth(told.depth)}, read by ${nameOf(told.person)}`}
      note={`${told.number === null ? "" : `Dive ${told.number} · `}${dayAndTime(told.at, zone)}, said to be by ${nameOf(told.by)}`}
      tone={told.open ? "warn" : "plain"}
    >
      {told.against.map((one) => (
        <p key={one.entry}>
          {dayAndTime(one.at, zone)}, {nameOf(one.by)}: <b>{words(one)}</b>
        </p>
      ))}
      {told.against.length > 0 && (
        <p>
          {told.open ? `${told.against.some(({ person }) => person !== null) ? "Until two people say whose it was it counts for both" : "Until its diver and a leader say the same, the deeper counts"}: ${told.counts === null ? "none" : depth(told.counts)}.` : `Settled: ${told.counts === null ? "not read at all" : depth(told.counts)} counts. Every entry stays.`}
        </p>
      )}
      <ProblemList problem={problem} />
      {told.open && told.may && others.length > 0 && (
        <Buttons>
          {others.map((right) => (
            <Button key={words(right)} disabled={sending} onPress={() => say(right, "settled")}>
              I say so too: {words(right)}
            </Button>
          ))}
        </Buttons>
      )}
      {told.may && <Another key={told.against.length} told={told} sending={sending} onSay={(right) => say({ void: false, depth: right, person: null }, "mistyped")} />}
    </Row>
  );
}

function Another(props: { readonly told: Told; readonly sending: boolean; readonly onSay: (right: Depth) => void }) {
  const { unit, hundredths } = props.told.depth;
  const [right, setRight] = useState(hundredths);
  return (
    <Reason title="It was mistyped or misread">
      <p>What was entered stays, and so does what you say, with your name.</p>
      <DepthSteps label="It was" unit={unit} value={right} onChange={setRight} />
      <Button tone="act" disabled={props.sending || right === hundredths} onPress={() => props.onSay({ unit, hundredths: right })}>
        {right === hundredths ? "Set it with the steps" : `It was ${depth({ unit, hundredths: right })}`}
      </Button>
    </Reason>
  );
}
