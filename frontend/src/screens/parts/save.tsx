import { Button, Buttons, Notice } from "./index.ts";

/** The button that every form of settings ends with. */
export function Save(props: { readonly sending: boolean; readonly what?: string }) {
  return (
    <Buttons>
      <Button tone={props.what === undefined ? "act" : "plain"} submit disabled={props.sending}>
        {props.sending ? "Saving …" : (props.what ?? "Save")}
      </Button>
    </Buttons>
  );
}

/** That it was saved, and from when it counts. */
export function Saved(props: { readonly saved: boolean; readonly from: string }) {
  if (!props.saved) return null;
  return (
    <Notice>
      <p>Saved. {props.from}</p>
    </Notice>
  );
}

export const FROM_NEXT_TRIP = "Trips that are not ready yet use it.";
