import { server } from "../../sync/server.ts";
import { Button, Buttons, Empty, List, ProblemList, Row, useSend, useServer } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { dayAndTime, names } from "../words/format.ts";
import { questionText } from "../words/questions.ts";

interface Question {
  readonly code: string;
  readonly entries: readonly string[];
  readonly about: string | null;
  readonly at: number;
  readonly people: readonly string[];
  readonly looked: readonly string[];
  readonly may: boolean;
  readonly bar: "answer" | "depth" | "yours" | "looked" | "not_aboard" | null;
}

const bars: Readonly<Record<"answer" | "depth" | "yours" | "not_aboard", string>> = {
  answer: "Answered with a phone of the boat, under Questions.",
  depth: "Answered above, under Depths as told.",
  yours: "It is about you: two others look at it.",
  not_aboard: "Two who were on the trip and plan it look at it.",
};

/** What the log leaves open: one person says here that they looked at it, a second one closes it. */
export function LeftOpen(props: { readonly trip: string; readonly zone: string }) {
  const { answer, again } = useServer<{ readonly questions: readonly Question[] }>(`/api/trips/${props.trip}/boat-log/questions`);
  return (
    <Loaded answer={answer} again={again}>
      {({ questions }) =>
        questions.length === 0 ? (
          <Empty>Nothing is open.</Empty>
        ) : (
          <>
            <p>What is past may be left so: once two people looked at it the careful reading stays, and it is not asked again.</p>
            <List label="Left open">
              {questions.map((question) => (
                <One key={`${question.code} ${question.entries.join(" ")}`} {...props} question={question} again={again} />
              ))}
            </List>
          </>
        )
      }
    </Loaded>
  );
}

function One({ trip, zone, question, again }: { readonly trip: string; readonly zone: string; readonly question: Question; readonly again: () => void }) {
  const { sending, problem, send } = useSend();
  const { code, entries, people, looked } = question;
  const look = () =>
    send(async () => {
      await server.post(`/api/trips/${trip}/boat-log/questions`, { code, entries });
      again();
    });
  const about = question.about ?? "";
  const note = [about.charAt(0).toUpperCase() + about.slice(1), dayAndTime(question.at, zone), names(people)].filter((part) => part !== "").join(" · ");
  return (
    <Row title={questionText(code)} note={note} tone={question.bar === "answer" || question.bar === "depth" ? "warn" : "plain"}>
      {looked.length > 0 && <p>{names(looked)} looked at it. A second person closes it.</p>}
      {question.bar !== null && question.bar !== "looked" && <p>{bars[question.bar]}</p>}
      <ProblemList problem={problem} />
      {question.may && (
        <Buttons>
          <Button disabled={sending} onPress={look}>
            I looked at it
          </Button>
        </Buttons>
      )}
    </Row>
  );
}
