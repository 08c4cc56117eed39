// When a power cut of a given length would hurt most: tried by replay at the moments that promise the highest water.

import type { InflowStretch } from "../analyzer.ts";
import { basinGeometry } from "../geometry/basin.ts";
import type { ReplayInstallation } from "./installation.ts";
import type { ReplayOutcome } from "./outcome.ts";
import type { PowerCut } from "./power-cuts.ts";
import { replayInflow } from "./replay.ts";

/** So many of the most promising moments are tried; the best of them differ by what no estimate can tell. */
const tried = 24;
/** Time is cut into buckets of this share of the cut. */
const apart = 0.02;
/** After the cut's end the water may still rise. */
const aftermath_s = 3 * 3600;

interface Moment {
  readonly at_s: number;
  readonly level_m: number;
  readonly running: number;
  /** Water in the basin at the cut's end if nothing is pumped in it. */
  readonly ends_m3: number;
}

/**
 * The moment at which a cut brings the highest water; among those at which it runs over, the most that runs over.
 *
 * Without a pump the water at the cut's end is what stood in the basin at its beginning and what came in meanwhile. That
 * is greatest just as a float calls, or in a long run while less comes in than will at the cut's end: each such
 * moment of the course without the cut is ranked, and the foremost are played out.
 *
 * @param inflow without gaps, or with gaps that are left out
 * @param otherCuts that come whatever happens
 * @returns the cut and where the water stands as it begins; null when the inflow is shorter than the cut
 */
export function worstMoment(
  inflow: readonly InflowStretch[],
  installation: ReplayInstallation,
  lasts_s: number,
  otherCuts: readonly PowerCut[] = [],
  firstLevel_m: number | null = null,
): (PowerCut & { readonly level_m: number }) | null {
  const last_s = (inflow.at(-1)?.to_s ?? Number.NEGATIVE_INFINITY) - lasts_s;
  const moments = rankedMoments(inflow, installation, lasts_s, last_s, otherCuts, firstLevel_m);
  let worst: { readonly cut: PowerCut & { readonly level_m: number }; readonly outcome: ReplayOutcome } | null = null;
  for (const { at_s, level_m, running } of moments) {
    const cut = { from_s: at_s, to_s: at_s + lasts_s, level_m };
    const outcome = replayInflow(between(inflow, at_s, cut.to_s + aftermath_s), installation, {
      powerCuts: [...otherCuts, cut],
      firstLevel_m: level_m,
      firstCalls: [(running & 1) !== 0, (running & 2) !== 0],
    });
    if (worst === null || isWorse(outcome, worst.outcome)) worst = { cut, outcome };
  }
  return worst?.cut ?? null;
}

function isWorse(a: ReplayOutcome, b: ReplayOutcome): boolean {
  if (a.overflow_m3 !== b.overflow_m3) return a.overflow_m3 > b.overflow_m3;
  return a.highestLevel_m > b.highestLevel_m;
}

function rankedMoments(
  inflow: readonly InflowStretch[],
  installation: ReplayInstallation,
  lasts_s: number,
  last_s: number,
  otherCuts: readonly PowerCut[],
  firstLevel_m: number | null,
): Moment[] {
  const geometry = basinGeometry(installation.basin);
  const [before, after] = [cumulated(inflow), cumulated(inflow)];
  const apart_s = apart * lasts_s;
  // Of moments close together only the best: the others of its bucket would only be it again.
  const best = new Map<number, Moment>();
  replayInflow(inflow, installation, {
    powerCuts: otherCuts,
    firstLevel_m,
    onPoint(at_s, level_m, running) {
      if (at_s > last_s) return;
      const ends_m3 = geometry.volume_m3(level_m) + after(at_s + lasts_s) - before(at_s);
      const bucket = Math.floor(at_s / apart_s);
      if (ends_m3 > (best.get(bucket)?.ends_m3 ?? Number.NEGATIVE_INFINITY)) {
        best.set(bucket, { at_s, level_m, running, ends_m3 });
      }
    },
  });
  return [...best.values()].sort((a, b) => b.ends_m3 - a.ends_m3).slice(0, tried);
}

/** Volume since the beginning, asked for at times that do not fall. */
function cumulated(inflow: readonly InflowStretch[]): (time_s: number) => number {
  let i = 0;
  let passed_m3 = 0;
  return (time_s) => {
    for (let stretch = inflow[i]; stretch !== undefined && stretch.to_s <= time_s; stretch = inflow[i]) {
      passed_m3 += stretch.inflow_m3s * (stretch.to_s - stretch.from_s);
      i += 1;
    }
    const now = inflow[i];
    return passed_m3 + (now === undefined ? 0 : Math.max(0, time_s - now.from_s) * now.inflow_m3s);
  };
}

function between(inflow: readonly InflowStretch[], from_s: number, to_s: number): InflowStretch[] {
  const first = firstAfter(inflow, from_s);
  const last = firstAfter(inflow, to_s);
  return inflow.slice(first, last + 1).map((stretch) => (stretch.from_s < from_s ? { ...stretch, from_s } : stretch));
}

/** Of the first stretch that ends after a time. */
function firstAfter(inflow: readonly InflowStretch[], time_s: number): number {
  let [low, high] = [0, inflow.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((inflow[middle]?.to_s ?? Number.POSITIVE_INFINITY) <= time_s) low = middle + 1;
    else high = middle;
  }
  return low;
}
