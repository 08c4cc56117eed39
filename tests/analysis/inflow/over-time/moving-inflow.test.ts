import { describe, expect, it } from "vitest";
import { basinGeometry } from "../../../../analysis/geometry/basin.ts";
import { type MovingStretch, movingInflow, noiseOf } from "../../../../analysis/inflow/over-time/moving-inflow.ts";
import { type VolumeCourse, volumeCourse } from "../../../../analysis/inflow/over-time/volume-course.ts";
import { newCapability } from "../../../../analysis/pump-flow/capability-state.ts";
import { learnRun } from "../../../../analysis/pump-flow/learn-capability.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { area_m2, pumpRate_m3s, smallSite } from "../../small-basin.ts";

const capability = newCapability();
for (let i = 0; i < 30; i++) {
  learnRun(capability, { flow_m3s: pumpRate_m3s, uFlow_m3s: 0.002 * pumpRate_m3s, degreesOfFreedom: 20 }, Number.NaN);
}

/** A run of 60 s and a rest of 60 s, the inflow as given; the level is noisy by 1 mm, the start and the valve cost 1 L. */
function stretch(inflow_m3s: (t: number) => number, change: Partial<MovingStretch> = {}): MovingStretch {
  const random = seededRandom(3);
  let volume_m3 = 0.05;
  const y: number[] = [];
  for (let t = 0; t < 120; t++) {
    y.push(volume_m3 + (t === 0 ? 0 : random.normal(0.001) * area_m2));
    volume_m3 += inflow_m3s(t + 0.5) - (t < 60 ? pumpRate_m3s : 0) + (t === 0 || t === 60 ? 0.001 : 0);
  }
  const course = (from: number, to: number) => {
    const part = Float64Array.from(y.slice(from, to));
    const t = Float64Array.from(part, (_, i) => i);
    return volumeCourse(
      { t, y: part, weight: new Float64Array(to - from), count: to - from },
      { first: 512, last: 0 },
      1,
    );
  };
  return {
    run: course(0, 60),
    run_s: 60,
    rest: course(60, 120),
    rest_s: 60,
    before: null,
    startedAt_s: 0,
    capability,
    geometry: basinGeometry(smallSite.basin.geometry),
    edge_s: 0.5,
    vagueEnd_s: 0,
    step_m3: 1e-5,
    sampleSd_m3: 0,
    returned_m3: 0,
    backUnseenTo_s: 0,
    ...change,
  };
}

const meanBetween = (f: (t: number) => number, from: number, to: number) => {
  let sum = 0;
  for (let t = from; t < to; t++) sum += f(t + 0.5);
  return sum / (to - from);
};

describe("movingInflow", () => {
  it("is a steady inflow through run and rest alike, what start and valve cost left out", () => {
    const found = movingInflow(stretch(() => 5e-4));
    for (const [from, to] of [
      [0, 30],
      [30, 60],
      [60, 120],
      [40, 80],
    ] as const) {
      const { flow_m3s, uFlow_m3s } = found?.over(from, to) ?? { flow_m3s: Number.NaN, uFlow_m3s: Number.NaN };
      expect(flow_m3s / 5e-4).toBeCloseTo(1, 1);
      expect(Math.abs(flow_m3s - 5e-4)).toBeLessThan(3 * uFlow_m3s);
    }
  });

  it("is not led by the noise of a few readings, where more have shown how much that is", () => {
    const { run, rest } = stretch(() => 5e-4);
    const seldom = (of: VolumeCourse | null): VolumeCourse => {
      const every = (values: Float64Array | undefined) => (values ?? new Float64Array()).filter((_, i) => i % 15 === 5);
      const off = [1, -1, 0.5, 1];
      const y = every(of?.y).map((volume_m3, i) => volume_m3 + 0.002 * area_m2 * (off[i] as number));
      return { t: every(of?.t), y, n: every(of?.n), count: 4 };
    };
    const few = { run: seldom(run), rest: seldom(rest) };
    const bends = (sampleSd_m3: number) => {
      const found = movingInflow(stretch(() => 5e-4, { ...few, sampleSd_m3 }));
      const parts = [5, 25, 45, 65, 85, 105].map((from) => found?.over(from, from + 10).flow_m3s ?? Number.NaN);
      return (Math.max(...parts) - Math.min(...parts)) / 5e-4;
    };
    expect(noiseOf(few.run)).toBe(0);
    expect(bends(0.002 * area_m2)).toBeLessThan(0.02);
    expect(bends(0)).toBeGreaterThan(0.05);
  });

  it.each([5e-5, 2e-4])(
    "is not led by a spike in a run of few readings, whose fall hides it, beside %f m³/s",
    (inflow_m3s) => {
      const { run, rest } = stretch(() => inflow_m3s);
      const seldom = ({ t, y, n }: VolumeCourse): VolumeCourse => {
        const every = (values: Float64Array) => values.filter((_, i) => i % 15 === 5);
        return { t: every(t), y: every(y), n: every(n), count: 4 };
      };
      const spiked = seldom(run as VolumeCourse);
      spiked.y[1] = (spiked.y[1] as number) - 0.03;
      const found = movingInflow(stretch(() => inflow_m3s, { run: spiked, rest: seldom(rest), sampleSd_m3: 1e-4 }));
      for (const from of [5, 15, 25, 35]) {
        expect(Math.abs((found?.over(from, from + 10).flow_m3s ?? Number.NaN) - inflow_m3s)).toBeLessThan(
          0.02 * pumpRate_m3s,
        );
      }
    },
  );

  it("is not drawn down by the pump that already runs where the start is seen late, read off the level", () => {
    const { rest, ...late } = stretch(() => 5e-4);
    const drawn = rest.y.map((volume_m3, i) => volume_m3 - pumpRate_m3s * Math.max(0, (rest.t[i] as number) - 17));
    const short = { ...rest, y: drawn, count: 21 };
    const inRest_m3s = (vagueEnd_s: number) =>
      movingInflow({ ...late, rest: short, rest_s: 21, vagueEnd_s })?.over(60, 81).flow_m3s ?? Number.NaN;
    expect(Math.abs(inRest_m3s(4) / 5e-4 - 1)).toBeLessThan(0.1);
    expect(inRest_m3s(0)).toBeLessThan(0.9 * 5e-4);
  });

  it("follows a burst that is at its height while the pump runs, which neither rest beside it shows", () => {
    const burst = (t: number) => 2e-4 + 8e-4 * Math.exp(-(((t - 30) / 15) ** 2));
    const found = movingInflow(stretch(burst));
    expect((found?.over(15, 45).flow_m3s ?? 0) / meanBetween(burst, 15, 45)).toBeCloseTo(1, 1);
    expect((found?.over(90, 120).flow_m3s ?? 0) / 2e-4).toBeCloseTo(1, 0);
  });

  it("is as unsure, while the pump runs, as what it moves", () => {
    const vague = newCapability();
    for (let i = 0; i < 5; i++) {
      learnRun(vague, { flow_m3s: pumpRate_m3s, uFlow_m3s: 0.1 * pumpRate_m3s, degreesOfFreedom: 20 }, Number.NaN);
    }
    const found = movingInflow(stretch(() => 5e-4, { capability: vague }));
    expect(found?.over(10, 50).uFlow_m3s).toBeGreaterThan((0.1 / Math.sqrt(5)) * pumpRate_m3s);
    expect(found?.over(80, 110).uFlow_m3s).toBeLessThan(0.03 * pumpRate_m3s);
  });

  it("knows how much came in over a rest as well as the levels at its ends, and better than when", () => {
    const burst = (t: number) => 2e-4 + (t > 80 && t < 90 ? 2e-3 : 0);
    const found = movingInflow(stretch(burst, { sampleSd_m3: 0.001 * area_m2 }));
    const u_m3 = found?.uVolume_m3(60, 120) ?? Number.NaN;
    const parts = [60, 70, 80, 90, 100, 110].map((from) => found?.over(from, from + 10).uFlow_m3s ?? Number.NaN);
    expect(u_m3).toBeGreaterThanOrEqual(Math.SQRT2 * 0.001 * area_m2);
    expect(u_m3).toBeLessThan(0.25 * 10 * parts.reduce((sum, u_m3s) => sum + u_m3s));
    const came_m3 = 60 * (found?.over(60, 120).flow_m3s ?? Number.NaN);
    expect(Math.abs(came_m3 - 60 * meanBetween(burst, 60, 120))).toBeLessThan(2 * u_m3);
  });

  it("looks at a rest by itself where the run is no measure", () => {
    const found = movingInflow(stretch(() => 5e-4, { run: null, run_s: 0 }));
    expect((found?.over(0, 60).flow_m3s ?? 0) / 5e-4).toBeCloseTo(1, 1);
  });

  it("is unknown before it is known what the pump moves, and with hardly a sample", () => {
    expect(movingInflow(stretch(() => 5e-4, { capability: newCapability() }))).toBeNull();
    const empty = volumeCourse(
      { t: new Float64Array(0), y: new Float64Array(0), weight: new Float64Array(0), count: 0 },
      { first: 512, last: 0 },
      1,
    );
    expect(movingInflow(stretch(() => 5e-4, { run: empty, rest: empty }))).toBeNull();
  });
});

describe("noiseOf", () => {
  it("is the variance of a reading, whatever the slope: 1 mm on 1000 cm²", () => {
    const random = seededRandom(5);
    const y = Float64Array.from({ length: 400 }, (_, i) => 2e-4 * i + random.normal(1e-4));
    const course = { t: Float64Array.from(y, (_, i) => i), y, n: new Float64Array(400).fill(1), count: 400 };
    expect(Math.sqrt(noiseOf(course)) / 1e-4).toBeGreaterThan(0.85);
    expect(Math.sqrt(noiseOf(course)) / 1e-4).toBeLessThan(1.15);
  });
});
