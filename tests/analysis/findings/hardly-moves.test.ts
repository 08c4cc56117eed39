// A discharge that lets hardly anything through, while the water in the basin still falls, slowly, for twenty minutes.

import { describe, expect, it } from "vitest";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { area_m2, reading, smallSite, startTime_s } from "../small-basin.ts";

const inflow_m3s = 1e-5;
const [low_m, high_m] = [0.1, 0.3];
const rest_s = ((high_m - low_m) * area_m2) / inflow_m3s;
/** So many that runs of 20 s, read half a minute apart, tell together what the pump moves. */
const usual = { run_s: 20, cycles: 40 };
const blocked = { run_s: 1200, cycles: 3 };
const blockedFrom_s = usual.cycles * (rest_s + usual.run_s) + rest_s;

function readings(interval_s: number): Reading[] {
  const random = seededRandom(5);
  const found: Reading[] = [];
  let begins_s = 0;
  let at_s = 0;
  for (const { run_s, cycles } of [usual, blocked]) {
    for (let i = 0; i < cycles; i += 1) {
      for (; at_s < begins_s + rest_s + run_s; at_s += interval_s) {
        const phase_s = at_s - begins_s;
        const pumpOn = phase_s >= rest_s;
        const gone = pumpOn ? (phase_s - rest_s) / run_s : 1 - phase_s / rest_s;
        const level_m = high_m - (high_m - low_m) * gone + random.normal(0.001);
        found.push(reading(startTime_s + at_s, { level_m, pumpOn }));
      }
      begins_s += rest_s + run_s;
    }
  }
  return found;
}

describe.each([1, 10, 30])("hardly anything is moved, read every %s s", (interval_s) => {
  const { said, summary } = analyse(smallSite, readings(interval_s));

  it("is told of the first such run, though the water falls", () => {
    const [begun] = said.findings.filter(
      ({ finding, change }) => finding.kind === "discharge-blocked" && change === "began",
    );
    expect(begun).toBeDefined();
    expect((begun?.finding.from_s ?? 0) - startTime_s).toBeGreaterThan(blockedFrom_s);
    expect((begun?.finding.from_s ?? 0) - startTime_s).toBeLessThan(blockedFrom_s + blocked.run_s + 1500);
  });

  it("makes no storm of what the pump does not move", () => {
    // 0.6 L/min come in, always.
    expect(summary.inflow.mean_lpm).toBeGreaterThan(0.59);
    expect(summary.inflow.mean_lpm).toBeLessThan(0.61);
    expect(summary.inflow.peak["600"]?.lpm).toBeLessThan(0.7);
    expect(summary.findings.map(({ kind }) => kind)).toEqual(["discharge-blocked"]);
  });
});
