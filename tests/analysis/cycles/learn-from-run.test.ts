import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { learnTogether } from "../../../analysis/cycles/learn-from-run.ts";
import type { TrackerContext } from "../../../analysis/cycles/tracker-context.ts";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import { newCapability } from "../../../analysis/pump-flow/capability-state.ts";
import { longerRuns } from "../../../analysis/pump-flow/longer-runs.ts";
import { newPumpHistory } from "../../../analysis/pump-flow/pump-history.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { analyse } from "../analyse.ts";
import { flow, quietCycle } from "../findings/view.ts";
import { silentOutput } from "../silent-output.ts";
import { area_m2, courseAt, pumpRate_m3s, reading, smallSite, startTime_s } from "../small-basin.ts";

/**
 * The small basin in a trickle whose cycles are no whole number of readings, read every half minute; for so long the float is
 * stuck up, and the pump finds no water.
 */
function trickle(stuckFor_s: number) {
  const random = seededRandom(3);
  const readings = [];
  let [level_m, pumpOn] = [0.12, false];
  const isStuck = (t: number) => t >= 86_400 && t < 86_400 + stuckFor_s;
  for (let t = 0; t < 2 * 86_400; t += 1) {
    level_m = Math.max(0.06, level_m + (8.65e-6 - (pumpOn ? pumpRate_m3s : 0)) / area_m2);
    if (isStuck(t) || level_m >= 0.3) pumpOn = true;
    else if (level_m <= 0.1) pumpOn = false;
    if (t % 30 === 0) readings.push(reading(startTime_s + t, { level_m: level_m + random.normal(0.001), pumpOn }));
  }
  const { sizing, inflow } = analyse(smallSite, readings).summary;
  return (sizing.margin ?? Number.NaN) * (inflow.peak["600"]?.lpm ?? Number.NaN);
}

describe("what runs of unknown length teach together of the pump", () => {
  it("do not say what it moves where all of them are read at the same points", () => {
    // Cycles of 220 s are twenty readings 11 s apart, and of each run of 20 s the contact shows as many.
    for (const first_s of [1, 6, 12, 19]) {
      const readings = [];
      for (let t = first_s; t < 2 * 86_400; t += 11) readings.push(reading(startTime_s + t, courseAt(t)));
      const analyzer = createAnalyzer(smallSite);
      for (const each of readings) analyzer.push(each);
      const { pumpRate } = analyzer.situation();
      if (pumpRate !== null)
        expect(Math.abs(pumpRate.flow_m3s - pumpRate_m3s)).toBeLessThan(2 * pumpRate.uFlow_m3s + 0.01 * pumpRate_m3s);
    }
  });

  it("leaves out the time that a float which is stuck up made it run dry", () => {
    const moves_lpm = pumpRate_m3s * 60_000;
    // Some seventy runs of 18 s by readings 30 s apart: each is known to 14 s, all together to a tenth. The time in which
    // it ran dry is five times as long as all of them.
    for (const stuckFor_s of [0, 5400]) {
      expect(trickle(stuckFor_s) / moves_lpm).toBeGreaterThan(0.8);
      expect(trickle(stuckFor_s) / moves_lpm).toBeLessThan(1.25);
    }
  });

  it("counts what ran back as lifted: a leaking valve makes no pump that moves far less", () => {
    const lifts_m3 = 8 * 15 * pumpRate_m3s;
    const afterLeak = (toldBack_m3: number | null) => {
      const learned = { capability: newCapability(), history: newPumpHistory() };
      for (let run = 1; run <= 80; run += 1) {
        // Half of it runs back from the fortieth run on.
        const leaks = run > 40;
        const inflow = { ...flow((leaks ? lifts_m3 / 2 : lifts_m3) / 300), method: "fill-slope" } as const;
        const at = { inflow, time_s: 0 };
        const after = { inflow, rest_s: 300, startVolume_m3: 0, endVolume_m3: lifts_m3, first: at, last: at };
        const context: TrackerContext = {
          basin: smallSite.basin,
          geometry: basinGeometry(smallSite.basin.geometry),
          interval_s: 10,
          longInterval_s: 10,
          inferred: false,
          typicalRun_s: 15,
          hasLevel: true,
          resolution_m: 0.001,
          // Of runs of 15 s, readings 10 s apart show one as often as two.
          signalRun_s: 10 * Math.floor(1.5 * run),
          output: silentOutput,
        };
        const cycle = { ...quietCycle, run_s: 0, pumpRate: null, drainBack_m3: leaks ? toldBack_m3 : null };
        learnTogether(learned, context, cycle, { ...after, sampleSd_m3: 0 }, { wet_s: 15, before: null, course: null });
      }
      return longerRuns(learned.history.longer);
    };
    expect(afterLeak(null)).not.toBeNull();
    expect(afterLeak(lifts_m3 / 2)).toBeNull();
  });
});
