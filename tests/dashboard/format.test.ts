import { describe, expect, it } from "vitest";
import {
  decimalsFor,
  duration,
  figure,
  fixed,
  flowFigure,
  quantity,
  roughDuration,
  runLength,
  shortFlow,
  toDisplay,
  u95_m3s,
} from "../../dashboard/format.ts";

describe("figures on the screen", () => {
  it("writes a level in inches and in centimetres", () => {
    // 0.3556 m is 14 in exactly.
    expect(quantity(0.3556, "level", "us")).toBe("14.0 in");
    expect(quantity(0.3556, "level", "metric")).toBe("35.6 cm");
  });

  it("writes a flow in gallons and in litres a minute", () => {
    // 10 gpm = 37.85411784 L/min = 6.30901964e-4 m³/s.
    expect(quantity(6.30901964e-4, "flow", "us")).toBe("10.0 gpm");
    expect(quantity(6.30901964e-4, "flow", "metric")).toBe("37.9 L/min");
  });

  it("takes a rate of rise per minute", () => {
    expect(toDisplay(0.0254 / 60, "levelRate", "us")).toBeCloseTo(1, 12);
    expect(quantity(0.01 / 60, "levelRate", "metric")).toBe("1.0 cm/min");
  });

  it("says that what is not known is not known", () => {
    expect(quantity(null, "level", "us")).toBe("not known");
    expect(figure(null, "flow", "us")).toBe("–");
    expect(figure(Number.NaN, "flow", "us")).toBe("–");
  });

  it("uses a true minus and has no negative zero", () => {
    expect(fixed(-1.25, 1)).toBe("−1.3");
    expect(fixed(-0.001, 1)).toBe("0.0");
  });
});

describe("a flow and its 95 % interval", () => {
  it("widens the standard uncertainty by Student's t", () => {
    // t(0.975; 10) = 2.228 (NIST/SEMATECH e-Handbook, table of critical values of t).
    expect(u95_m3s({ flow_m3s: 1, uFlow_m3s: 0.1, degreesOfFreedom: 10 })).toBeCloseTo(0.2228, 4);
    expect(u95_m3s({ flow_m3s: 1, uFlow_m3s: 0.1, degreesOfFreedom: 1e9 })).toBeCloseTo(0.196, 4);
  });

  it("rounds both alike, so that the last figure is the first doubtful one", () => {
    // 4.312 ± 0.0392 L/min.
    const estimate = { flow_m3s: 4.312 / 60_000, uFlow_m3s: 0.02 / 60_000, degreesOfFreedom: 1e9 };
    expect(flowFigure(estimate, "metric")).toEqual({ figure: "4.312", u95: "0.039" });
  });

  it("keeps two significant digits of an uncertainty", () => {
    expect(decimalsFor(1.4)).toBe(1);
    expect(decimalsFor(2.4)).toBe(1);
    expect(decimalsFor(0.14)).toBe(2);
    expect(decimalsFor(0.0021)).toBe(4);
    expect(decimalsFor(24)).toBe(0);
    expect(decimalsFor(240)).toBe(0);
  });

  it("never rounds an uncertainty to nothing", () => {
    // 1.387 gpm ± 0.0021 gpm; 1 gpm = 6.30901964e-5 m³/s.
    const gpm = 6.30901964e-5;
    const estimate = { flow_m3s: 1.387 * gpm, uFlow_m3s: (0.0021 / 1.96) * gpm, degreesOfFreedom: 1e9 };
    expect(flowFigure(estimate, "us")).toEqual({ figure: "1.3870", u95: "0.0021" });
    expect(shortFlow(estimate, "us")).toBe("1.39");
  });

  it("writes no interval without degrees of freedom", () => {
    expect(flowFigure({ flow_m3s: 1e-4, uFlow_m3s: 1e-6, degreesOfFreedom: 0 }, "metric")).toEqual({
      figure: "6.0",
      u95: "–",
    });
  });
});

describe("lengths of time", () => {
  it("names the two largest parts", () => {
    expect(duration(12.4)).toBe("12 s");
    expect(duration(247)).toBe("4 min 7 s");
    expect(duration(240)).toBe("4 min");
    expect(duration(3600 * 5 + 60 * 20)).toBe("5 h 20 min");
    expect(duration(86_400 * 3 + 3600 * 4)).toBe("3 d 4 h");
    expect(duration(86_400 * 30)).toBe("30 d");
  });

  it("names one part in a sentence", () => {
    expect(roughDuration(12)).toBe("12 s");
    expect(roughDuration(240)).toBe("4 min");
    expect(roughDuration(3600 * 5.2)).toBe("5 h");
    expect(roughDuration(86_400 * 3)).toBe("3 days");
    expect(roughDuration(-3)).toBe("0 s");
  });

  it("keeps tenths of a second for a short run", () => {
    expect(runLength(18.24)).toBe("18.2 s");
    expect(runLength(75)).toBe("1 min 15 s");
    expect(runLength(null)).toBe("–");
  });
});
