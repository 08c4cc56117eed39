// Time only goes forward, and for a real basin never beyond the board's clock: so no sender's clock shuts out what others
// say. Turns away, at the source that said it, what is older than what has been analysed or wildly ahead.

import { iso } from "../analysis/report/summarize.ts";
import type { SourceKind } from "./sources/source.ts";

export interface Order {
  /** Time of the newest reading of any source; null before the first. */
  newest_s(): number | null;
  /** The clock; null where a recording or a simulation has a time of its own. */
  now_s(): number | null;
}

/** A sender's clock may be ahead by so much, and is then taken as now; further ahead it is wrong. */
const mostAhead_s = 60;

export function keepOrder(kind: SourceKind, order: Order): SourceKind {
  return {
    ...kind,
    open(config, context) {
      let stamp_s: number | null = null;
      return kind.open(config, {
        ...context,
        now_s() {
          stamp_s = context.now_s();
          return stamp_s;
        },
        emit(reading) {
          const time_s = place(reading.time_s, stamp_s, order);
          const why = explainMisplaced(time_s, order);
          if (why !== null) context.reject(why);
          else context.emit(time_s === reading.time_s ? reading : { ...reading, time_s });
        },
      });
    },
  };
}

/**
 * The board's own stamp always has a place, for what it says is true now; so has a time a little ahead of the clock.
 * @param stamp_s what the source was last told that the time is
 */
function place(time_s: number, stamp_s: number | null, order: Order): number {
  const now_s = order.now_s();
  if (now_s === null) return time_s;
  const ahead = time_s > now_s && time_s <= now_s + mostAhead_s;
  if (time_s !== stamp_s && !ahead) return time_s;
  return Math.max(Math.min(time_s, now_s), order.newest_s() ?? Number.NEGATIVE_INFINITY);
}

/** Null for a time in its place, and for what is no time at all: that is said further on. */
function explainMisplaced(time_s: number, order: Order): string | null {
  const newest_s = order.newest_s();
  const now_s = order.now_s();
  if (newest_s !== null && time_s < newest_s) {
    return `time_s: expected no earlier than the newest reading, ${iso(newest_s)}, found ${inWords(time_s)}`;
  }
  if (now_s !== null && time_s > now_s + mostAhead_s) {
    return `time_s: expected at most ${mostAhead_s} s ahead of this board's clock, ${iso(now_s)}, found ${inWords(time_s)}`;
  }
  return null;
}

function inWords(time_s: number): string {
  return Math.abs(time_s) <= 8.64e12 ? iso(time_s) : String(time_s);
}
