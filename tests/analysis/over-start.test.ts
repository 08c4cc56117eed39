import { describe, expect, it } from "vitest";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import { analyse } from "./analyse.ts";
import { courseAt, cycle_s, inflow_m3s, reading, rest_s, run_s, smallSite, startTime_s } from "./small-basin.ts";

/** Ten cycles of a contact alone; the fifth rest is `longer_s` longer, and `seen` says what else is read so long after its stop. */
function cyclesWith(longer_s: number, seen: (since_s: number) => Partial<Reading>): Cycle[] {
  const from_s = 4 * cycle_s;
  const readings = Array.from({ length: 10 * cycle_s + longer_s }, (_, t) => {
    const held = t >= from_s && t < from_s + rest_s + longer_s;
    const { pumpOn } = held ? { pumpOn: false } : courseAt(t < from_s ? t : t - longer_s);
    const beside = held ? seen(t - from_s) : {};
    return reading(startTime_s + t, { pumpOn, mainsOn: true, highFloat: false, ...beside });
  });
  return analyse(smallSite, readings).cycles;
}

const others = (cycles: readonly Cycle[]) => cycles.filter((_, i) => i !== 4).slice(1, -1);

describe("a rest in which the water rose over where the float closes, without a level", () => {
  it("has no inflow, and the run after it no rate, where the high float was lifted in it", () => {
    const cycles = cyclesWith(400, (since_s) => ({ highFloat: since_s > 350 }));
    expect(cycles[4]?.run_s).toBe(run_s);
    expect(cycles[4]?.inflow).toBeNull();
    expect(cycles[4]?.pumpRate).toBeNull();
    for (const { inflow } of others(cycles)) expect((inflow?.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 2);
  });

  it("and where the pump starts as soon as the supply is back", () => {
    const cycles = cyclesWith(400, (since_s) => ({ mainsOn: since_s < 100 || since_s >= rest_s + 398 }));
    expect(cycles[4]?.inflow).toBeNull();
    expect(cycles[4]?.pumpRate).toBeNull();
  });

  it("but not where the supply was back long before: then the float has closed by itself", () => {
    const cycles = cyclesWith(0, (since_s) => ({ mainsOn: since_s < 50 || since_s >= 100 }));
    expect((cycles[4]?.inflow?.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 2);
  });
});
