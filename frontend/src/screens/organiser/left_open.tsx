import { server } from "../../sync/server.ts";
import { Button, Empty, List, ProblemList, Row, useSend, useServer } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { dayAndTime, names } from "../words/format.ts";
import { questionText } from "../words/questions.ts";

interface Question {
  readonly code: string;
  readonly entries: readonly string[];
  readonly kind: string;
  readonly at: number;
  readonly people: readonly string[];
  readonly looked: readonly string[];
  readonly may: boolean;
}

/** What the log leaves open: one person says here that they looked at it, a second one closes it. */
export function LeftOpen(props: { readonly trip: string; readonly zone: string }) {
  const { answer, again } = useServer<{ readonly questions: readonly Question[] }>(`/api/trips/${props.trip}/boat-log/questions`);
  return (
    <Loaded answer={answer} again={again}>
      {({ questions }) =>
        questions.length === 0 ? (
          <Empty>Nothing is open.</Empty>
        ) : (
          <List label="Left open">
            {questions.map((question) => (
              <One key={`${question.code} ${question.entries.join(" ")}`} {...props} question={question} again={again} />
            ))}
          </List>
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
  const who = people.length === 0 ? "" : `, ${names(people)}`;
  return (
    <Row title={questionText(code)} note={`${question.kind.replaceAll("_", " ")}, ${dayAndTime(question.at, zone)}${who}`}>
      {looked.length > 0 && <p>{names(looked)} looked at it. A second person closes it.</p>}
      <ProblemList problem={problem} />
      {question.may && (
        <Button disabled={sending} onPress={look}>
          I looked at it: the careful reading stays
        </Button>
      )}
    </Row>
  );
}
