import { describe, expect, it } from "vitest";
import { createAnalyzer } from "../../../analysis/analyzer.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";
import { reading, smallSite, startTime_s } from "../small-basin.ts";

interface Line {
  /** What else draws on the motor's line, in W: 15 minutes of each hour. */
  readonly fridge_w: number;
  /** What the motor draws, in W, so many days after the beginning. */
  motor_w(day: number): number;
}

/** Four days of the small basin in a trickle, without a level, its motor's power read each 5 s. */
function days({ fridge_w, motor_w }: Line, resumed = false) {
  const random = seededRandom(5);
  const cycles = new Set<number>();
  let takenBack = 0;
  const sink = {
    cycle: ({ startedAt_s }: { startedAt_s: number }) => cycles.add(startedAt_s),
    takenBack: () => {
      takenBack += 1;
      cycles.clear();
    },
  };
  let analyzer = createAnalyzer(smallSite, { sink });
  let [volume_m3, runs, starts] = [0.01, false, 0];
  for (let t = 0; t < 4 * 86_400; t += 1) {
    volume_m3 += 1.2e-6 - (runs ? 1.1e-3 : 0);
    if (!runs && volume_m3 >= 0.03) {
      runs = true;
      starts += 1;
    } else if (volume_m3 <= 0.01) runs = false;
    if (t % 5 !== 0) continue;
    const load_w = (runs ? motor_w(t / 86_400) : 0) + (t % 3600 > 2700 ? fridge_w : 0);
    analyzer.push(reading(startTime_s + t, { pumpPower_w: load_w * (1 + random.normal(0.01)) }));
    if (resumed && t === 40_000)
      analyzer = createAnalyzer(smallSite, { sink, resume: structuredClone(analyzer.snapshot()) });
  }
  analyzer.finish();
  return { starts, takenBack, cycles: cycles.size, summary: analyzer.summary() };
}

describe("what a fridge was counted for before the motor had shown itself", () => {
  const alone = days({ fridge_w: 0, motor_w: () => 900 });

  it.each([90, 130, 180])("is taken back, of %i W", (fridge_w) => {
    const { takenBack, starts, cycles, summary } = days({ fridge_w, motor_w: () => 900 });
    expect(takenBack).toBe(1);
    expect(starts).toBe(19);
    expect(summary.totals.starts).toBeGreaterThanOrEqual(starts - 4);
    expect(summary.totals.starts).toBeLessThanOrEqual(starts);
    expect(cycles).toBe(summary.totals.starts);
    expect(summary.inflow.mean_lpm).toBeCloseTo(alone.summary.inflow.mean_lpm ?? Number.NaN, 3);
    expect(summary.totals.run_s).toBeLessThan(20 * starts);
    expect(summary.span.rows).toBe((4 * 86_400) / 5);
    expect(summary.findings.filter(({ to }) => to === null)).toEqual([]);
  });

  it("is taken back alike after a restart", () => {
    const line = { fridge_w: 130, motor_w: () => 900 };
    expect(days(line, true)).toEqual(days(line));
  });

  it("is nothing where the motor is alone on its line, or another has been put in its place", () => {
    expect(alone.takenBack).toBe(0);
    expect(alone.summary.totals.starts).toBe(alone.starts);
    const replaced = days({ fridge_w: 0, motor_w: (day) => (day < 2 ? 150 : 600) });
    expect(replaced.takenBack).toBe(0);
    expect(replaced.summary.totals.starts).toBe(replaced.starts);
    const besideFridge = days({ fridge_w: 90, motor_w: (day) => (day < 2 ? 300 : 1300) });
    expect(besideFridge.takenBack).toBeLessThanOrEqual(1);
    expect(besideFridge.summary.totals.starts).toBeGreaterThan(besideFridge.starts / 2);
  });
});
