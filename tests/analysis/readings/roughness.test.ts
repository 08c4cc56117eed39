import { describe, expect, it } from "vitest";
import { learnRoughness, learnRoughnessBesideTurns, noiseOf_m } from "../../../analysis/readings/roughness.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

function learnedFrom(level_m: (i: number) => number, count: number): number {
  let roughness_m = 0;
  for (let i = 2; i < count; i++) roughness_m = learnRoughness(roughness_m, level_m(i - 2), level_m(i - 1), level_m(i));
  return roughness_m;
}

describe("learnRoughness", () => {
  it("gives back the noise of a sensor, whether the water stands or rises", () => {
    const random = seededRandom(3);
    const noise_m = Array.from({ length: 4000 }, () => random.normal(0.0015));
    for (const rise_m of [0, 0.002]) {
      const roughness_m = learnedFrom((i) => rise_m * i + (noise_m[i] ?? 0), noise_m.length);
      expect(noiseOf_m(roughness_m) / 0.0015).toBeGreaterThan(0.8);
      expect(noiseOf_m(roughness_m) / 0.0015).toBeLessThan(1.2);
    }
  });

  it("takes no spike among the first three levels for a rough sensor", () => {
    expect(noiseOf_m(learnRoughness(0, 0.2, 0.27, 0.2))).toBeLessThan(0.03);
    expect(noiseOf_m(learnedFrom((i) => (i % 2 === 0 ? 0.1 : 0.3), 80))).toBeGreaterThan(0.03);
  });

  it("does not sink so far while the level stands that it never comes back", () => {
    const standing_m = learnedFrom(() => 0.2, 100_000);
    expect(standing_m).toBeLessThanOrEqual(1e-6);
    let roughness_m = learnRoughness(1e-6, 0.2, 0.2, 0.2);
    for (let i = 0; i < 400; i++) roughness_m = learnRoughness(roughness_m, 0.2, 0.201, 0.2);
    expect(roughness_m).toBeGreaterThan(0.001);
  });
});

describe("learnRoughnessBesideTurns", () => {
  function learned(level_m: (i: number) => number, count: number): number {
    let roughness_m = learnRoughness(0, level_m(0), level_m(1), level_m(2));
    for (let i = 3; i < count; i++) {
      const recent_m = Float64Array.from([0, 1, 2, 3, 4], (k) => level_m(Math.max(0, i - 4 + k)));
      roughness_m = learnRoughnessBesideTurns(roughness_m, recent_m);
    }
    return noiseOf_m(roughness_m);
  }

  it("gives back the noise of a sensor, also where the level turns at every third reading or fourth", () => {
    const random = seededRandom(3);
    const noise_m = Array.from({ length: 4000 }, () => random.normal(0.0015));
    const noisy = (level_m: (i: number) => number) => (i: number) => level_m(i) + (noise_m[i] ?? 0);
    const standing_m = learned(
      noisy(() => 0.2),
      4000,
    );
    expect(standing_m / 0.0015).toBeGreaterThan(0.7);
    expect(standing_m / 0.0015).toBeLessThan(1.4);
    const storm = noisy((i) => 0.2 + 0.03 * (i % 7 < 4 ? i % 7 : 4 - ((i % 7) - 4) * 1.3));
    expect(learned(storm, 4000)).toBeLessThan(0.004);
  });
});
