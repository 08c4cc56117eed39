// The answer of this house's inflow to rain, learned from its storms, with how sure it is; tried on each storm in turn
// after learning from the others. What a storm of the tables would bring is design-storm.ts's.

import { learn, learnResponse } from "./learn-response.ts";
import { type Posterior, uncertainties } from "./posterior.ts";
import type { RainStretch } from "./rain.ts";
import type { Recession } from "./recession.ts";
import { answerOf, peaksOf } from "./response-misfit.ts";
import { type Response, rememberedRain_m } from "./response-model.ts";
import { responseOf, type Standing, spreadOf, type Typical } from "./response-prior.ts";
import { earlierRain, type ResponseData, responseData, type Window } from "./response-windows.ts";
import type { Storm } from "./storm.ts";
import type { StormCourse } from "./storm-search.ts";

/** A storm as the others foretell it. */
export interface LeftOut {
  readonly from_s: number;
  /** Above base, highest mean over 600 s. */
  readonly seen_m3s: number;
  readonly foretold_m3s: number;
  /** Standard deviation of ln(foretold) by the fit to the others. */
  readonly uLn: number;
}

export interface RainResponse {
  readonly response: Response;
  /** Standard uncertainties of its figures. */
  readonly u: Response;
  readonly storms: number;
  readonly reference_m3s: number;
  readonly leftOut: readonly LeftOut[];
  /** Standard deviation of ln(inflow) from storm to storm that no figure explains, and how many storms it rests on. */
  readonly stormToStorm: number;
  readonly degreesOfFreedom: number;
  /** What the ground remembers of rain before a storm, on the average of those seen. */
  readonly wetBefore_m: number;
  readonly posterior: Posterior;
  readonly typical: Typical;
}

/** Before storms have shown: ln-standard deviation from storm to storm, worth so many storms. Judgement, no source. */
const usualScatter = 0.15;
const worthStorms = 3;
const usualRecession_s = 2 * 3600;
/** A storm less changes little, and of many the greatest are enough to leave out. */
const stepsOfFewer = 3;
const mostLeftOut = 6;

/**
 * @param near the answer learned from more storms, to start from: a quicker look, for what was known before the newest ones
 * @returns null when no storm was seen with its rain
 */
export function fitResponse(
  storms: readonly Storm[],
  course: StormCourse,
  rain: readonly RainStretch[],
  recession: Recession | null,
  near: RainResponse | null = null,
): RainResponse | null {
  const recession_s = recession?.constant_s ?? usualRecession_s;
  const data = responseData(storms, course, rain, recession_s);
  if (data === null) return null;
  const typical = typicalOf(storms, recession_s, data.reference_m3s);
  const posterior = learnResponse(data, typical, near?.posterior ?? null);
  const stormy = data.windows.filter(({ storm }) => storm !== null);
  const greatest = [...stormy].sort((a, b) => b.height_m3s - a.height_m3s).slice(0, mostLeftOut);
  const leftOut = stormy.length < 2 ? [] : greatest.map((window) => leaveOut(data, window, typical, posterior));
  const response = responseOf(posterior.at, typical);
  return {
    response,
    u: spreadOf(response, uncertainties(posterior)),
    storms: stormy.length,
    reference_m3s: data.reference_m3s,
    leftOut,
    ...scatterOf(leftOut),
    wetBefore_m: wetBefore_m(data, stormy, response.dries_s),
    posterior,
    typical,
  };
}

function wetBefore_m({ rain_ms, step_s }: ResponseData, stormy: readonly Window[], dries_s: number): number {
  const remembered = stormy.map(({ from }) => rememberedRain_m(earlierRain(rain_ms, step_s, from), dries_s));
  return remembered.reduce((sum, one) => sum + one, 0) / stormy.length;
}

function typicalOf(storms: readonly Storm[], recession_s: number, reference_m3s: number): Typical {
  const ratios = storms.flatMap(({ rain }) => (rain === null ? [] : [rain.catchment_m2])).sort((a, b) => a - b);
  const upper = ratios[Math.floor(0.6 * (ratios.length - 1))] ?? 50;
  return { catchment_m2: 1.4 * upper, recession_s, reference_m3s };
}

function leaveOut(data: ResponseData, window: Window, typical: Typical, all: Posterior): LeftOut {
  const others = data.windows.filter((other) => other !== window);
  const without = learn(data, others, typical, all.at, stepsOfFewer);
  const peak = (at: Standing) => peaksOf(data, window, answerOf(data, responseOf(at, typical)));
  const { seen, answered } = peak(without.at);
  // Along each column of the triangle the figures move by one standard deviation.
  const moves = without.at.map((_, k) => {
    const moved = without.at.map((value, i) => value + (without.triangle[i]?.[k] ?? 0));
    return Math.log(peak(moved).answered / answered);
  });
  return {
    from_s: window.storm?.from_s ?? Number.NaN,
    seen_m3s: seen,
    foretold_m3s: answered,
    uLn: Math.hypot(...moves),
  };
}

/** What is left of the misses of storms left out once the figures' own uncertainty is taken off. */
function scatterOf(leftOut: readonly LeftOut[]): { stormToStorm: number; degreesOfFreedom: number } {
  let squares = worthStorms * usualScatter ** 2;
  for (const { seen_m3s, foretold_m3s, uLn } of leftOut) {
    const miss = Math.log(seen_m3s / foretold_m3s);
    // A miss tells of scatter as far as the figures' uncertainty leaves it to.
    const share = usualScatter ** 2 / (usualScatter ** 2 + uLn ** 2);
    squares += Math.max(miss ** 2 * share, miss ** 2 - uLn ** 2);
  }
  const weight = worthStorms + leftOut.length;
  return { stormToStorm: Math.sqrt(squares / weight), degreesOfFreedom: weight };
}
