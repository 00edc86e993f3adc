import { LinkButton, Page, Section, type ScreenProps } from "../parts/index.ts";
import { OnTrip, SyncStrip } from "./frame.tsx";

/** What two phones do with each other where there is no network, and what one does when the other is dead. */
export function Pictures({ params }: ScreenProps) {
  return (
    <OnTrip trip={params["trip"] ?? ""}>
      {(deck) => {
        const path = `/trips/${deck.log.trip}`;
        return (
          <>
            <SyncStrip deck={deck} />
            <Page title="Another phone" back={`${path}/more`} note="No network needed: one phone shows pictures, the other reads them with its camera.">
              <div class="heads">
                <LinkButton path={`${path}/pictures/show`} tone="act" size="deck" wide>
                  Show this phone's log
                </LinkButton>
                <LinkButton path={`${path}/pictures/read`} tone="act" size="deck" wide>
                  Read another phone's pictures
                </LinkButton>
              </div>
              <Section title="The phone that kept the deck is lost or dead">
                <p>Its entries join later, when it can be read again. Until then nobody is taken to be aboard who was not met.</p>
                <LinkButton path={`${path}/take-over`} tone="stop" size="large" wide>
                  Take over the deck
                </LinkButton>
              </Section>
            </Page>
          </>
        );
      }}
    </OnTrip>
  );
}
