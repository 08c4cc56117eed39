// What is thought of a house's answer to rain before its storms are looked at: a typical value of each figure and how far
// houses differ. Few storms then say what they can, and leave the rest as wide as it was.

import type { Response } from "./response-model.ts";

/** One number for each figure of a response, in standard deviations from the typical. */
export type Standing = readonly number[];

export interface Typical {
  /** By the storms' own volumes, recessions and peaks. */
  readonly catchment_m2: number;
  readonly recession_s: number;
  /** Highest flow above base that was seen. */
  readonly reference_m3s: number;
}

/** Logarithms (of shares: logits): typical value and standard deviation. Judgement, no source; the bench holds them. */
const spread = {
  catchment: 0.8,
  firstLoss: { typical_m: 0.002, sd: 1.3 },
  wetting: { typical_m: 0.007, sd: 1.5 },
  delay: { typical_s: 240, sd: 1.2 },
  first: { ofRecession: 0.35, sd: 1 },
  quick: 0.7,
  power: 0.2,
  slowShare: { typical: -1.5, sd: 1 },
  slow: { ofRecession: 8, sd: 0.8 },
  bareShare: { typical: -2, sd: 1.2 },
  most: { ofReference: 10, sd: 0.9 },
  dries: { typical_s: 4 * 86_400, sd: 0.8 },
} as const;
const longestDelay_s = 4 * 3600;

export function responseOf(standing: Standing, { catchment_m2, recession_s, reference_m3s }: Typical): Response {
  const [area, loss, wetting, delay, first, quick, power, share, slow, bare, most, dries] = standing as Figures;
  return {
    catchment_m2: catchment_m2 * Math.exp(spread.catchment * area),
    firstLoss_m: spread.firstLoss.typical_m * Math.exp(spread.firstLoss.sd * loss),
    wetting_m: spread.wetting.typical_m * Math.exp(spread.wetting.sd * wetting),
    delay_s: Math.min(longestDelay_s, spread.delay.typical_s * Math.exp(spread.delay.sd * delay)),
    first_s: spread.first.ofRecession * recession_s * Math.exp(spread.first.sd * first),
    quick_s: recession_s * Math.exp(spread.quick * quick),
    power: Math.exp(spread.power * power),
    slowShare: 1 / (1 + Math.exp(-(spread.slowShare.typical + spread.slowShare.sd * share))),
    slow_s: spread.slow.ofRecession * recession_s * Math.exp(spread.slow.sd * slow),
    bareShare: 1 / (1 + Math.exp(-(spread.bareShare.typical + spread.bareShare.sd * bare))),
    dries_s: spread.dries.typical_s * Math.exp(spread.dries.sd * dries),
    most_m3s: spread.most.ofReference * reference_m3s * Math.exp(spread.most.sd * most),
  };
}

/** Standard uncertainties of the figures from those of a standing, to first order. */
export function spreadOf(response: Response, u: Standing): Response {
  const [area, loss, wetting, delay, first, quick, power, share, slow, bare, most, dries] = u as Figures;
  return {
    catchment_m2: response.catchment_m2 * spread.catchment * area,
    firstLoss_m: response.firstLoss_m * spread.firstLoss.sd * loss,
    wetting_m: response.wetting_m * spread.wetting.sd * wetting,
    delay_s: response.delay_s * spread.delay.sd * delay,
    first_s: response.first_s * spread.first.sd * first,
    quick_s: response.quick_s * spread.quick * quick,
    power: response.power * spread.power * power,
    slowShare: response.slowShare * (1 - response.slowShare) * spread.slowShare.sd * share,
    slow_s: response.slow_s * spread.slow.sd * slow,
    bareShare: response.bareShare * (1 - response.bareShare) * spread.bareShare.sd * bare,
    dries_s: response.dries_s * spread.dries.sd * dries,
    most_m3s: response.most_m3s * spread.most.sd * most,
  };
}

type Figures = readonly [
  ...[number, number, number, number, number, number, number, number, number],
  ...[number, number, number],
];
