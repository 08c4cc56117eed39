import { describe, expect, it } from "vitest";
import { analyse } from "../analyse.ts";
import { reading, siteWithCurve, startTime_s } from "../small-basin.ts";

/** Its published curve gives some 1.6 L/s on the discharge: the 20 L between the floats in 12 or 13 s. */
const site = siteWithCurve(1.6e-3);

/** Rests of `rest_s` and runs of `run_s`, read each minute for a day. */
function* eachMinute(rest_s: number, run_s: number, contact: boolean) {
  for (let after_s = 0; after_s < 86_400; after_s += 60) {
    const phase_s = after_s % (rest_s + run_s);
    const on = phase_s >= rest_s;
    const level_m = on ? 0.3 - (0.2 * (phase_s - rest_s)) / run_s : 0.1 + (0.2 * phase_s) / rest_s;
    yield reading(startTime_s + after_s, { level_m, pumpOn: contact ? on : null });
  }
}

describe("cycles that keep step with the readings", () => {
  // 28 L/min fill the basin in 42 s, and the pump empties it in 18 s: some 1440 cycles look like five in a day.
  it.each([
    ["level and contact, a little quicker than the readings,", 42.1, true],
    ["level and contact, a little slower, so that the level seems to fall at rest,", 42.5, true],
    ["the level alone", 42.1, false],
  ])("are told by %s to bring at least what they seem to, not so little", (_, rest_s, contact) => {
    const { summary, cycles } = analyse(site, eachMinute(rest_s, 17.7, contact));
    const { inflow, sizing, totals } = summary;
    expect(cycles.length).toBeGreaterThan(0);
    expect(inflow.mean_at_least).toBe(true);
    for (const peak of Object.values(inflow.peak)) expect(peak?.at_least ?? true).toBe(true);
    expect(sizing.verdict).toBe("not-enough-data");
    expect(totals.pumped_l).toBeNull();
    const whole = cycles.filter(({ run_s }) => run_s > 600);
    expect(whole.length).toBeGreaterThan(2);
    expect(whole.filter((cycle) => cycle.inflow !== null || cycle.pumpRate !== null)).toEqual([]);
  });

  it("are not taken for slow ones, nor these for them, where the pump is seen to empty the basin as it should", () => {
    const { inflow } = analyse(site, eachMinute(1807, 13, true)).summary;
    expect(inflow.mean_at_least).toBeUndefined();
    expect((inflow.mean_lpm ?? 0) / (1200 / 1807)).toBeCloseTo(1, 1);
  });
});
