// What the pump moves, as cycles that were followed have shown it, for those that are followed next.

import type { FlowEstimate } from "../../cycles/cycle.ts";

/** A pump may change by this share from one stretch to the next, and until the next storm. Judgement, no source, as what follows. */
const uChange = 0.01;
const uLater = 0.03;
/** What comes back through a closing valve, and what is lost until up to speed, differ from basin to basin by so much. */
const uReturned_m3 = 0.15e-3;
const uSpinUp_s = 0.25;

/**
 * Of `found`, in which what was known is already, the part of the cycles counts for no more than its own uncertainty and what
 * all cycles have alike: stretch after stretch they say the same, right or wrong. Inverse variances: two independent views.
 *
 * @param known what the cycles were followed with
 * @param found by that and by the cycles
 * @param share of the pump's flow that came in
 */
export function learnedPump(known: FlowEstimate, found: FlowEstimate, share: number, active_m3: number): FlowEstimate {
  const { flow_m3s, uFlow_m3s } = together(known, found, uAlike(share, active_m3, found.flow_m3s) * found.flow_m3s);
  return { ...found, flow_m3s, uFlow_m3s: Math.hypot(uFlow_m3s, uChange * flow_m3s) };
}

/** What was learned of it, when cycles are followed again after a while. */
export function laterOn(pump: FlowEstimate): FlowEstimate {
  return { ...pump, uFlow_m3s: Math.hypot(pump.uFlow_m3s, uLater * pump.flow_m3s) };
}

/** So well, as a share, what was learned of it must be known to be told: its published curve alone gives it no better. */
const knownWell = 0.15;

/** What followed cycles have shown of it where they part rest and run well, and how many of them. */
export interface ShownByCycles {
  readonly pump: FlowEstimate;
  readonly cycles: number;
}

/**
 * Where less than this share of what it moves comes in, runs are short beside the time between readings, and what is
 * nearly all rest fits a pump twice as strong, too. Judgement, no source.
 */
export const enoughCameIn = 0.3;
/** Each reading is off by chance: cycles of half an hour or so give about the same as those of the hours after. */
const fewestCycles = 20;

/** @param learned with the stretch of so many cycles that was followed */
export function shownByCycles(
  before: ShownByCycles | undefined,
  learned: FlowEstimate,
  share: number,
  cycles: number,
): ShownByCycles | undefined {
  return share < enoughCameIn ? before : { pump: learned, cycles: (before?.cycles ?? 0) + cycles };
}

/** What it moves where no run is measured; null while cycles have said little more of it than was known before. */
export function pumpAsFollowed(shown: ShownByCycles | undefined): FlowEstimate | null {
  if (shown === undefined || shown.cycles < fewestCycles) return null;
  const now = laterOn(shown.pump);
  return now.uFlow_m3s < knownWell * now.flow_m3s ? now : null;
}

function together(known: FlowEstimate, found: FlowEstimate, uAlike_m3s: number) {
  const [before, after] = [known.uFlow_m3s ** -2, found.uFlow_m3s ** -2];
  const byCycles = after - before;
  if (!(byCycles > 0)) return known;
  const cycles_m3s = (after * found.flow_m3s - before * known.flow_m3s) / byCycles;
  const weight = 1 / (1 / byCycles + uAlike_m3s ** 2);
  return {
    flow_m3s: (before * known.flow_m3s + weight * cycles_m3s) / (before + weight),
    uFlow_m3s: 1 / Math.sqrt(before + weight),
  };
}

/**
 * Standard uncertainty, as a share, of what all cycles have alike. How long a cycle lasts is well known; how that parts into
 * rest and run, V / q and V / (p − q), tells the pump the worse the farther the inflow is from half of it: by what comes back
 * in long rests, by the time to come up to speed, which has to be made good, in long runs.
 */
function uAlike(share: number, active_m3: number, pump_m3s: number): number {
  const left = 1 - share;
  const byReturned = (uReturned_m3 / active_m3) * (left / share);
  const bySpinUp = ((uSpinUp_s * pump_m3s) / active_m3) * (Math.abs(2 * share - 1) / left);
  return Math.hypot(byReturned, bySpinUp);
}
