import { describe, expect, it } from "vitest";
import { fallEnds } from "../../../analysis/pump-flow/fall-ends.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

/** Water that falls by 2 L/s until the pump stops and then stands, read each second. */
function run(seed: number, run_s: number, stopped_s: number, sd_m3: number) {
  const random = seededRandom(seed);
  const t = Float64Array.from({ length: run_s }, (_, i) => i);
  return {
    t,
    y: t.map((at_s) => 0.06 - 2e-3 * Math.min(at_s, stopped_s) + random.normal(sd_m3)),
    weight: t.map(() => 1),
    count: run_s,
  };
}

const seeds = Array.from({ length: 200 }, (_, i) => i + 1);
const within_s = 3.5;
const sd_m3 = 0.2e-3;

function errors(run_s: number, stopped_s: (seed: number) => number) {
  return seeds.map(
    (seed) => fallEnds(run(seed, run_s, stopped_s(seed), sd_m3), run_s, within_s, sd_m3).at_s - stopped_s(seed),
  );
}

describe("fallEnds", () => {
  it("tells to a fraction of the readings' interval, on the average, when the water fell no longer", () => {
    for (const run_s of [12, 20]) {
      const off_s = errors(run_s, (seed) => run_s - (seed % 30) / 10);
      // What the noise leaves of a bend between two lines that meet: about its share of the fall in an interval; a reading
      // that stands at the very end tells of nothing after it.
      expect(Math.sqrt(off_s.reduce((sum, one) => sum + one ** 2, 0) / off_s.length)).toBeLessThan(0.35);
      expect(Math.abs(off_s.reduce((sum, one) => sum + one, 0) / off_s.length)).toBeLessThan(0.15);
    }
  });

  it("is unsure of the fall by what the last reading would tilt it, and of a run that goes on for longer less so", () => {
    const uFall = (run_s: number) => fallEnds(run(3, run_s, run_s - 1.5, sd_m3), run_s, within_s, sd_m3).uFall_m3s;
    expect(uFall(12)).toBeGreaterThan(2e-6);
    expect(uFall(12)).toBeLessThan(1e-4);
    expect(uFall(60)).toBeLessThan(uFall(20) / 4);
  });

  it("is as unsure of a run that is over before a pump is up to speed as its lines differ, and no more", () => {
    const { t, y, weight, count } = run(3, 14, 11, sd_m3);
    // Read each 0.2 s; as the whole of a run, and as the last of one that began 3.4 s sooner.
    const uFall = (sooner_s: number) =>
      fallEnds({ t: t.map((at_s) => sooner_s + at_s / 5), y, weight, count }, sooner_s + 2.8, 0.7, sd_m3).uFall_m3s;
    expect(uFall(0)).toBeGreaterThan(0);
    expect(uFall(0)).toBeLessThan(1.5 * uFall(3.4));
  });

  it("leaves a run that falls to its end all but whole", () => {
    const off_s = errors(15, () => 15);
    expect(Math.min(...off_s)).toBeGreaterThan(-1.5);
    expect(off_s.reduce((sum, one) => sum + one, 0) / off_s.length).toBeGreaterThan(-0.8);
  });

  it("says nothing of a run of few readings, or of one in which nothing fell", () => {
    expect(fallEnds(run(1, 4, 2, sd_m3), 4, within_s, sd_m3).at_s).toBe(4);
    expect(fallEnds({ ...run(1, 20, 0, 0), y: new Float64Array(20).fill(0.5) }, 20, within_s, null).at_s).toBe(20);
    const stood = fallEnds(run(1, 20, 0, sd_m3), 20, within_s, sd_m3).at_s;
    expect(stood).toBeGreaterThanOrEqual(20 - within_s);
    expect(stood).toBeLessThanOrEqual(20);
  });
});
