// Figures of a house's answer that fit its storms, sought from several beginnings, since one may lead to a blind alley.

import { findPosterior, type Posterior } from "./posterior.ts";
import { answerOf, misfit, told } from "./response-misfit.ts";
import { responseOf, type Standing, type Typical } from "./response-prior.ts";
import type { ResponseData, Window } from "./response-windows.ts";

const steps = 14;
const stepsOfTrial = 5;

/** @param near what was learned from more storms, to start from */
export function learnResponse(data: ResponseData, typical: Typical, near: Posterior | null): Posterior {
  const from = (start: Standing, most: number) => learn(data, data.windows, typical, start, most);
  if (near !== null) return from(near.at, stepsOfTrial);
  return from(bestOf(starts.map((start) => from(start, stepsOfTrial))).at, steps);
}

export function learn(
  data: ResponseData,
  windows: readonly Window[],
  typical: Typical,
  start: Standing,
  most: number,
): Posterior {
  const residuals = (at: Standing) => misfit(data, windows, answerOf(data, responseOf(at, typical)));
  return findPosterior(residuals, start, told(windows), most);
}

/** As usual; both stores slower than the recession says, or quicker; drains that pass no more than was seen; thirsty ground. */
const starts = [
  [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0],
  [0, 0, 0, 0, 1, 0.5, 0, 0, 0, 0, 0, 0],
  [0, 0, 0, 0, -1, -0.5, 0, 0, 0, 0, 0, 0],
  [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, -2.6, 0],
  [0.5, 1.5, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0.5],
];

function bestOf(learned: readonly Posterior[]): Posterior {
  const cost = ({ squares, at }: Posterior) => squares + at.reduce((sum, value) => sum + value * value, 0);
  return learned.reduce((best, other) => (cost(other) < cost(best) ? other : best));
}
