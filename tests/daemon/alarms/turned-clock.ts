// A clock that the test turns: what is scheduled runs when its time has come, in order.

import type { Schedule } from "../../../daemon/sources/schedule.ts";

export interface TurnedClock {
  readonly now_s: () => number;
  readonly schedule: Schedule;
  /** Goes on to that time; what is due on the way runs at its time, and what it starts is waited for. */
  turnTo(time_s: number): Promise<void>;
  /** Whether anything is to run by then. */
  isDueBy(time_s: number): boolean;
  /** Goes on where nothing is due on the way. */
  passTo(time_s: number): void;
}

export function turnedClock(start_s: number): TurnedClock {
  let now_s = start_s;
  let waiting: { readonly at_s: number; readonly run: () => void }[] = [];
  const settled = async () => {
    for (let k = 0; k < 20; k++) await new Promise((resolve) => setImmediate(resolve));
  };
  return {
    now_s: () => now_s,
    schedule(run, wait_s) {
      const entry = { at_s: now_s + wait_s, run };
      waiting.push(entry);
      return () => {
        waiting = waiting.filter((each) => each !== entry);
      };
    },
    isDueBy: (time_s) => waiting.some(({ at_s }) => at_s <= time_s),
    passTo(time_s) {
      now_s = time_s;
    },
    async turnTo(time_s) {
      await settled();
      for (;;) {
        const next = waiting.toSorted((a, b) => a.at_s - b.at_s)[0];
        if (next === undefined || next.at_s > time_s) break;
        waiting = waiting.filter((each) => each !== next);
        now_s = Math.max(now_s, next.at_s);
        next.run();
        await settled();
      }
      now_s = time_s;
      await settled();
    },
  };
}
