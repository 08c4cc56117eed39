import { describe, expect, it } from "vitest";
import {
  addStretch,
  breakPeaks,
  isLeastPeak,
  newPeaks,
  peakOver,
  windows_s,
} from "../../../../analysis/inflow/over-time/rolling-peaks.ts";
import { uTotal_m3 } from "../../../../analysis/inflow/over-time/total-inflow.ts";
import * as fc from "../../../at-random.ts";

type Stretch = { readonly from_s: number; readonly to_s: number; readonly flow: number; readonly known: boolean };

function feed(stretches: readonly Stretch[]) {
  const peaks = newPeaks();
  stretches.forEach(({ from_s, to_s, flow, known }, i) => {
    if (known) addStretch(peaks, from_s, to_s, flow, 0.01 * flow, i);
    else breakPeaks(peaks);
  });
  return peaks;
}

function inOrder(lengths: readonly { readonly length_s: number; readonly flow: number; readonly known: boolean }[]) {
  let time_s = 0;
  return lengths.map(({ length_s, flow, known }) => {
    const from_s = time_s;
    time_s += length_s;
    return { from_s, to_s: time_s, flow, known };
  });
}

/** Every window that ends at a whole second and lies wholly in known stretches: all lengths are whole seconds. */
function bruteForce(stretches: readonly Stretch[], window_s: number): number | null {
  const end_s = stretches.at(-1)?.to_s ?? 0;
  const perSecond = new Float64Array(end_s).fill(Number.NaN);
  for (const { from_s, to_s, flow, known } of stretches) if (known) perSecond.fill(flow, from_s, to_s);
  let best: number | null = null;
  let sum = 0;
  let run = 0;
  for (let i = 0; i < end_s; i++) {
    const flow = perSecond[i] ?? Number.NaN;
    run = Number.isNaN(flow) ? 0 : run + 1;
    sum = run === 0 ? 0 : sum + flow - (run > window_s ? (perSecond[i - window_s] ?? 0) : 0);
    if (run >= window_s) best = Math.max(best ?? Number.NEGATIVE_INFINITY, sum / window_s);
  }
  return best;
}

describe("addStretch", () => {
  it("finds what trying every second would find, across gaps too", () => {
    const part = fc.record({
      length_s: fc.integer({ min: 1, max: 900 }),
      flow: fc.integer({ min: 0, max: 50 }),
      known: fc.integer({ min: 0, max: 9 }).map((n) => n > 0),
    });
    fc.assert(
      fc.property(fc.array(part, { minLength: 1, maxLength: 40 }), (parts) => {
        const stretches = inOrder(parts);
        const { peaks } = feed(stretches);
        windows_s.forEach((window_s, w) => {
          const expected = bruteForce(stretches, window_s);
          if (expected === null) expect(peaks[w]).toBeNull();
          else expect(peaks[w]?.inflow_m3s).toBeCloseTo(expected, 8);
        });
      }),
      { numRuns: 60 },
    );
  });

  it("places a window's peak by its middle", () => {
    const { peaks } = feed(
      inOrder([
        { length_s: 100, flow: 1, known: true },
        { length_s: 60, flow: 5, known: true },
        { length_s: 500, flow: 2, known: true },
      ]),
    );
    expect(peaks[0]).toMatchObject({ inflow_m3s: 5, at_s: 130 });
    // The best ten minutes leave out the first minute, at flow 1: 40 s of 1, 60 s of 5, 500 s of 2.
    expect(peaks[1]?.inflow_m3s).toBeCloseTo((40 + 300 + 1000) / 600, 12);
    expect(peaks[1]?.at_s).toBe(360);
    expect(peaks[2]).toBeNull();
  });

  it("adds errors within one estimate, and takes those of different ones as independent", () => {
    const oneEstimate = newPeaks();
    for (let i = 0; i < 4; i++) addStretch(oneEstimate, i * 150, (i + 1) * 150, 1, 0.2, 1);
    expect(oneEstimate.peaks[1]?.uInflow_m3s).toBeCloseTo(0.2, 12);
    const four = newPeaks();
    for (let i = 0; i < 4; i++) addStretch(four, i * 150, (i + 1) * 150, 1, 0.2, i);
    expect(four.peaks[1]?.uInflow_m3s).toBeCloseTo(0.2 / 2, 12);
  });

  it("is less sure of the highest of many alike, and not of one that stands out", () => {
    const steady = newPeaks();
    for (let i = 0; i < 100; i++) addStretch(steady, i * 600, (i + 1) * 600, i === 50 ? 1.02 : 1, 0.01, i);
    // 97.5 % of the highest of 99 normal errors lie under 3.47 standard deviations (0.975 ** (1 / 99) of the normal distribution), of one under 1.96.
    expect((steady.peaks[1]?.uInflow_m3s ?? 0) / 0.01).toBeCloseTo(3.47 / 1.96, 1);
    const stormy = newPeaks();
    for (let i = 0; i < 100; i++) addStretch(stormy, i * 600, (i + 1) * 600, i === 50 ? 2 : 1, 0.01, i);
    expect((stormy.peaks[1]?.uInflow_m3s ?? 0) / 0.01).toBeCloseTo(1, 12);
  });

  it("is that of a bucket, not of a minute as high of which next to nothing is known", () => {
    const peaks = newPeaks();
    const minutes: Record<number, readonly [number, number]> = { 30: [10, 0.2], 90: [12, 5], 150: [1.3, 0.9] };
    for (let i = 0; i < 200; i++) {
      const [flow, u] = minutes[i] ?? [1, 0.01];
      addStretch(peaks, i * 60, (i + 1) * 60, flow, u, i);
    }
    expect(peakOver(peaks, 0)).toMatchObject({ inflow_m3s: 10, at_s: 30 * 60 + 30 });
  });

  it("is no higher than its ten minutes for a minute that noise explains, and as it is where more than noise is doubted", () => {
    const minuteOf = (u: number, uNotNoise_m3s: number) => {
      const peaks = newPeaks();
      for (let i = 0; i < 200; i++) {
        const [flow, uFlow] = i === 90 ? [1.3, u] : [1, 0.01];
        addStretch(peaks, i * 60, (i + 1) * 60, flow, uFlow, i, { uNotNoise_m3s: i === 90 ? uNotNoise_m3s : 0 });
      }
      return peakOver(peaks, 0);
    };
    expect(minuteOf(0.5, 0)?.inflow_m3s).toBeLessThan(1.031);
    expect(minuteOf(0.01, 0.5)?.inflow_m3s).toBeCloseTo(1.3, 12);
    expect(minuteOf(0.01, 0.5)?.uInflow_m3s).toBeGreaterThan(0.5);
  });

  it("is never lower than over a longer window, whatever noise hides of it", () => {
    const part = fc.record({
      length_s: fc.integer({ min: 30, max: 900 }),
      flow: fc.integer({ min: 0, max: 50 }),
      u: fc.integer({ min: 0, max: 40 }),
    });
    fc.assert(
      fc.property(fc.array(part, { minLength: 10, maxLength: 40 }), (parts) => {
        const peaks = newPeaks();
        let at_s = 0;
        parts.forEach(({ length_s, flow, u }, i) => {
          addStretch(peaks, at_s, at_s + length_s, flow, u, i);
          at_s += length_s;
        });
        const highest_m3s = windows_s.flatMap((_, w) => peakOver(peaks, w)?.inflow_m3s ?? []);
        expect(highest_m3s).toEqual(highest_m3s.toSorted((a, b) => b - a));
        // Nor better known than as measured, where it is that of the longer one.
        windows_s.forEach((_, w) => {
          const [found, measured] = [peakOver(peaks, w), peaks.peaks[w] ?? null];
          if (found !== null && measured !== null)
            expect(found.uInflow_m3s).toBeGreaterThanOrEqual(measured.uInflow_m3s);
        });
      }),
      { numRuns: 60 },
    );
  });

  it("takes nothing off the ten minutes of a storm that is known vaguely, nor off its minute", () => {
    const peaks = newPeaks();
    for (let i = 0; i < 200; i++)
      addStretch(peaks, i * 60, (i + 1) * 60, i >= 90 && i < 110 ? 1.2 : 1, 0.2, i < 100 ? 0 : 1);
    expect(peakOver(peaks, 1)?.inflow_m3s).toBeCloseTo(1.2, 12);
    expect(peakOver(peaks, 0)?.inflow_m3s).toBeCloseTo(1.2, 12);
  });

  it("takes a bend that may be off into the peaks, and not into the sum, in which it cancels", () => {
    const bent = newPeaks();
    addStretch(bent, 0, 300, 1, 0.03, 1, { uBend_m3s: 0.04 });
    addStretch(bent, 300, 600, 1, 0.03, 1, { uBend_m3s: 0.04 });
    expect(bent.peaks[0]?.uInflow_m3s).toBeCloseTo(0.05, 12);
    expect(bent.peaks[1]?.uInflow_m3s).toBeCloseTo(0.05, 12);
    expect(uTotal_m3(bent) / 600).toBeCloseTo(0.03, 12);
  });

  it("sums volume and time of what is known, and leaves gaps out", () => {
    const peaks = feed(
      inOrder([
        { length_s: 100, flow: 1, known: true },
        { length_s: 1000, flow: 9, known: false },
        { length_s: 300, flow: 2, known: true },
      ]),
    );
    expect(peaks.totalVolume_m3).toBe(700);
    expect(peaks.totalTime_s).toBe(400);
  });

  it("overlooks a stretch without length", () => {
    const peaks = newPeaks();
    addStretch(peaks, 5, 5, 100, 1, 1);
    expect(peaks).toEqual(newPeaks());
  });

  it("keeps no more corners after a week than an hour and a bit needs", () => {
    const peaks = newPeaks();
    for (let i = 0; i < 7 * 24 * 240; i++) addStretch(peaks, i * 15, (i + 1) * 15, 1 + Math.sin(i), 0.1, i);
    expect(peaks.time_s.length).toBeLessThan(1000);
  });
});

describe("a stretch of which nothing is known", () => {
  /** Without a break: what is not told of is unknown. */
  function seen(stretches: readonly Stretch[]) {
    const peaks = newPeaks();
    stretches.forEach(({ from_s, to_s, flow, known }, i) => {
      if (known) addStretch(peaks, from_s, to_s, flow, 0.01 * flow, i);
    });
    return peaks;
  }
  const every = (times: number, of: readonly { length_s: number; flow: number; known: boolean }[]) =>
    inOrder(Array.from({ length: times }, () => of).flat());

  it("counts as none in a window that reaches across, which is then said to be the least", () => {
    const peaks = seen(
      every(30, [
        { length_s: 200, flow: 10, known: true },
        { length_s: 50, flow: 99, known: false },
      ]),
    );
    expect(peaks.peaks[0]).toMatchObject({ inflow_m3s: 10 });
    expect(peaks.peaks[1]?.inflow_m3s).toBeCloseTo((10 * 500) / 600, 12);
    expect(peaks.peaks[2]?.inflow_m3s).toBeCloseTo((10 * (3600 - 14 * 50)) / 3600, 12);
    expect([0, 1, 2].map((w) => isLeastPeak(peaks, w))).toEqual([false, true, true]);
  });

  it("takes no peak from a window that is known as a whole, and hardly lower", () => {
    const peaks = seen(
      inOrder([
        { length_s: 700, flow: 10, known: true },
        { length_s: 10, flow: 10, known: false },
        { length_s: 700, flow: 10.2, known: true },
      ]),
    );
    expect(peaks.peaks[1]).toMatchObject({ inflow_m3s: 10.2 });
    expect(isLeastPeak(peaks, 1)).toBe(false);
  });

  it("leaves unsaid how high a storm came that it fell into, and not what always comes in", () => {
    const calm = { length_s: 36_000, flow: 2, known: true };
    const rises = { length_s: 900, flow: 20, known: true };
    const unseen = { length_s: 1800, flow: 50, known: false };
    const told = (...parts: Parameters<typeof inOrder>[0]) => {
      const peaks = seen(inOrder(parts));
      return [0, 1, 2].map((w) => isLeastPeak(peaks, w));
    };
    expect(told(calm, rises, unseen, rises, calm)).toEqual([true, true, true]);
    expect(told(calm, { ...unseen, length_s: 7200 }, calm)).toEqual([false, false, false]);
    // Another storm, seen as a whole, came higher by far.
    const seenWhole = { length_s: 7200, flow: 40, known: true };
    expect(told(calm, rises, unseen, rises, calm, seenWhole, calm)).toEqual([false, false, false]);
  });

  it("goes on hiding a storm's height where what is seen of it afterwards comes higher than what was before", () => {
    const minutes = (...flows: number[]) => flows.map((flow) => ({ length_s: 60, flow, known: true }));
    const rises = minutes(...Array.from({ length: 16 }, (_, i) => 20 + 2 * i));
    const unseen = { length_s: 1500, flow: 60, known: false };
    const falls = minutes(...Array.from({ length: 60 }, (_, i) => 48 - 0.6 * i));
    const calm = { length_s: 36_000, flow: 2, known: true };
    const peaks = seen(inOrder([calm, ...rises, unseen, ...falls, calm]));
    expect([0, 1, 2].map((w) => isLeastPeak(peaks, w))).toEqual([true, true, true]);
    // What was hidden beside little hides nothing of a storm that came later.
    const early = seen(
      inOrder([calm, ...minutes(4, 4, 4, 4), { ...unseen, length_s: 240 }, calm, ...rises, ...falls, calm]),
    );
    expect([0, 1, 2].map((w) => isLeastPeak(early, w))).toEqual([false, false, false]);
  });

  it("hides no peak of what pours in again and again, some of it just before nothing is known", () => {
    const pour = { length_s: 100, flow: 15, known: true };
    const waits = { length_s: 1500, flow: 0.5, known: true };
    const unseen = { length_s: 800, flow: 0.5, known: false };
    const day = Array.from({ length: 36 }, (_, i) => [
      pour,
      i % 18 === 0 ? unseen : { ...waits, length_s: 800 },
      waits,
    ]);
    const peaks = seen(every(8, day.flat()));
    expect([0, 1].map((w) => isLeastPeak(peaks, w))).toEqual([false, false]);
    expect(peaks.peaks[0]).toMatchObject({ inflow_m3s: 15 });
  });
});
