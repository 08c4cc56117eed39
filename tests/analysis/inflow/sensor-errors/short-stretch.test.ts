import { describe, expect, it } from "vitest";
import {
  learnShortStretches,
  newShortStretch,
  type ShortStretchState,
  singleSd_m3,
  uSlopeOver,
} from "../../../../analysis/inflow/sensor-errors/short-stretch.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";

const sd_m3 = 1e-4;
const inflow_m3s = 2e-5;

/** Twenty rests of ten minutes, read every second; errors that are forgotten within `forget_s`. */
function learned(forget_s: number, pours = false, length_s = 16): ShortStretchState {
  const state = { ...newShortStretch(), length_s };
  const random = seededRandom(3);
  const keep = forget_s === 0 ? 0 : Math.exp(-1 / forget_s);
  for (let rest = 0; rest < 40; rest += 1) {
    let off = random.normal(sd_m3);
    const t = Float64Array.from({ length: 600 }, (_, i) => i + 0.5);
    const y = t.map((time_s) => {
      off = keep * off + Math.sqrt(1 - keep ** 2) * random.normal(sd_m3);
      const poured_m3 = pours && rest === 35 && time_s > 300 ? Math.min(0.004, (time_s - 300) * 2e-4) : 0;
      return inflow_m3s * time_s + off + poured_m3;
    });
    learnShortStretches(state, { t, y, weight: new Float64Array(600).fill(1), count: 600 }, (at) => inflow_m3s * at);
  }
  return state;
}

describe("learnShortStretches", () => {
  it("finds that independent errors tilt a stretch by √12 σ / (L √N)", () => {
    const state = learned(0);
    expect((singleSd_m3(state) ?? 0) / sd_m3).toBeCloseTo(1, 1);
    expect((uSlopeOver(state, 16) ?? 0) / ((Math.sqrt(12 / 17) * sd_m3) / 16)).toBeCloseTo(1, 0);
  });

  it("finds that errors which wander for longer than the stretch tilt it far more than they scatter", () => {
    expect((uSlopeOver(learned(20), 16) ?? 0) / (uSlopeOver(learned(0), 16) ?? 1)).toBeGreaterThan(1.3);
  });

  it("judges by the time between the first and the last sample, however long the usual run", () => {
    expect((uSlopeOver(learned(0, false, 16.9), 16) ?? 0) / (uSlopeOver(learned(0), 16) ?? 1)).toBeCloseTo(1, 1);
  });

  it("takes no bucket poured in for the sensor's errors", () => {
    expect((uSlopeOver(learned(0, true), 16) ?? 0) / (uSlopeOver(learned(0), 16) ?? 1)).toBeLessThan(1.2);
  });

  it("takes the mean of four readings for no single one", () => {
    const state = { ...newShortStretch(), length_s: 16 };
    const random = seededRandom(5);
    const weight = Float64Array.from({ length: 600 }, (_, i) => (i < 200 ? 1 : 4));
    for (let rest = 0; rest < 40; rest += 1) {
      const t = weight.map((_, i) => (i < 200 ? i : 200 + 4 * (i - 200)));
      const y = t.map((time_s, i) => inflow_m3s * time_s + random.normal(sd_m3 / Math.sqrt(weight[i] as number)));
      learnShortStretches(state, { t, y, weight, count: 600 }, (at) => inflow_m3s * at);
    }
    expect((singleSd_m3(state) ?? 0) / sd_m3).toBeCloseTo(1, 1);
  });

  it("says nothing before some thirty stretches", () => {
    expect(uSlopeOver(newShortStretch(), 16)).toBeNull();
    expect(singleSd_m3(newShortStretch())).toBeNull();
  });
});
