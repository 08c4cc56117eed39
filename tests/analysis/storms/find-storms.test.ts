import { describe, expect, it } from "vitest";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import { findStorms } from "../../../analysis/storms/find-storms.ts";
import type { RainStretch } from "../../../analysis/storms/rain.ts";
import { randomOf } from "../../truth/random.ts";
import { lpm } from "./wet-ground.ts";

const hour_s = 3600;
const day_s = 86_400;

/** Stretches of uneven length of a flow in L/min by time in seconds, with 1 % of noise. */
function logged(flow_lpm: (time_s: number) => number, days: number, seed = "storm"): InflowStretch[] {
  const random = randomOf("find-storms", seed);
  const stretches: InflowStretch[] = [];
  for (let from_s = 0; from_s < days * day_s; ) {
    const to_s = from_s + random.between(40, 400);
    const mean = (flow_lpm(from_s) + 4 * flow_lpm((from_s + to_s) / 2) + flow_lpm(to_s)) / 6;
    stretches.push({
      from_s,
      to_s,
      inflow_m3s: mean * lpm * (1 + 0.01 * random.normal()),
      uInflow_m3s: 0.01 * mean * lpm,
    });
    from_s = to_s;
  }
  return stretches;
}

/** Rises in a straight line for two hours, then fades with a time constant of three. */
function storm(time_s: number, from_s: number, peak_lpm: number): number {
  const after_s = time_s - from_s;
  if (after_s < 0) return 0;
  return after_s < 2 * hour_s
    ? (peak_lpm * after_s) / (2 * hour_s)
    : peak_lpm * Math.exp(-(after_s - 2 * hour_s) / (3 * hour_s));
}

describe("findStorms", () => {
  const one = findStorms(
    logged((t) => 1 + storm(t, day_s, 10), 4),
    null,
  );

  it("finds one storm with its beginning, peak, base, volume and recession", () => {
    expect(one.storms.length).toBe(1);
    const [found] = one.storms;
    if (found === undefined) throw new Error("no storm");
    expect(Math.abs(found.from_s - day_s)).toBeLessThan(0.4 * hour_s);
    expect(found.rise_s / hour_s).toBeCloseTo(2, 0);
    expect(found.base_m3s / lpm).toBeCloseTo(1, 1);
    // 10 L/min at the top, whose ten minutes are about 10.8 in the mean with the base; 600 L and 1800 L make the volume.
    expect(found.peaks[600]?.inflow_m3s ?? 0).toBeGreaterThan(10.6 * lpm);
    expect(found.volume_m3).toBeGreaterThan(0.95 * 2.4);
    expect(found.volume_m3).toBeLessThan(1.03 * 2.4);
    expect(Math.abs(found.volume_m3 - 2.4)).toBeLessThan(2.5 * found.uVolume_m3);
    expect(found.ended).toBe("back-to-base");
    const { recession } = found;
    expect(Math.abs((recession?.constant_s ?? 0) - 3 * hour_s)).toBeLessThan(2 * (recession?.uConstant_s ?? 0));
  });

  it("parts two storms, the second in the first one's recession, and carries that on beneath it", () => {
    const flow = (t: number) => 1 + storm(t, day_s, 10) + storm(t, day_s + 7 * hour_s, 12);
    const { storms } = findStorms(logged(flow, 4), null);
    expect(storms.map(({ ended }) => ended)).toEqual(["next-storm", "back-to-base"]);
    const [first, second] = storms;
    expect(first?.volume_m3).toBeCloseTo(2.4, 0);
    expect(second?.volume_m3).toBeCloseTo(2.88, 0);
    expect(first?.tailShare).toBeGreaterThan(0.05);
    expect((second?.base_m3s ?? 0) / lpm).toBeGreaterThan(2);
    expect((second?.calm_m3s ?? 0) / lpm).toBeCloseTo(1, 1);
  });

  it("takes no washing machine, softener or day's rhythm for a storm", () => {
    const washes = (t: number) => (t % (2 * day_s) < 3600 && t % 900 < 60 ? 15 : 0);
    const softener = (t: number) => (t % (3 * day_s) > 7200 && t % (3 * day_s) < 7200 + 2400 ? 2.5 : 0);
    const flow = (t: number) => 1 + 0.1 * Math.sin((2 * Math.PI * t) / day_s) + washes(t) + softener(t);
    expect(findStorms(logged(flow, 9), null).storms).toEqual([]);
  });

  it("takes a rise without rain for none where the rain is known", () => {
    const inflow = logged((t) => 1 + storm(t, day_s, 10), 4);
    const dry: RainStretch[] = [{ from_s: 0, to_s: 4 * day_s, rain_m: 0 }];
    expect(findStorms(inflow, dry).storms).toEqual([]);
  });

  it("gives a storm its rain, the catchment that it speaks for, and the delay", () => {
    const inflow = logged((t) => 1 + storm(t, day_s, 10), 4);
    const rain: RainStretch[] = [
      { from_s: 0, to_s: day_s - 0.5 * hour_s, rain_m: 0 },
      { from_s: day_s - 0.5 * hour_s, to_s: day_s + 1.5 * hour_s, rain_m: 0.03 },
      { from_s: day_s + 1.5 * hour_s, to_s: 4 * day_s, rain_m: 0 },
    ];
    const found = findStorms(inflow, rain).storms[0]?.rain;
    expect(found?.depth_m).toBeCloseTo(0.03, 6);
    expect(found?.centroid_s).toBe(day_s + 0.5 * hour_s);
    expect(found?.wettestHour_m).toBeCloseTo(0.015, 6);
    expect(found?.catchment_m2).toBeCloseTo(80, -1);
    expect((found?.lagOfPeak_s ?? 0) / hour_s).toBeCloseTo(1.5, 0);
    // Middle of mass of the triangle and the tail: (0.25 · 1.33 h + 0.75 · 5 h) after the beginning, half an hour after the rain's.
    expect((found?.lagOfCentroid_s ?? 0) / hour_s).toBeCloseTo(3.6, 0);
  });

  it("does not say what rain a storm had when the gauge was off", () => {
    const inflow = logged((t) => 1 + storm(t, day_s, 10), 4);
    const off: RainStretch[] = [{ from_s: 2 * day_s, to_s: 4 * day_s, rain_m: 0 }];
    const { storms } = findStorms(inflow, off);
    expect(storms.map(({ rain }) => rain)).toEqual([null]);
  });

  it("reaches no peak across a gap, and says how long a storm was not seen", () => {
    const inflow = logged((t) => 1 + storm(t, day_s, 10), 4).filter(
      ({ from_s }) => from_s < day_s + 1.5 * hour_s || from_s > day_s + 2.5 * hour_s,
    );
    const [found] = findStorms(inflow, null).storms;
    expect(found?.unseen_s).toBeGreaterThan(0.7 * hour_s);
    expect((found?.peaks[600]?.inflow_m3s ?? 0) / lpm).toBeLessThan(9.8);
  });

  it("works on daily flows as on minutes, and has nothing to say of nothing", () => {
    const daily = Array.from({ length: 60 }, (_, day) => ({
      from_s: day * day_s,
      to_s: (day + 1) * day_s,
      inflow_m3s: (1 + (day >= 20 ? 20 * Math.exp(-(day - 20) / 4) : 0)) * lpm,
      uInflow_m3s: 0.02 * lpm,
    }));
    const { storms } = findStorms(daily, null);
    expect(storms.length).toBe(1);
    expect((storms[0]?.recession?.constant_s ?? 0) / day_s).toBeCloseTo(4, 0);
    expect(findStorms([], null)).toEqual({ storms: [], masterRecession: null, course: null });
  });
});
