import { bringTrip } from "../../sync/bring_trip.ts";
import { goInstead, LinkButton, Page, type ScreenProps } from "../parts/index.ts";
import { Reading } from "./reading.tsx";

/** At sea, on a phone that has nothing of the trip: the trip and its log off another phone's screen. No network, no sign-in. */
export function ReadTrip(_props: ScreenProps) {
  const finish = async (data: Uint8Array<ArrayBuffer>) => goInstead(`/trips/${await bringTrip(data)}/pictures`);
  return (
    <Page
      title="Read a trip off another phone"
      back="/"
      backLabel="Trips"
      note={`On the other phone: "Something else", "Another phone", "Show this phone's log", "For a phone that does not have this trip".`}
    >
      <Reading of="" finish={finish}>
        <p>With a network, join with the code that a leader shows. Until then the paper sheet, and the phone that has the trip.</p>
        <LinkButton path="/join" tone="act" size="large" wide>
          Join with a code
        </LinkButton>
      </Reading>
    </Page>
  );
}
