// Storms in the record of inflow: each parted from the base beneath it, measured, and matched with its rain.
// Where rises begin and end is rises.ts's; how inflow answers rain in general is fit-response.ts's.

import type { InflowStretch } from "../analyzer.ts";
import { medianInPlace } from "../statistics/median.ts";
import { calmBefore, layBase } from "./beneath-storm.ts";
import { evenInflow } from "./even-series.ts";
import { measureStorm } from "./measure-storm.ts";
import type { RainStretch } from "./rain.ts";
import { masterRecession, type Recession } from "./recession.ts";
import { bridged, findRises, noiseOfSteps, type Rise, smoothed } from "./rises.ts";
import type { Storm } from "./storm.ts";
import { type Search, type StormCourse, timeOf_s } from "./storm-search.ts";

export interface StormsFound {
  readonly storms: readonly Storm[];
  /** Over all storms; null before one came down far enough. */
  readonly masterRecession: Recession | null;
  /** Even steps on which was searched; null without inflow. */
  readonly course: StormCourse | null;
}

/** 0.3 L/min: less than that needs no bigger pump. Common practice, no source. */
const least_m3s = 5e-6;
/** Where the rain is known, a rise without rain is no storm, and a smaller one with it may be. */
const rule = { least_m3s, timesNoise: 5, shareOfBase: 0.5 };
const ruleWithRain = { ...rule, shareOfBase: 0.2 };
const bridged_s = 7200;
/** A rise so soon after a storm was cut short by it is the one that did so. */
const near_s = 7200;

/**
 * Finds storms in an inflow record.
 *
 * The inflow is laid on even steps of five minutes or, where the record is coarser, of its usual length, and smoothed by a
 * running median. A rise over the least flow of the day before by more than noise and half that flow (a fifth where the
 * rain is known, for then a rise without rain is none) is a storm; the flow before it, and in another storm's recession
 * that recession carried on, is its base. It ends when a twentieth of its height is left. Peaks are those of the stretches
 * themselves.
 *
 * @param inflow in order of time, as the analyzer gives it; a gap is where no stretch is
 * @param rain   in order of time; null when unknown
 */
export function findStorms(inflow: readonly InflowStretch[], rain: readonly RainStretch[] | null): StormsFound {
  if (inflow.length === 0) return { storms: [], masterRecession: null, course: null };
  const grid = evenInflow(inflow, usualStep_s(inflow));
  const smooth = smoothed(bridged(grid, bridged_s));
  const noise_m3s = noiseOfSteps(smooth);
  const rises = findRises(smooth, grid.step_s, noise_m3s, rain === null ? rule : ruleWithRain);
  const search: Search = { inflow, rain, grid, smooth, noise_m3s, recession: null };
  // What is left of the storm before can only be taken off once it is known how fast storms fade.
  const first = masterOf(measureAll(rises, search).storms);
  const { storms, base } = measureAll(rises, { ...search, recession: first });
  return { storms, masterRecession: masterOf(storms), course: { ...grid, base, noise_m3s } };
}

function masterOf(storms: readonly Storm[]): Recession | null {
  return masterRecession(storms.flatMap(({ recession }) => (recession === null ? [] : [recession])));
}

/** Five minutes, or what more than half of the stretches last. */
function usualStep_s(inflow: readonly InflowStretch[]): number {
  const lengths = Float64Array.from(inflow, ({ from_s, to_s }) => to_s - from_s);
  const usual_s = medianInPlace(lengths);
  const long = usual_s > 600 && inflow.every(({ from_s, to_s }) => to_s - from_s >= usual_s * 0.9);
  return long ? usual_s : 300;
}

function measureAll(rises: readonly Rise[], search: Search): { storms: Storm[]; base: Float64Array } {
  const base = search.smooth.slice();
  const { grid } = search;
  const storms: Storm[] = [];
  let notBefore_s = Number.NEGATIVE_INFINITY;
  let before: { rise: Rise; base_m3s: number } | null = null;
  for (const rise of rises) {
    const inTail: boolean =
      before?.rise.ended === "next-storm" && grid.step_s * (rise.onset - before.rise.end) < near_s;
    const under_m3s: number = inTail && before !== null ? before.base_m3s : calmBefore(search, rise);
    const beneath = layBase(search, rise, under_m3s, inTail, base);
    before = { rise, base_m3s: under_m3s };
    const storm = measureStorm(search, rise, { beneath, calm_m3s: under_m3s, notBefore_s });
    if (storm === null) continue;
    storms.push(storm);
    notBefore_s = timeOf_s(search, rise.top + 1);
  }
  return { storms, base };
}
