import { describe, expect, it } from "vitest";
import type { FlowEstimate } from "../../../../analysis/cycles/cycle.ts";
import {
  addDoubted,
  disproveLeap,
  disproveReturned,
  newDoubted,
} from "../../../../analysis/inflow/over-time/doubted.ts";
import { addStretch, newPeaks } from "../../../../analysis/inflow/over-time/rolling-peaks.ts";

const steady_m3s = 2e-5;
const length_s = 600;

type Kind = "returned" | "leapt";

/** Rests of ten minutes: steady inflow, what in the first of four parts is in doubt, and beside a leap in the second. */
function rests(doubts_m3s: readonly number[], kind: Kind | readonly Kind[] = "returned", beside_m3s = 0) {
  const peaks = newPeaks();
  const doubted = newDoubted();
  doubts_m3s.forEach((doubt_m3s, i) => {
    const from_s = i * length_s;
    const its = typeof kind === "string" ? kind : (kind[i] ?? "returned");
    const beside = its === "leapt" && doubt_m3s > 0 ? beside_m3s : 0;
    const known = { uFlow_m3s: 1e-7, degreesOfFreedom: 100 };
    const parts = [doubt_m3s, 0, 0, 0].map(
      (more_m3s, k): FlowEstimate => ({
        flow_m3s: steady_m3s + more_m3s + (k === 1 ? beside : 0),
        ...known,
        ...(more_m3s > 0 && { doubt: { kind: its, flow_m3s: more_m3s } }),
        ...(k === 1 && beside > 0 && { doubt: { kind: its, flow_m3s: 0, beside_m3s: beside } }),
      }),
    );
    addDoubted(doubted, peaks, from_s, from_s + length_s, parts, i);
    parts.forEach(({ flow_m3s, uFlow_m3s }, k) => {
      addStretch(peaks, from_s + k * 150, from_s + (k + 1) * 150, flow_m3s, uFlow_m3s, i);
    });
  });
  const peak_m3s = (w: number) => peaks.peaks[w]?.inflow_m3s ?? Number.NaN;
  return { peaks, doubted, peak_m3s, mean_m3s: () => peaks.totalVolume_m3 / peaks.totalTime_s };
}

describe("inflow in doubt", () => {
  it("counts as long as nothing speaks against it", () => {
    const { peak_m3s } = rests([0, 0, 1e-5, 1e-5, 1e-5]);
    expect(peak_m3s(0)).toBeCloseTo(3e-5, 12);
  });

  it("leaves peaks and mean once a leak that explains it is known, and makes them less certain", () => {
    const { peaks, doubted, peak_m3s, mean_m3s } = rests([0, 0, 0, 0, 0, 0, 1e-5, 1e-5, 1e-5]);
    const before_m6 = peaks.totalVariance_m6;
    disproveReturned(doubted, peaks, 150 * 1e-5);
    for (const w of [0, 1, 2]) expect(peak_m3s(w)).toBeCloseTo(steady_m3s, 12);
    expect(mean_m3s()).toBeCloseTo(steady_m3s, 12);
    expect(peaks.totalVariance_m6).toBeGreaterThan(before_m6);
  });

  it("stays where inflow that slows within a rest was in doubt for that: the leak takes out what is its own", () => {
    // All of the 1.5 L in doubt in the rests before the leak, and of the 4.5 L since.
    const bend_m3s2 = -1.5e-3 / ((7 / 8) * length_s) ** 2;
    const slowing_m3s = 1.5e-3 / 150;
    const { peaks, doubted, mean_m3s } = rests([...new Array(6).fill(slowing_m3s), ...new Array(3).fill(3e-5)]);
    disproveReturned(doubted, peaks, 3e-3, false, bend_m3s2);
    expect(mean_m3s()).toBeCloseTo(steady_m3s + slowing_m3s / 4, 12);
    // Without: all of it.
    const straight = rests([...new Array(6).fill(slowing_m3s), ...new Array(3).fill(3e-5)]);
    disproveReturned(straight.doubted, straight.peaks, 3e-3);
    expect(straight.mean_m3s()).toBeCloseTo(steady_m3s, 12);
  });

  it("goes back over the cycle or two of which the leak is known already", () => {
    const { peaks, doubted, peak_m3s } = rests([0, 0, 0, 3e-5, 3e-5, 3e-5, 1e-6, 1e-6]);
    disproveReturned(doubted, peaks, 150 * 3e-5);
    expect(peak_m3s(0)).toBeCloseTo(steady_m3s, 12);
  });

  it("goes back over a rest of which nothing is in doubt, with brief runs on either side", () => {
    // The valve gives way within the first rest; the second, ten minutes on, is told by itself.
    const [peaks, doubted] = [newPeaks(), newDoubted()];
    const stretch = (from_s: number, to_s: number, doubt_m3s: number, i: number) => {
      const known = { flow_m3s: steady_m3s + doubt_m3s, uFlow_m3s: 1e-7, degreesOfFreedom: 100 };
      const doubt = { kind: "returned", flow_m3s: doubt_m3s } as const;
      addDoubted(doubted, peaks, from_s, to_s, [doubt_m3s > 0 ? { ...known, doubt } : known], i);
      addStretch(peaks, from_s, to_s, known.flow_m3s, known.uFlow_m3s, i);
    };
    stretch(0, 360, 1e-5, 1);
    stretch(360, 364, 1e-4, 2);
    stretch(364, 964, 0, 3);
    stretch(964, 968, 1e-4, 4);
    stretch(968, 1328, 1e-5, 5);
    disproveReturned(doubted, peaks, 4e-3);
    for (const peak of peaks.peaks.slice(0, 2)) expect(peak?.inflow_m3s).toBeCloseTo(steady_m3s, 12);
  });

  it("keeps a peak of long before the leak", () => {
    const { peaks, doubted, peak_m3s } = rests([4e-5, ...new Array(40).fill(0), 1e-5, 1e-5, 1e-5]);
    disproveReturned(doubted, peaks, 150 * 1e-5);
    expect(peak_m3s(0)).toBeCloseTo(steady_m3s + 4e-5, 12);
  });

  it("keeps what is more than the leak can have given", () => {
    const { peaks, doubted, peak_m3s } = rests([0, 9e-5, 1e-5, 1e-5]);
    disproveReturned(doubted, peaks, 150 * 1e-5);
    expect(peak_m3s(0)).toBeCloseTo(steady_m3s + 9e-5, 12);
  });

  it("is no inflow where the level leapt by as much as the trips have moved; a bucket of another size is", () => {
    const leapt = rests([0, 0, 5e-5, 0, 0], "leapt");
    disproveLeap(leapt.doubted, leapt.peaks, 150 * 5e-5);
    expect(leapt.peak_m3s(0)).toBeCloseTo(steady_m3s, 12);
    const poured = rests([0, 0, 5e-5, 0, 0], "leapt");
    disproveLeap(poured.doubted, poured.peaks, 3 * 150 * 5e-5);
    expect(poured.peak_m3s(0)).toBeCloseTo(7e-5, 12);
    const both = rests([0, 0, 5e-5, 2e-5, 0], "leapt");
    disproveLeap(both.doubted, both.peaks, 150 * 5e-5);
    expect(both.peak_m3s(0)).toBeCloseTo(steady_m3s, 12);
  });

  it("is no inflow where what looked like a leap, and more beside it, was a leak giving way or going on", () => {
    for (const kinds of [["leapt"], ["returned", "leapt"]] as const) {
      const leak = rests(new Array(7).fill(1e-5), kinds, 8e-6);
      disproveReturned(leak.doubted, leak.peaks, 150 * 1e-5);
      for (const w of [0, 1, 2]) expect(leak.peak_m3s(w)).toBeCloseTo(steady_m3s, 12);
      expect(leak.mean_m3s()).toBeCloseTo(steady_m3s, 12);
    }
    const newest = rests([0, 0, 1e-5], "leapt");
    disproveReturned(newest.doubted, newest.peaks, 150 * 1e-5);
    expect(newest.peak_m3s(0)).toBeCloseTo(steady_m3s + 1e-5, 12);
  });

  it("is forgotten after days: what is learned then says nothing of it", () => {
    const { doubted } = rests([1e-5, ...new Array(600).fill(0)]);
    expect(doubted).toEqual(newDoubted());
  });
});
