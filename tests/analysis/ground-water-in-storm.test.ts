import { expect, it } from "vitest";
import type { Reading } from "../../analysis/readings/reading.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const pump_m3s = 1.2e-3;
const [stop_m3, start_m3] = [0.1 * area_m2, 0.3 * area_m2];
const lasts_s = 16 * 3600;

/**
 * Each second the contact of a pump that is as good as ever, and the level if asked for. The ground lets in the more the lower
 * the water stands, so that more comes in while the pump runs than in a rest: in a storm to half of what the pump moves it
 * seems to move less.
 */
function storm(lean: number, { withLevel = false } = {}) {
  const random = seededRandom(1);
  const readings: Reading[] = [];
  const in_m3: number[] = [0];
  let [volume_m3, on, pumped_m3] = [stop_m3, false, 0];
  for (let t = 0; t < lasts_s; t += 1) {
    const part = Math.min(1, Math.max(0, (t - 8 * 3600) / (6 * 3600)));
    const mean_m3s = pump_m3s * (0.1 + 0.4 * Math.min(1, 6 * Math.sin(Math.PI * part) ** 2));
    const full = (volume_m3 - stop_m3) / (start_m3 - stop_m3);
    const inflow_m3s = mean_m3s * (1 + lean * (1 - 2 * full));
    volume_m3 += inflow_m3s - (on ? pump_m3s : 0);
    in_m3.push((in_m3[t] ?? 0) + inflow_m3s);
    if (on) pumped_m3 += pump_m3s;
    if (volume_m3 >= start_m3) on = true;
    else if (volume_m3 <= stop_m3) on = false;
    const level = withLevel ? { level_m: volume_m3 / area_m2 + random.normal(0.0015) } : {};
    readings.push(reading(startTime_s + t, { pumpOn: on, ...level }));
  }
  const highest = (window_s: number) =>
    Math.max(...in_m3.slice(window_s).map((sum, i) => sum - (in_m3[i] ?? 0))) / window_s;
  return { readings, pumped_l: 1000 * pumped_m3, mean_m3s: (in_m3.at(-1) ?? 0) / lasts_s, highest };
}

const toldIn = (readings: Reading[]) => analyse(smallSite, readings).summary.findings.map(({ kind }) => kind);

it.each([0, 0.5, 0.7])(
  "by the contact alone no worn pump is told where the ground's water leans by %f on the level",
  (lean) => {
    expect(toldIn(storm(lean).readings)).not.toContain("pump-worn");
  },
);

it("with a level, no worn pump is told where the ground's water leans by 0.7 on it", () => {
  expect(toldIn(storm(0.7, { withLevel: true }).readings)).not.toContain("pump-worn");
});

it("what came in and what was pumped is known where the ground's water leans by half on the level", () => {
  const played = storm(0.5, { withLevel: true });
  const { inflow, totals } = analyse(smallSite, played.readings).summary;
  const off = (found_lpm: number | null | undefined, true_m3s: number) => (found_lpm ?? 0) / (60_000 * true_m3s) - 1;
  expect(Math.abs(off(inflow.mean_lpm, played.mean_m3s))).toBeLessThan(0.025);
  expect(Math.abs((totals.pumped_l ?? 0) / played.pumped_l - 1)).toBeLessThan(0.02);
  for (const window_s of [600, 3600] as const)
    expect(Math.abs(off(inflow.peak[`${window_s}`]?.lpm, played.highest(window_s)))).toBeLessThan(0.025);
});

it("what came in and what was pumped is known where the ground's water all but stops as the basin fills", () => {
  const random = seededRandom(1);
  const lasts_s = 3 * 3600;
  const readings: Reading[] = [];
  let [volume_m3, on, in_m3, pumped_m3] = [stop_m3, false, 0, 0];
  for (let t = 0; t < lasts_s; t += 1) {
    // The ground's own level is 50 mm above the start: five times as much comes in just above the stop as just below it.
    const inflow_m3s = (4e-4 * (0.35 * area_m2 - volume_m3)) / (0.25 * area_m2);
    const moved_m3s = on ? pump_m3s : 0;
    volume_m3 += inflow_m3s - moved_m3s;
    in_m3 += inflow_m3s;
    pumped_m3 += moved_m3s;
    if (volume_m3 >= start_m3) on = true;
    else if (volume_m3 <= stop_m3) on = false;
    readings.push(reading(startTime_s + t, { pumpOn: on, level_m: volume_m3 / area_m2 + random.normal(0.0012) }));
  }
  const { inflow, totals } = analyse(smallSite, readings).summary;
  const true_lpm = (in_m3 / lasts_s) * 60_000;
  expect(Math.abs((inflow.mean_lpm ?? 0) / true_lpm - 1)).toBeLessThan(0.02);
  expect(Math.abs((totals.pumped_l ?? 0) / (1000 * pumped_m3) - 1)).toBeLessThan(0.02);
});
