import { describe, expect, it } from "vitest";
import { learnedReturn, learnReturn, newReturnProfile } from "../../../analysis/inflow/return-profile.ts";
import { fadingLitre, type RestCourse, restCourse } from "./rest-course.ts";

function learn(rests: number, course: RestCourse) {
  const profile = newReturnProfile();
  for (let i = 0; i < rests; i++) {
    learnReturn(profile, restCourse({ ...course, seed: i + 1 }), course.duration_s ?? 600, null);
  }
  return learnedReturn(profile);
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

  it("follows a valve that is replaced within some rests", () => {
    const profile = newReturnProfile();
    for (let i = 0; i < 100; i++) {
      learnReturn(profile, restCourse({ seed: i, extra_m3: i < 50 ? fadingLitre(3) : () => 0 }), 600, null);
    }
    expect(learnedReturn(profile)?.volume_m3).toBeLessThan(0.0003);
  });

  it("does not learn from rests too short to show the course of the filling beside it", () => {
    expect(learn(40, { duration_s: 100, extra_m3: fadingLitre(3) })).toBeNull();
  });
});
