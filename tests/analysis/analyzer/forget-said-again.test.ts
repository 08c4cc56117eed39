import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { randomOf } from "../../truth/random.ts";
import { area_m2, reading, smallSite, startTime_s } from "../small-basin.ts";

const hour_s = 3600;
/** 0.6 L/min: 20 L between the floats come in within 33 minutes. */
const inflow_m3s = 1e-5;
const pump_m3s = 1e-3;

/** A steady inflow, by the level alone, whose sensor freezes in the middle of a rest. */
function frozenInRest({ sd_m = 0.003, step_m = 0.0001, from_s = 9 * hour_s, for_s = 1500 }) {
  const random = randomOf("a level that freezes");
  const findings: Finding[] = [];
  const analyzer = createAnalyzer(smallSite, {
    sink: { finding: (finding, change) => change === "began" && findings.push(finding) },
  });
  let level_m = 0.1;
  let on = false;
  let said_m = 0;
  for (let t = 0; t < 14 * hour_s; t += 1) {
    on = on ? level_m > 0.1 : level_m >= 0.3;
    level_m += (inflow_m3s - (on ? pump_m3s : 0)) / area_m2;
    if (t % 5 !== 0) continue;
    const frozen = t > from_s && t < from_s + for_s;
    if (!frozen) said_m = Math.round((level_m + sd_m * random.normal()) / step_m) * step_m;
    analyzer.push(reading(startTime_s + t, { level_m: said_m }));
  }
  analyzer.finish();
  const { mean_lpm, peak } = analyzer.summary().inflow;
  const times = (lpm: number | null | undefined) => (lpm ?? Number.NaN) / 60_000 / inflow_m3s;
  return { mean: times(mean_lpm), minute: times(peak[60]?.lpm), tenMinutes: times(peak[600]?.lpm), findings };
}

describe("levels that a frozen sensor said again before that was known", () => {
  it.each([
    ["of coarse steps, many of them as the one before, each 5 s", { step_m: 0.005 }],
    ["that freezes for longer than a rest", { sd_m: 0.002, step_m: 0.004, from_s: 9.1 * hour_s, for_s: 5400 }],
  ])("are no inflow that stops and comes all at once: of a sensor %s", (_, sensor) => {
    const { mean, minute, tenMinutes, findings } = frozenInRest(sensor);
    expect(findings.map(({ kind, evidence }) => [kind, evidence.problem])).toEqual([["sensor-fault", "frozen"]]);
    expect(mean).toBeCloseTo(1, 1);
    expect(minute).toBeLessThan(1.5);
    expect(tenMinutes).toBeLessThan(1.15);
  });

  it("are the water's own, of a coarse sensor without noise, where it stops coming in for an hour at a time", () => {
    const findings: string[] = [];
    const analyzer = createAnalyzer(smallSite, {
      sink: { finding: ({ kind }, change) => change === "began" && findings.push(kind) },
    });
    let level_m = 0.1;
    let on = false;
    for (let t = 0; t < 24 * hour_s; t += 1) {
      on = on ? level_m > 0.1 : level_m >= 0.3;
      const comes_m3s = t % (4 * hour_s) < 3 * hour_s ? 0.6 * 0.001 * (area_m2 / 5) : 0;
      level_m += (comes_m3s - (on ? pump_m3s : 0)) / area_m2;
      if (t % 5 === 0)
        analyzer.push(reading(startTime_s + t, { level_m: Math.round(level_m / 0.001) * 0.001, pumpOn: on }));
    }
    analyzer.finish();
    expect(findings).toEqual([]);
  });
});
