import { askToPersist } from "../../store/phone.ts";
import { takeTrip } from "../../sync/take_trip.ts";
import { Button, goInstead, Notice, Page, ProblemList, useSend, type ScreenProps } from "../parts/index.ts";

/** At the dock, with a network, by a leader: once. */
export function Take({ params }: ScreenProps) {
  const trip = params["trip"] ?? "";
  const { sending, problem, send } = useSend();
  const take = () =>
    send(async () => {
      await takeTrip(trip, navigator.userAgent.includes("Mobile") ? "Phone" : "Computer");
      await askToPersist();
      goInstead(`/trips/${trip}/ready`);
    });
  return (
    <Page title="Bring the trip onto this phone" back="/" backLabel="Trips">
      {problem?.status === 403 ? (
        <Notice tone="warn">A leader of your club brings the trip onto the phone that goes to sea. Your own plan is under "Me".</Notice>
      ) : (
        <ProblemList problem={problem} />
      )}
      <p>
        The people, the teams and their limits are stored here, and this phone is enrolled to keep the boat log. From then on it needs no network and
        no sign-in.
      </p>
      <p>A trip that was made ready no longer changes at the desk: what changes after that is entered on the deck.</p>
      <Button tone="act" size="large" wide disabled={sending} onPress={take}>
        {sending ? "Bringing it here …" : "Bring it here"}
      </Button>
    </Page>
  );
}
