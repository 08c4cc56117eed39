// The design inflow once more by plain proportion, as a person does it with pencil and paper: a check of the order of
// magnitude, for the fitted answer cannot be followed by hand. It knows no wetting and no range.

import { designRain } from "./design-rain.ts";
import type { DesignStormSite } from "./design-storm-site.ts";
import { highestMean } from "./expected-range.ts";
import type { RainStretch } from "./rain.ts";
import type { Recession } from "./recession.ts";
import { type Storm, surePeak } from "./storm.ts";
import { wettest_m } from "./storm-rain.ts";
import type { StormWords } from "./storm-words.ts";

export interface ByProportion {
  /** The storm with the most rain in the time that is looked at. */
  readonly from_s: number;
  readonly peakAboveBase_m3s: number;
  /** Whole hours, about as long as inflow takes to fade to a third, and the rain in the wettest so long of either storm. */
  readonly window_s: number;
  readonly rain_m: number;
  readonly designRain_m: number;
  readonly base_m3s: number;
  /** base + peak above base · design rain / rain */
  readonly inflow_m3s: number;
  readonly words: string;
}

const hour_s = 3600;

/** @returns null when no storm was seen with its rain and its peak */
export function byProportion(
  design: DesignStormSite,
  storms: readonly Storm[],
  rain: readonly RainStretch[],
  base_m3s: number,
  recession: Recession | null,
  say: StormWords,
): ByProportion | null {
  const most_s = Math.min(86_400, design.duration_s);
  const window_s = Math.max(hour_s, Math.round(Math.min(recession?.constant_s ?? 0, most_s) / hour_s) * hour_s);
  const seen = storms.flatMap((storm) => {
    if (storm.rain === null || surePeak(storm) === null) return [];
    const { from_s, to_s } = storm.rain;
    const rain_m = wettest_m(
      rain.filter((part) => part.from_s >= from_s && part.to_s <= to_s),
      window_s,
    );
    return rain_m > 0 ? [{ storm, rain_m }] : [];
  });
  const [first] = seen;
  if (first === undefined) return null;
  const { storm, rain_m } = seen.reduce((best, one) => (one.rain_m > best.rain_m ? one : best), first);
  const spread = designRain(design).rain_m;
  const minutes = Math.min(spread.length, window_s / 60);
  const designRain_m = highestMean(spread, minutes) * minutes;
  const { from_s, peakAboveBase_m3s } = storm;
  const inflow_m3s = base_m3s + (peakAboveBase_m3s * designRain_m) / rain_m;
  const hours = `${window_s / hour_s} h`;
  return {
    from_s,
    peakAboveBase_m3s,
    window_s,
    rain_m,
    designRain_m,
    base_m3s,
    inflow_m3s,
    words:
      `by plain proportion: ${say.flow(peakAboveBase_m3s)} above the base flow for ${say.depth(rain_m)} of rain in ${hours}, ` +
      `so for ${say.depth(designRain_m)} in ${hours} with the base flow of ${say.flow(base_m3s)}: ${say.flow(inflow_m3s)}`,
  };
}
