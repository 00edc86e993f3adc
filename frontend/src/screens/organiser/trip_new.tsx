import { Empty, goInstead, Page, type ScreenProps } from "../parts/index.ts";
import { server } from "../../sync/server.ts";
import { clubsOf, type Trip } from "../words/answers.ts";
import { TripForm } from "./trip_form.tsx";

/** A new trip needs a name and a start; everything else comes after. */
export default function TripNew(props: ScreenProps) {
  const club = clubsOf(props.session?.me).find((one) => one.id === props.params["club"]);
  return (
    <Page title="New trip" back="/organise" backLabel="Organise" note={club?.name}>
      {club === undefined || !club.may.add_trip ? (
        <Empty>Only who leads or organises in this club plans its trips.</Empty>
      ) : (
        <TripForm
          label="New trip"
          draft="new trip"
          first={{ name: "", starts: "", boat: { id: "", name: "" } }}
          club={club.id}
          zone={club.time_zone}
          button="Make the trip"
          send={async (body) => {
            const trip = await server.post<Trip>("/api/trips", { club: club.id, ...body });
            goInstead(`/organise/trips/${trip.id}`);
          }}
        />
      )}
    </Page>
  );
}
