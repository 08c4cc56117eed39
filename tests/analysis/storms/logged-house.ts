// A basin with a pump and a logger in one of the invented houses: what the analyzer makes of it, from raw readings on.

import { createAnalyzer, type InflowStretch } from "../../../analysis/analyzer.ts";
import type { Site } from "../../../analysis/site.ts";
import { type RainStretch, rainCollector } from "../../../analysis/storms/rain.ts";
import { randomOf } from "../../truth/random.ts";
import { reading, smallSite } from "../small-basin.ts";

export interface Logged {
  readonly inflow: readonly InflowStretch[];
  readonly rain: readonly RainStretch[] | null;
  readonly overAll: ReturnType<ReturnType<typeof createAnalyzer>["overAll"]>;
}

const area_m2 = 0.15;
const [start_m, stop_m] = [0.36, 0.16];
const noise_m = 0.001;

/**
 * Plays a flow of minutes into a basin of 46 cm with a pump so many times as strong as the flow ever is, level and contact read
 * every `interval_s` with a millimetre of noise, rain every minute.
 */
export function logHouse(
  seed: string,
  flow_m3s: ArrayLike<number>,
  rain: readonly RainStretch[],
  interval_s: number,
  days: number,
  pumpOverPeak = 2,
): Logged {
  const random = randomOf("logged", seed);
  const site: Site = {
    ...smallSite,
    basin: {
      ...smallSite.basin,
      geometry: { shape: "rectangular", width_m: 0.3, length_m: 0.5, occupiedArea_m2: 0 },
      startLevel_m: start_m,
      stopLevel_m: stop_m,
    },
  };
  let highest_m3s = 0;
  for (let i = 0; i < flow_m3s.length; i += 1) highest_m3s = Math.max(highest_m3s, flow_m3s[i] as number);
  const pump_m3s = Math.max(5e-4, pumpOverPeak * highest_m3s);
  const inflow: InflowStretch[] = [];
  const analyzer = createAnalyzer(site, { sink: { inflow: (stretch) => inflow.push(stretch) } });
  const collector = rainCollector();
  const rainAt = rainByMinute(rain);
  let [level_m, on] = [stop_m + 0.05, false];
  const substep_s = 0.5;
  for (let time_s = 0; time_s < days * 86_400; time_s += interval_s) {
    for (let s = 0; s < interval_s; s += substep_s) {
      const minute = Math.min(flow_m3s.length - 1, Math.floor((time_s + s) / 60));
      const into = flow_m3s[minute] as number;
      level_m += ((into - (on ? pump_m3s : 0)) * substep_s) / area_m2;
      if (level_m >= start_m) on = true;
      if (level_m <= stop_m) on = false;
    }
    const now = reading(time_s + interval_s, {
      level_m: level_m + noise_m * random.normal(),
      pumpOn: on,
      rain_m: (time_s + interval_s) % 60 === 0 ? (rainAt.get((time_s + interval_s) / 60 - 1) ?? 0) : 0,
    });
    collector.push(now);
    analyzer.push(now);
  }
  analyzer.finish();
  return { inflow, rain: collector.stretches(), overAll: analyzer.overAll() };
}

function rainByMinute(rain: readonly RainStretch[]): Map<number, number> {
  const depths = new Map<number, number>();
  for (const { from_s, to_s, rain_m } of rain) {
    if (rain_m <= 0) continue;
    const minutes = (to_s - from_s) / 60;
    for (let i = 0; i < minutes; i += 1) depths.set(from_s / 60 + i, rain_m / minutes);
  }
  return depths;
}
