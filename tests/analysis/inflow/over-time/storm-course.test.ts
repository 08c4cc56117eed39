import { describe, expect, it } from "vitest";
import type { Reading } from "../../../../analysis/readings/reading.ts";
import { drawnBasin } from "../../../truth/drawn-basin.ts";
import { play } from "../../../truth/play.ts";
import { randomOf } from "../../../truth/random.ts";
import { analyse, finalCycles } from "../../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../../small-basin.ts";

const pump_m3s = 1e-3;
/** The ground's own level: towards it the inflow slows as the basin fills. */
const ground_m = 0.36;
const storm_s = 3 * 3600;

/** Five hours each second; `half` says how much of what the pump moves comes in at half-way between the floats. */
function fromTheGround(half: (t: number) => number) {
  const random = randomOf("water of the ground in a storm");
  const readings: Reading[] = [];
  let [level_m, on, pumped_m3] = [0.2, false, 0];
  for (let t = 0; t < 5 * 3600; t += 1) {
    const inflow_m3s = (half(t) * pump_m3s * (ground_m - level_m)) / (ground_m - 0.2);
    level_m += (inflow_m3s - (on ? pump_m3s : 0)) / area_m2;
    if (level_m >= 0.3) on = true;
    else if (level_m <= 0.1) on = false;
    pumped_m3 += on ? pump_m3s : 0;
    readings.push(reading(startTime_s + t, { level_m: level_m + 0.0015 * random.normal(), pumpOn: on }));
  }
  return { readings, pumped_m3 };
}

/** After three hours nine times as much comes in. */
const rising = (t: number) => 0.4 * Math.min(1, Math.max(1 / 9, (t - storm_s) / 1200));

describe("a storm of the ground's water, which comes in faster while the basin is low", () => {
  it("does not make less of what the pump moves", () => {
    const cycles = finalCycles(analyse(smallSite, fromTheGround(rising).readings).said);
    const inStorm = cycles.filter(({ startedAt_s }) => startedAt_s > startTime_s + storm_s + 1800);
    const rates = inStorm.flatMap(({ pumpRate }) => (pumpRate === null ? [] : [pumpRate]));
    expect(rates.length).toBeGreaterThan(50);
    const mean_m3s = rates.reduce((sum, { flow_m3s }) => sum + flow_m3s, 0) / rates.length;
    expect(Math.abs(mean_m3s / pump_m3s - 1)).toBeLessThan(0.12);
    const covered = rates.filter(({ flow_m3s, uFlow_m3s }) => Math.abs(flow_m3s - pump_m3s) < 2 * uFlow_m3s);
    expect(covered.length / rates.length).toBeGreaterThan(0.9);
  });

  it("has counted what the pump moved while it could not bring the water down, not what it seems to at either end", () => {
    const passing = (t: number) => 0.05 + 0.85 * Math.max(0, Math.min(1, (t - 7200) / 900, (14_400 - t) / 900));
    const { readings, pumped_m3 } = fromTheGround(passing);
    const { totals, inflow } = analyse(smallSite, readings).summary;
    expect(Math.abs((totals.pumped_l ?? 0) / (1000 * pumped_m3) - 1)).toBeLessThan(0.02);
    expect((inflow.peak["3600"]?.lpm ?? 0) / (60_000 * pump_m3s)).toBeCloseTo(1, 1.3);
  });
});

describe("water of the ground that moves with the level alone, read each 10 s", () => {
  it("is no storm: it is least just before a run and most just after it, as the level lets it", () => {
    const random = randomOf("water of the ground, seldom read");
    const readings: Reading[] = [];
    let [level_m, on, volume_m3, pumped_m3] = [0.2, false, 0, 0];
    const hours = 6;
    for (let t = 0; t < hours * 3600; t += 1) {
      const inflow_m3s = (0.18 * pump_m3s * (ground_m - level_m)) / (ground_m - 0.1);
      volume_m3 += inflow_m3s;
      level_m += (inflow_m3s - (on ? pump_m3s : 0)) / area_m2;
      if (level_m >= 0.3) on = true;
      else if (level_m <= 0.1) on = false;
      pumped_m3 += on ? pump_m3s : 0;
      if (t % 10 === 0)
        readings.push(reading(startTime_s + t, { level_m: level_m + 0.001 * random.normal(), pumpOn: on }));
    }
    const { summary, said } = analyse(smallSite, readings);
    const { inflow, totals } = summary;
    expect(Math.abs((totals.pumped_l ?? 0) / (1000 * pumped_m3) - 1)).toBeLessThan(0.02);
    // By the last reading in a run the water was drawn down by a quarter less: what came in would weigh as if it lingered low.
    const rates = finalCycles(said).flatMap(({ pumpRate }) => (pumpRate === null ? [] : [pumpRate.flow_m3s]));
    expect(rates.length).toBeGreaterThan(50);
    expect(Math.abs(rates.reduce((sum, flow_m3s) => sum + flow_m3s, 0) / rates.length / pump_m3s - 1)).toBeLessThan(
      0.01,
    );
    const mean_lpm = (60_000 * volume_m3) / (hours * 3600);
    expect(Math.abs((inflow.mean_lpm ?? 0) / mean_lpm - 1)).toBeLessThan(0.015);
    expect(Math.abs((inflow.mean_lpm ?? 0) - mean_lpm)).toBeLessThan(inflow.mean_u95_lpm ?? 0);
  });
});

it("brings in no more than lies between the levels of a rest, one of which its sensor read 7 cm low and held", () => {
  const { plan } = drawnBasin(56, "dec26");
  const { readings, truth } = play({ ...plan, days: 1.2 }, "drawn", 56);
  const { inflow } = analyse(plan.site, [...readings]).summary;
  expect((inflow.peak["600"]?.lpm ?? 0) / (60_000 * truth().peak_m3s[600])).toBeLessThan(1.2);
});
