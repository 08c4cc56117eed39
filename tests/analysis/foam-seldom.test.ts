// Foam on the water, of which levels far apart show little: they are scattered by more than water can be, for two hours.

import { describe, expect, it } from "vitest";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import { analyse } from "./analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "./small-basin.ts";

const foam = { from_s: 40_000, to_s: 47_200 };

/** Sixteen hours, 1 L/min, a level and a contact every so many seconds. */
function readings(every_s: number, foam_m: number, seed = 1) {
  const random = seededRandom(seed);
  const found = [];
  let [level_m, pumpOn] = [0.1, false];
  for (let time_s = 0; time_s < 57_600; time_s += 1) {
    level_m += 1 / 60_000 / area_m2 - (pumpOn ? 0.01 : 0);
    if (level_m >= 0.3) pumpOn = true;
    if (level_m <= 0.1) pumpOn = false;
    if (time_s % every_s !== 0) continue;
    const noise_m = time_s >= foam.from_s && time_s < foam.to_s ? foam_m : 0.001;
    found.push(reading(startTime_s + time_s, { level_m: level_m + random.normal(noise_m), pumpOn }));
  }
  return found;
}

describe("foam on the water", () => {
  it.each([10, 15, 30])("is told, read every %i s, as a level that jumps about, and as nothing else", (every_s) => {
    const { findings } = analyse(smallSite, readings(every_s, 0.09)).summary;
    expect(findings).toMatchObject([{ kind: "sensor-fault", evidence: { channel: "level", problem: "implausible" } }]);
    const from_s = Date.parse(findings[0]?.from ?? "") / 1000 - startTime_s;
    expect(from_s).toBeGreaterThan(foam.from_s);
    expect(from_s).toBeLessThan(foam.to_s);
  });

  it.each([
    [30, 1],
    [30, 2],
  ])("is no water, and no pump that starts too often: read every %i s (%i)", (every_s, seed) => {
    const { inflow, findings } = analyse(smallSite, readings(every_s, 0.09, seed)).summary;
    expect(Math.abs((inflow.mean_lpm ?? 0) - 1)).toBeLessThan(0.05);
    expect(inflow.peak["3600"]?.lpm).toBeLessThan(1.3);
    expect(findings.filter(({ kind }) => kind !== "sensor-fault")).toEqual([]);
  });

  it.each([
    [10, 1],
    [10, 2],
    [15, 1],
    [15, 3],
    [30, 6],
  ])("is told as nothing else by the level alone, read every %i s (%i)", (every_s, seed) => {
    const alone = readings(every_s, 0.09, seed).map((each) => ({ ...each, pumpOn: null }));
    const { findings } = analyse(smallSite, alone).summary;
    expect(findings).toMatchObject([{ kind: "sensor-fault", evidence: { channel: "level", problem: "implausible" } }]);
  });

  it.each([10, 15, 30, 60])("is not told of a level that is well, read every %i s", (every_s) => {
    expect(analyse(smallSite, readings(every_s, 0.001)).summary.findings).toEqual([]);
  });
});
