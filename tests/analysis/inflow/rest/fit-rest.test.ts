import { describe, expect, it } from "vitest";
import { newReturnProfile } from "../../../../analysis/inflow/drain-back/return-profile.ts";
import { fitRest, type HowToFit } from "../../../../analysis/inflow/rest/fit-rest.ts";
import { newRestMemory } from "../../../../analysis/inflow/rest/rest-memory.ts";
import { studentTQuantile } from "../../../../analysis/statistics/student-t.ts";
import { seededRandom } from "../../../../daemon/sources/simulated/random.ts";
import { area_m2, inflow_m3s } from "../../small-basin.ts";
import { fadingLitre, type RestCourse, restCourse, steadyLitres, stored_m3 } from "../rest-course.ts";

/** By readings close together and between edges that a contact told; a test says what is different. */
function how(change: Partial<HowToFit> = {}): HowToFit {
  return {
    returns: newReturnProfile(),
    memory: null,
    fall_m3s: null,
    stopSeen: true,
    mostReturn_m3: Number.POSITIVE_INFINITY,
    edgesVague: false,
    ...change,
  };
}

/** Fits a rest that nothing was learned before. */
function fitted(course: RestCourse, change: Partial<HowToFit> = {}) {
  const duration_s = course.duration_s ?? 600;
  return fitRest(restCourse(course), duration_s, how(change));
}

/** Over rests of different noise: mean and root mean square of the relative error, share of 95 % intervals that hold. */
function overSeeds(course: RestCourse, rests = 60, truth_m3s = inflow_m3s) {
  const fits = Array.from({ length: rests }, (_, i) => fitted({ ...course, seed: i + 1 }));
  const errors = fits.map((one) => (one?.inflow.flow_m3s ?? Number.NaN) / truth_m3s - 1);
  const held = fits.filter((one) => {
    if (one === undefined) return false;
    const half_m3s = studentTQuantile(0.975, one.inflow.degreesOfFreedom) * one.inflow.uFlow_m3s;
    return Math.abs(one.inflow.flow_m3s - truth_m3s) <= half_m3s;
  });
  return {
    bias: errors.reduce((sum, error) => sum + error, 0) / rests,
    rms: Math.sqrt(errors.reduce((sum, error) => sum + error ** 2, 0) / rests),
    held: held.length / rests,
    fits,
  };
}

/** Of 60 intervals that are right, 95 ± 3·√(0.95·0.05/60) % hold the truth. */
const fewestHeld = 0.95 - 3 * Math.sqrt((0.95 * 0.05) / 60);

describe("fitRest with constant inflow", () => {
  it("is exact without noise, and knows the volumes at both ends", () => {
    const found = fitted({ noise_m: 0 });
    expect((found?.inflow.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 9);
    expect(found?.startVolume_m3).toBeCloseTo(stored_m3, 9);
    expect(found?.endVolume_m3).toBeCloseTo(stored_m3 + 600 * inflow_m3s, 9);
  });

  it("is not known where the readings that are left would have the basin take in many times what it is read to hold", () => {
    // 1 L/s into a basin whose sensor held its value three times; the first and the last were taken for spikes.
    const read_l = [34.17, 36.68, 38.05, 41.11, 41.11, 41.11, 51.55, 53.29, 55.03, 56.77, 58.51, 60.25, 61.99, 61.99];
    const t = Float64Array.of(1.5, 3.5, 5.5, 7.5, 9.5, 11.5, 23.5, 25.5, 27.5, 29.5, 31.5, 33.5, 35.5, 37.5);
    const weight = t.map((s) => (s > 5 && s < 12 ? 1 : 0));
    const samples = { t, y: Float64Array.from(read_l, (l) => l / 1000), weight, count: 14 };
    const most_m3s = (2 * (0.062 - 0.034)) / 37.5;
    const found = fitRest(samples, 37.5, how({ memory: newRestMemory(), edgesVague: true }));
    expect(found?.inflow.flow_m3s ?? 0).toBeLessThan(most_m3s);
    const line = fitRest(
      { t, y: t.map((s) => 0.034 + 0.001 * s), weight: new Float64Array(14).fill(1), count: 14 },
      37.5,
      how({ memory: newRestMemory(), edgesVague: true }),
    );
    expect(line?.inflow.flow_m3s).toBeCloseTo(0.001, 6);
  });

  it("does not know from one rest that shows none whether water ran back; six show that none did", () => {
    const returns = newReturnProfile();
    const rests = Array.from({ length: 7 }, (_, seed) => fitRest(restCourse({ seed }), 600, how({ returns })));
    expect(rests[0]?.drainBack).toBeNull();
    expect(rests[6]?.drainBack?.volume_m3).toBe(0);
  });

  it("comes near the least error that any straight line can have, √12 σ / (Δ · N^1.5)", () => {
    const least = (Math.sqrt(12) * 0.0015 * area_m2) / 600 ** 1.5 / inflow_m3s;
    const { bias, rms, held } = overSeeds({});
    expect(rms).toBeLessThan(1.5 * least);
    expect(Math.abs(bias)).toBeLessThan((3 * rms) / Math.sqrt(60));
    expect(held).toBeGreaterThan(fewestHeld);
  });

  it("loses a fifth at most to spikes of 5 cm in one reading of fifty", () => {
    const { rms } = overSeeds({});
    const spiky = overSeeds({ error_m: (random) => (random.uniform() < 0.02 ? 0.05 : 0) });
    expect(spiky.rms).toBeLessThan(1.2 * rms);
    expect(spiky.held).toBeGreaterThan(fewestHeld);
  });

  it("is told at a reading every ten seconds too, and from no more than three readings", () => {
    expect(overSeeds({ interval_s: 10 }, 40).rms).toBeLessThan(0.02);
    const three = fitted({ duration_s: 30, interval_s: 10, noise_m: 0 });
    expect((three?.inflow.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 9);
  });

  it("is unknown from two readings, and from many at one time", () => {
    expect(fitted({ duration_s: 20, interval_s: 10 })).toBeUndefined();
    const samples = restCourse({ duration_s: 30 });
    samples.t.fill(7);
    expect(fitRest(samples, 30, how({ returns: null }))).toBeUndefined();
  });
});

describe("fitRest of readings that share one time", () => {
  it("comes to an end, and to the inflow all the same", () => {
    const samples = restCourse({ noise_m: 0 });
    samples.t.fill(0, 0, 3);
    samples.y.fill(stored_m3, 0, 3);
    expect((fitRest(samples, 600, how())?.inflow.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 3);
  });
});

describe("fitRest with water returned through the check valve", () => {
  it.each([1, 3, 8])("tells a litre that fades within %d s apart, rest after rest, and leaves it out", (time_s) => {
    const returns = newReturnProfile();
    const rests = Array.from({ length: 40 }, (_, seed) =>
      fitRest(restCourse({ seed, extra_m3: fadingLitre(time_s) }), 600, how({ returns })),
    );
    const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
    expect(mean(rests.map((rest) => rest?.inflow.flow_m3s ?? Number.NaN)) / inflow_m3s).toBeCloseTo(1, 2);
    // From the sixth rest on it is known from those before, where one rest's noise hides it.
    const returned_m3 = rests.slice(6).map((rest) => rest?.drainBack?.volume_m3 ?? Number.NaN);
    expect(mean(returned_m3)).toBeGreaterThan(0.0008);
    expect(mean(returned_m3)).toBeLessThan(0.0012);
  });

  it("holds the inflow in its interval while nothing is learned yet", () => {
    const { bias, held } = overSeeds({ extra_m3: fadingLitre(3) }, 40);
    expect(Math.abs(bias)).toBeLessThan(0.002);
    expect(held).toBeGreaterThan(fewestHeld - 0.05);
  });

  it.each([
    ["steady", steadyLitres(6, 120), 120],
    ["fading", (t: number) => 6 * fadingLitre(60)(t), 60],
  ] as const)(
    "tells a leak of %s rate after some rests that show it alike, and leaves it out",
    (course, extra_m3, time_s) => {
      const memory = newRestMemory();
      const rests = Array.from({ length: 20 }, (_, i) =>
        fitted({ extra_m3, seed: i + 1 }, { memory, returns: newReturnProfile() }),
      ).slice(6);
      const mean_m3s = rests.reduce((sum, rest) => sum + (rest?.inflow.flow_m3s ?? Number.NaN), 0) / rests.length;
      expect(Math.abs(mean_m3s / inflow_m3s - 1)).toBeLessThan(0.004);
      for (const found of rests) {
        expect(found?.drainBack?.course).toBe(course);
        expect((found?.drainBack?.time_s ?? 0) / time_s).toBeCloseTo(1, 0);
        expect(found?.drainBack?.volume_m3).toBeCloseTo(0.006, 3);
      }
    },
  );

  it("counts what pours in over a stop as inflow, if it did so when the rest before ended", () => {
    const memory = newRestMemory();
    const returns = newReturnProfile();
    for (let seed = 1; seed <= 10; seed++) fitted({ seed }, { memory, returns });
    // 0.2 L/s in the last 15 s of one rest, and in the first 30 s of the next.
    fitted({ extra_m3: (t) => 0.2e-3 * Math.max(0, t - 585), seed: 11 }, { memory, returns });
    const next = fitted({ extra_m3: (t) => 0.2e-3 * Math.min(30, t), seed: 12 }, { memory, returns });
    expect(next?.inflow.flow_m3s ?? 0).toBeGreaterThan(inflow_m3s + 0.85 * (0.006 / 600));
    expect(next?.inflow.flow_m3s ?? 0).toBeLessThan(inflow_m3s + 1.15 * (0.006 / 600));
  });

  it("believes the same volume that comes back three times, however much it is", () => {
    const memory = newRestMemory();
    const returns = newReturnProfile();
    for (let seed = 1; seed <= 10; seed++) fitted({ seed }, { memory, returns });
    const extra_m3 = (t: number) => 5 * fadingLitre(6)(t);
    for (const seed of [11, 12]) fitted({ extra_m3, seed }, { memory, returns });
    const third = fitted({ extra_m3, seed: 13 }, { memory, returns });
    expect(third?.drainBack?.volume_m3).toBeCloseTo(0.005, 3);
    expect((third?.inflow.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 1);
  });

  it("believes what comes back as usual after a run that lifted little more, though the rest before showed another volume", () => {
    const [memory, returns] = [newRestMemory(), newReturnProfile()];
    const rest = (litres: number, seed: number) => {
      const extra_m3 = (t: number) => litres * fadingLitre(3)(t);
      return fitRest(restCourse({ extra_m3, seed }), 600, how({ memory, returns, mostReturn_m3: 0.02 }));
    };
    for (let seed = 1; seed <= 12; seed++) rest(7, seed);
    rest(12, 13);
    const found = rest(7, 14);
    expect(found?.drainBack?.volume_m3).toBeCloseTo(0.007, 3);
    expect((found?.inflow.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 1);
  });

  it("says how little is known while 3 L that come in a first rest may be a leak or the washing machine", () => {
    const alone = fitted({ extra_m3: (t) => 3 * fadingLitre(10)(t) });
    expect(alone?.drainBack?.volume_m3).toBeCloseTo(0.003, 3);
    const half_m3s = 1.96 * (alone?.inflow.uFlow_m3s ?? 0);
    expect(half_m3s).toBeGreaterThan(0.9 * (0.0025 / 600));
  });

  it("takes the returned water as having been there at once when it says what was stored at the stop", () => {
    expect(fitted({ noise_m: 0.0002, extra_m3: fadingLitre(3) })?.startVolume_m3).toBeCloseTo(stored_m3 + 0.001, 4);
  });

  it("takes no more for it than the run before has lifted, but for what that may be off, or than the pipe holds", () => {
    const course: RestCourse = { extra_m3: (t) => 6 * fadingLitre(20)(t) };
    expect(fitted(course, { mostReturn_m3: 0.006 })?.drainBack?.volume_m3).toBeCloseTo(0.006, 3);
    expect(fitted(course, { mostReturn_m3: 0.0045 })?.drainBack).toBeNull();
    expect(fitted(course, { mostReturn_m3: 0.006, mostFromPipe_m3: 0.005 })?.drainBack).toBeNull();
  });

  it("tells none apart where the stop was read off the level, and leaves out what may still return", () => {
    const found = fitted({ extra_m3: fadingLitre(3) }, { edgesVague: true, returns: null });
    expect(found?.drainBack).toBeNull();
    expect((found?.inflow.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1, 2);
  });

  it("says nothing of it when readings are too coarse to show any", () => {
    expect(fitted({ interval_s: 30 }, { returns: null })?.drainBack).toBeNull();
  });
});

describe("fitRest with an inflow that changes", () => {
  it("gives the mean over the rest, and the course in parts", () => {
    // 6 L/min at first, rising evenly to 12: the mean is 9.
    const rising = (t: number) => inflow_m3s * (t + t ** 2 / 1200);
    const found = fitted({ inflowBy_m3: rising, noise_m: 0.0005 });
    expect((found?.inflow.flow_m3s ?? 0) / inflow_m3s).toBeCloseTo(1.5, 2);
    const parts = found?.inflowParts(6) ?? [];
    parts.forEach((part_m3s, i) => {
      expect(part_m3s / inflow_m3s).toBeCloseTo(1 + (i + 0.5) / 6, 1);
    });
    expect(parts.reduce((sum, part) => sum + part, 0) / 6).toBeCloseTo(found?.inflow.flow_m3s ?? Number.NaN, 12);
  });

  it("follows a storm that breaks in the middle of a long rest", () => {
    const broken = (t: number) => inflow_m3s * (0.1 * t + Math.max(0, t - 3000));
    const found = fitted({ inflowBy_m3: broken, duration_s: 3600 });
    expect((found?.inflow.flow_m3s ?? 0) / (broken(3600) / 3600)).toBeCloseTo(1, 2);
    const parts = found?.inflowParts(12) ?? [];
    expect((parts[4] ?? 0) / inflow_m3s).toBeCloseTo(0.1, 1);
    expect((parts[11] ?? 0) / inflow_m3s).toBeGreaterThan(0.9);
    expect((parts[11] ?? 0) / inflow_m3s).toBeLessThan(1.3);
  });

  it("sees a storm that breaks within the last ten seconds, ten times what came before", () => {
    const late = (t: number) => inflow_m3s * (t + 9 * Math.max(0, t - 590));
    for (const { turns_s, inflow, inflowOver } of overSeeds({ inflowBy_m3: late }, 60, late(600) / 600).fits.flatMap(
      (fit) => fit ?? [],
    )) {
      const last = inflowOver(turns_s?.last ?? 0, 600).flow_m3s;
      expect(last / inflow_m3s).toBeGreaterThan(7);
      expect(last / inflow_m3s).toBeLessThan(13);
      expect(inflow.flow_m3s / (late(600) / 600)).toBeGreaterThan(0.8);
    }
  });

  it("sees none where there is none, nor in spikes", () => {
    const spiky: RestCourse = { error_m: (random) => (random.uniform() < 0.02 ? 0.05 : 0) };
    for (const { fits } of [overSeeds({}), overSeeds(spiky)]) {
      expect(fits.filter((fit) => fit?.turns_s !== undefined)).toEqual([]);
    }
  });

  it("is zero when nothing comes, and negative when water seeps away", () => {
    const { inflow } = fitted({ inflowBy_m3: () => 0 }) ?? {};
    expect(Math.abs(inflow?.flow_m3s ?? 1)).toBeLessThan(4 * (inflow?.uFlow_m3s ?? 0));
    expect(fitted({ inflowBy_m3: (t) => -inflow_m3s * t })?.inflow.flow_m3s).toBeLessThan(-0.99 * inflow_m3s);
  });
});

describe("fitRest with a level that was not seen all along", () => {
  /** The samples between two times of a rest of an hour whose inflow dies away. */
  function seen(from_s: number, to_s: number) {
    const dying = (t: number) => inflow_m3s * 900 * (1 - Math.exp(-t / 900));
    const whole = restCourse({ duration_s: 3600, inflowBy_m3: dying });
    const t = whole.t.subarray(from_s, to_s);
    const part = { t, y: whole.y.subarray(from_s, to_s), weight: whole.weight.subarray(from_s, to_s), count: t.length };
    const mean_m3s = (dying(to_s) - dying(from_s)) / (to_s - from_s);
    return { found: fitRest(part, 3600, how()), mean_m3s };
  }

  it("tells the mean over the part that was seen, and not where the curve would go beyond", () => {
    const { found, mean_m3s } = seen(0, 900);
    expect([found?.seenFrom_s, Math.round(found?.seenTo_s ?? 0)]).toEqual([0, 900]);
    expect((found?.inflow.flow_m3s ?? 0) / mean_m3s).toBeCloseTo(1, 1);
    expect(found?.endVolume_m3).toBeNull();
    expect(found?.startVolume_m3).toBeCloseTo(stored_m3, 3);
    const parts = found?.inflowParts(3) ?? [];
    expect((parts[2] ?? 0) / inflow_m3s).toBeCloseTo((900 / 300) * (Math.exp(-600 / 900) - Math.exp(-1)), 1);
  });

  it("does the same for one that was seen late, and then knows nothing of the beginning", () => {
    const { found, mean_m3s } = seen(1800, 3600);
    expect([Math.round(found?.seenFrom_s ?? 0), found?.seenTo_s]).toEqual([1801, 3600]);
    expect((found?.inflow.flow_m3s ?? 0) / mean_m3s).toBeCloseTo(1, 1);
    expect(found?.startVolume_m3).toBeNull();
    expect(found?.endVolume_m3).not.toBeNull();
  });

  it("carries on to the ends of a rest that are near, and between readings far apart", () => {
    const { found } = seen(100, 3500);
    expect([found?.seenFrom_s, found?.seenTo_s]).toEqual([0, 3600]);
    const few = fitted({ duration_s: 900, interval_s: 300, noise_m: 0 });
    expect([few?.seenFrom_s, few?.seenTo_s]).toEqual([0, 900]);
  });
});

describe("fitRest of a level that is read in steps each half minute", () => {
  /** Litres that come back over the rests of an inflow that falls away after a storm, 0.85 L a step: which is none. */
  function comesBack_m3(seed: number, rests = 40): (number | null)[] {
    const step_m3 = 0.85e-3;
    const random = seededRandom(seed);
    const memory = newRestMemory();
    return Array.from({ length: rests }, (_, k) => {
      const flow_m3s = 0.11e-3 * 0.96 ** k;
      const duration_s = 0.035 / flow_m3s;
      const first_m3 = 0.017 + random.normal(0.5e-3);
      const t = Float64Array.from({ length: Math.floor(duration_s / 30) }, (_, i) => 15 + 30 * i);
      const y = t.map((time_s) => {
        const cameIn_m3 = flow_m3s * time_s * (1 - (0.02 * time_s) / duration_s);
        return step_m3 * Math.round((first_m3 + cameIn_m3 + random.normal(0.08e-3)) / step_m3);
      });
      const samples = { t, y, weight: new Float64Array(t.length).fill(1), count: t.length };
      const found = fitRest(samples, duration_s, how({ returns: null, memory, edgesVague: true, step_m3 }));
      return found?.drainBack?.volume_m3 ?? null;
    });
  }

  it("takes a rest whose readings meet the steps by chance for no proof that water comes back", () => {
    for (let seed = 1; seed <= 30; seed++) {
      expect(comesBack_m3(seed).every((volume_m3) => volume_m3 === null)).toBe(true);
    }
  });
});

describe("fitRest of short rests between edges that were read off the level", () => {
  it("takes the beginning of the next run at their ends for no water that came back", () => {
    const memory = newRestMemory();
    // The pump has run for the last 4 s of what looks like a rest of 22 s, and lowers the water twice as fast as it rises.
    const inflowBy_m3 = (t: number) => 1.5e-3 * (t - 3 * Math.max(0, t - 18));
    const fits = Array.from({ length: 12 }, (_, i) =>
      fitted({ duration_s: 22, inflowBy_m3, seed: i + 1 }, { memory, returns: null, edgesVague: true }),
    );
    expect(fits.map((one) => one?.drainBack ?? null)).toEqual(fits.map(() => null));
  });
});

describe("fitRest of a level that is read in steps every other second", () => {
  it("goes on as the readings do where water that poured in stands still after, and no step is passed any more", () => {
    const step_m3 = 1.9e-3;
    const duration_s = 290;
    for (let seed = 1; seed <= 8; seed += 1) {
      const random = seededRandom(seed);
      const poured_m3 = 0.028 + random.normal(1e-3);
      const volume_m3 = (time_s: number) => 0.033 + poured_m3 * Math.min(1, time_s / 95) + 1.2e-5 * time_s;
      const t = Float64Array.from({ length: duration_s / 2 }, (_, i) => 1 + 2 * i);
      const y = t.map((time_s) => step_m3 * Math.round((volume_m3(time_s) + random.normal(0.19e-3)) / step_m3));
      const samples = { t, y, weight: new Float64Array(t.length).fill(1), count: t.length };
      const found = fitRest(samples, duration_s, how({ memory: newRestMemory(), step_m3 }));
      expect(Math.abs((found?.endVolume_m3 ?? Number.NaN) - volume_m3(duration_s))).toBeLessThan(step_m3);
      const cameIn_m3 = volume_m3(duration_s) - volume_m3(0);
      expect(Math.abs((found?.inflow.flow_m3s ?? Number.NaN) * duration_s - cameIn_m3)).toBeLessThan(1.5 * step_m3);
    }
  });
});
