// What poured in for minutes between readings, in the place of what rests and runs say of that time: which readings can tell
// it, how it is handed on, and what more the pump did for it than its runs by themselves show.

import type { AnalyzerState } from "../../analyzer-state.ts";
import type { FlowEstimate } from "../../cycles/cycle.ts";
import { farApart_s } from "../../cycles/tracker-context.ts";
import type { BasinGeometry } from "../../geometry/basin.ts";
import { noteTaps } from "../../report/tally.ts";
import { leaksBetween } from "../drain-back/seldom-return.ts";
import type { Burst, BurstStep } from "../seldom-readings/bursts.ts";
import type { SparseContext } from "../seldom-readings/over-stretch.ts";
import {
  type BurstsOutput,
  newPassBursts,
  passAll,
  passCycles,
  passReading,
  type Stretch,
} from "../seldom-readings/pass-bursts.ts";
import { riseAtRest } from "../seldom-readings/rise-at-rest.ts";
import { byShare, type SparseReading } from "../seldom-readings/run-share-state.ts";
import type { PassInflow } from "./hand-over-inflow.ts";

export interface BurstsHandOver {
  /** What rests and runs say. */
  ofCycles(stretch: Stretch): void;
  /** A reading with a level, and whether the pump runs. */
  reading(reading: SparseReading): void;
  /** A gap, or another estimate takes over. */
  end(): void;
}

/** Of a quick pump a run takes no more intervals between readings than that. Judgement, no source. */
const quickRun = 1.5;
/** … and, by the level alone, never holds two readings. */
const quickestRun = 0.45;
/** Floats that scatter, and levels that are off, make what a run takes away as unsure as that, as a share. Judgement, no source. */
const uFloats = 0.02;
/** Of runs that are read off the level it is known so many readings later that they were. */
const knownAfter = 6;

/** @param handOn takes what rests and runs say, with what bursts leave of it */
export function handOverBursts(
  state: AnalyzerState,
  geometry: BasinGeometry,
  context: SparseContext,
  pass: PassInflow,
  handOn: (stretch: Stretch) => void,
): BurstsHandOver {
  const { share, cadence, tracker, tally } = state;
  const output: BurstsOutput = { ofCycles: handOnBeside, burst: handOnBurst };

  return {
    ofCycles(stretch) {
      if (state.bursts === undefined) handOn(stretch);
      else passCycles(state.bursts, stretch, output, share.marks.length > 0 && cadence.typical_s >= farApart_s);
    },
    // A burst can be told of a quick pump, where it is known of each reading whether it runs, and what it moves.
    reading(reading) {
      const { active_m3, stop_m3, noise_m3, scatter_m3 } = context;
      const pump = cadence.typical_s < farApart_s || byShare(share) ? null : context.pump();
      const tells = active_m3 !== null && stop_m3 !== null && pump !== null && !leaksBetween(tracker.seldom);
      // A run that holds several readings shows by itself what comes in.
      const longest = reading.on === null ? quickestRun : quickRun;
      if (!(tells && active_m3 < longest * cadence.typical_s * pump.flow_m3s)) {
        end();
        return;
      }
      const step_m3 = state.screen.resolution_m * geometry.area_m2(geometry.level_m(stop_m3));
      const floats = { active_m3, stop_m3, scatter_m3 };
      const between = { interval_s: cadence.typical_s, ...floats, noise_m3, step_m3, pump_m3s: pump.flow_m3s };
      state.bursts ??= newPassBursts();
      countStarts(reading.time_s - knownAfter * cadence.typical_s);
      passReading(state.bursts, reading, between, output);
    },
    end,
  };

  function end(): void {
    if (state.bursts === undefined) return;
    passAll(state.bursts, output);
    countStarts(Number.POSITIVE_INFINITY);
  }

  /** Each step by itself: how much came in is told, not when. */
  function handOnBurst(burst: Burst): void {
    const pump = context.pump();
    const uPump = pump === null ? 0 : pump.uFlow_m3s / pump.flow_m3s;
    const told: BurstStep[] = [];
    for (const step of burst.steps) {
      const { to_s, length_s, came, returned_m3 } = step;
      const from_s = to_s - length_s;
      // What was handed on before stays so.
      const start_s = Math.max(from_s, share.upTo_s);
      if (!(to_s > start_s)) continue;
      const uPumped_m3 = Math.hypot(uFloats, uPump) * came.pumped_m3;
      const inflow: FlowEstimate = {
        flow_m3s: came.volume_m3 / length_s,
        uFlow_m3s: uPumped_m3 / length_s,
        uBend_m3s: (Math.SQRT2 * context.noise_m3) / length_s,
        degreesOfFreedom: Number.POSITIVE_INFINITY,
        unseenCourse: "all-of-it",
        ...(returned_m3 > 0 && { doubt: { kind: "returned", flow_m3s: returned_m3 / length_s } }),
      };
      pass(start_s, to_s, [inflow], start_s > burst.from_s);
      // Where one is told, others went by unseen.
      noteTaps(tally, { length_s: to_s - start_s, uPumped_m3: (uPumped_m3 * (to_s - start_s)) / length_s });
      share.upTo_s = to_s;
      told.push(step);
    }
    if (state.bursts !== undefined && told.length > 0) {
      state.bursts.told = told;
      state.bursts.uncounted.push(told);
    }
    share.flow = null;
  }

  /** What rests and runs say of the time beside a burst, and say no more of that within it. */
  function handOnBeside(stretch: Stretch): void {
    const { from_s, to_s, parts, besideBurst } = stretch;
    const start_s = Math.min(to_s, Math.max(from_s, share.upTo_s));
    const risen = besideBurst ? riseAtRest(share.marks, start_s, to_s, context.noise_m3) : null;
    // Water is neither made nor lost: what came in beyond what rests and runs say was pumped beyond what they say, too.
    if (parts !== null) {
      const said = (a_s: number, b_s: number) => volumeOver(parts, from_s, to_s, a_s, b_s);
      let more_m3 = risen === null ? 0 : risen.flow_m3s * (to_s - start_s) - said(start_s, to_s);
      for (const { to_s: end_s, length_s, came } of state.bursts?.told ?? []) {
        const [a_s, b_s] = [Math.max(from_s, end_s - length_s), Math.min(start_s, end_s)];
        if (b_s > a_s) more_m3 += (came.volume_m3 / length_s) * (b_s - a_s) - said(a_s, b_s);
      }
      if (more_m3 !== 0) noteTaps(tally, { pumped_m3: more_m3 });
    }
    handOn(risen === null ? stretch : { ...stretch, parts: [risen] });
  }

  /** Between two readings at most one start is reckoned: where fewer than these were seen, there were more. */
  function countStarts(upTo_s: number): void {
    const uncounted = state.bursts?.uncounted ?? [];
    while (uncounted.length > 0) {
      const [first] = uncounted as [BurstStep[]];
      const [from_s, to_s] = [startOf_s(first[0] as BurstStep), (first.at(-1) as BurstStep).to_s];
      if (to_s > upTo_s) return;
      uncounted.shift();
      const seen = tally.startTimes_s.filter((time_s) => time_s > from_s && time_s <= to_s).length;
      const reckoned = first.filter(({ came }) => came.starts).length;
      if (reckoned > seen) noteTaps(tally, { starts: reckoned - seen });
    }
  }
}

function startOf_s({ to_s, length_s }: BurstStep): number {
  return to_s - length_s;
}

/** Of equal parts from `from_s` to `to_s`, what came in between two times within. */
function volumeOver(parts: readonly FlowEstimate[], from_s: number, to_s: number, a_s: number, b_s: number): number {
  const each_s = (to_s - from_s) / parts.length;
  return parts.reduce((sum, { flow_m3s }, i) => {
    const overlap_s = Math.min(b_s, from_s + (i + 1) * each_s) - Math.max(a_s, from_s + i * each_s);
    return sum + flow_m3s * Math.max(0, overlap_s);
  }, 0);
}
