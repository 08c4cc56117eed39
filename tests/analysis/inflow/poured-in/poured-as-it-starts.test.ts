// A bucket whose water starts the pump, read each 5 s: between the last reading of the rest and the first of the run.

import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../../analysis/analyzer.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "../../small-basin.ts";

/**
 * @param pours    what is poured in, in the 28th cycle from when the basin lacks 4 L; m³/s and how long
 * @param closesAt_m3 how much is stored then when the float closes
 */
function highest(pours: { flow_m3s: number; lasts_s: number }, closesAt_m3: number, phase: number) {
  let [stored_m3, pumpOn, on_s, cycles, pouredFor_s] = [0.01, false, 0, 0, 0];
  const every_s = 0.1;
  const analyzer = createAnalyzer(smallSite);
  for (let i = 0; i < 72_000; i += 1) {
    const begins = cycles === 27 && !pumpOn && stored_m3 >= 0.026;
    const pouring = (begins || pouredFor_s > 0) && pouredFor_s < pours.lasts_s;
    if (pouring) pouredFor_s += every_s;
    const out_m3s = pumpOn && on_s > 0.5 ? pumpRate_m3s : 0;
    stored_m3 += (inflow_m3s + (pouring ? pours.flow_m3s : 0) - out_m3s) * every_s;
    on_s = pumpOn ? on_s + every_s : 0;
    if (!pumpOn && stored_m3 >= (cycles === 27 ? closesAt_m3 : 0.03)) {
      pumpOn = true;
      cycles += 1;
    }
    if (stored_m3 <= 0.01) pumpOn = false;
    const level_m = stored_m3 / area_m2 + 0.001 * Math.sin(37 * i * i);
    if (i % 50 === phase) analyzer.push(reading(startTime_s + i * every_s, { level_m, pumpOn }));
  }
  analyzer.finish();
  const { lpm = Number.NaN, u95_lpm = Number.NaN } = analyzer.summary().inflow.peak["600"] ?? {};
  return { lpm, u95_lpm };
}

/** Of the readings, in tenths of a second: none of the rest shows what is poured in. */
const phases = [15, 21, 27, 33, 39, 45];
const calm_lpm = 60_000 * inflow_m3s;

describe("water that is poured in and starts the pump between two readings", () => {
  it("counts as what the run shows of it, as well as that tells", () => {
    // 9 L within 3 s.
    const true_lpm = calm_lpm + 0.9;
    const found = phases.map((phase) => highest({ flow_m3s: 3e-3, lasts_s: 3 }, 0.03, phase));
    for (const { lpm, u95_lpm } of found) expect(Math.abs(lpm - true_lpm)).toBeLessThan(u95_lpm);
    const mean_lpm = found.reduce((sum, { lpm }) => sum + lpm, 0) / found.length;
    expect(Math.abs(mean_lpm - true_lpm)).toBeLessThan(0.3);
  });

  it("is none where the float closes far lower by itself: the run shows no more water", () => {
    for (const phase of phases) {
      const { lpm } = highest({ flow_m3s: 0, lasts_s: 0 }, 0.02, phase);
      expect(Math.abs(lpm / calm_lpm - 1)).toBeLessThan(0.04);
    }
  });
});
