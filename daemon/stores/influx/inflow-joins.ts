// Joins stretches of inflow by ten minutes and by days as they are sent, for charts of months and years. Pure; what it
// remembers goes beside the place up to which they have been sent, and a restart carries on from there.

import type { InflowStretch } from "../../../analysis/analyzer.ts";
import { joinInflow } from "../thin-inflow.ts";

const part_s = 600;
const day_s = 86_400;

export interface JoinedInflow {
  readonly stretch: InflowStretch;
  /** Of the part of time in which those that were joined begin: 600 or 86,400. */
  readonly length_s: number;
}

/** Stretches of the last ten minutes, and the joined ones of the last day, as plain JSON. */
export interface InflowJoinsState {
  readonly single: readonly InflowStretch[];
  readonly joined: readonly InflowStretch[];
}

export interface InflowJoins {
  /**
   * The next stretch in order of time; one of the same beginning takes its place.
   * @returns what is joined up to its end, ten minutes and with them the day so far; mostly nothing
   */
  add(stretch: InflowStretch): readonly JoinedInflow[];
  state(): InflowJoinsState;
}

/** @param resume from `state()` */
export function inflowJoins(resume?: InflowJoinsState): InflowJoins {
  let single: readonly InflowStretch[] = resume?.single ?? [];
  let joined: readonly InflowStretch[] = resume?.joined ?? [];

  const finish = (): readonly JoinedInflow[] => {
    const parts = joinInflow(single, 0, part_s);
    const sameDay = joined.filter((one) => dayOf(one) === dayOf(single[0]));
    joined = [...sameDay, ...parts];
    return [
      ...parts.map((stretch) => ({ stretch, length_s: part_s })),
      ...joinInflow(joined, 0, day_s).map((stretch) => ({ stretch, length_s: day_s })),
    ];
  };

  return {
    add(stretch) {
      const part = Math.floor(stretch.from_s / part_s);
      const current = Math.floor((single[0]?.from_s ?? stretch.from_s) / part_s);
      if (part < current) return [];
      const done = part > current ? finish() : [];
      const kept = part > current ? [] : single.filter(({ from_s }) => from_s !== stretch.from_s);
      single = [...kept, stretch];
      return done;
    },
    state: () => ({ single, joined }),
  };
}

function dayOf(stretch: InflowStretch | undefined): number {
  return Math.floor((stretch?.from_s ?? Number.NaN) / day_s);
}
