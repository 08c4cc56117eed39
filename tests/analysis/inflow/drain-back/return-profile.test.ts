import { describe, expect, it } from "vitest";
import {
  learnedLag,
  learnedReturn,
  learnReturn,
  newReturnProfile,
} from "../../../../analysis/inflow/drain-back/return-profile.ts";
import { fadingLitre, type RestCourse, restCourse } from "../rest-course.ts";

function learned(rests: number, course: RestCourse) {
  const profile = newReturnProfile();
  for (let i = 0; i < rests; i++) {
    const samples = restCourse({ ...course, seed: i + 1 });
    learnReturn(profile, samples, samples, course.duration_s ?? 600, null);
  }
  return profile;
}

function learn(rests: number, course: RestCourse) {
  return learnedReturn(learned(rests, course));
}

/** A fifth of a litre: 2 mm of level, little more than one reading's noise. */
const littleWater = (t: number) => 0.2 * fadingLitre(3)(t);

describe("learnedReturn", () => {
  it("is unknown before the sixth rest", () => {
    expect(learn(5, { extra_m3: fadingLitre(3) })).toBeNull();
    expect(learn(6, { extra_m3: fadingLitre(3) })).not.toBeNull();
  });

  it("finds in the mean of many rests what the noise of one hides", () => {
    const found = learn(40, { extra_m3: littleWater, noise_m: 0.0015 });
    expect(found?.volume_m3).toBeGreaterThan(0.00014);
    expect(found?.volume_m3).toBeLessThan(0.00026);
    expect(found?.time_s).toBeGreaterThan(1.5);
    expect(found?.time_s).toBeLessThan(6);
  });

  it("is zero where nothing returns", () => {
    expect(learn(40, {})?.volume_m3).toBe(0);
  });

  it("is next to nothing where nothing returns and the inflow all but stops before the pump starts", () => {
    // Ground water that stands 5 mm over a start level 200 mm over the stop: 20.5 L come, ever more slowly, and 20 L start it.
    const reaches_m3 = 0.0205;
    const slows_s = 1000;
    const course: RestCourse = {
      duration_s: Math.round(slows_s * Math.log(reaches_m3 / 0.0005)),
      inflowBy_m3: (t) => reaches_m3 * (1 - Math.exp(-t / slows_s)),
    };
    // One cubic through the whole of it would miss a litre and more at its beginning.
    expect(learn(20, course)?.volume_m3).toBeLessThan(0.00005);
    const litre = learn(20, { ...course, extra_m3: fadingLitre(3) });
    expect(litre?.volume_m3).toBeGreaterThan(0.00085);
    expect(litre?.volume_m3).toBeLessThan(0.00115);
  });

  it("is zero where something else pours in after every stop: a valve lets the same back each time", () => {
    const few = (litres: readonly number[]) => {
      const profile = newReturnProfile();
      litres.forEach((volume, i) => {
        const samples = restCourse({ seed: i + 1, extra_m3: (t) => volume * fadingLitre(14)(t) });
        learnReturn(profile, samples, samples, 600, null);
      });
      return learnedReturn(profile)?.volume_m3;
    };
    expect(few([9.2, 12.2, 1.4, 0, 5.7, 0.2])).toBe(0);
    expect(few([4.6, 5.4, 5, 4, 5.7, 6])).toBeCloseTo(0.0051, 3);
  });

  it("follows a valve that is replaced within some rests", () => {
    const profile = newReturnProfile();
    for (let i = 0; i < 100; i++) {
      const samples = restCourse({ seed: i, extra_m3: i < 50 ? fadingLitre(3) : () => 0 });
      learnReturn(profile, samples, samples, 600, null);
    }
    expect(learnedReturn(profile)?.volume_m3).toBeLessThan(0.0003);
  });

  it("forgets what a valve let back once it is mended: after three rests in a row that show far less", () => {
    const profile = newReturnProfile();
    const many = (count: number, litres: number) => {
      for (let i = 0; i < count; i++) {
        const samples = restCourse({
          seed: profile.rests + 100 * litres + i,
          extra_m3: (t) => litres * fadingLitre(5)(t),
        });
        learnReturn(profile, samples, samples, 600, learnedReturn(profile));
      }
      return learnedReturn(profile)?.volume_m3;
    };
    expect(many(20, 6)).toBeGreaterThan(0.0055);
    expect(many(2, 0)).toBeGreaterThan(0.005);
    expect(many(7, 0)).toBe(0);
  });

  it("is zero where much poured in after two stops of six: a valve lets it back after most", () => {
    const profile = newReturnProfile();
    for (let i = 0; i < 6; i++) {
      const samples = restCourse({ seed: i, extra_m3: (t) => (i % 3 === 1 ? 12 : 0) * fadingLitre(5)(t) });
      learnReturn(profile, samples, samples, 600, null);
    }
    expect(learnedReturn(profile)?.volume_m3).toBe(0);
  });

  it("takes no cubic that short rests carry astray for water: they tell together of a litre, not of a fifth of it", () => {
    const few = (seed: number, course: RestCourse) => {
      const profile = newReturnProfile();
      for (let i = 0; i < 12; i++) {
        const samples = restCourse({ duration_s: 130, noise_m: 0.0015, ...course, seed: 100 * seed + i });
        learnReturn(profile, samples, samples, 130, null);
      }
      return learnedReturn(profile)?.volume_m3 ?? Number.NaN;
    };
    const seeds = Array.from({ length: 20 }, (_, seed) => seed);
    expect(seeds.filter((seed) => few(seed, {}) > 0)).toEqual([]);
    for (const seed of seeds) expect(few(seed, { extra_m3: fadingLitre(3) })).toBeGreaterThan(0.0006);
  });

  it("does not learn from rests too short to show the course of the filling beside it", () => {
    expect(learn(40, { duration_s: 100, extra_m3: fadingLitre(3) })).toBeNull();
  });
});

describe("learnedLag", () => {
  /** After a fall of 1 L/s a sensor of 3 s stands 3 L too high, and comes down within as long. */
  const fall_m3s = 0.001;
  const lags = (lag_s: number) => ({ extra_m3: (t: number) => fall_m3s * lag_s * Math.exp(-t / lag_s) });

  it("is the time constant of a sensor that goes on falling after the stop", () => {
    const found = learnedLag(learned(10, lags(3)), fall_m3s);
    expect(found?.time_s).toBeGreaterThan(2.5);
    expect(found?.time_s).toBeLessThan(3.5);
    expect(found?.volume_m3).toBeCloseTo(-0.003, 3);
  });

  it("is not known of a quick sensor, where water runs back, before six rests, or without a pump's rate", () => {
    expect(learnedLag(learned(10, {}), fall_m3s)).toBeNull();
    expect(learnedLag(learned(10, { extra_m3: fadingLitre(3) }), fall_m3s)).toBeNull();
    expect(learnedLag(learned(5, lags(3)), fall_m3s)).toBeNull();
    expect(learnedLag(learned(10, lags(3)), null)).toBeNull();
  });

  it("is none where the excess does not fit the pump: waves, or water poured in", () => {
    expect(learnedLag(learned(10, lags(3)), 4 * fall_m3s)).toBeNull();
    expect(learnedLag(learned(10, lags(3)), fall_m3s / 4)).toBeNull();
  });
});
