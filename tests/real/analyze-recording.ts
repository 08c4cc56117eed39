// Runs a recording of another logger through the reader and the analysis, as the command line does.

import { createAnalyzer } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { ReportSummary } from "../../analysis/report/report.ts";
import type { BasinSite, Site } from "../../analysis/site.ts";
import { type RecordingOptions, type RecordingResult, readRecording } from "../../daemon/recordings/read-recording.ts";

export const foot_m = 0.3048;

export interface Analyzed {
  readonly recording: RecordingResult;
  readonly cycles: readonly Cycle[];
  readonly summary: ReportSummary;
}

/** @param basin what is known of the basin; its area, of no matter to counts and times, is 1 m² */
export async function analyzeRecording(
  path: string,
  options: RecordingOptions,
  basin: Partial<BasinSite> = {},
): Promise<Analyzed> {
  let cycles: Cycle[] = [];
  const start = () => {
    cycles = [];
    return createAnalyzer(siteOf(basin), {
      sink: {
        cycle(cycle, stage) {
          if (stage === "settled") cycles.push(cycle);
        },
      },
    });
  };
  let analyzer = start();
  const onRestart = () => {
    analyzer = start();
  };
  const recording = await readRecording(path, { ...options, onRestart }, (reading) => analyzer.push(reading));
  analyzer.finish();
  return { recording, cycles, summary: analyzer.summary() };
}

function siteOf(basin: Partial<BasinSite>): Site {
  return {
    name: "recorded",
    timezone: "UTC",
    displayUnits: "metric",
    basin: {
      geometry: { shape: "rectangular", width_m: 1, length_m: 1, occupiedArea_m2: 0 },
      depth_m: null,
      startLevel_m: null,
      stopLevel_m: null,
      highLevel_m: null,
      overflowLevel_m: null,
      ...basin,
    },
    pump: null,
    discharge: null,
    design: { inflowFactor: 1.5 },
  };
}
