// How long a long run found water: one whose float does not open at the stop level runs dry at some time.

import { spinUp_s } from "../pump-flow/fit-run.ts";
import type { CurveSamples } from "../statistics/fit-curve.ts";
import { fitLine } from "../statistics/fit-line.ts";
import { medianOfThree } from "../statistics/median.ts";
import { edge_s, longRun_s } from "./run-lengths.ts";
import type { TrackerContext } from "./tracker-context.ts";

/** So long before it comes down to the stop level shows how fast the water falls there; longer where it stays down longer. */
const fallsFor_s = { least: 30, most: 120 } as const;
/** A line through fewer volumes does not show their noise. */
const fewestInLine = 4;
/** A run that ends as soon as the water is down did not run dry. */
const soon_s = 10;
/** Less than this of water that should have fallen and did not says nothing. */
const unfallen_m3 = 2e-3;
/** So much more slowly than before water falls no more … */
const slowed = 0.5;
/** … if by so many standard uncertainties, those of readings of which each stands by its neighbours. */
const clearly = 4;
/** A pump that has run dry lets the water rise no higher than to where it finds some again. */
const risen_m3 = 4e-3;

/**
 * The water stops falling where a pump runs dry. In a storm that it barely holds the water may come down to the stop level as
 * slowly as it fell before, but not within the first minute, and in noise that hides for a minute or two whether it falls;
 * in one that it does not hold, the water rises again.
 *
 * @param samples of the run, in m³ against seconds since it began
 * @returns all of the run where it did not run dry, or where that does not show
 */
export function wetTime_s(
  { t, y, count }: CurveSamples,
  run_s: number,
  { basin, geometry }: Pick<TrackerContext, "basin" | "geometry">,
): number {
  const { stopLevel_m } = basin;
  if (stopLevel_m === null || run_s <= longRun_s) return run_s;
  const stop_m3 = geometry.volume_m3(stopLevel_m);
  const around = (i: number) =>
    i === 0 ? (y[0] as number) : medianOfThree(y[i - 1] as number, y[i] as number, y[i + 1] as number);
  let down = 1;
  while (down < count - 1 && !((t[down] as number) > spinUp_s + 5 && around(down) <= stop_m3)) down += 1;
  if (down >= count - 1 || run_s - (t[down] as number) < soon_s) return run_s;
  const down_s = t[down] as number;
  for (let i = down; i < count - 1; i += 1) if (around(i) > stop_m3 + risen_m3) return run_s;
  if (down_s < edge_s) return down_s;
  const left_s = run_s - down_s;
  const before_s = Math.min(Math.max(left_s, fallsFor_s.least), fallsFor_s.most);
  let from = down;
  while (from > 0 && (down_s - (t[from] as number) < before_s || down - from < fewestInLine - 1)) from -= 1;
  const line = (first: number, last: number) => {
    const at = Array.from({ length: last - first + 1 }, (_, i) => first + i);
    if (at.length >= fewestInLine) {
      const times = at.map((i) => t[i] as number);
      return fitLine(times, at.map(around));
    }
    // Of readings so far apart two differ by far more than their noise.
    const fall_m3 = around(first) - around(last);
    return last > first ? { slope: -fall_m3 / ((t[last] as number) - (t[first] as number)), uSlope: 0 } : null;
  };
  const [before, after] = [line(from, down), line(down, count - 2)];
  if (before === null || after === null) return run_s;
  const lost_m3s = slowed * -before.slope + after.slope;
  const isClear = lost_m3s > clearly * Math.hypot(slowed * before.uSlope, after.uSlope);
  return isClear && -before.slope * left_s > unfallen_m3 ? down_s : run_s;
}
