import { describe, expect, it } from "vitest";
import { takeOutLeapsBack } from "../../../../analysis/inflow/poured-in/leapt-back.ts";
import { takeOutFall, takeOutPour } from "../../../../analysis/inflow/poured-in/poured-in.ts";
import { plainRest } from "../../../../analysis/inflow/rest/plain-rest.ts";
import { area_m2, inflow_m3s } from "../../small-basin.ts";
import { fadingLitre, type RestCourse, restCourse, steadyLitres } from "../rest-course.ts";

const noise_m = 0.0015;
const seeds = Array.from({ length: 100 }, (_, i) => i + 1);
const plainOf = (course: RestCourse) =>
  seeds.filter((seed) => plainRest(restCourse({ ...course, seed })) !== null).length;
/** At 300 s, in the middle. */
const atOnce = (litres: number) => (t: number) => (t > 300 ? litres * 1e-3 : 0);

describe("plainRest", () => {
  it("takes nearly all rests of independent noise for plain, whether the inflow is steady, falls or rises", () => {
    expect(plainOf({})).toBeGreaterThan(90);
    expect(plainOf({ inflowBy_m3: (t) => inflow_m3s * t * (1 - t / 2400) })).toBeGreaterThan(90);
    expect(plainOf({ inflowBy_m3: (t) => inflow_m3s * t * (1 + t / 600) })).toBeGreaterThan(90);
    expect(plainOf({ duration_s: 1800 })).toBeGreaterThan(85);
  });

  it("knows how a sample scatters", () => {
    expect((plainRest(restCourse())?.sampleSd_m3 ?? 0) / (noise_m * area_m2)).toBeCloseTo(1, 1);
  });

  it("takes no rest for plain in which a litre comes, goes, or comes and goes, at once", () => {
    const thereAndBack = (t: number) => (t > 300 && t < 400 ? 1e-3 : 0);
    for (const extra_m3 of [atOnce(1), atOnce(-1), thereAndBack]) expect(plainOf({ extra_m3 })).toBe(0);
  });

  it("takes none for plain in which anything is found that is looked for otherwise", () => {
    const courses = [0, 0.3, 0.6, 1, 2].flatMap((litres) => [atOnce(litres), atOnce(-litres)]);
    for (const extra_m3 of courses) {
      for (const seed of seeds.slice(0, 40)) {
        const samples = restCourse({ extra_m3, seed });
        if (plainRest(samples) === null) continue;
        expect(takeOutLeapsBack(samples, 0)).toBe(false);
        expect(takeOutFall(samples, 0)).toBeNull();
        expect(takeOutPour(samples, 0)).toBeNull();
      }
    }
  });

  it("takes none for plain with a spike, a tap that runs for a minute, much that comes back, or noise that lasts", () => {
    const spike = (t: number) => (t === 200.5 ? 0.02 * area_m2 : 0);
    let last_m = 0;
    const wanders: RestCourse["error_m"] = (random) => {
      last_m = 0.95 * last_m + random.normal(0.0005);
      return last_m;
    };
    const tap = (t: number) => 4e-3 * Math.min(1, Math.max(0, (t - 200) / 60));
    // A storm that breaks within the last nine readings.
    const breaks = (t: number) => Math.max(0, t - 591) * 1.04 * noise_m * area_m2;
    expect(plainOf({ extra_m3: spike })).toBe(0);
    expect(plainOf({ extra_m3: tap })).toBe(0);
    expect(plainOf({ extra_m3: breaks })).toBe(0);
    expect(plainOf({ extra_m3: steadyLitres(3, 30) })).toBe(0);
    expect(plainOf({ extra_m3: (t) => 4 * fadingLitre(30)(t) })).toBe(0);
    expect(plainOf({ error_m: wanders })).toBeLessThan(10);
  });

  it("takes none for plain that is short, read seldom, or from a sensor that stands", () => {
    expect(plainOf({ duration_s: 60 })).toBe(0);
    expect(plainOf({ duration_s: 3600, interval_s: 10 })).toBe(0);
    expect(plainRest(restCourse({ noise_m: 0, inflowBy_m3: () => 0 }))).toBeNull();
  });
});
