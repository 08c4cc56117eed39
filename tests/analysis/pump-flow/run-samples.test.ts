import { describe, expect, it } from "vitest";
import type { RunSensor } from "../../../analysis/pump-flow/fit-run.ts";
import { leaveOutOfSpinUp, leaveOutRepeats } from "../../../analysis/pump-flow/run-samples.ts";
import type { CurveSamples } from "../../../analysis/statistics/fit-curve.ts";

/** Litres, one every so many seconds. */
function samplesOf(volumes_l: readonly number[], every_s = 1): CurveSamples {
  const count = volumes_l.length;
  return {
    t: Float64Array.from(volumes_l, (_, i) => i * every_s),
    y: Float64Array.from(volumes_l, (litres) => litres * 1e-3),
    weight: new Float64Array(count).fill(1),
    count,
  };
}

const sensor: RunSensor = { sampleSd_m3: 1e-4, short: null, step_m3: 1e-5, lag_s: 0, startVolume_m3: 0.0302 };
const used = ({ weight }: CurveSamples) => [...weight];

describe("leaveOutRepeats", () => {
  it("leaves out a value that is said again while the water falls by two litres a second", () => {
    const samples = samplesOf([30, 28, 28, 28, 22, 20]);
    leaveOutRepeats(samples, sensor);
    expect(used(samples)).toEqual([1, 1, 0, 0, 1, 1]);
  });

  it("leaves it out too where a reading's fall is five standard deviations of one", () => {
    const samples = samplesOf([30, 28, 28, 28, 22, 20]);
    leaveOutRepeats(samples, { ...sensor, sampleSd_m3: 4e-4 });
    expect(used(samples)).toEqual([1, 1, 0, 0, 1, 1]);
  });

  it("keeps what a coarse or a noisy sensor says again by itself", () => {
    for (const change of [{ step_m3: 1e-3 }, { sampleSd_m3: 6e-4 }, { step_m3: Number.POSITIVE_INFINITY }]) {
      const samples = samplesOf([30, 28, 28, 28, 22, 20]);
      leaveOutRepeats(samples, { ...sensor, ...change });
      expect(used(samples)).toEqual([1, 1, 1, 1, 1, 1]);
    }
  });
});

describe("leaveOutOfSpinUp", () => {
  // Two litres a second once the pump is up to speed.
  it("leaves out a first reading by which hardly a litre is gone", () => {
    const samples = samplesOf([30, 20.5, 10.5], 5);
    leaveOutOfSpinUp(samples, sensor);
    expect(used(samples)).toEqual([0, 1, 1]);
  });

  it("keeps it where more is gone, where two readings are all, and where the rest before is not known", () => {
    for (const [litres, change] of [
      [[27, 17, 7], {}],
      [[30, 20.5], {}],
      [[30, 20.5, 10.5], { startVolume_m3: null }],
    ] as const) {
      const samples = samplesOf(litres, 5);
      leaveOutOfSpinUp(samples, { ...sensor, ...change });
      expect(used(samples)).toEqual(litres.map(() => 1));
    }
  });
});
