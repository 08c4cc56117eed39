// The end of a rest in which runs went unseen, of a pump that nothing watches or that a contact missed: what came in is
// known by the fills between them.

import { fitRest, type HowToFit, type RestFit } from "../inflow/rest/fit-rest.ts";
import { closelyRead_s } from "../readings/closely-read.ts";
import type { CurveSamples } from "../statistics/fit-curve.ts";
import { medianOfThree } from "../statistics/median.ts";
import type { FlowEstimate } from "./cycle.ts";
import type { RestSummary } from "./ended-run.ts";
import { between, meanOf } from "./flow-arithmetic.ts";
import { inflowTowards, passInflowOfRest } from "./rest-inflow.ts";
import { settle } from "./settle-run.ts";
import type { TrackerContext } from "./tracker-context.ts";
import type { TrackerState } from "./tracker-state.ts";
import type { Fill } from "./unseen-runs.ts";

interface FittedFill {
  readonly from_s: number;
  readonly to_s: number;
  readonly fit: RestFit | undefined;
}

interface EndsOfRest {
  readonly stopSeen: boolean;
  readonly startSeen: boolean;
  /** How a rest is fitted that begins with a stop of the watched pump: its first fill does. */
  readonly afterStop: HowToFit;
}

/** A fill of fewer samples, as in a storm, is too short to tell what runs back from what comes in. */
const showsReturn = 12;

/** Fills that are less of the rest do not stand for the whole. */
const mostOfRest = 0.5;

/** Settles the run before it, and hands the inflow of each fill on; while the water falls it lies between those beside it. */
export function endRestOfFills(
  state: TrackerState,
  context: TrackerContext,
  samples: CurveSamples,
  fills: readonly Fill[],
  from_s: number,
  to_s: number,
  { stopSeen, startSeen, afterStop }: EndsOfRest,
): void {
  const whole = startSeen ? fills : withoutBeginning(samples, fills);
  // What a rest teaches is learned of whole ones.
  const beside = { ...ofFill, memory: { ...state.memory } };
  const fitted = whole.map((fill, i) =>
    fitFill(samples, fill, to_s - from_s, i === 0 && stopSeen && fill.last >= showsReturn ? afterStop : beside),
  );
  const [first, last] = [fitted[0], fitted[fitted.length - 1]];
  const mean = meanOfFills(fitted, to_s - from_s);
  const summary: RestSummary = {
    inflow: mean && { ...mean, method: "fill-slope" },
    rest_s: stopSeen ? to_s - from_s : null,
    startVolume_m3: first?.fit?.startVolume_m3 ?? null,
    endVolume_m3: last?.fit?.endVolume_m3 ?? null,
    first: endOf("beginning", first, from_s),
    last: endOf("end", last, from_s),
  };
  state.moved_m3s = 0;
  settle(state, context, summary, stopSeen ? (first?.fit?.drainBack ?? null) : null);
  let upTo_s = 0;
  let before: FlowEstimate | null = null;
  for (const { fit, ...fill } of fitted) {
    if (fit === undefined) continue;
    const known = meanOf(before, fit.inflow);
    if (fill.from_s > upTo_s) context.output.inflow(from_s + upTo_s, from_s + fill.from_s, known && [known], true);
    passInflowOfRest(state, context, fit, fit.inflow, from_s + fill.from_s, from_s + fill.to_s);
    before = fit.inflow;
    upTo_s = fill.to_s;
  }
  if (from_s + upTo_s < to_s) context.output.inflow(from_s + upTo_s, to_s, before && [before], true);
  if (!context.inferred && context.byShare !== true) tellUnwatched(state, context, samples, fills, fitted);
  state.before = summary;
  state.lastInflow = mean ?? state.lastInflow;
  state.endInflow = summary.last?.inflow ?? state.lastInflow;
}

/** A level of three about a turn may be of the water that still moves there. */
const beside = 1;
/** The middle of three normal values scatters so much less than one of them; their order statistics. */
const ofMiddle = 0.67;

/** No pump draws so much of what it draws from one reading to the next, where those are close. Judgement, no source. */
const mostAtOnce = 0.5;

/** What was drawn from between the fills by a pump that nothing watches: how far the water fell, and what came in meanwhile. */
function tellUnwatched(
  { memory, lastInflow }: TrackerState,
  { output, interval_s }: TrackerContext,
  { t, y }: CurveSamples,
  fills: readonly Fill[],
  fitted: readonly FittedFill[],
): void {
  const middle = (at: number) => medianOfThree(y[at - 1] as number, y[at] as number, y[at + 1] as number);
  const inflowIn = (i: number) => fitted[i]?.fit?.inflow ?? null;
  fills.slice(1).forEach(({ first }, i) => {
    const from = (fills[i] as Fill).last - beside;
    const to = first + beside;
    let step = 0;
    for (let k = from; k < to; k += 1) step = Math.max(step, (y[k] as number) - (y[k + 1] as number));
    // A sensor that is lifted, or hung lower, falls at once.
    if (interval_s <= closelyRead_s && step > mostAtOnce * (middle(from) - middle(to))) return;
    const inflow = meanOf(inflowIn(i), inflowIn(i + 1)) ?? lastInflow;
    const meanwhile_m3 = (inflow?.flow_m3s ?? 0) * ((t[to] as number) - (t[from] as number));
    output.unwatched(middle(from) - middle(to) + meanwhile_m3, Math.SQRT2 * ofMiddle * memory.sampleSd_m3);
  });
}

/** Of a fill that has just begun what is seen says less than the one before it, unless it is so long beside that. */
const longBegun = 0.25;

function withoutBeginning({ t }: CurveSamples, fills: readonly Fill[]): readonly Fill[] {
  const length_s = ({ first, last }: Fill) => (t[last] as number) - (t[first] as number);
  const [before, last] = fills.slice(-2);
  return before && last && length_s(last) < longBegun * length_s(before) ? fills.slice(0, -1) : fills;
}

/** When within a fall the pump began and ended is not known to the second, nor what ran back after it. */
const ofFill: HowToFit = {
  returns: null,
  memory: null,
  fall_m3s: null,
  stopSeen: false,
  mostReturn_m3: 0,
  edgesVague: true,
};

function fitFill(
  { t, y, weight, count }: CurveSamples,
  { first, last }: Fill,
  duration_s: number,
  how: HowToFit,
): FittedFill {
  const from_s = first === 0 ? 0 : (t[first] as number);
  const to_s = last === count - 1 ? duration_s : (t[last] as number);
  const samples = {
    t: t.slice(first, last + 1).map((t_s) => t_s - from_s),
    y: y.slice(first, last + 1),
    weight: weight.slice(first, last + 1),
    count: last + 1 - first,
  };
  return { from_s, to_s, fit: fitRest(samples, to_s - from_s, how) };
}

function endOf(end: "beginning" | "end", fill: FittedFill | undefined, from_s: number): RestSummary["first"] {
  if (fill?.fit === undefined) return null;
  return inflowTowards(end, fill.fit, fill.fit.inflow, from_s + fill.from_s, from_s + fill.to_s);
}

/** By their lengths; null where they are too little of the rest. */
function meanOfFills(fills: readonly FittedFill[], duration_s: number): FlowEstimate | null {
  let mean: FlowEstimate | null = null;
  let seen_s = 0;
  for (const { fit } of fills) {
    if (fit === undefined) continue;
    const length_s = fit.seenTo_s - fit.seenFrom_s;
    if (!(length_s > 0)) continue;
    seen_s += length_s;
    mean = mean === null ? fit.inflow : between(mean, fit.inflow, length_s / seen_s);
  }
  return seen_s >= mostOfRest * duration_s ? mean : null;
}
