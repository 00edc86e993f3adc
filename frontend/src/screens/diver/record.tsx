import { Page, Reason, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { PastDives } from "../parts/past_dives.tsx";
import { RecordFacts } from "../parts/record.tsx";
import { useSystem } from "../parts/use_system.tsx";
import { clubsOf, type DiverRecord } from "../words/answers.ts";
import { ToldDives } from "./told_dives.tsx";

/** What the club keeps about this diver, shown to the diver. */
export default function Record(props: ScreenProps) {
  const { answer, again } = useServer<DiverRecord>(`/api/divers/${props.params["diver"] ?? ""}`);
  const system = useSystem(clubsOf(props.session?.me)[0]?.units.depth);
  const zone = clubsOf(props.session?.me).find((club) => club.diver === props.params["diver"])?.time_zone ?? "UTC";
  return (
    <Page title="My record" back="/me" backLabel="Me">
      <Loaded answer={answer} again={again}>
        {(diver) => (
          <>
            <RecordFacts diver={diver} system={system} />
            <ToldDives diver={diver.id} zone={zone} system={system} />
            <PastDives diver={diver.id} name={diver.name} system={system} unit={diver.units.depth} mayAdd={false} />
          </>
        )}
      </Loaded>
      <Reason title="Who sees this">
        <p>You, and the organisers and leaders of your club. Other divers see your name on a trip and nothing else.</p>
      </Reason>
    </Page>
  );
}
