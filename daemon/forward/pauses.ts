// Waiting that a stop ends at once, and, where that is wanted, something that should not wait.

import { setTimeout as sleep } from "node:timers/promises";

export interface Pauses {
  /** Returns after so long, or when all stops. */
  wait(wait_s: number): Promise<void>;
  /** As `wait`; and a moment after a nudge, for what comes together goes together. */
  waitForNudge(wait_s: number): Promise<void>;
  nudge(): void;
  readonly stopped: boolean;
  stop(): void;
}

export function pauses(together_s: number): Pauses {
  const stopping = new AbortController();
  let nudging = new AbortController();

  async function wait(wait_s: number, signal = stopping.signal): Promise<void> {
    await sleep(wait_s * 1000, undefined, { signal, ref: false }).catch(() => {});
  }

  return {
    wait: (wait_s) => wait(wait_s),
    async waitForNudge(wait_s) {
      await wait(wait_s, AbortSignal.any([stopping.signal, nudging.signal]));
      if (nudging.signal.aborted) await wait(together_s);
      nudging = new AbortController();
    },
    nudge: () => nudging.abort(),
    get stopped() {
      return stopping.signal.aborted;
    },
    stop: () => stopping.abort(),
  };
}
