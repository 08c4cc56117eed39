// A pump's float that bobs opens within a run and closes again within seconds: the pump stands meanwhile, which a level hardly
// shows. Told by what the float's contact has said beside a level that tells of the runs.

import type { LevelOutState } from "./level-out.ts";

/** No basin fills from stop to start in so short a time. Judgement, no source. */
export const longestBob_s = 6;
/** What goes to and fro for less than this as the float turns over is its contact that bounces. */
export const longestBounce_s = 4;

/** How often it has opened for a moment between two times, as far as its latest changes are kept. */
export function floatBobs({ said }: LevelOutState, from_s: number, to_s: number): number {
  let bobs = 0;
  // When it first closed, and the openings since that are over, but for those that may be bounces of its closing.
  let closedAt_s = Number.NaN;
  let openings: { readonly from_s: number; readonly to_s: number }[] = [];
  const turnsOver = (time_s: number) => {
    const within = openings.filter(
      (one) => one.from_s >= from_s && one.to_s <= Math.min(to_s, time_s - longestBounce_s),
    );
    bobs += within.length;
    openings = [];
  };
  said.forEach(({ time_s, on }, i) => {
    const before_s = said[i - 1]?.time_s ?? Number.NEGATIVE_INFINITY;
    if (!on) return;
    if (time_s - before_s > longestBob_s || Number.isNaN(closedAt_s)) {
      turnsOver(before_s);
      closedAt_s = time_s;
    } else if (before_s - closedAt_s >= longestBounce_s) openings.push({ from_s: before_s, to_s: time_s });
  });
  const last = said.at(-1);
  turnsOver(last?.on === false ? last.time_s : to_s);
  return bobs;
}
