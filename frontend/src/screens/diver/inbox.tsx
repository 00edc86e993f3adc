import { useState } from "preact/hooks";
import { Button, Empty, List, Notice, Page, ProblemList, Reason, Row, useSend, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { server } from "../../sync/server.ts";
import { clubsOf, type Message } from "../words/answers.ts";
import { dayAndTime } from "../words/format.ts";

interface InboxPage {
  readonly unread: number;
  readonly messages: readonly Message[];
  readonly next: string | null;
}

/** What teamdive told this person, newest first. */
export default function Inbox(props: ScreenProps) {
  const [before, setBefore] = useState<string | null>(null);
  const { answer, again } = useServer<InboxPage>(before === null ? "/api/inbox" : `/api/inbox?before=${encodeURIComponent(before)}`);
  const zone = clubsOf(props.session?.me)[0]?.time_zone ?? "UTC";
  return (
    <Page title="Inbox" back="/me" backLabel="Me">
      <Loaded answer={answer} again={again}>
        {(data) => (
          <>
            <Messages messages={data.messages} zone={zone} again={again} />
            {before !== null && <Button onPress={() => setBefore(null)}>Newest</Button>}
            {data.next !== null && <Button onPress={() => setBefore(data.messages.at(-1)?.id ?? null)}>Older</Button>}
          </>
        )}
      </Loaded>
    </Page>
  );
}

function Messages(props: { readonly messages: readonly Message[]; readonly zone: string; readonly again: () => void }) {
  const { sending, problem, send } = useSend();
  const read = (message: Message) =>
    send(async () => {
      await server.post(`/api/inbox/${message.id}/read`, {});
      props.again();
    });
  if (props.messages.length === 0) return <Empty>Nothing yet. Reminders about your surface interval and your waiting time before flying come here.</Empty>;
  return (
    <>
      <ProblemList problem={problem} />
      <List label="Messages">
        {props.messages.map((message) => (
          <Row key={message.id} title={message.text.split("\n\n")[0]} note={`${message.trip_name} · ${dayAndTime(Date.parse(message.due_at), props.zone)}`} {...(message.read_at === null ? { tone: message.call === "alarm" ? ("stop" as const) : ("warn" as const) } : {})}>
            <div class="desk-row">
              {message.text
                .split("\n\n")
                .slice(1)
                .map((text) => (
                  <p key={text}>{text}</p>
                ))}
              {message.link != null && (
                <p>
                  <a href={message.link}>{message.call === "alarm" ? "Say that you have it, or that all are home" : "Open the float plan"}</a>
                </p>
              )}
              {typeof message.since === "string" && (
                <Notice tone="warn">
                  <p>{message.since}</p>
                </Notice>
              )}
              {message.why.length > 0 && (
                <Reason>
                  <ul>
                    {message.why.map((text) => (
                      <li key={text}>{text}</li>
                    ))}
                  </ul>
                </Reason>
              )}
              {message.read_at === null && (
                <Button disabled={sending} onPress={() => read(message)} label={`I have read it: ${message.text}`}>
                  I have read it
                </Button>
              )}
            </div>
          </Row>
        ))}
      </List>
    </>
  );
}
