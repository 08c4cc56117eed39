import { describe, expect, it } from "vitest";
import { cameInBetween, type Standing } from "../../../../analysis/inflow/seldom-readings/between-readings.ts";

const pump = { stop_m3: 0.01, active_m3: 0.02, pump_m3s: 1e-3 };
const fall_m3 = 0.12 * pump.active_m3;

/** From a volume on, second by second. */
function after(length_s: number, from: Standing, inflow_m3s: number) {
  let { volume_m3, on } = from;
  const starts: number[] = [];
  for (let t = 0; t < length_s; t += 0.1) {
    volume_m3 += 0.1 * (inflow_m3s - (on ? pump.pump_m3s : 0));
    if (!on && volume_m3 >= pump.stop_m3 + pump.active_m3) {
      on = true;
      starts.push(t);
    }
    if (on && volume_m3 <= pump.stop_m3) on = false;
  }
  return { to: { time_s: from.time_s + length_s, volume_m3, on }, starts: starts.length };
}

describe("what came in between two readings", () => {
  const from = (share: number, on: boolean): Standing => ({
    time_s: 1000,
    volume_m3: pump.stop_m3 + share * pump.active_m3,
    on,
  });

  it("follows from rise and run, whichever of rest and run each reading is of", () => {
    const seen = new Set<string>();
    for (const on of [false, true]) {
      for (const share of [0.1, 0.5, 0.8, 0.97]) {
        for (const inflow_m3s of [2e-5, 1e-4, 2.2e-4]) {
          const first = from(share, on);
          const { to, starts } = after(60, first, inflow_m3s);
          if (starts > 1) continue;
          seen.add(`${on} ${to.on} ${starts}`);
          const { volume_m3, pumped_m3, starts: started } = cameInBetween(first, to, pump, fall_m3);
          expect(started).toBe(starts > 0);
          expect(Math.abs(volume_m3 - 60 * inflow_m3s)).toBeLessThan(0.08 * pump.active_m3);
          expect(volume_m3 - pumped_m3).toBeCloseTo(to.volume_m3 - first.volume_m3, 9);
        }
      }
    }
    expect(seen).toContain("false false 1");
    expect(seen).toContain("false true 1");
    expect(seen).toContain("true false 0");
  });

  it("is nothing of a fall at rest with no time for a run, as of a slow sensor after the stop", () => {
    const after = { ...from(0.1, false), time_s: 1030 };
    expect(cameInBetween(from(0.4, false), after, pump, fall_m3).pumped_m3).toBe(0);
    expect(cameInBetween(from(0.4, false), { ...after, time_s: 1060 }, pump, fall_m3).pumped_m3).toBeGreaterThan(0);
  });

  it("takes no pump for faster than it is where a level is wrong", () => {
    const { volume_m3 } = cameInBetween(from(0.5, false), { time_s: 1060, volume_m3: 0, on: true }, pump, fall_m3);
    expect(volume_m3).toBeLessThan(2 * pump.active_m3);
  });
});
