import { Empty, Page, type ScreenProps } from "../parts/index.ts";
import { RatherNotForm } from "../parts/rather_not.tsx";
import { WithTrip } from "./use_trip.tsx";

/** The private wishes of one person, kept for them by an organiser. */
export default function RatherNot(props: ScreenProps) {
  return (
    <WithTrip {...props}>
      {({ trip, club }) => (
        <Page title="Rather not with" back={`/organise/trips/${trip.id}/people`} backLabel="People on the trip" note={trip.bookings.find((one) => one.id === props.params["person"])?.name ?? ""}>
          {club?.may.keep_wishes === true ? <RatherNotForm trip={trip.id} person={props.params["person"] ?? ""} own={false} /> : <Empty>Only the diver and an organiser of the club read this.</Empty>}
        </Page>
      )}
    </WithTrip>
  );
}
