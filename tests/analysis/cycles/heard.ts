// Writes down the edges and samples that a detector of runs lets go, in the order in which they came.

import type { SteadySignalOutput } from "../../../analysis/cycles/by-signal/steady-signal.ts";

export interface Heard extends SteadySignalOutput {
  readonly all: { readonly time_s: number; readonly what: boolean | number }[];
  edges(): { readonly time_s: number; readonly on: boolean }[];
  samples(): { readonly time_s: number; readonly level_m: number }[];
  /** Start and stop of every run that was seen to begin and end. */
  runs(): { readonly startedAt_s: number; readonly stoppedAt_s: number }[];
}

export function hear(): Heard {
  const all: { time_s: number; what: boolean | number }[] = [];
  const edges = () => all.flatMap(({ time_s, what }) => (typeof what === "boolean" ? [{ time_s, on: what }] : []));
  return {
    all,
    edge: (time_s, on) => all.push({ time_s, what: on }),
    sample: (time_s, level_m) => all.push({ time_s, what: level_m }),
    edges,
    samples: () => all.flatMap(({ time_s, what }) => (typeof what === "number" ? [{ time_s, level_m: what }] : [])),
    runs: () => {
      const seen = edges();
      return seen.flatMap(({ time_s, on }, i) => {
        const next = seen[i + 1];
        return on && next !== undefined && i > 0 ? [{ startedAt_s: time_s, stoppedAt_s: next.time_s }] : [];
      });
    },
  };
}
