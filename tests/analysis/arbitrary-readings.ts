// Recordings as nobody would wish them: stretches of a basin that works, mixed with silence, nonsense and standstill.

import type { Reading } from "../../analysis/readings/reading.ts";
import type { Site } from "../../analysis/site.ts";
import { seededRandom } from "../../daemon/sources/simulated/random.ts";
import * as fc from "../at-random.ts";
import { courseAt, reading, smallSite, startTime_s } from "./small-basin.ts";

const silly = [-1, 0, 0.2, 5, 1e9, 1e308, -1e308, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];

const stretch = fc.record({
  /** Silence before it, or a step back in time. */
  after_s: fc.constantFrom(0, 0, 0, 1, -30, 70, 4000, 200_000),
  interval_s: fc.constantFrom(0, 0.1, 0.5, 1, 1, 1, 5, 10, 60),
  count: fc.integer({ min: 1, max: 250 }),
  level: fc.constantFrom("course", "course", "course", "coarse", "standing", "silly", "absent"),
  contact: fc.constantFrom("course", "course", "absent", "inverted", "flickering", "stuck"),
  others: fc.constantFrom("absent", "absent", "float", "current", "power", "all"),
  lost: fc.constantFrom(0, 0, 0.02, 0.5),
  noise_m: fc.constantFrom(0, 0.0015, 0.02),
});

type Stretch = typeof stretch extends fc.Arbitrary<infer T> ? T : never;

export const anyReadings: fc.Arbitrary<Reading[]> = fc
  .record({
    stretches: fc.array(stretch, { minLength: 1, maxLength: 8 }),
    slower: fc.constantFrom(0.1, 0.5, 1, 10),
    seed: fc.integer({ min: 0, max: 1e6 }),
  })
  .map(({ stretches, slower, seed }) => recordingOf(stretches, slower, seed));

/** The small basin as it is, and one of which only the shape is known. */
export const anySite: fc.Arbitrary<Site> = fc.constantFrom(smallSite, {
  ...smallSite,
  basin: {
    ...smallSite.basin,
    depth_m: null,
    startLevel_m: null,
    stopLevel_m: null,
    highLevel_m: null,
    overflowLevel_m: null,
  },
  pump: null,
});

function recordingOf(stretches: readonly Stretch[], slower: number, seed: number): Reading[] {
  const random = seededRandom(seed);
  const readings: Reading[] = [];
  let after_s = 0;
  for (const part of stretches) {
    after_s += part.after_s;
    for (let i = 0; i < part.count; i++) {
      after_s += part.interval_s;
      const course = courseAt(after_s / slower);
      const lost = () => random.uniform() < part.lost;
      readings.push(
        reading(random.uniform() < 0.002 ? Number.NaN : Math.round((startTime_s + after_s) * 1000) / 1000, {
          level_m: lost() ? null : levelOf(part, course.level_m + random.normal(part.noise_m), random.uniform()),
          pumpOn: lost() ? null : contactOf(part, course.pumpOn, random.uniform()),
          ...othersOf(part, course.pumpOn),
        }),
      );
    }
  }
  return readings;
}

function levelOf({ level }: Stretch, course_m: number, chance: number): number | null {
  if (level === "course") return course_m;
  if (level === "coarse") return Math.round(course_m * 100) / 100;
  if (level === "standing") return 0.2;
  return level === "silly" ? (silly[Math.floor(chance * silly.length)] ?? null) : null;
}

function contactOf({ contact }: Stretch, course: boolean, chance: number): boolean | null {
  if (contact === "course") return course;
  if (contact === "inverted") return !course;
  if (contact === "flickering") return chance < 0.5;
  return contact === "stuck" ? true : null;
}

function othersOf({ others }: Stretch, course: boolean): Partial<Reading> {
  const all: Partial<Reading> = {
    floatOn: course,
    pumpCurrent_a: course ? 6.2 : 0.1,
    pumpPower_w: course ? 550 : 3,
    highFloat: course,
    mainsOn: !course,
    rain_m: 0.001,
    temperature_c: 12,
  };
  if (others === "all") return all;
  if (others === "float") return { floatOn: all.floatOn ?? null };
  if (others === "current") return { pumpCurrent_a: all.pumpCurrent_a ?? null };
  return others === "power" ? { pumpPower_w: all.pumpPower_w ?? null } : {};
}
