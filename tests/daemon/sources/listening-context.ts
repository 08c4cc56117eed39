// What a daemon gives to a source, with everything the source says kept for a test to look at.

import type { Site } from "../../../analysis/site.ts";
import type { SourceContext, SourceReading } from "../../../daemon/sources/source.ts";

/** A basin and nothing else, of our own invention. */
export const bareSite: Site = {
  name: "A house of our own",
  timezone: "UTC",
  displayUnits: "metric",
  basin: {
    geometry: { shape: "round", diameter_m: 0.45, occupiedArea_m2: 0 },
    depth_m: 0.76,
    startLevel_m: 0.36,
    stopLevel_m: 0.15,
    highLevel_m: 0.51,
    overflowLevel_m: 0.76,
  },
  pump: null,
  discharge: null,
  design: { inflowFactor: 1.5 },
};

export interface Heard {
  readonly readings: SourceReading[];
  readonly rejections: string[];
  readonly troubles: (string | null)[];
  readonly failures: Error[];
  finished: number;
}

export function listeningContext(overrides: Partial<SourceContext> = {}): { context: SourceContext; heard: Heard } {
  const heard: Heard = { readings: [], rejections: [], troubles: [], failures: [], finished: 0 };
  const context: SourceContext = {
    now_s: () => Date.now() / 1000,
    emit: (reading) => heard.readings.push(reading),
    reject: (reason) => heard.rejections.push(reason),
    fail: (error) => heard.failures.push(error),
    troubled: (reason) => heard.troubles.push(reason),
    finished: () => {
      heard.finished++;
    },
    site: bareSite,
    baseFolder: "/",
    ...overrides,
  };
  return { context, heard };
}
