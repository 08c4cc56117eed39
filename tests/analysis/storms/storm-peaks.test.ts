import { describe, expect, it } from "vitest";
import { addStretch, isLeastPeak, newPeaks, windows_s } from "../../../analysis/inflow/over-time/rolling-peaks.ts";
import { governing } from "../../../analysis/storms/governing.ts";
import { surePeak } from "../../../analysis/storms/storm.ts";
import { peaksOfRecord, peaksOfStorm } from "../../../analysis/storms/storm-peaks.ts";
import { stormWords } from "../../../analysis/storms/storm-words.ts";

const part_s = 50;

/** A storm that grows and fades within three hours, of which `unseen` is not known. */
function storm(unseen: (time_s: number) => boolean) {
  return Array.from({ length: 10_800 / part_s }, (_, i) => ({
    from_s: i * part_s,
    to_s: (i + 1) * part_s,
    inflow_m3s: 5e-4 * Math.sin((Math.PI * (i + 0.5) * part_s) / 10_800),
    uInflow_m3s: 5e-6,
  })).filter(({ from_s }) => !unseen(from_s));
}

const whole = storm(() => false);
const topUnseen = storm((time_s) => time_s >= 5000 && time_s < 5800);

describe("the peaks of a storm", () => {
  it("says the same of a record as the rule of the recording says", () => {
    for (const inflow of [whole, topUnseen]) {
      const state = newPeaks();
      for (const { from_s, to_s, inflow_m3s, uInflow_m3s } of inflow)
        addStretch(state, from_s, to_s, inflow_m3s, 0, 0, { uNotNoise_m3s: uInflow_m3s });
      const found = peaksOfRecord(inflow);
      windows_s.forEach((window_s, w) => {
        expect(found[window_s]?.inflow_m3s).toBe(state.peaks[w]?.inflow_m3s);
        expect(found[window_s]?.isLeast ?? false).toBe(isLeastPeak(state, w));
      });
    }
  });

  it("gives the least that came in where the top of the storm went unseen, and says so", () => {
    const all = peaksOfStorm(whole, 0, 10_800);
    const some = peaksOfStorm(topUnseen, 0, 10_800);
    for (const window_s of windows_s) {
      expect(all[window_s]?.isLeast).toBeUndefined();
      expect(some[window_s]).toMatchObject({ isLeast: true });
      expect(some[window_s]?.inflow_m3s ?? 1).toBeLessThan(all[window_s]?.inflow_m3s ?? 0);
    }
    expect([surePeak({ peaks: all }), surePeak({ peaks: some })]).toEqual([all[600], null]);
    const words = stormWords("metric");
    expect(governing(all[600], 1.5, null, words)?.why).not.toContain("at least");
    expect(governing(some[600], 1.5, null, words)?.why).toContain("the measured peak times 1.5, at least");
  });

  it("takes stretches that stand apart by rounding for neighbours", () => {
    const rounded = whole.map(({ from_s, to_s, ...flow }) => ({ ...flow, from_s: from_s + 0.3, to_s: to_s - 0.3 }));
    const found = peaksOfStorm(rounded, 0, 10_800)[600];
    expect(found?.isLeast).toBeUndefined();
    expect((found?.inflow_m3s ?? 0) / (peaksOfStorm(whole, 0, 10_800)[600]?.inflow_m3s ?? 1)).toBeCloseTo(1, 3);
  });
});
