// The inflow to expect in a storm of the rainfall tables, by what this house's inflow has answered to rain so far, with
// the range that holds the true one in 95 of 100 cases.

import type { InflowStretch } from "../analyzer.ts";
import { designRain } from "./design-rain.ts";
import type { DesignStormSite } from "./design-storm-site.ts";
import { evenDraws } from "./even-draws.ts";
import { type Expected, highestMean, type Ranged, rangeOf } from "./expected-range.ts";
import type { RainResponse } from "./fit-response.ts";
import type { RainStretch } from "./rain.ts";
import { answerRain, dryGround } from "./response-model.ts";
import { responseOf } from "./response-prior.ts";
import { wettest_m } from "./storm-rain.ts";

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
  const sampled = evenDraws(answer.posterior, draws).map((at) => hydrographOf(answer, rain_m, at));
  const range = rangeOf(answer, beyond);
  const peaks = windows_s.map((window_s) => range(flow, sampled, window_s / step_s, base));
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
