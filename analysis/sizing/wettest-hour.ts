// The wettest hour that was logged beside that of the storm to hold: how much of what the place can bring was seen.

import type { Site } from "../site.ts";
import { designRain } from "../storms/design-rain.ts";
import { highestMean } from "../storms/expected-range.ts";
import type { StormRecord } from "../storms/storm-record.ts";
import { fromSi } from "../units/unit.ts";
import { twoFigures, type Words, words } from "../units/words.ts";
import type { LoggedRecord } from "./request.ts";
import type { SizingWettestHour } from "./sizing-answer.ts";
import { lpm, m3s } from "./to-answer.ts";

const minute_s = 60;

/** @returns null without a storm to hold, or where no hour was logged */
export function wettestHour(site: Site, { summary }: LoggedRecord, record: StormRecord): SizingWettestHour | null {
  const storm = site.design.storm ?? null;
  const { inflow_m3s: seen_m3s, rain_m: seenRain_m } = record.seen.wettestHour;
  const measured_lpm = summary.inflow.peak["3600"]?.lpm ?? null;
  const logged_m3s = measured_lpm === null ? seen_m3s : m3s(measured_lpm);
  if (storm === null || logged_m3s === null) return null;
  // Rain as the tables spread it is known also where the house's answer to it is not.
  const rain_m = highestMean(designRain(storm, minute_s).rain_m, 60) * 60;
  const expected = record.design?.peaks[3600] ?? null;
  const say = words(site.displayUnits);
  const brings = expected === null ? "not known" : rangeWords(expected, say);
  const rained = seenRain_m === null ? "not logged" : `${say.depth(seenRain_m)} as logged`;
  return {
    lpm: lpm(logged_m3s),
    rain_mm: seenRain_m === null ? null : seenRain_m * 1000,
    expected:
      expected === null
        ? null
        : { lpm: lpm(expected.inflow_m3s), low_lpm: lpm(expected.low_m3s), high_lpm: lpm(expected.high_m3s) },
    expected_rain_mm: rain_m * 1000,
    message: `Highest hour of inflow: ${say.flow(logged_m3s)} as logged; the storm to hold: ${brings}. Wettest hour of rain: ${rained}; that storm: ${say.depth(rain_m)}.`,
  };
}

function rangeWords(
  { inflow_m3s, low_m3s, high_m3s }: { inflow_m3s: number; low_m3s: number; high_m3s: number },
  say: Words,
): string {
  const [low, high] = [low_m3s, high_m3s].map((flow) => twoFigures(fromSi(flow, say.flowUnit)));
  return `${say.flow(inflow_m3s)} (${low} to ${high})`;
}
