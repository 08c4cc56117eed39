import { describe, expect, it } from "vitest";
import {
  gapLimit_s,
  hasExactEdges,
  isEventLog,
  isGap,
  isRegular,
  newCadence,
  noteSignal,
} from "../../../analysis/cycles/cadence.ts";
import { seededRandom } from "../../../daemon/sources/simulated/random.ts";

/** Feeds readings so far apart; tells the intervals that were called gaps. */
function follow(intervals_s: readonly number[], { hasLevel = true, flips = (_: number): boolean => false } = {}) {
  const cadence = newCadence();
  let time_s = 1_772_409_600;
  isGap(cadence, time_s, hasLevel, flips(0));
  const gaps = intervals_s.filter((interval_s, i) => {
    time_s += interval_s;
    return isGap(cadence, time_s, hasLevel, flips(i + 1));
  });
  return { cadence, gaps };
}

function equal(count: number, interval_s: number): number[] {
  return new Array<number>(count).fill(interval_s);
}

describe("isGap", () => {
  it.each([
    [0.1, 60],
    [1, 60],
    [10, 60],
    [60, 300],
    [300, 1500],
    [900, 4500],
  ])("with a reading every %d s takes more than %d s of silence for a gap, and no less", (interval_s, limit_s) => {
    const before = equal(200, interval_s);
    const after = equal(5, interval_s);
    expect(follow([...before, limit_s, ...after]).gaps).toEqual([]);
    expect(follow([...before, 1.05 * limit_s, ...after]).gaps).toEqual([1.05 * limit_s]);
  });

  it("is not led astray by lost rows, doubled rows or an odd first interval", () => {
    const random = seededRandom(1);
    const intervals_s = Array.from({ length: 5000 }, () =>
      random.uniform() < 0.02 ? 3 : random.uniform() < 0.02 ? 0 : 1,
    );
    const { cadence, gaps } = follow([37, ...intervals_s, 61]);
    expect(gaps).toEqual([61]);
    expect(cadence.typical_s).toBeLessThan(1.1);
  });

  it("does not move for time that stands still or goes back", () => {
    const { cadence, gaps } = follow([1, 0, 0, 0, 1, 0, 1]);
    expect(gaps).toEqual([]);
    expect(cadence.typical_s).toBe(1);
  });

  it("gets used to a logger that is set to longer intervals", () => {
    const { gaps } = follow([...equal(500, 1), ...equal(500, 300)]);
    expect(gaps.length).toBeLessThan(60);
    expect(follow([...equal(500, 1), ...equal(500, 50)]).gaps).toEqual([]);
  });

  it("soon sees no gap where two sources speak a moment apart once a minute, and each is late now and then", () => {
    const random = seededRandom(3);
    const intervals_s = Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? 0.2 : 59.8 + 2 * random.uniform()));
    const first = follow(intervals_s.slice(0, 10)).gaps.length;
    expect(first).toBeLessThanOrEqual(4);
    expect(follow(intervals_s).gaps).toHaveLength(first);
  });

  it("sees no gap where a logger writes on change only, minutes apart at rest and seconds apart in a run", () => {
    const cycle_s = [...equal(12, 1), ...equal(6, 55)];
    expect(follow(Array.from({ length: 50 }, () => cycle_s).flat()).gaps).toEqual([]);
  });
});

describe("rows by the clock that come hardly more often than the pump starts", () => {
  it("show many changes, but not when they happened", () => {
    // A start every fifth minute, a row every minute: two changes in five rows.
    const { cadence } = follow(equal(300, 60), { flips: (i) => i % 5 === 0 || i % 5 === 1 });
    expect(cadence.flipShare).toBeGreaterThan(0.3);
    expect(hasExactEdges(cadence)).toBe(false);
  });
});

describe("a log of events", () => {
  const pairs = Array.from({ length: 100 }, (_, i) => (i % 2 === 0 ? 18 : 1400));

  it("is known by its flips, and silent for up to a day before that is a gap", () => {
    const { cadence, gaps } = follow([...pairs, 80_000, 18, 90_000], { hasLevel: false, flips: () => true });
    expect(gaps).toEqual([90_000]);
    expect(isEventLog(cadence)).toBe(true);
    expect(gapLimit_s(cadence, false)).toBe(86_400);
  });

  it("is none when few of its rows flip the pump", () => {
    const { cadence } = follow(equal(400, 10), { hasLevel: false, flips: (i) => i % 40 < 2 });
    expect(isEventLog(cadence)).toBe(false);
    expect(gapLimit_s(cadence, false)).toBe(60);
  });
});

describe("hasExactEdges", () => {
  it("is false of a contact alone that is read by the clock, though in a storm it has changed at most readings", () => {
    const of = (interval_s: (i: number) => number) => {
      const cadence = newCadence();
      let time_s = 1_772_409_600;
      for (let i = 0; i < 300; i++) {
        const flipped = i % 3 > 0;
        isGap(cadence, time_s, false, flipped);
        noteSignal(cadence, flipped, false, interval_s(i));
        time_s += interval_s(i + 1);
      }
      return hasExactEdges(cadence);
    };
    expect(of(() => 15)).toBe(false);
    expect(of((i) => 15 + (i % 2))).toBe(false);
    // Of its own accord it says that it starts and stops, and every quarter of an hour that it lives.
    expect(of((i) => [900, 400, 18][i % 3] ?? 0)).toBe(true);
  });

  const signals = (rows: readonly (readonly [flipped: boolean, withLevel: boolean])[], levelsByClock = false) => {
    const cadence = newCadence();
    for (const [flipped, withLevel] of rows) noteSignal(cadence, flipped, withLevel, Number.NaN, levelsByClock);
    return hasExactEdges(cadence);
  };

  it("is true of a contact that speaks when it changes, with a sign of life between now and then", () => {
    expect(signals([[true, false]])).toBe(true);
    expect(signals(Array.from({ length: 60 }, (_, i) => [i % 3 < 2, false]))).toBe(true);
    // Everything is written each so often as well, far more often than the pump switches.
    expect(
      signals(
        Array.from({ length: 600 }, (_, i) => [i % 20 < 2, i % 20 > 1]),
        true,
      ),
    ).toBe(true);
  });

  it("is false of one that is asked with the level, however often it has changed since", () => {
    expect(signals(Array.from({ length: 60 }, () => [true, true]))).toBe(false);
    expect(signals(Array.from({ length: 60 }, (_, i) => [i % 10 === 0, false]))).toBe(false);
    // A level each so often, and by chance at a change or two.
    expect(
      signals(
        Array.from({ length: 300 }, (_, i) => [i % 50 === 0, true]),
        true,
      ),
    ).toBe(false);
  });
});

describe("isRegular", () => {
  it("is true for rows by the clock, with some of them lost, and false for rows by what happens", () => {
    const random = seededRandom(4);
    const lossy = Array.from({ length: 2000 }, () => (random.uniform() < 0.02 ? 120 : 60));
    expect(isRegular(follow(lossy).cadence)).toBe(true);
    expect(isRegular(follow(Array.from({ length: 400 }, (_, i) => (i % 10 < 7 ? 2 : 40))).cadence)).toBe(false);
  });
});
