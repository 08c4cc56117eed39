// How far a response is from the storms: residuals over each storm's course and at its peak, each storm's base free.

import { answerRain, dryGround, type Response, rememberedRain_m } from "./response-model.ts";
import type { ResponseData, Window } from "./response-windows.ts";
import { surePeak } from "./storm.ts";

/** A model of a house is off by a tenth of what it gives, and by a little of the storm's height. Judgement, no source. */
const modelError = 0.1;
/** A storm's course, whose neighbouring steps err alike, counts as so many independent readings, and its peak as a few. */
const toldByStorm = 8;
const toldByPeak = 3;
const toldByQuiet = 2;

/** Flow that the response gives at each step of the segments, on the data's own sheet: it lasts until the next is asked for. */
export function answerOf(data: ResponseData, response: Response): Float64Array {
  const { rain_ms, step_s, segments, reference_m3s, answer } = data;
  for (const { from, to, before } of segments) {
    const state = { ...dryGround(), wet_m: rememberedRain_m(before, response.dries_s) };
    answerRain(response, rain_ms.subarray(from, to), step_s, reference_m3s, state, answer.subarray(from, to));
  }
  return answer;
}

/** @param windows those that count, of `data.windows` */
export function misfit(data: ResponseData, windows: readonly Window[], answer: Float64Array): Float64Array {
  const parts = windows.map((window) => ofWindow(data, window, answer));
  const all = new Float64Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}

export function told(windows: readonly Window[]): number {
  return windows.reduce((sum, { storm }) => sum + (storm === null ? toldByQuiet : toldByStorm + toldByPeak), 0);
}

/** Greatest mean over 600 s (a step, where that is longer) of a storm: seen above the base beneath it, and answered. */
export function peaksOf(data: ResponseData, window: Window, answer: Float64Array): { seen: number; answered: number } {
  const n = Math.max(1, Math.round(600 / data.step_s));
  const base_m3s = baseOf(data, window, answer);
  let answered = 0;
  let sum = 0;
  for (let i = window.from; i < window.to; i += 1) {
    sum += answer[i] as number;
    if (i >= window.from + n) sum -= answer[i - n] as number;
    if (i >= window.from + n - 1) answered = Math.max(answered, sum / n);
  }
  const top_m3s = (window.storm && surePeak(window.storm)?.inflow_m3s) ?? window.height_m3s + window.base_m3s;
  return { seen: Math.max(0.2 * window.height_m3s, top_m3s - base_m3s), answered: Math.max(answered, 1e-9) };
}

function ofWindow(data: ResponseData, window: Window, answer: Float64Array): Float64Array {
  const { flow_m3s, u_m3s } = data;
  const base_m3s = baseOf(data, window, answer);
  const residuals = new Float64Array(window.to - window.from + 1);
  let count = 0;
  for (let i = window.from; i < window.to; i += 1) {
    const seen = flow_m3s[i] as number;
    if (Number.isNaN(seen)) continue;
    residuals[count++] = (seen - base_m3s - (answer[i] as number)) / uAt(window, seen, u_m3s[i] as number);
  }
  const weight = Math.sqrt((window.storm === null ? toldByQuiet : toldByStorm) / Math.max(1, count));
  for (let i = 0; i < count; i += 1) residuals[i] = (residuals[i] as number) * weight;
  if (window.storm === null) return residuals;
  const { seen, answered } = peaksOf(data, window, answer);
  residuals[count] = (Math.sqrt(toldByPeak) * Math.log(seen / answered)) / modelError;
  return residuals;
}

function uAt({ height_m3s, base_m3s, uLeast_m3s }: Window, seen_m3s: number, u_m3s: number): number {
  const above_m3s = Math.max(0, Math.min(height_m3s, seen_m3s - base_m3s));
  const ofModel = uLeast_m3s + 0.7 * modelError * above_m3s;
  return Math.sqrt(u_m3s * u_m3s + ofModel * ofModel);
}

/** The level at which the answer fits best: no lower than nothing, no higher than what stood before the rain. */
function baseOf({ flow_m3s, u_m3s }: ResponseData, window: Window, answer: Float64Array): number {
  let [sum, weights] = [0, 0];
  for (let i = window.from; i < window.to; i += 1) {
    const seen = flow_m3s[i] as number;
    if (Number.isNaN(seen)) continue;
    const weight = 1 / uAt(window, seen, u_m3s[i] as number) ** 2;
    sum += weight * (seen - (answer[i] as number));
    weights += weight;
  }
  const best = weights > 0 ? sum / weights : window.base_m3s;
  return Math.max(0, Math.min(best, window.base_m3s + 0.1 * window.height_m3s));
}
