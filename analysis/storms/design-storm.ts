// The inflow to expect in a storm of the rainfall tables, by what this house's inflow has answered to rain so far, with
// the range that holds the true one in 95 of 100 cases.

import type { InflowStretch } from "../analyzer.ts";
import { normalQuantile } from "../statistics/normal-quantile.ts";
import { studentTQuantile } from "../statistics/student-t.ts";
import { designRain } from "./design-rain.ts";
import type { DesignStormSite } from "./design-storm-site.ts";
import type { RainResponse } from "./fit-response.ts";
import type { RainStretch } from "./rain.ts";
import { answerRain, dryGround } from "./response-model.ts";
import { responseOf } from "./response-prior.ts";
import { wettest_m } from "./storm-rain.ts";

/** A figure that is expected, and the range that should hold the true one in 95 of 100 cases. */
export interface Expected {
  readonly inflow_m3s: number;
  readonly low_m3s: number;
  readonly high_m3s: number;
}

export interface DesignInflow {
  readonly storm: DesignStormSite;
  /** How the depth was spread over the time, in words. */
  readonly method: string;
  /** Highest means of the inflow, base and all. */
  readonly peaks: { readonly 60: Expected; readonly 600: Expected; readonly 3600: Expected };
  /** In the whole of the hydrograph. */
  readonly volume_m3: number;
  /** From the beginning of the rain, at 0 s, in steps of a minute; each with its uncertainty. */
  readonly hydrograph: readonly InflowStretch[];
  readonly base_m3s: number;
  /** Standard deviations of ln(inflow) that make up the range of the ten-minute peak. */
  readonly parts: {
    /** Of the figures of the answer, as far as rain like the seen one would show it. */
    readonly figures: number;
    /** Of those that only show in more rain than was seen. */
    readonly beyondSeen: number;
    /** Of what differs from storm to storm. */
    readonly stormToStorm: number;
  };
  /** Depth over the greatest seen in as long a time; and of the wettest hour over the wettest hour seen. */
  readonly timesSeen: number;
  readonly hourTimesSeen: number;
  /** Rain of its wettest hour. */
  readonly wettestHour_m: number;
}

const z = normalQuantile(0.975);
const step_s = 60;
const draws = 96;
const windows_s = [60, 600, 3600] as const;
/**
 * Where the model was never tried: ln-standard deviation for each doubling beyond the greatest rain seen; a single storm
 * tells little of how the next one goes on. Judgement, held by the bench.
 */
const perDoubling = (storms: number) => 0.1 * (1 + 1.5 / storms);

/**
 * @param base_m3s what comes in before the storm, and its standard uncertainty
 * @param rain     seen; how far the design storm goes beyond it widens the range
 */
export function designStorm(
  storm: DesignStormSite,
  answer: RainResponse,
  base: { readonly inflow_m3s: number; readonly uInflow_m3s: number },
  rain: readonly RainStretch[],
): DesignInflow {
  const { rain_m, method } = designRain(storm, step_s);
  const wettestHour_m = highestMean(rain_m, 60) * 60;
  const timesSeen = storm.depth_m / Math.max(1e-4, wettest_m(rain, storm.duration_s));
  const hourTimesSeen = wettestHour_m / Math.max(1e-4, wettest_m(rain, 3600));
  const beyond = perDoubling(answer.storms) * Math.max(0, Math.log2(Math.max(timesSeen, hourTimesSeen)));
  const flow = hydrographOf(answer, rain_m, answer.posterior.at);
  const sampled = standings(answer).map((at) => hydrographOf(answer, rain_m, at));
  const range = rangeOf(answer, beyond);
  const peaks = windows_s.map((window_s) => range(flow, sampled, window_s, base));
  const [minute, tenMinutes, hour] = peaks as [Ranged, Ranged, Ranged];
  const relative = Math.sqrt(tenMinutes.variance);
  return {
    storm,
    method,
    peaks: { 60: minute.expected, 600: tenMinutes.expected, 3600: hour.expected },
    volume_m3: flow.reduce((sum, q) => sum + (q + base.inflow_m3s) * step_s, 0),
    hydrograph: Array.from(flow, (above, i) => ({
      from_s: i * step_s,
      to_s: (i + 1) * step_s,
      inflow_m3s: base.inflow_m3s + above,
      uInflow_m3s: Math.hypot(above * relative, base.uInflow_m3s),
    })),
    base_m3s: base.inflow_m3s,
    parts: { figures: tenMinutes.figures, beyondSeen: beyond, stormToStorm: answer.stormToStorm },
    timesSeen,
    hourTimesSeen,
    wettestHour_m,
  };
}

interface Ranged {
  readonly expected: Expected;
  readonly figures: number;
  readonly variance: number;
}

function rangeOf({ stormToStorm, degreesOfFreedom, storms }: RainResponse, beyond: number) {
  const t = studentTQuantile(0.975, degreesOfFreedom + 2);
  return (
    flow: Float64Array,
    sampled: readonly Float64Array[],
    window_s: number,
    base: { readonly inflow_m3s: number; readonly uInflow_m3s: number },
  ): Ranged => {
    const n = window_s / step_s;
    const middle = Math.log(highestMean(flow, n) || 1e-12);
    const others = sampled.map((one) => Math.log(highestMean(one, n) || 1e-12)).sort((a, b) => a - b);
    const mean = others.reduce((sum, value) => sum + value, 0) / others.length;
    const own = others.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (others.length - 1);
    const scatter = stormToStorm * Math.sqrt(1 + 1 / storms);
    // What the figures leave open is lopsided: either side by its own reach.
    const reach = (to: number) => Math.hypot(to, t * scatter, z * beyond);
    const [below, above] = [quantile(others, 0.025), quantile(others, 0.975)];
    const up = reach(Math.max(0, above - middle));
    const down = reach(Math.max(0, middle - below));
    const at = (ln: number) => Math.max(0, base.inflow_m3s + Math.exp(middle + ln));
    const uBase_m3s = z * base.uInflow_m3s;
    const expected = {
      inflow_m3s: at(0),
      low_m3s: Math.max(0, at(-down) - uBase_m3s),
      high_m3s: at(up) + uBase_m3s,
    };
    return { expected, figures: Math.sqrt(own), variance: own + scatter ** 2 + beyond ** 2 };
  };
}

function quantile(sorted: readonly number[], share: number): number {
  const at = share * (sorted.length - 1);
  const i = Math.floor(at);
  const low = sorted[i] as number;
  return low + (at - i) * ((sorted[i + 1] ?? low) - low);
}

/** Until the storm's water has all but gone: six times the quick store's time, six hours to three days. */
function hydrographOf(answer: RainResponse, rain_m: Float64Array, at: readonly number[]): Float64Array {
  const response = responseOf(at, answer.typical);
  const tail_s = Math.min(3 * 86_400, Math.max(6 * 3600, 6 * answer.response.quick_s));
  const rate = new Float64Array(rain_m.length + Math.round(tail_s / step_s));
  rain_m.forEach((depth_m, i) => {
    rate[i] = depth_m / step_s;
  });
  // Rain of the days before has wetted the ground about as much as it had before a storm that was seen.
  const state = { ...dryGround(), wet_m: (answer.wetBefore_m * response.dries_s) / answer.response.dries_s };
  return answerRain(response, rate, step_s, answer.reference_m3s, state);
}

/** Figures as far from the most probable ones as the storms leave open: the same draws each time, spread evenly. */
function standings({ posterior: { at, triangle } }: RainResponse): number[][] {
  return Array.from({ length: draws }, (_, k) => {
    const normal = at.map((__, j) => normalQuantile(vanDerCorput(k + 1, primes[j] as number)));
    return at.map((value, i) => {
      const row = triangle[i] as readonly number[];
      return value + row.reduce((sum, v, j) => sum + v * (normal[j] as number), 0);
    });
  });
}

const primes = [2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37] as const;

/** @see Halton (1960): points that fill a space evenly without chance */
function vanDerCorput(index: number, base: number): number {
  let [value, part] = [0, 1];
  for (let i = index; i > 0; i = Math.floor(i / base)) {
    part /= base;
    value += part * (i % base);
  }
  return value;
}

function highestMean(values: Float64Array, n: number): number {
  let [sum, most] = [0, 0];
  for (let i = 0; i < values.length; i += 1) {
    sum += values[i] as number;
    if (i >= n) sum -= values[i - n] as number;
    if (i >= n - 1) most = Math.max(most, sum / n);
  }
  return most;
}
