import { describe, expect, it } from "vitest";
import {
  beginningOfRest,
  newSeldomReturn,
  noteBeginning,
  type RestBeginning,
  seldomReturn_m3,
} from "../../../analysis/inflow/seldom-return.ts";

const stop_m3 = 0.02;

/** Rests of 20 minutes read every 30 s, the first so long after the stop; 7 L come back within 10 s. */
function rest(first_s: number, back_m3 = 0.007, last_m3: number | null = null): RestBeginning | null {
  const t = Float64Array.from({ length: 40 }, (_, i) => first_s + 30 * i);
  const y = t.map((time_s) => stop_m3 + back_m3 * Math.min(1, time_s / 10) + 2e-5 * time_s);
  return beginningOfRest({ t, y, weight: t.map(() => 1), count: t.length }, last_m3, stop_m3, 30);
}

function after(rests: readonly (RestBeginning | null)[]): number {
  const state = newSeldomReturn();
  for (const one of rests) if (one !== null) noteBeginning(state, one);
  return seldomReturn_m3(state);
}

const firsts_s = Array.from({ length: 40 }, (_, i) => 30 * ((i * 0.618) % 1));

describe("water that is back before the next reading", () => {
  it("shows by the readings that happen to fall about a stop: somewhat less than the 7 L that come back", () => {
    const found_m3 = after(firsts_s.map((first_s) => rest(first_s)));
    expect(found_m3).toBeGreaterThan(0.005);
    expect(found_m3).toBeLessThanOrEqual(0.007);
  });

  it("shows by the last readings of runs, too", () => {
    const seen = firsts_s.map((first_s, i) => rest(10 + (first_s * 2) / 3, 0.007, i % 8 === 0 ? 0.0205 : 0.03));
    expect(after(seen)).toBeCloseTo(0.0065, 4);
  });

  it("is none behind a sound valve, nor where single rests have water poured in, or spikes lie under the stop level", () => {
    expect(after(firsts_s.map((first_s) => rest(first_s, 0.0004)))).toBeLessThan(0.001);
    expect(after(firsts_s.map((first_s, i) => rest(first_s, i % 5 === 0 ? 0.012 : 0.0004)))).toBeLessThan(0.001);
    expect(after(firsts_s.map((first_s, i) => rest(first_s, (i % 7) * 0.002)))).toBe(0);
    expect(after(firsts_s.map((first_s, i) => rest(first_s, 0.0004, i % 8 === 0 ? 0.012 : null)))).toBeLessThan(0.001);
  });

  it("is not known before a dozen rests, nor of rests too short to show their line", () => {
    expect(after(firsts_s.slice(0, 11).map((first_s) => rest(first_s)))).toBe(0);
    const t = Float64Array.of(5, 35, 65);
    const short = { t, y: t.map(() => 0.02), weight: t.map(() => 1), count: 3 };
    expect(beginningOfRest(short, null, stop_m3, 30)).toBeNull();
  });
});
