import { fixNow } from "../parts/fix.ts";
import { Empty, List, Page, Row, Section, type ScreenProps } from "../parts/index.ts";
import { useWakeLock } from "../parts/wake_lock.ts";
import { clockTime } from "../words/format.ts";
import { acting } from "./acting.ts";
import { OnTrip, SyncStrip } from "./frame.tsx";

/** Up is not aboard: who drifts out of sight is looked for from here, and is "up" again only when seen. */
export function Sight({ params }: ScreenProps) {
  useWakeLock();
  return (
    <OnTrip trip={params["trip"] ?? ""}>
      {(deck, names) => {
        const { log, view, zone } = deck;
        const say = (kind: string, person: string) => void log.write({ by: acting(view), kind, subject: person, data: { fix: fixNow() } });
        const of = (...states: readonly string[]) => Object.entries(view.people).filter(([, { state }]) => states.includes(state));
        const since = (instant: number | null) => (instant === null ? "" : `since ${clockTime(instant, zone)}`);
        const lost = of("lost_from_sight");
        const up = of("up", "in_water");
        return (
          <>
            <SyncStrip deck={deck} />
            <Page title="In sight?" back={`/trips/${log.trip}/deck`} backLabel="Deck" note="Those who are up and not yet aboard. One pair of eyes stays on each.">
              {lost.length > 0 && (
                <Section title="Lost from sight">
                  <List label="Lost from sight">
                    {lost.map(([person, { since: at }]) => (
                      <Row key={person} title={names.full(person)} note={`${since(at)}: tap when in sight again`} tone="stop" onPress={() => say("seen_at_surface", person)} />
                    ))}
                    {lost.map(([person]) => (
                      <Row key={`words ${person}`} title={`Words for the radio: ${names.short(person)}`} path={`/trips/${log.trip}/lost/${person}`} />
                    ))}
                  </List>
                </Section>
              )}
              <Section title="Up, not aboard">
                {up.length === 0 && <Empty>Nobody is at the surface.</Empty>}
                <List label="Up">
                  {up.map(([person]) => (
                    <Row key={person} title={names.full(person)} note="tap when out of sight" onPress={() => say("lost_from_sight", person)} />
                  ))}
                </List>
              </Section>
            </Page>
          </>
        );
      }}
    </OnTrip>
  );
}
