import { useState } from "preact/hooks";
import { askToPersist } from "../../store/phone.ts";
import { joinTrip } from "../../sync/take_trip.ts";
import { Button, errorAt, Form, goInstead, Page, ProblemList, TextField, useSend, type ScreenProps } from "../parts/index.ts";

/** At the dock: a leader shows a code, this phone becomes one of the boat's. No account, no password. */
export function Join({ params }: ScreenProps) {
  const [code, setCode] = useState(params["code"] ?? "");
  const [label, setLabel] = useState("");
  const [asked, setAsked] = useState(false);
  const { sending, problem, send } = useSend();
  const named = label.trim();
  const join = () => {
    setAsked(true);
    if (named === "" || code.trim() === "") return;
    send(async () => {
      const trip = await joinTrip(code.trim(), named);
      await askToPersist();
      goInstead(`/trips/${trip}/ready`);
    });
  };
  return (
    <Page title="Join with a code" back="/" backLabel="Trips">
      <p>A leader shows the code on the page of the trip, under Boat log. It works for a quarter of an hour.</p>
      <Form label="Join with a code" onSubmit={join}>
        <TextField label="Code" value={code} onChange={setCode} error={errorAt(problem, "/code") ?? (asked && code.trim() === "" ? "Type the code that the leader shows." : undefined)} />
        <TextField
          label="What to call this phone"
          hint="Such as: Ida's phone. It stands beside what is entered on it."
          value={label}
          onChange={setLabel}
          error={errorAt(problem, "/label") ?? (asked && named === "" ? "Give this phone a name." : undefined)}
        />
        <ProblemList problem={problem} />
        <Button tone="act" size="large" wide submit disabled={sending}>
          {sending ? "Joining …" : "Join"}
        </Button>
      </Form>
    </Page>
  );
}
