// Inflow at every moment of a run and the rest after it, where it moves too much for one smooth curve: a smoother on the
// volume with what the pump has moved put back, so that a storm is followed through run and rest alike.

import type { FlowEstimate } from "../../cycles/cycle.ts";
import type { InflowAt } from "../../cycles/ended-run.ts";
import type { BasinGeometry } from "../../geometry/basin.ts";
import type { CapabilityState } from "../../pump-flow/capability-state.ts";
import { capabilityAt } from "../../pump-flow/pump-capability.ts";
import { medianInPlace } from "../../statistics/median.ts";
import { type RateSamples, smoothRate } from "../../statistics/smooth-rate.ts";
import { workplace } from "../../statistics/workplace.ts";
import { standsAlone, type VolumeCourse } from "./volume-course.ts";

export interface MovingStretch {
  /** Null when the rest is looked at by itself. */
  readonly run: VolumeCourse | null;
  readonly run_s: number;
  readonly rest: VolumeCourse;
  readonly rest_s: number;
  /** Before the run, or before the rest where that is looked at by itself. */
  readonly before: InflowAt | null;
  readonly startedAt_s: number;
  readonly capability: CapabilityState;
  readonly geometry: BasinGeometry;
  /** How far off the edges of the run may be; and how long before its end the pump may have stopped. */
  readonly edge_s: number;
  readonly vagueEnd_s: number;
  /** Smallest step of a volume that the sensor shows. */
  readonly step_m3: number;
  /** Of a sample, as far as it is known beforehand; 0 where it is not. */
  readonly sampleSd_m3: number;
  /** What ran back after the run and was taken out of the rest; 0 where that is no more than a closing valve's. */
  readonly returned_m3: number;
  /** Until so long into the rest water runs back of which no reading shows the course; 0 where none is known to. */
  readonly backUnseenTo_s: number;
}

export interface MovingInflow {
  /** Mean inflow between two times since the run began. */
  over(from_s: number, to_s: number): FlowEstimate;
  /**
   * Standard uncertainty of what came in between two times of the rest, by how high the water stood at either alone; Infinity:
   * that tells nothing.
   */
  uVolume_m3(from_s: number, to_s: number): number;
}

/** While the motor comes up, the valve closes and the water settles, no balance holds. */
const spinUp_s = 3;
const settling_s = 5;
/** What comes back through a closing valve is about this. */
const closing_m3 = 0.5e-3;
/** More is known as a share of itself; judgement, no source. */
const uReturned = 0.15;
const startCosts_s = 0.5;
/** How much of what the pump moves the inflow may change by in a second, as a random walk: from steady to a burst. */
const wanderings = [1e-4, 1e-3, 6e-3, 3e-2, 0.15] as const;
/** Neighbouring readings of a level are somewhat alike: their mean is a little less sure than that of independent ones. */
const likeness = 1.5;
const fewest = 5;
/** No level tells a volume better than to a millilitre, even one that seems to have no noise. */
const least_m3 = 1e-6;

/** @returns null while it is not known what the pump moves, or with too few samples */
export function movingInflow(stretch: MovingStretch): MovingInflow | null {
  const { run, run_s, before, startedAt_s, capability, sampleSd_m3 } = stretch;
  const middle = capabilityAt(capability, null);
  if (middle === null) return null;
  const samples = balanced(stretch, middle.flow_m3s);
  if (samples === null) return null;
  const s = wanderings.map((share) => (share * middle.flow_m3s) ** 2);
  const first_s = samples.t[0] ?? 0;
  const since_s = before === null ? 0 : Math.max(0, startedAt_s + first_s - before.time_s);
  const prior =
    before === null
      ? null
      : {
          rate: before.inflow.flow_m3s,
          variance: before.inflow.uFlow_m3s ** 2 + since_s * (s[1] ?? 0) + (0.02 * before.inflow.flow_m3s) ** 2,
        };
  const smooth = smoothRate(samples, prior, s);
  // Readings that no basin can give may leave no answer.
  if (!smooth.rate.every(Number.isFinite) || !smooth.variance.every((v) => v >= 0)) return null;
  const uPump_m3s = run === null ? 0 : middle.uFlow_m3s;
  // A sensor that wanders stands off for longer than the smoother knows of: no level is surer than a sample of many rests. Of
  // one that foam tosses about, or that a bucket raises then and there, nothing is claimed.
  const uStood_m3 = (at_s: number) =>
    scatterNear_m3(samples, at_s) > tossed * sampleSd_m3
      ? Number.POSITIVE_INFINITY
      : Math.hypot(
          Math.max(sampleSd_m3, Math.sqrt(valueAt(samples, smooth.valueVariance, at_s))),
          Math.sqrt(valueAt(samples, smooth.variance, at_s)) * beyond_s(samples, at_s),
        );
  return {
    over(from_s, to_s) {
      const flow_m3s = meanOver(samples, smooth.rate, from_s, to_s);
      const variance = meanOver(samples, smooth.variance, from_s, to_s);
      const running = Math.max(0, Math.min(to_s, run_s) - from_s) / (to_s - from_s);
      return {
        flow_m3s,
        uFlow_m3s: Math.hypot(Math.sqrt(variance), running * uPump_m3s),
        degreesOfFreedom: Math.max(fewest, samples.count - 3),
      };
    },
    uVolume_m3: (from_s, to_s) => Math.hypot(uStood_m3(from_s), uStood_m3(to_s)),
  };
}

/** The volume as it would stand had the pump moved nothing; null with too few samples. */
function balanced(stretch: MovingStretch, usual_m3s: number): RateSamples | null {
  const { run, run_s, rest, rest_s, edge_s, step_m3, vagueEnd_s, sampleSd_m3, returned_m3, backUnseenTo_s } = stretch;
  const most = (run?.count ?? 0) + rest.count;
  const t = new Float64Array(most);
  const y = new Float64Array(most);
  const variance = new Float64Array(most);
  const jump = new Float64Array(most);
  let count = 0;
  // A handful of samples may lie as a smooth curve by chance, and would be followed.
  const known_m3 = Math.max(sampleSd_m3, least_m3);
  const noise = Math.max(noiseOf(run ?? rest), noiseOf(rest), step_m3 ** 2 / 12, known_m3 ** 2);
  const take = (time_s: number, volume_m3: number, n: number) => {
    t[count] = time_s;
    y[count] = volume_m3;
    variance[count] = (noise * (n > 1 ? likeness : 1)) / n + step_m3 ** 2 / 48;
    count += 1;
  };
  // Of what came back unseen no more is known than that the run lifted it.
  const uReturn_m3 = backUnseenTo_s > 0 ? usual_m3s * run_s : Math.max(closing_m3, uReturned * returned_m3);
  const uEdge_m3 = usual_m3s * (edge_s + startCosts_s);
  const pumped = run === null ? 0 : putBack(stretch, run, take);
  const settled_s = Math.max(run === null ? 0 : Math.min(settling_s, rest_s / 4), backUnseenTo_s);
  const firstOfRest = count;
  for (let i = 0; i < rest.count; i += 1) {
    const since_s = rest.t[i] as number;
    if (since_s < settled_s) continue;
    // A start read off the level is seen late: the pump may run already.
    if (rest_s - since_s < Math.min(vagueEnd_s, rest_s / 4)) continue;
    take(run_s + since_s, (rest.y[i] as number) + pumped, rest.n[i] as number);
  }
  if (firstOfRest > 0 && firstOfRest < count) jump[firstOfRest] = uEdge_m3 ** 2 + uReturn_m3 ** 2;
  return count < fewest || !((t[count - 1] as number) > (t[0] as number)) ? null : { t, y, variance, jump, count };
}

/** Takes the samples of the run at full speed; gives the volume that it moved to its end. */
function putBack(
  { run_s, capability, geometry, vagueEnd_s }: MovingStretch,
  { t, y, n, count }: VolumeCourse,
  take: (time_s: number, volume_m3: number, n: number) => void,
): number {
  const flowAt = (volume_m3: number) => capabilityAt(capability, geometry.level_m(volume_m3))?.flow_m3s ?? Number.NaN;
  let pumped_m3 = 0;
  let last_s = 0;
  let flow_m3s = count > 0 ? flowAt(y[0] as number) : 0;
  const stood_m3 = stoodIn(count);
  for (let i = 0; i < count; i += 1) {
    const time_s = t[i] as number;
    const now_m3s = flowAt(y[i] as number);
    pumped_m3 += ((flow_m3s + now_m3s) / 2) * (time_s - last_s);
    flow_m3s = now_m3s;
    last_s = time_s;
    stood_m3[i] = (y[i] as number) + pumped_m3;
  }
  for (let i = 0; i < count; i += 1) {
    const time_s = t[i] as number;
    const isSpike = i > 0 && i + 1 < count && standsAlone(stood_m3, i);
    if (time_s >= Math.min(spinUp_s, run_s / 3) && run_s - time_s >= vagueEnd_s && !isSpike)
      take(time_s, stood_m3[i] as number, n[i] as number);
  }
  return pumped_m3 + flow_m3s * (run_s - last_s);
}

const stoodIn = workplace();

const bendsOf = workplace();

/** Variance of a single reading, by second differences: neither slope nor bend is in them. */
export function noiseOf({ y, n, count }: VolumeCourse): number {
  const bends = bendsOf(count);
  for (let i = 1; i < count - 1; i += 1) {
    const bend = (y[i - 1] as number) - 2 * (y[i] as number) + (y[i + 1] as number);
    bends[i - 1] = Math.abs(bend) * Math.sqrt(n[i] as number);
  }
  return count < 5 ? 0 : ((1.4826 * medianInPlace(bends, count - 2)) / Math.sqrt(6)) ** 2;
}

/** Mean of what is straight between the samples and level beyond them. */
function meanOver({ t, count }: RateSamples, values: Float64Array, from_s: number, to_s: number): number {
  const first_s = t[0] as number;
  const last_s = t[count - 1] as number;
  let sum = 0;
  if (from_s < first_s) sum += (Math.min(to_s, first_s) - from_s) * (values[0] as number);
  if (to_s > last_s) sum += (to_s - Math.max(from_s, last_s)) * (values[count - 1] as number);
  for (let i = 1; i < count; i += 1) {
    const [a, b] = [t[i - 1] as number, t[i] as number];
    const [start, end] = [Math.max(a, from_s), Math.min(b, to_s)];
    if (!(end > start)) continue;
    const middle = (start + end) / 2;
    const share = (middle - a) / (b - a);
    sum += (end - start) * ((values[i - 1] as number) * (1 - share) + (values[i] as number) * share);
  }
  return sum / (to_s - from_s);
}

function firstAfter({ t, count }: RateSamples, at_s: number): number {
  let after = 0;
  while (after < count - 1 && (t[after] as number) < at_s) after += 1;
  return after;
}

/** So many samples on either side tell how they scatter there. */
const besides = 6;
/** A level that scatters by so many times what it does in many rests is tossed about: by chance a dozen never do. */
const tossed = 3;

/** Standard deviation of a single reading, by the second differences of those beside that time, of the rest alone. */
function scatterNear_m3(samples: RateSamples, at_s: number): number {
  const { y, variance, jump, count } = samples;
  const after = firstAfter(samples, at_s);
  const to = Math.min(count - 1, after + besides);
  const single = variance.reduce((most, one) => Math.max(most, one), 0);
  let [squares, n] = [0, 0];
  for (let i = Math.max(1, after - besides); i < to; i += 1) {
    if ((jump[i] as number) > 0 || (jump[i + 1] as number) > 0) [squares, n] = [0, 0];
    else {
      const bend = (y[i - 1] as number) - 2 * (y[i] as number) + (y[i + 1] as number);
      squares += (bend ** 2 * single) / (variance[i] as number);
      n += 1;
    }
  }
  return n === 0 ? 0 : Math.sqrt(squares / (6 * n));
}

/** Straight between the samples and level beyond them. */
function valueAt(samples: RateSamples, values: Float64Array, at_s: number): number {
  const { t } = samples;
  const after = firstAfter(samples, at_s);
  const before = Math.max(0, after - 1);
  const [a, b] = [t[before] as number, t[after] as number];
  const share = b > a ? Math.min(1, Math.max(0, (at_s - a) / (b - a))) : 1;
  return (values[before] as number) * (1 - share) + (values[after] as number) * share;
}

function beyond_s({ t, count }: RateSamples, at_s: number): number {
  return Math.max(0, (t[0] as number) - at_s, at_s - (t[count - 1] as number));
}
