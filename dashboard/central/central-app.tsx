// The frame around the overview: name, who is logged in, units, light or dark, cautions.

import { useSignalEffect } from "@preact/signals";
import { Brand } from "../parts/brand.tsx";
import { Cautions } from "../parts/cautions.tsx";
import { ThemeButton, UnitSwitch } from "../parts/switches.tsx";
import { countTiers } from "./arrange.ts";
import { about, logOut, lostSince_ms, now_s, rows, session } from "./hear.ts";
import { LogIn } from "./log-in.tsx";
import { Overview } from "./overview.tsx";

export function CentralApp() {
  const who = session.value;
  const name = about.value?.view.name ?? who?.view.name ?? "All basins";
  useSignalEffect(() => {
    const { now } = countTiers(rows.value.values());
    const view = about.value?.view.name ?? session.value?.view.name ?? "All basins";
    document.title = now > 0 ? `(${now}) ${view} · Undercroft` : `${view} · Undercroft`;
  });
  const mustLogIn = who?.required === true && who.login === null;

  return (
    <>
      <header class="head">
        <div class="head-row">
          <Brand name={name} />
          <div class="head-tools">
            {!mustLogIn && <UnitSwitch />}
            <ThemeButton />
          </div>
        </div>
        {who?.login && (
          <p class="who">
            <span>{[...new Set([who.login.name, who.login.customer ?? "staff"])].join(", ")}</span>
            <button type="button" class="plain" onClick={() => void logOut()}>
              Log out
            </button>
          </p>
        )}
        <Lost />
      </header>
      <main id="main" tabIndex={-1}>
        {who === null && <p class="waiting">Asking the central view…</p>}
        {mustLogIn && <LogIn />}
        {who !== null && !mustLogIn && <Overview />}
      </main>
      <Cautions version={about.value?.version} />
    </>
  );
}

/** That the page does not hear the central view, or the central view not the broker. */
function Lost() {
  const since_ms = lostSince_ms.value;
  const broker = about.value?.brokerLost ?? null;
  if (since_ms !== null) {
    return (
      <p class="lost" role="alert">
        <strong>Connection lost at {clock(since_ms)}.</strong> Trying again. What you see is how it was then.
      </p>
    );
  }
  if (broker === null) return null;
  const since = clock(Date.now() - 1000 * (now_s.value - broker.since_s));
  return (
    <p class="lost" role="alert">
      <strong>No board has been heard since {since}.</strong> The central view does not reach the broker (
      {broker.reason}). What you see is how it was then.
    </p>
  );
}

function clock(time_ms: number): string {
  return new Intl.DateTimeFormat("en-GB", { timeStyle: "short" }).format(time_ms);
}
