import { Page, useServer, type ScreenProps } from "../parts/index.ts";
import { DepthsTold } from "../parts/depths_told.tsx";
import { Loaded } from "../parts/loaded.tsx";
import type { Trip } from "../words/answers.ts";

/** My depths of a trip and my team-mates', as the boat log tells them. */
export default function MyDepths(props: ScreenProps) {
  const { answer, again } = useServer<Trip>(`/api/trips/${props.params["trip"] ?? ""}`);
  return (
    <Loaded answer={answer} again={again} alone={{ title: "Depths as told", back: "/me" }}>
      {(trip) => (
        <Page title="Depths as told" back={`/me/trips/${trip.id}`} backLabel="My teams" note={trip.name}>
          <DepthsTold trip={trip.id} zone={trip.time_zone} />
        </Page>
      )}
    </Loaded>
  );
}
