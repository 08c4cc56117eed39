import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import type { AnalyzerState } from "../../../analysis/analyzer-state.ts";
import type { EndedRun, RestSummary } from "../../../analysis/cycles/ended-run.ts";
import { timeByReadings_s } from "../../../analysis/cycles/time-by-readings.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import { capabilityAt } from "../../../analysis/pump-flow/pump-capability.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { area_m2, inflow_m3s, pumpRate_m3s, reading, smallSite, startTime_s } from "../small-basin.ts";

const [start_m3, stop_m3] = [0.03, 0.01];

/** Read each `interval_s`, first `phase_s` after the start, of a run that takes `run_s`. */
function timed(run_s: number, interval_s: number, phase_s: number): number {
  const y: number[] = [];
  for (let t = phase_s; t < run_s; t += interval_s) y.push(start_m3 - ((start_m3 - stop_m3) * t) / run_s);
  const course = { t: new Float64Array(y.length), y: Float64Array.from(y), n: new Float64Array(y.length).fill(1) };
  const ended: Pick<EndedRun, "before" | "course"> = {
    before: { endVolume_m3: start_m3 } as RestSummary,
    course: { ...course, count: y.length },
  };
  return timeByReadings_s(ended, { startVolume_m3: stop_m3 } as RestSummary, { drainBack_m3: null }, interval_s);
}

describe("the time of runs by how often they are read", () => {
  it("is theirs in the mean, wherever the readings come", () => {
    for (const [run_s, interval_s] of [
      [8, 30],
      [20, 15],
      [37, 10],
    ] as const) {
      const phases = Array.from({ length: 300 }, (_, i) => ((i + 0.5) / 300) * interval_s);
      const mean_s = phases.reduce((sum, phase_s) => sum + timed(run_s, interval_s, phase_s), 0) / phases.length;
      expect(mean_s / run_s).toBeCloseTo(1, 1);
    }
  });
});

/** Thirty hours by the level alone, each 17 s; from the fourteenth hour on the pump moves `share` of what it did. */
function played(share: number) {
  const random = seededRandom(11);
  let [volume_m3, running] = [0.1 * area_m2, false];
  const told: Finding[] = [];
  const analyzer = createAnalyzer(smallSite, { sink: { finding: (finding) => told.push(finding) } });
  for (let t = 0; t < 30 * 3600; t += 1) {
    const moves_m3s = t < 14 * 3600 ? pumpRate_m3s : share * pumpRate_m3s;
    volume_m3 += inflow_m3s / 3 - (running ? moves_m3s : 0);
    if (volume_m3 >= 0.3 * area_m2) running = true;
    else if (volume_m3 <= 0.1 * area_m2) running = false;
    if (t % 17 === 0) analyzer.push(reading(startTime_s + t, { level_m: volume_m3 / area_m2 + random.normal(1e-3) }));
  }
  analyzer.finish();
  return { told, moves: capabilityAt((analyzer.snapshot() as AnalyzerState).tracker.capability, null) };
}

describe("the level alone, read too seldom to time a run", () => {
  it("tells what the pump moves by many runs together", () => {
    const { moves, told } = played(1);
    expect(told).toEqual([]);
    expect(Math.abs((moves?.flow_m3s ?? Number.NaN) - pumpRate_m3s)).toBeLessThan(2 * (moves?.uFlow_m3s ?? 0));
  });

  it("tells that it moves far less", () => {
    const [blocked] = played(0.5).told;
    expect(blocked?.kind).toBe("discharge-blocked");
    expect(blocked?.evidence.seen_over_runs).toBeGreaterThan(7);
    expect(Number(blocked?.evidence.pump_rate_now_m3s) / pumpRate_m3s).toBeCloseTo(0.5, 1);
  });
});
