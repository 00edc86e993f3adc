import { Empty, Page, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { RatherNotForm } from "../parts/rather_not.tsx";
import type { Trip } from "../words/answers.ts";

/** A diver's own private wishes for a trip, on their own phone. */
export default function RatherNot(props: ScreenProps) {
  const { answer, again } = useServer<Trip>(`/api/trips/${props.params["trip"] ?? ""}`);
  return (
    <Loaded answer={answer} again={again} alone={{ title: "Rather not with", back: "/me" }}>
      {(trip) => (
        <Page title="Rather not with" back={`/me/trips/${trip.id}`} backLabel={trip.name}>
          {trip.me == null ? <Empty>You are not on this trip.</Empty> : <RatherNotForm trip={trip.id} person={trip.me} own />}
        </Page>
      )}
    </Loaded>
  );
}
