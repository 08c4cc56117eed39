import { describe, expect, it } from "vitest";
import { studentTQuantile } from "../../../analysis/statistics/student-t.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { reading, smallSite, startTime_s } from "../small-basin.ts";

const run_s = 21.3;

/** Each 5 s; for so long after each switch the contact says one thing or the other. */
function analysed(bounce_s: number, noise_m: number, rest_s = 611) {
  const cycle_s = rest_s + run_s;
  const random = seededRandom(7);
  const readings = Array.from({ length: Math.floor((60 * cycle_s) / 5) }, (_, i) => {
    const time_s = 5 * i;
    const phase_s = time_s % cycle_s;
    const runs = phase_s >= rest_s;
    const since_s = runs ? phase_s - rest_s : phase_s;
    const water_m = runs ? 0.3 - (0.2 * since_s) / run_s : 0.1 + (0.2 * since_s) / rest_s;
    const pumpOn = since_s < bounce_s && time_s > bounce_s ? random.uniform() < 0.5 : runs;
    return reading(startTime_s + time_s, { level_m: water_m + random.normal(noise_m), pumpOn });
  });
  return analyse(smallSite, readings);
}

describe("a run whose contact bounces at one reading after each switch", () => {
  it.each([0.001, 0.002])("lasts for as long as the water falls, by levels that scatter by %f m", (noise_m) => {
    const { cycles, summary } = analysed(3, noise_m);
    expect(summary.findings).toEqual([]);
    for (const { stopLevel_m, startedAt_s, stoppedAt_s } of cycles) {
      expect(Math.abs((stopLevel_m ?? 0.1) - 0.1)).toBeLessThan(0.035);
      const cycle_s = 611 + run_s;
      const stopsAt_s = cycle_s * (Math.floor((startedAt_s - startTime_s) / cycle_s) + 1);
      expect(stoppedAt_s - startTime_s - stopsAt_s).toBeLessThan(7);
    }
    const steady = analysed(0, noise_m).summary.totals.pumped_l ?? 0;
    expect(Math.abs((summary.totals.pumped_l ?? 0) / steady - 1)).toBeLessThan(0.03);
    expect(cycles.filter((cycle) => cycle.run_s < 19).length).toBeLessThan(4);
  });

  it.each([611, 153])("began when the water began to fall, however little it had, after rests of %i s", (rest_s) => {
    const { cycles } = analysed(2, 0.0003, rest_s);
    const late_s = cycles.map(({ startedAt_s }) => (startedAt_s - startTime_s - rest_s) % (rest_s + run_s));
    expect(cycles.length).toBeGreaterThan(57);
    // At one start in five the last reading of the rest came after it.
    expect(late_s.filter((s) => s > 5.01).length).toBeLessThan(3);
  });

  it.each([0.001, 0.002])(
    "has the pump's rate within its ±, also where no reading shows that the stop is late, by levels that scatter by %f m",
    (noise_m) => {
      // 20 L and what comes in meanwhile at 20 L each 611 s.
      const rate_m3s = 0.02 / run_s + 0.02 / 611;
      // By then two stops have been seen to be late.
      const rates = analysed(3, noise_m)
        .cycles.slice(20)
        .flatMap(({ pumpRate }) => pumpRate ?? []);
      const outside = rates.filter(
        ({ flow_m3s, uFlow_m3s, degreesOfFreedom }) =>
          Math.abs(flow_m3s - rate_m3s) > studentTQuantile(0.975, degreesOfFreedom) * uFlow_m3s,
      );
      expect(rates.length).toBeGreaterThan(30);
      expect(outside.length / rates.length).toBeLessThan(0.1);
    },
  );

  it("is as it was read where the contact does not bounce", () => {
    const { cycles } = analysed(0, 0.002);
    expect(cycles.length).toBeGreaterThan(57);
    for (const { stoppedAt_s } of cycles.slice(0, -1)) expect((stoppedAt_s - startTime_s) % 2.5).toBeCloseTo(0, 6);
  });
});
