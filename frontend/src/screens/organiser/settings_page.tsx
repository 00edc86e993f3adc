import type { ComponentChildren } from "preact";
import { Empty, Page, useServer, type ScreenProps } from "../parts/index.ts";
import { Loaded } from "../parts/loaded.tsx";
import { clubsOf, type Club } from "../words/answers.ts";

/** A page of a club's settings, for who may change them. */
export function ClubPage(props: ScreenProps & { readonly title: string; readonly note?: string; readonly children: (club: Club) => ComponentChildren }) {
  const id = props.params["club"] ?? "";
  const { answer, again } = useServer<Readonly<Record<string, unknown>>>("/api/me");
  return (
    <Page title={props.title} back={`/organise/clubs/${id}/settings`} backLabel="Club settings" {...(props.note === undefined ? {} : { note: props.note })}>
      <Loaded answer={answer} again={again}>
        {(me) => {
          const club = clubsOf(me).find((one) => one.id === id);
          return club === undefined || !club.may.manage_club ? <Empty>Only an organiser of the club changes its settings.</Empty> : props.children(club);
        }}
      </Loaded>
    </Page>
  );
}
