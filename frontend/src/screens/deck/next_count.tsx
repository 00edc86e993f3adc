import { useState } from "preact/hooks";
import { Button, Buttons, Choice, LinkButton, Notice } from "../parts/index.ts";
import { names as joined } from "../words/format.ts";
import type { Names } from "./frame.tsx";
import { mayCount, sameNames, unpaired, type Method } from "./counters.ts";
import type { Deck } from "./use_trip.ts";

export const methodWords: Readonly<Record<Method, string>> = { answered: "answered", seen: "was seen", tag: "gave a tag", signed: "signed" };

const METHODS: readonly { readonly value: Method; readonly label: string; readonly note?: string }[] = [
  { value: "answered", label: "Each named person answers" },
  { value: "tag", label: "Each gives in a tag" },
  { value: "signed", label: "Each signs a sheet" },
  { value: "seen", label: "Each named person is seen", note: "does not bring anyone out of the water" },
];

/** More names than this say nothing that the red box above does not say. */
const MANY = 4;

/** Who counts next and how: another person; one of the crew alone counts in a second active way. */
export function NextCount(props: {
  readonly deck: Deck;
  readonly names: Names;
  readonly called: readonly string[];
  readonly onCount: (person: string, method: Method, count: string) => void;
}) {
  const { deck, names, called } = props;
  const { counts, alone } = deck.view.roll_call;
  const last = counts.filter((one) => one.finished_at !== null && one.counter !== null).at(-1);
  const waiting = unpaired(deck.view.roll_call);
  const [method, setMethod] = useState<Method>("answered");
  const here = (person: string) => ["aboard", "unknown"].includes(deck.view.people[person]?.state ?? "");
  const able = called.filter((person) => here(person) && mayCount(deck.view.roll_call, person, method));
  const again = waiting?.counter ?? "";
  const otherWays = alone && here(again) ? METHODS.filter(({ value }) => mayCount(deck.view.roll_call, again, value)) : [];
  const without = (seen: readonly string[]) => {
    const left = called.filter((person) => !seen.includes(person));
    return left.length === 0 ? "" : left.length > MANY ? `; without ${left.length} names` : `; without ${joined(left.map(names.full))}`;
  };
  const begin = (person: string, how: Method) => {
    const own = counts.find((one) => one.finished_at === null && one.by.length === 1 && one.by[0] === person && one.methods.every((each) => each === how));
    props.onCount(person, how, own?.count ?? crypto.randomUUID());
  };
  return (
    <>
      {counts.map((one) => (
        <p key={one.count}>
          {one.by.length === 0 ? "Someone" : joined(one.by.map(names.full))} counted {one.seen.length} of {called.length},{" "}
          {joined(one.methods.map((each) => methodWords[each as Method] ?? each))}
          {one.finished_at === null && ", not ended"}
          {without(one.seen)}
        </p>
      ))}
      <h2>{waiting === undefined ? (last === undefined ? "Who counts?" : "Who counts now?") : "Who counts second?"}</h2>
      <p>{waiting === undefined ? "Each counts alone." : "Somebody else, alone, calling every name again. The phone compares the two."}</p>
      <Buttons>
        {able.map((person) => (
          <Button key={person} size="large" onPress={() => begin(person, method)}>
            {names.short(person)}
          </Button>
        ))}
      </Buttons>
      {otherWays.length > 0 && (
        <Notice>
          <p>One crew member alone: {names.short(again)} may count again, in another way.</p>
          <Buttons>
            {otherWays.map(({ value, label }) => (
              <Button key={value} size="large" onPress={() => begin(again, value)}>
                {`${names.short(again)}: ${label.toLowerCase()}`}
              </Button>
            ))}
          </Buttons>
        </Notice>
      )}
      <Choice<Method> label="How this count is taken" value={method} options={METHODS} onChange={setMethod} />
    </>
  );
}

/** Two ended counts beside each other: the same names, or who is in one and not in the other. */
export function Compared({ deck, names }: { readonly deck: Deck; readonly names: Names }) {
  const { stage, differ } = deck.view.roll_call;
  if (stage === "agree") return <p class="lead">Two counts agree, name by name.</p>;
  if (stage !== "recount" && stage !== "emergency") return null;
  const who = joined(differ.map(names.full));
  const found = who !== "" && sameNames(deck.view.roll_call) ? `Both counts are without ${who}.` : `The two counts ${stage === "recount" ? "do not agree" : "still differ"}.${who === "" ? "" : ` In doubt: ${who}.`}`;
  return (
    <Notice tone="stop">
      <p>
        {found} {stage === "recount" ? "Both count again, each alone." : "This is an emergency until everybody is named."}
      </p>
      {stage === "emergency" && (
        <LinkButton path={`/trips/${deck.log.trip}/emergency`} tone="stop" size="large" wide>
          Emergency
        </LinkButton>
      )}
    </Notice>
  );
}
