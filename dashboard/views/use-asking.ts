// Asks the daemon for what a view shows: when the view opens, whenever a connection has come about, for what happened
// before it was not heard, and after a failure until there is an answer.

import { effect, untracked } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { connections } from "../live.ts";
import { createPacer } from "../pacer.ts";

const pause_ms = 2000;

/** @param ask throws when there was no answer; reads signals and refs only, for it is that of the first rendering */
export function useAsking(ask: () => Promise<void>): void {
  useEffect(() => {
    let gone = false;
    const pacer = createPacer(
      async () => {
        if (!gone) await ask();
      },
      { shortestPause_ms: pause_ms, shareOfTime: 1 },
    );
    const stop = effect(() => {
      void connections.value;
      untracked(() => pacer.want());
    });
    return () => {
      gone = true;
      stop();
    };
  }, []);
}
