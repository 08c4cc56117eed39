// A bucket whose water starts the pump: some of it comes in the rest's last seconds, the rest of it while the pump runs.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../../analysis/analyzer.ts";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "../../small-basin.ts";

/** `moves` is what the pump moves, as a share of what it usually does, `on_s` after its start. */
function readingsOf(bucketAt: (time_s: number) => number, moves: (time_s: number, on_s: number) => number): Reading[] {
  let [stored_m3, pumpOn, on_s] = [0.01, false, 0];
  const every_s = 0.1;
  return Array.from({ length: 72_000 }, (_, i) => {
    const time_s = i * every_s;
    stored_m3 += (inflow_m3s + bucketAt(time_s) - (pumpOn ? pumpRate_m3s * moves(time_s, on_s) : 0)) * every_s;
    on_s = pumpOn ? on_s + every_s : 0;
    if (stored_m3 >= 0.03) pumpOn = true;
    if (stored_m3 <= 0.01) pumpOn = false;
    // A millimetre to and fro for noise.
    return reading(startTime_s + time_s, { level_m: stored_m3 / area_m2 + 0.001 * Math.sin(37 * i * i), pumpOn });
  }).filter((_, i) => i % 10 === 0);
}

function summaryOf(readings: readonly Reading[]) {
  const analyzer = createAnalyzer(smallSite);
  for (const one of readings) analyzer.push(one);
  analyzer.finish();
  return analyzer.summary().inflow;
}

const slowStart = (_: number, on_s: number) => (on_s < 0.5 ? 0 : 1);

describe("water that is poured in and starts the pump", () => {
  it("counts in the peaks, whether it came before the start or in the run's first seconds", () => {
    // 18 L within 6 s, when the basin is about half full, and 6 L/min beside.
    const found = summaryOf(readingsOf((time_s) => (time_s >= 4060 && time_s < 4066 ? 0.003 : 0), slowStart));
    expect(Math.abs((found.peak["60"]?.lpm ?? 0) / 24 - 1)).toBeLessThan(0.12);
    expect(Math.abs((found.peak["60"]?.lpm ?? 0) - 24)).toBeLessThan(found.peak["60"]?.u95_lpm ?? 0);
    expect(Math.abs((found.peak["600"]?.lpm ?? 0) / 7.8 - 1)).toBeLessThan(0.12);
  });

  it("counts where it is poured as quickly as the pump moves it, so that the level stands still", () => {
    // 9 L within 9 s, about 2 of them before the start.
    const found = summaryOf(readingsOf((time_s) => (time_s >= 3938 && time_s < 3947 ? 0.001 : 0), slowStart));
    expect(Math.abs((found.peak["600"]?.lpm ?? 0) / 6.9 - 1)).toBeLessThan(0.05);
    expect(Math.abs((found.peak["600"]?.lpm ?? 0) - 6.9)).toBeLessThan(found.peak["600"]?.u95_lpm ?? 0);
  });

  it("is none where the pump is slow to lift: the level rises little meanwhile", () => {
    const found = summaryOf(
      readingsOf(
        () => 0,
        (time_s, on_s) => (on_s < (time_s > 4000 ? 8 : 0.5) ? 0 : 1),
      ),
    );
    for (const window of ["60", "600", "3600"] as const)
      expect(Math.abs((found.peak[window]?.lpm ?? 0) / 6 - 1)).toBeLessThan(0.05);
  });

  it.each([3, 5, 7])(
    "is none where the pump comes up %d s late each time, and the surface swells meanwhile",
    (late_s) => {
      const swollen = (one: Reading, i: number, all: readonly Reading[]) =>
        one.pumpOn === true && all[i - 4]?.pumpOn !== true ? { ...one, level_m: (one.level_m ?? 0) + 0.005 } : one;
      const found = summaryOf(
        readingsOf(
          () => 0,
          (_, on_s) => (on_s < late_s ? 0 : 1),
        ).map(swollen),
      );
      for (const window of ["60", "600", "3600"] as const)
        expect(Math.abs((found.peak[window]?.lpm ?? 0) / 6 - 1)).toBeLessThan(0.05);
    },
  );

  it("is none where the sensor leaps for three readings as the pump starts: none could take so much out again", () => {
    const each5s = readingsOf(() => 0, slowStart).filter((_, i) => i % 5 === 4);
    const spiked = each5s.map((one, i, all) => {
      const starts = (at: number) => all[at]?.pumpOn === true && all[at - 1]?.pumpOn === false;
      const at = one.time_s - startTime_s > 4000 && one.time_s - startTime_s < 4230;
      return at && (starts(i + 1) || starts(i) || starts(i - 1)) ? { ...one, level_m: (one.level_m ?? 0) + 0.2 } : one;
    });
    const found = summaryOf(spiked);
    expect(Math.abs((found.peak["60"]?.lpm ?? 0) / 6 - 1)).toBeLessThan(0.2);
  });

  it.each([1, 2, 3, 4, 5, 6, 7, 8])("is none where foam comes up shortly before the start, played %d", (seed) => {
    const random = seededRandom(seed);
    const foamy = readingsOf(() => 0, slowStart).map((one) => {
      const foam = one.time_s - startTime_s > 4120 && one.time_s - startTime_s < 4800;
      return foam ? { ...one, level_m: (one.level_m ?? 0) + random.normal(0.06) } : one;
    });
    const { lpm = Number.NaN, u95_lpm = Number.NaN } = summaryOf(foamy).peak["60"] ?? {};
    expect(lpm - u95_lpm).toBeLessThan(6.1);
  });

  it("is none in a storm by a sensor that is slow by 6 s, and goes on rising as the pump starts", () => {
    let [stored_m3, pumpOn, seen_m] = [0.01, false, 0.1];
    const every_s = 0.1;
    const storm_m3s = (time_s: number) =>
      time_s > 8000 ? 0.7 * pumpRate_m3s * Math.max(0, Math.sin((Math.PI * (time_s - 8000)) / 8000)) : 0;
    const readings = Array.from({ length: 160_000 }, (_, i) => {
      const time_s = i * every_s;
      stored_m3 += (inflow_m3s + storm_m3s(time_s) - (pumpOn ? pumpRate_m3s : 0)) * every_s;
      if (stored_m3 >= 0.03) pumpOn = true;
      if (stored_m3 <= 0.01) pumpOn = false;
      seen_m += ((stored_m3 / area_m2 - seen_m) * every_s) / 6;
      return reading(startTime_s + time_s, { level_m: seen_m + 0.001 * Math.sin(37 * i * i), pumpOn });
    }).filter((_, i) => i % 10 === 0);
    const highest_lpm = (inflow_m3s + 0.7 * pumpRate_m3s) * 60_000;
    expect(summaryOf(readings).peak["60"]?.lpm ?? 99).toBeLessThan(1.08 * highest_lpm);
  });
});
