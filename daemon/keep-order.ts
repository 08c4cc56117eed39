// Time only goes forward: turns away, at the source that said it, a reading older than what has been analysed, and one
// so far ahead of the clock that it would shut out all that follow.

import { iso } from "../analysis/report/summarize.ts";
import type { SourceKind } from "./sources/source.ts";

export interface Order {
  /** Time of the newest reading of any source; null before the first. */
  newest_s(): number | null;
  /** The clock; null where a recording or a simulation has a time of its own. */
  now_s(): number | null;
}

/** A sender's clock may be a little ahead. */
const mostAhead_s = 60;

export function keepOrder(kind: SourceKind, order: Order): SourceKind {
  return {
    ...kind,
    open: (config, context) =>
      kind.open(config, {
        ...context,
        emit(reading) {
          const why = explainMisplaced(reading.time_s, order);
          if (why === null) context.emit(reading);
          else context.reject(why);
        },
      }),
  };
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
