import { describe, expect, test } from "vitest";
import { driftPerSecond, learnDrift, newSensorDrift } from "../../../../analysis/inflow/sensor-errors/sensor-drift.ts";
import { randomOf } from "../../../truth/random.ts";

const rest_s = 1800;
const scatter_m3 = 1e-4;

/** Rests between floats that scatter by themselves, seen by a sensor that takes a random walk. */
function driftAfter(rests: number, perRest_m3: number, seed: number, wanders = false, shift_m3 = 0): number {
  const random = randomOf("drift", seed);
  const state = newSensorDrift();
  let off_m3 = 0;
  for (let i = 0; i < rests; i += 1) {
    const first_m3 = 0.01 + off_m3 + scatter_m3 * random.normal();
    off_m3 += perRest_m3 * random.normal() + (i === 20 ? shift_m3 : 0);
    learnDrift(state, first_m3, 0.03 + off_m3 + scatter_m3 * random.normal(), rest_s);
  }
  return driftPerSecond(state, wanders);
}

const seeds = Array.from({ length: 40 }, (_, i) => i);

describe("a sensor's drift, by the floats that trip at the same levels", () => {
  test("is known to its variance", () => {
    const found = seeds.map((seed) => driftAfter(100, 2e-4, seed) * rest_s);
    const mean = found.reduce((sum, value) => sum + value, 0) / found.length;
    expect(Math.sqrt(mean)).toBeGreaterThan(1.6e-4);
    expect(Math.sqrt(mean)).toBeLessThan(2.2e-4);
  });

  test("is seen where it moves the level by half of the scatter from rest to rest", () => {
    const found = seeds.map((seed) => driftAfter(100, 0.5 * scatter_m3, seed) * rest_s);
    expect(found.filter((variance) => variance > 0).length).toBeGreaterThan(34);
    const drift = Math.sqrt(found.reduce((sum, value) => sum + value, 0) / found.length) / scatter_m3;
    expect(drift).toBeGreaterThan(0.4);
    expect(drift).toBeLessThan(0.6);
  });

  test("is none that a storm's short rests show, whose levels shift with what comes in", () => {
    const state = newSensorDrift();
    const random = randomOf("storm", 1);
    for (let i = 0; i < 100; i += 1) {
      const by_m3 = 4e-4 * Math.sin(i / 15);
      const [first_m3, last_m3] = [0.01, 0.03].map((at_m3) => at_m3 + by_m3 + scatter_m3 * random.normal());
      learnDrift(state, first_m3 ?? null, last_m3 ?? null, 60);
    }
    expect(driftPerSecond(state, true)).toBe(0);
  });

  test("is none where floats scatter alone", () => {
    expect(seeds.filter((seed) => driftAfter(60, 0, seed) > 0)).toHaveLength(0);
  });

  test("is none where the zero was set anew once", () => {
    expect(seeds.filter((seed) => driftAfter(60, 0, seed, false, 3e-3) > 0).length).toBeLessThan(3);
  });

  test("is believed sooner where rests show by themselves that the sensor wanders", () => {
    const found = (wanders: boolean) => seeds.filter((seed) => driftAfter(12, 2e-4, seed, wanders) > 0).length;
    expect(found(true)).toBeGreaterThan(found(false));
  });

  test("is unknown before a few rests, and after rests that were not seen as a whole", () => {
    expect(driftAfter(5, 1e-3, 1, true)).toBe(0);
    const state = newSensorDrift();
    for (let i = 0; i < 30; i += 1) learnDrift(state, i % 2 ? 0.01 : null, 0.03, rest_s);
    expect(driftPerSecond(state, true)).toBe(0);
  });
});
