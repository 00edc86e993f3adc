import type { ComponentType } from "preact";
import { useEffect, useState } from "preact/hooks";
import { go, LinkButton, Page, to, Waiting, type Screen, type ScreenProps, type Session } from "../screens/parts/index.ts";
import { organisedBy } from "../screens/words/answers.ts";
import { Alarms } from "./alarms.tsx";
import { match, screens } from "./routes.ts";
import { askSession, remembered, signOut, type SessionState } from "./session.ts";
import { SignIn } from "./sign_in.tsx";
import { watchForUpdate, type UpdateOffer } from "./update.ts";

export function Shell() {
  const [hash, setHash] = useState(location.hash);
  const [session, setSession] = useState<SessionState>(remembered);
  const [update, setUpdate] = useState<UpdateOffer | null>(null);

  useEffect(() => {
    const moved = () => setHash(location.hash);
    addEventListener("hashchange", moved);
    return () => removeEventListener("hashchange", moved);
  }, []);
  useEffect(() => {
    const ask = () => void askSession(session).then(setSession);
    ask();
    addEventListener("online", ask);
    return () => removeEventListener("online", ask);
    // Asked once when the app opens and each time a network appears; the answer itself must not ask again.
  }, []);
  useEffect(() => watchForUpdate(setUpdate), []);

  const found = match(screens, hash);
  useEffect(() => {
    document.title = found === null ? "teamdive" : `${found.screen.title} · teamdive`;
    scrollTo(0, 0);
  }, [hash]);

  const known: Session | null = session.state === "signed_in" ? session.session : null;
  const onDeck = found?.screen.frame === "deck";
  const inside = () => {
    if (hash === "#/sign-in") return <SignIn onSigned={(state) => (setSession(state), go("/"))} />;
    if (found === null) return <Lost />;
    if (found.screen.needs === "session" && session.state === "unknown") return <Waiting />;
    if (found.screen.needs === "session" && known === null) {
      return <SignIn onSigned={setSession} why="This page is kept by your club: sign in to open it." />;
    }
    return <Shown key={hash} screen={found.screen} params={found.params} session={known} />;
  };
  return (
    <>
      <div id="page">
      {!onDeck && <Bar hash={hash} session={known} onSignOut={() => void signOut().then((state) => (setSession(state), go("/")))} />}
      {update !== null && !onDeck && (
        <div class="strip" role="status">
          <span>A new version is ready. It waits until you say so.</span>
          <button type="button" class="button quiet" onClick={update.take}>
            Change now
          </button>
        </div>
      )}
      {inside()}
      </div>
      <Alarms hash={hash} />
    </>
  );
}

function Bar(props: { readonly hash: string; readonly session: Session | null; readonly onSignOut: () => void }) {
  const current = (path: string) => (props.hash.startsWith(to(path)) ? "page" : undefined);
  return (
    <nav class="bar" aria-label="Main">
      <a href={to("/")} class="brand" aria-current={props.hash === "" || props.hash === "#/" ? "page" : undefined}>
        teamdive
      </a>
      {props.session !== null && (
        <>
          {organisedBy(props.session.me).length > 0 && (
            <a href={to("/organise")} aria-current={current("/organise")}>
              Organise
            </a>
          )}
          <a href={to("/me")} aria-current={current("/me")}>
            Me
          </a>
        </>
      )}
      {props.session === null ? (
        <a href={to("/sign-in")} class="far" aria-current={current("/sign-in")}>
          Sign in
        </a>
      ) : (
        <button type="button" class="far" onClick={props.onSignOut}>
          Sign out
        </button>
      )}
    </nav>
  );
}

function Shown(props: { readonly screen: Screen; readonly params: ScreenProps["params"]; readonly session: Session | null }) {
  const { screen } = props;
  const [Loaded, setLoaded] = useState<ComponentType<ScreenProps> | null>(() => ("show" in screen ? screen.show : null));
  const [failed, setFailed] = useState(false);
  useEffect(() => {
    if ("show" in screen) return;
    screen.load().then(
      (module) => setLoaded(() => module.default),
      () => setFailed(true),
    );
  }, [screen]);
  if (failed) {
    return (
      <Page title="This page is not on the phone yet">
        <p>Open it once with a network; after that it works without.</p>
        <LinkButton path="/">To the trips</LinkButton>
      </Page>
    );
  }
  return Loaded === null ? <Waiting /> : <Loaded params={props.params} session={props.session} />;
}

function Lost() {
  return (
    <Page title="There is no such page">
      <LinkButton path="/" tone="act">
        To the trips
      </LinkButton>
    </Page>
  );
}
