import { describe, expect, it } from "vitest";
import { fallAtFirst, fallAtLast } from "../../../analysis/pump-flow/fall-at-first.ts";

/** @param fallen_m3 what is gone after so many seconds */
function judge(every_s: number, length_s: number, fallen_m3: (t_s: number) => number) {
  const count = Math.floor(length_s / every_s) + 1;
  const t = Float64Array.from({ length: count }, (_, i) => every_s * i);
  return fallAtFirst({ t, y: t.map((t_s) => 0.03 - fallen_m3(t_s)), weight: new Float64Array(count), count }, 3);
}

describe("fallAtFirst", () => {
  it.each([1, 5])(
    "is how fast the water falls as the run begins, and by how much less at its first minute's end, each %d s",
    (every_s) => {
      const steady = judge(every_s, 7200, (t_s) => 1e-3 * t_s);
      expect(steady?.fall.flow_m3s).toBeCloseTo(1e-3, 12);
      expect(steady?.slows_m3s).toBeCloseTo(0, 12);
      // A tap that runs until 25 s, and one that begins then.
      const ends = judge(every_s, 7200, (t_s) => 1e-3 * t_s - 4e-4 * Math.min(t_s, 25));
      expect(ends?.fall.flow_m3s).toBeCloseTo(6e-4, 12);
      expect(ends?.slows_m3s).toBeCloseTo(-4e-4, 12);
      const begins = judge(every_s, 7200, (t_s) => 1e-3 * t_s - 4e-4 * Math.max(0, t_s - 25));
      expect(begins?.slows_m3s).toBeCloseTo(4e-4, 12);
    },
  );

  it("is seen in a short run as well, and not in one with too few readings for two falls", () => {
    expect(judge(1, 24, (t_s) => 1e-3 * t_s)?.fall.flow_m3s).toBeCloseTo(1e-3, 12);
    expect(judge(5, 30, (t_s) => 1e-3 * t_s)).toBeNull();
    expect(judge(10, 7200, (t_s) => 1e-3 * t_s)).toBeNull();
  });
});

describe("fallAtLast", () => {
  const atLast = (every_s: number, fallen_m3: (t_s: number) => number, length_s = 600) => {
    const count = Math.floor(length_s / every_s) + 1;
    const t = Float64Array.from({ length: count }, (_, i) => every_s * i);
    return fallAtLast({ t, y: t.map((t_s) => 0.03 - fallen_m3(t_s)), weight: new Float64Array(count), count });
  };

  it.each([1, 5])("is how fast the water falls in the last ten seconds of a run, read each %d s", (every_s) => {
    const freed = atLast(every_s, (t_s) => 1e-4 * t_s + 1e-3 * Math.max(0, t_s - 590));
    expect(freed?.flow_m3s).toBeCloseTo(1.1e-3, 12);
  });

  it("is not seen in two readings", () => {
    expect(atLast(5, (t_s) => 1e-3 * t_s, 5)).toBeNull();
  });
});
