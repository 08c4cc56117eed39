import { describe, expect, it } from "vitest";
import {
  earlierCourse,
  latestFall_ms,
  levelTrend_ms,
  newTrend,
  noteLevel,
  restartTrend,
  riseInAMinute_m,
} from "../../../analysis/readings/trend.ts";

function follow(duration_s: number, levelAt: (t: number) => number | null) {
  const trend = newTrend();
  for (let t = 0; t <= duration_s; t++) noteLevel(trend, t, levelAt(t));
  return trend;
}

describe("levelTrend_ms", () => {
  it("is the mean rate of change over the last minute: 1 mm/s", () => {
    expect(levelTrend_ms(follow(300, (t) => 0.1 + 0.001 * t))).toBeCloseTo(0.001, 12);
    // Stood for long, rose for the last 30 s of the minute: half of it.
    expect(levelTrend_ms(follow(300, (t) => 0.001 * Math.max(0, t - 270)))).toBeCloseTo(0.0005, 4);
  });

  it("is unknown before five seconds, and again after a restart", () => {
    expect(levelTrend_ms(follow(4, (t) => t))).toBeNull();
    const trend = follow(100, (t) => t);
    restartTrend(trend);
    expect(levelTrend_ms(trend)).toBeNull();
  });

  it("does without readings that have no level", () => {
    expect(levelTrend_ms(follow(300, (t) => (t % 3 === 0 ? 0.001 * t : null)))).toBeCloseTo(0.001, 12);
  });

  it("keeps no more than a minute", () => {
    expect(follow(10_000, (t) => t).count).toBeLessThanOrEqual(32);
  });
});

describe("riseInAMinute_m", () => {
  it("is 60 mm at 1 mm/s, and unknown until nearly a minute has been seen", () => {
    expect(
      riseInAMinute_m(
        follow(200, (t) => 0.001 * t),
        0,
      ),
    ).toBeCloseTo(0.06, 12);
    expect(
      riseInAMinute_m(
        follow(50, (t) => 0.001 * t),
        0,
      ),
    ).toBeNull();
  });

  it("is a fall where all that the water rose it rose at once", () => {
    const leaps = (t: number) => (t < 60 ? 0.1 : 0.22) - 0.0008 * (t % 60);
    expect(riseInAMinute_m(follow(80, leaps), 0.001)).toBeCloseTo(-0.048, 2);
  });

  it("takes no step that noise makes for a leap", () => {
    const trembles = (t: number) => 0.0001 * t + (t % 4 === 0 ? 0.002 : 0);
    expect(riseInAMinute_m(follow(200, trembles), 0.001)).toBeCloseTo(0.006, 2);
  });
});

/** A level a second from a course of its own. */
function followed(seconds: number, level_m: (time_s: number) => number) {
  const trend = newTrend();
  for (let time_s = 0; time_s <= seconds; time_s++) noteLevel(trend, time_s, level_m(time_s));
  return trend;
}

describe("earlierCourse", () => {
  it("leaves the latest seconds out, so that a rise in them can be held against it", () => {
    const course = earlierCourse(followed(60, (t) => (t <= 52 ? 0.001 * t : 0.052 + 0.02 * (t - 52))));
    expect(course).toEqual({ time_s: 52, level_m: expect.closeTo(0.052, 9), rate_ms: expect.closeTo(0.001, 9) });
  });

  it("is unknown before fifteen seconds of it", () => {
    expect(earlierCourse(newTrend())).toBeNull();
    expect(earlierCourse(followed(22, (t) => t))).toBeNull();
    expect(earlierCourse(followed(24, (t) => t))?.rate_ms).toBe(1);
  });
});

describe("latestFall_ms", () => {
  it("is the fall over the latest four seconds, whatever was before", () => {
    expect(latestFall_ms(followed(40, (t) => (t < 30 ? 1 : 1 - 0.01 * (t - 30))))).toBeCloseTo(0.01, 9);
    expect(latestFall_ms(followed(40, (t) => 0.001 * t))).toBeCloseTo(-0.001, 9);
  });

  it("is unknown before four seconds", () => {
    expect(latestFall_ms(followed(3, (t) => t))).toBeNull();
    expect(latestFall_ms(followed(4, (t) => t))).toBe(-1);
  });
});
