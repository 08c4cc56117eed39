// By the pump's contact alone: how much a rest brought is known, not when in it. The basin fills and empties in closed form.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { addStretch, mostOfPeak, newPeaks, noteAtOnce } from "../../../analysis/inflow/over-time/rolling-peaks.ts";
import type { Site } from "../../../analysis/site.ts";
import { pumpRate_m3s, reading, smallSite, startTime_s } from "../small-basin.ts";

const lpm = 1 / 60_000;
const volume_m3 = 0.02;

/** What the report says of a basin into which so much flows, its pump's contact read each second. */
function report(inflow_m3s: (time_s: number) => number, duration_s: number, site: Site = smallSite) {
  const analyzer = createAnalyzer(site);
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
    // 20 L three times within ten minutes, at the most: as a rest ends, in the short one after it, as the next begins.
    // Floats repeat to some millimetres each time.
    expect(tenMinutes?.at_most_lpm ?? 0).toBeGreaterThan(2 + 1.5);
    expect(tenMinutes?.at_most_lpm ?? 99).toBeLessThan(6.8);
    expect(hour?.at_most_lpm).toBeUndefined();
    // 66 L/min against 6 times 1.5: enough, whenever that came in.
    expect(sizing.verdict).toBe("adequate");
    expect(sizing.required_lpm).toBeCloseTo(1.5 * (tenMinutes?.lpm ?? 0), 3);
  });

  it("are told to lie under what the volume between the floats holds, and that is known no better than the site file says", () => {
    const most = (uGeometry: number) => {
      const stated = { uLevelSpan: null, uLevelZero_m: null, uFloatLevels_m: 0, uFloatRepeatability_m: 0, uEdge_s: 0 };
      const measurement = { uGeometry, ...stated };
      return report(() => 2 * lpm, 20_000, { ...smallSite, measurement }).inflow.peak["600"]?.at_most_lpm ?? 0;
    };
    // 95 % of a normal error of 2 % lies within 1.96 times as much, but for the moments of the readings.
    expect(most(0.02) / most(0)).toBeCloseTo(1 + 1.96 * 0.02, 2);
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

describe("mostOfPeak", () => {
  it("is all that came in a rest, in those within a window before it, and in that in which the window begins", () => {
    const peaks = newPeaks();
    let from_s = 0;
    for (const length_s of [2000, 200, 400, 2000]) {
      addStretch(peaks, from_s, from_s + length_s, 0.02 / length_s, 0, 0);
      noteAtOnce(peaks);
      from_s += length_s;
    }
    expect(mostOfPeak(peaks, 0)?.inflow_m3s).toBeCloseTo((2 * 0.02) / 60, 12);
    // The window begins as the first of them ends.
    expect(mostOfPeak(peaks, 1)?.inflow_m3s).toBeCloseTo((3 * 0.02) / 600, 12);
    expect(mostOfPeak(peaks, 2)?.inflow_m3s).toBeCloseTo((4 * 0.02) / 3600, 12);
  });

  it("is known no better than the volumes in it, each by itself", () => {
    const peaks = newPeaks();
    addStretch(peaks, 0, 400, 0.02 / 400, 0.001 / 400, 0);
    noteAtOnce(peaks);
    addStretch(peaks, 400, 800, 0.02 / 400, 0.001 / 400, 1);
    noteAtOnce(peaks);
    expect(mostOfPeak(peaks, 0)?.uInflow_m3s).toBeCloseTo((Math.SQRT2 * 0.001) / 60, 12);
  });

  it("counts rests that a window holds more than twice, for two more reach into it", () => {
    const peaks = newPeaks();
    for (let i = 0; i < 8; i += 1) {
      addStretch(peaks, 190 * i, 190 * (i + 1), 0.02 / 190, 0, i);
      noteAtOnce(peaks);
    }
    // The rest under way, three whole ones, and that in which the window begins.
    expect(mostOfPeak(peaks, 1)?.inflow_m3s).toBeCloseTo((5 * 0.02) / 600, 12);
  });

  it("is nothing where a higher peak is known", () => {
    const peaks = newPeaks();
    addStretch(peaks, 0, 700, 0.02 / 700, 0, 0);
    addStretch(peaks, 700, 1300, 1e-4, 0, 1);
    addStretch(peaks, 1300, 2000, 0.02 / 700, 0, 2);
    noteAtOnce(peaks);
    expect(mostOfPeak(peaks, 1)?.inflow_m3s).toBeCloseTo((0.02 + 600 * 1e-4) / 600, 12);
    peaks.peaks[1] = { inflow_m3s: 2e-4, uInflow_m3s: 0, at_s: 0 };
    expect(mostOfPeak(peaks, 1)).toBeNull();
  });

  it("holds what a machine drained over three rests, which is told to have come at the least and at the most", () => {
    // 45 L within five minutes, beside 1 L/min.
    const drained = (time_s: number) => (time_s >= 10_400 && time_s < 10_700 ? 9 : 0);
    const { inflow } = report((time_s) => (1 + drained(time_s)) * lpm, 20_000);
    const truth_lpm = 1 + 45 / 10;
    expect(inflow.peak["600"]).toMatchObject({ at_least: true });
    expect(inflow.peak["600"]?.lpm ?? 99).toBeLessThan(truth_lpm);
    expect(inflow.peak["600"]?.at_most_lpm ?? 0).toBeGreaterThan(truth_lpm);
  });
});

describe("what a pump has moved without a level, in a storm of half an hour that it just holds", () => {
  it("is what it moves for as long as it ran, of which the rests on either side do not show the half", () => {
    const inflow_m3s = (time_s: number) => (time_s > 4000 && time_s < 5800 ? 65.9 : 36) * lpm;
    const { totals } = report(inflow_m3s, 10_000);
    expect(totals.run_s).toBeGreaterThan(4000 * 0.54 + 1800);
    const share = (totals.pumped_l ?? 0) / (1000 * pumpRate_m3s * totals.run_s);
    // Steps of a second make rests and runs somewhat long.
    expect(share).toBeGreaterThan(0.93);
    expect(share).toBeLessThan(1.03);
  });
});
