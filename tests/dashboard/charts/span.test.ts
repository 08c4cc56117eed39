import { describe, expect, it } from "vitest";
import {
  clampSpan,
  contains,
  followSpan,
  limitsOf,
  panSpan,
  presetSpan,
  requestFor,
  shortestSpan_s,
  width_s,
  zoomSpan,
} from "../../../dashboard/charts/span.ts";
import * as fc from "../../at-random.ts";

const limits = { from_s: 0, to_s: 100_000 };

describe("the visible stretch of time", () => {
  it("zooms in about the moment under the pointer", () => {
    expect(zoomSpan({ from_s: 10_000, to_s: 20_000 }, 12_500, 2, limits)).toEqual({ from_s: 11_250, to_s: 16_250 });
  });

  it("zooms out to the whole record and no further", () => {
    expect(zoomSpan({ from_s: 10_000, to_s: 20_000 }, 15_000, 0.001, limits)).toEqual(limits);
  });

  it("stops zooming in at the shortest stretch, without drifting", () => {
    const shortest = { from_s: 500, to_s: 500 + shortestSpan_s };
    expect(zoomSpan(shortest, 505, 2, limits)).toEqual(shortest);
  });

  it("pans by a share of its width and keeps it at the ends", () => {
    expect(panSpan({ from_s: 10_000, to_s: 20_000 }, 0.5, limits)).toEqual({ from_s: 15_000, to_s: 25_000 });
    expect(panSpan({ from_s: 1000, to_s: 11_000 }, -0.5, limits)).toEqual({ from_s: 0, to_s: 10_000 });
    expect(panSpan({ from_s: 95_000, to_s: 99_000 }, 5, limits)).toEqual({ from_s: 96_000, to_s: 100_000 });
  });

  it("shows the last hour, with a little room after now", () => {
    expect(presetSpan(3600, { from_s: 0, to_s: 50_000 }, 50_000)).toEqual({ from_s: 46_472, to_s: 50_072 });
    expect(followSpan(3600, 50_000)).toEqual({ from_s: 46_472, to_s: 50_072 });
  });

  it("shows all of a record with a little air", () => {
    expect(presetSpan(null, { from_s: 0, to_s: 50_000 }, 40_000)).toEqual({ from_s: -1000, to_s: 51_000 });
    expect(limitsOf({ from_s: 100, to_s: 110 }, 110)).toEqual({ from_s: 70, to_s: 140 });
  });

  it("asks for no more than twice the columns, and for a quarter more on each side", () => {
    const { span, points } = requestFor({ from_s: 1000, to_s: 2000 }, 1000);
    expect(span).toEqual({ from_s: 750, to_s: 2250 });
    expect(points).toBe(1200);
  });

  it("stays within limits whatever is wanted", () => {
    const time = fc.double({ min: -1e6, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(time, time, (a, b) => {
        const clamped = clampSpan({ from_s: Math.min(a, b), to_s: Math.max(a, b) }, limits);
        expect(contains({ from_s: -1e-6, to_s: 100_000 + 1e-6 }, clamped)).toBe(true);
        expect(width_s(clamped)).toBeGreaterThanOrEqual(shortestSpan_s - 1e-6);
      }),
    );
  });
});
