import { describe, expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { courseReadings, cycle_s, inflow_m3s, pumpRate_m3s, smallSite } from "./small-basin.ts";

/** The course of the small basin by a sensor that follows the water with so long a time constant, read every second. */
function slowReadings(lag_s: number, cycles: number) {
  const random = seededRandom(3);
  let seen_m = Number.NaN;
  return courseReadings(cycles * cycle_s).map((reading) => {
    const level_m = reading.level_m as number;
    seen_m = Number.isNaN(seen_m) ? level_m : seen_m + (level_m - seen_m) * (1 - Math.exp(-1 / lag_s));
    return { ...reading, level_m: seen_m + random.normal(0.0005) };
  });
}

describe("a level sensor that is slow by 3 s", () => {
  const { cycles, said } = analyse(smallSite, slowReadings(3, 40));
  const later = cycles.slice(12);

  it("is found by what it shows after each stop, and spoils neither what the pump moves nor the inflow", () => {
    const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
    const rate_m3s = mean(later.flatMap(({ pumpRate }) => pumpRate?.flow_m3s ?? []));
    const flow_m3s = mean(later.flatMap(({ inflow }) => inflow?.flow_m3s ?? []));
    // Left as it is the fall of a run of 20 s would look 8 % too slow.
    expect(Math.abs(rate_m3s / pumpRate_m3s - 1)).toBeLessThan(0.025);
    expect(Math.abs(flow_m3s / inflow_m3s - 1)).toBeLessThan(0.003);
  });

  it("hides what runs back: nothing is said of it, and nothing else is found", () => {
    expect(later.every(({ drainBack_m3 }) => drainBack_m3 === null)).toBe(true);
    expect(said.findings).toEqual([]);
  });

  it("shows where the float opens, by the rests", () => {
    for (const { stopLevel_m } of later.slice(0, -1)) expect(Math.abs((stopLevel_m ?? 0) - 0.1)).toBeLessThan(0.02);
  });
});
