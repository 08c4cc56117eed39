// By the pump's contact alone: how much a rest brought is known, not when in it. The basin fills and empties in closed form.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { mostOfPeak_m3s, newPeaks, noteAtOnce } from "../../../analysis/inflow/rolling-peaks.ts";
import { pumpRate_m3s, reading, smallSite, startTime_s } from "../small-basin.ts";

const lpm = 1 / 60_000;
const volume_m3 = 0.02;

/** What the report says of a basin into which so much flows, its pump's contact read each second. */
function report(inflow_m3s: (time_s: number) => number, duration_s: number) {
  const analyzer = createAnalyzer(smallSite);
  let [stored_m3, pumpOn] = [0, false];
  for (let time_s = 0; time_s < duration_s; time_s += 1) {
    analyzer.push(reading(startTime_s + time_s, { pumpOn }));
    stored_m3 += inflow_m3s(time_s) - (pumpOn ? pumpRate_m3s : 0);
    if (stored_m3 >= volume_m3) pumpOn = true;
    if (stored_m3 <= 0) pumpOn = false;
  }
  analyzer.finish();
  return analyzer.summary();
}

describe("peaks without a level", () => {
  it("lie between what a rest brought on the mean and all of its water at once, where a machine drains within it", () => {
    // 2 L/min, and 15 L within a minute every two hours.
    const drained = (time_s: number) => (time_s % 7200 < 60 ? 15 : 0);
    const { inflow, sizing } = report((time_s) => (2 + drained(time_s + 3000)) * lpm, 36_000);
    const { "60": minute, "600": tenMinutes, "3600": hour } = inflow.peak;
    expect(minute).toMatchObject({ at_least: true });
    expect(minute?.lpm ?? 99).toBeLessThan(17);
    expect(minute?.at_most_lpm ?? 0).toBeGreaterThan(17);
    // 20 L and 20 L again within ten minutes, at the most.
    expect(tenMinutes?.at_most_lpm ?? 0).toBeGreaterThan(2 + 1.5);
    expect(tenMinutes?.at_most_lpm ?? 99).toBeLessThan(4.1);
    expect(hour?.at_most_lpm).toBeUndefined();
    // 66 L/min against 4 times 1.5: enough, whenever that came in.
    expect(sizing.verdict).toBe("adequate");
    expect(sizing.required_lpm).toBeCloseTo(1.5 * (tenMinutes?.lpm ?? 0), 3);
  });

  it("are what rests as short as in a storm show", () => {
    const { inflow } = report(() => 20 * lpm, 7200);
    for (const window of ["600", "3600"] as const) {
      expect(inflow.peak[window]).not.toHaveProperty("at_least");
      expect(Math.abs((inflow.peak[window]?.lpm ?? 0) / 20 - 1)).toBeLessThan(0.05);
    }
  });

  it("are at least what the pump moved in a long run between short rests, and mean and verdict say so", () => {
    // Rises to 90 L/min, more than the 66 L/min that the pump moves, and falls again, within four hours.
    const storm = (time_s: number) => 2 + 88 * Math.max(0, Math.sin((Math.PI * (time_s - 7200)) / 14_400));
    const { inflow, sizing } = report((time_s) => storm(time_s) * lpm, 28_800);
    expect(inflow).toMatchObject({ mean_at_least: true });
    for (const { lpm: found, ...peak } of Object.values(inflow.peak).filter((peak) => peak !== null)) {
      expect(peak).toMatchObject({ at_least: true });
      expect(peak).not.toHaveProperty("at_most_lpm");
      expect(found / 66).toBeGreaterThan(0.93);
      expect(found).toBeLessThan(90);
    }
    expect(sizing.verdict).toBe("undersized");
  });

  it("stay those of the rests beside a long run that little water surrounds: its float hangs", () => {
    const analyzer = createAnalyzer(smallSite);
    // Twenty cycles of 200 s and 20 s, then the pump goes on for two hours.
    const on = (time_s: number) => time_s % 220 >= 200 || (time_s > 20 * 220 && time_s < 20 * 220 + 33 * 220);
    for (let time_s = 0; time_s < 15_000; time_s += 1)
      analyzer.push(reading(startTime_s + time_s, { pumpOn: on(time_s) }));
    analyzer.finish();
    expect(analyzer.summary().inflow).not.toHaveProperty("mean_at_least");
    expect(analyzer.summary().inflow.peak["600"]?.lpm ?? 99).toBeLessThan(8);
  });
});

describe("mostOfPeak_m3s", () => {
  it("is twice the volume over a window that may hold the ends of two rests, and nothing where a higher peak is known", () => {
    const peaks = newPeaks();
    noteAtOnce(peaks, 0.02, 400);
    peaks.peaks[1] = { inflow_m3s: 5e-5, uInflow_m3s: 0, at_s: 0 };
    expect(mostOfPeak_m3s(peaks, 1)).toBeCloseTo((2 * 0.02) / 600, 12);
    peaks.peaks[1] = { inflow_m3s: 1e-4, uInflow_m3s: 0, at_s: 0 };
    expect(mostOfPeak_m3s(peaks, 1)).toBeNull();
    peaks.peaks[2] = { inflow_m3s: 1e-6, uInflow_m3s: 0, at_s: 0 };
    expect(mostOfPeak_m3s(peaks, 2)).toBeNull();
  });
});
