import { Empty, goInstead, Page, type ScreenProps } from "../parts/index.ts";
import { server } from "../../sync/server.ts";
import { TripForm } from "./trip_form.tsx";
import { typedIn } from "./trip_words.ts";
import { WithTrip } from "./use_trip.tsx";

/** What was typed when the trip was made, typed anew. */
export default function TripChange(props: ScreenProps) {
  return (
    <WithTrip {...props}>
      {({ trip }) => (
        <Page title="Change the trip" back={`/organise/trips/${trip.id}`} backLabel={trip.name} note="The dives keep their own times: move them too if the day changes.">
          {trip.state === "ready" ? (
            <Empty>This trip is ready: what changes now is said on the deck.</Empty>
          ) : (
            <TripForm
              label="Change the trip"
              draft={`trip ${trip.id}`}
              first={{ name: trip.name, starts: typedIn(trip.time_zone, trip.starts_at), boat: { id: trip.boat?.id ?? "", name: "" } }}
              club={trip.club}
              zone={trip.time_zone}
              button="Save the trip"
              send={async (body) => {
                await server.patch(`/api/trips/${trip.id}`, body);
                goInstead(`/organise/trips/${trip.id}`);
              }}
            />
          )}
        </Page>
      )}
    </WithTrip>
  );
}
