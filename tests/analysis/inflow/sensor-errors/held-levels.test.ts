import { expect, it } from "vitest";
import { createAnalyzer } from "../../../../analysis/analyzer.ts";
import { leaveOutHeld, leaveOutHeldOverStop } from "../../../../analysis/inflow/sensor-errors/held-levels.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { reading, smallSite, startTime_s } from "../../small-basin.ts";

function left(y: readonly number[], before_m3: number | null, equalShare: number) {
  const t = Float64Array.from(y, (_, i) => 10 * i);
  const samples = { t, y: Float64Array.from(y), weight: new Float64Array(y.length).fill(1), count: y.length };
  leaveOutHeld(samples, before_m3, equalShare);
  return Array.from({ length: samples.count }, (_, i) => [samples.t[i], samples.y[i]]);
}

it("leaves out levels that a sensor said again, but for the first of them", () => {
  expect(left([1, 2, 3, 3, 3, 3, 7, 8], null, 0.05)).toEqual([
    [0, 1],
    [10, 2],
    [20, 3],
    [60, 7],
    [70, 8],
  ]);
});

it("leaves out all that were read before the rest began", () => {
  expect(left([9, 9, 9, 4, 5], 9, 0.05)).toEqual([
    [30, 4],
    [40, 5],
  ]);
});

it.each([
  ["by chance", [1, 2, 2, 3, 4], 0.05],
  ["by a sensor of coarse steps", [1, 1, 1, 1, 2, 2, 2, 2], 0.7],
  ["by one of which nothing is known yet", [1, 1, 1, 1, 2], 1],
  ["while a run went by", [4, 5, 5, 5, 5, 1, 2], 0.05],
])("leaves what is said again %s", (_, y, equalShare) => {
  expect(left(y, null, equalShare)).toEqual(y.map((value, i) => [10 * i, value]));
});

it.each([
  ["what is said again over the stop, though the sensor's steps are coarse", [9, 9, 9, 4, 5], [4, 5]],
  ["nothing that falls by less than a leap", [9, 9, 7.5, 7.5], [9, 9, 7.5, 7.5]],
  ["nothing before a single spike", [9, 9, 4, 9, 9], [9, 9, 4, 9, 9]],
  ["nothing that was not read in the run", [8, 8, 4, 5], [8, 8, 4, 5]],
  ["nothing where no other level follows", [9, 9, 9], [9, 9, 9]],
])("leaves out %s", (_, y, kept) => {
  const t = Float64Array.from(y, (_, i) => i);
  const samples = { t, y: Float64Array.from(y), weight: new Float64Array(y.length).fill(1), count: y.length };
  expect(leaveOutHeldOverStop(samples, 9, 2)).toBe(kept.length < y.length);
  expect([...samples.y.subarray(0, samples.count)]).toEqual(kept);
});

it.each([
  ["over a stop", -10, 25, 0],
  ["over a stop, where readings come up to a second late", -10, 25, 1],
  ["from before a run until its stop, where they do", -35, 1, 1],
  ["from before a run until after its stop, where they do", -35, 14, 1],
])("makes no inflow of a level that is held %s", (_, from_s, to_s, late_s) => {
  const random = seededRandom(1);
  const [rest_s, run_s, step_m] = [900, 20, 0.002];
  const cycle_s = rest_s + run_s;
  const stops_s = 10 * cycle_s;
  const rates_lpm: number[] = [];
  const analyzer = createAnalyzer(smallSite, {
    sink: {
      cycle({ pumpRate }, stage) {
        if (stage === "settled" && pumpRate !== null) rates_lpm.push(60_000 * pumpRate.flow_m3s);
      },
    },
  });
  let last_m = 0.1;
  // Each 5 s the water rises by about half a step: a sound sensor says the same twice as often as not.
  for (let i = 0; 5 * i < 14 * cycle_s; i += 1) {
    const at_s = 2.5 + 5 * i + late_s * random.uniform();
    const phase_s = at_s % cycle_s;
    const water_m = phase_s < rest_s ? 0.1 + (0.2 * phase_s) / rest_s : 0.3 - (0.2 * (phase_s - rest_s)) / run_s;
    const isHeld = at_s > stops_s + from_s && at_s < stops_s + to_s;
    if (!isHeld) last_m = Math.round((water_m + random.normal(0.0007)) / step_m) * step_m;
    analyzer.push(reading(startTime_s + at_s, { level_m: last_m, pumpOn: phase_s >= rest_s }));
  }
  analyzer.finish();
  // 20 L in 900 s; and in 20 s, with what comes in meanwhile.
  expect(Math.min(...rates_lpm)).toBeGreaterThan(0.8 * 61.333);
  expect(Math.abs((analyzer.summary().inflow.peak["60"]?.lpm ?? 0) / 1.333 - 1)).toBeLessThan(0.02);
});

it("takes one reading too low after a stop for a spike, though a coarse sensor gave the last two of the run alike", () => {
  const random = seededRandom(2);
  const [rest_s, run_s, step_m] = [15, 30, 0.005];
  const cycle_s = rest_s + run_s;
  const analyzer = createAnalyzer(smallSite, {});
  let before_m = 0.1;
  let ran = false;
  for (let i = 0; 5 * i < 60 * cycle_s; i += 1) {
    const at_s = 0.5 + 5 * i;
    const phase_s = at_s % cycle_s;
    const on = phase_s >= rest_s;
    const water_m = on ? 0.3 - (0.2 * (phase_s - rest_s)) / run_s : 0.1 + (0.2 * phase_s) / rest_s;
    const isSpike: boolean = ran && !on && at_s > 50 * cycle_s && at_s < 54 * cycle_s;
    const isLast = on && phase_s + 5 >= cycle_s;
    const said_m = Math.round((water_m + random.normal(0.0007)) / step_m) * step_m;
    const level_m: number = isSpike ? 0.02 : isLast ? before_m : said_m;
    analyzer.push(reading(startTime_s + at_s, { level_m, pumpOn: on }));
    [before_m, ran] = [level_m, on];
  }
  analyzer.finish();
  // 20 L in 15 s.
  expect(Math.abs((analyzer.summary().inflow.peak["60"]?.lpm ?? 0) / 80 - 1)).toBeLessThan(0.1);
});
