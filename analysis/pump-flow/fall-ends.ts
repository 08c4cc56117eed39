// When the pump really stopped, where its contact bounces: the water no longer falls.

import type { CurveSamples } from "../statistics/fit-curve.ts";
import { spinUp_s } from "./fit-run.ts";

/** The fall before is a line over so many times what may be hidden of it: in a longer run it slows. */
const lineOf = 5;
const fewest = 5;
/** Parts of an interval between readings. */
const parts = 4;

export interface FallEnd {
  /** Seconds since the start. */
  readonly at_s: number;
  /** Standard uncertainty of how fast it falls in the whole run, for not knowing when it ended. */
  readonly uFall_m3s: number;
}

/**
 * The mean of all the times at which the fall may have ended, each as likely as the levels make it: of the lines that fall
 * until then and stand from there on, the more the better they fit.
 *
 * @param samples    volumes in m³ against seconds since the start of the run
 * @param run_s      as the contact tells
 * @param within_s   so long before its end, at the most, the pump stopped
 * @param sampleSd_m3 of a volume; null if unknown
 * @returns at `run_s` where nothing tells
 */
export function fallEnds(
  { t, y, count }: CurveSamples,
  run_s: number,
  within_s: number,
  sampleSd_m3: number | null,
): FallEnd {
  const unknown = { at_s: run_s, uFall_m3s: 0 };
  let from = count;
  while (from > 0 && (run_s - (t[from - 1] as number) <= lineOf * within_s || count - from < fewest)) from -= 1;
  const n = count - from;
  const span_s = n < fewest ? 0 : (t[count - 1] as number) - (t[from] as number);
  if (!(span_s > 0)) return unknown;
  const step_s = within_s / Math.ceil((parts * within_s * (n - 1)) / span_s);
  const lines: FallUntil[] = [];
  for (let end_s = run_s; end_s > run_s - within_s - step_s / 2; end_s -= step_s) {
    lines.push(fallUntil(t, y, from, count, end_s));
  }
  const least_m6 = Math.min(...lines.map(({ off_m6 }) => off_m6));
  const variance_m6 = Math.max((sampleSd_m3 ?? 0) ** 2, least_m6 / (n - 3));
  if (!(variance_m6 > 0)) return unknown;
  let weights = 0;
  let [earlier_s, fall_m3s, square_m6s2] = [0, 0, 0];
  lines.forEach((line, i) => {
    const weight = Math.exp((least_m6 - line.off_m6) / (2 * variance_m6));
    weights += weight;
    earlier_s += weight * i * step_s;
    fall_m3s += weight * line.fall_m3s;
    square_m6s2 += weight * line.fall_m3s ** 2;
  });
  const mean_m3s = fall_m3s / weights;
  const uFall_m3s = Math.sqrt(Math.max(0, square_m6s2 / weights - mean_m3s ** 2));
  // What is amiss at its very end tilts a line the less the longer it is: by the square.
  const ofRun = span_s / Math.max(span_s, (t[count - 1] as number) - spinUp_s);
  return { at_s: run_s - earlier_s / weights, uFall_m3s: uFall_m3s * ofRun ** 2 };
}

interface FallUntil {
  readonly fall_m3s: number;
  /** Sum of squares off it. */
  readonly off_m6: number;
}

/** The best line that falls until then and stands from there on; one that stands throughout where none falls. */
function fallUntil(t: Float64Array, y: Float64Array, from: number, count: number, end_s: number): FallUntil {
  const n = count - from;
  let uSum = 0;
  let ySum = 0;
  for (let i = from; i < count; i += 1) {
    uSum += Math.min(t[i] as number, end_s);
    ySum += y[i] as number;
  }
  let uu = 0;
  let uy = 0;
  let yy = 0;
  for (let i = from; i < count; i += 1) {
    const u = Math.min(t[i] as number, end_s) - uSum / n;
    const off = (y[i] as number) - ySum / n;
    uu += u * u;
    uy += u * off;
    yy += off * off;
  }
  return uy < 0 ? { fall_m3s: -uy / uu, off_m6: yy - (uy * uy) / uu } : { fall_m3s: 0, off_m6: yy };
}
