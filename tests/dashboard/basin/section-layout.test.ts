import { describe, expect, it } from "vitest";
import type { BasinSite } from "../../../analysis/site.ts";
import { halfWidths, sectionLayout, spread } from "../../../dashboard/basin/section-layout.ts";
import * as fc from "../../at-random.ts";

const box = { width: 380, height: 400 };

const basin: BasinSite = {
  geometry: { shape: "round", diameter_m: 0.4, occupiedArea_m2: 0.005 },
  depth_m: 0.8,
  startLevel_m: 0.36,
  stopLevel_m: 0.16,
  highLevel_m: 0.5,
  overflowLevel_m: 0.8,
};

describe("the cross-section", () => {
  it("is to scale in both directions", () => {
    const layout = sectionLayout(basin, box);
    expect(layout.right - layout.left).toBeCloseTo(0.4 * layout.scale, 9);
    expect(layout.y(0) - layout.y(0.8)).toBeCloseTo(0.8 * layout.scale, 9);
    expect(layout.y(0)).toBe(layout.bottomY);
  });

  it("stands each level at its height", () => {
    const { marks, bottomY, scale } = sectionLayout(basin, box);
    expect(marks.map((mark) => mark.name)).toEqual(["floor", "high", "start", "stop"]);
    for (const mark of marks) expect(bottomY - mark.y).toBeCloseTo(mark.level_m * scale, 9);
  });

  it("fits a wide flat tank by its width", () => {
    const flat: BasinSite = {
      ...basin,
      geometry: { shape: "rectangular", width_m: 0.5, length_m: 2, occupiedArea_m2: 0 },
    };
    const layout = sectionLayout(flat, box);
    expect(layout.left).toBeGreaterThanOrEqual(0);
    expect(layout.right).toBeLessThan(box.width);
    expect(layout.right - layout.left).toBeCloseTo(2 * layout.scale, 9);
  });

  it("draws a table as a round basin of the same volumes", () => {
    // π/4 · 0.4² · 0.1 m³ in the first 10 cm, four times as much in the next: widths of 0.4 m and 0.8 m.
    const first_m3 = (Math.PI / 4) * 0.16 * 0.1;
    const rows = [
      { level_m: 0, volume_m3: 0 },
      { level_m: 0.1, volume_m3: first_m3 },
      { level_m: 0.2, volume_m3: 5 * first_m3 },
    ];
    const widths = halfWidths({ shape: "table", rows });
    expect(widths.map((width) => width.from_m)).toEqual([0, 0.1]);
    expect(widths[0]?.halfWidth_m).toBeCloseTo(0.2, 9);
    expect(widths[1]?.halfWidth_m).toBeCloseTo(0.4, 9);
  });

  it("says so when the depth is not known, and still shows every level", () => {
    const layout = sectionLayout({ ...basin, depth_m: null, overflowLevel_m: null }, box);
    expect(layout.depthKnown).toBe(false);
    expect(layout.marks.map((mark) => mark.name)).toEqual(["high", "start", "stop"]);
    for (const mark of layout.marks) expect(mark.y).toBeGreaterThan(layout.rimY);
  });

  it("draws a basin of which only the shape is known", () => {
    const bare: BasinSite = {
      ...basin,
      depth_m: null,
      startLevel_m: null,
      stopLevel_m: null,
      highLevel_m: null,
      overflowLevel_m: null,
    };
    const layout = sectionLayout(bare, box);
    expect(layout.marks).toEqual([]);
    expect(layout.rimY).toBeLessThan(layout.bottomY);
  });
});

describe("labels that would overlap", () => {
  it("leaves alone those that have room", () => {
    expect(spread([10, 60, 110], 31, 400)).toEqual([10, 60, 110]);
  });

  it("parts two about their middle", () => {
    expect(spread([100, 110], 30, 400)).toEqual([90, 120]);
  });

  it("keeps the lowest from sinking out of the drawing", () => {
    expect(spread([390, 398], 30, 400)).toEqual([370, 400]);
  });

  it("always keeps the pitch and the order", () => {
    const places = fc
      .array(fc.integer({ min: 0, max: 380 }), { maxLength: 6 })
      .map((ys) => ys.toSorted((a, b) => a - b));
    fc.assert(
      fc.property(places, (ys) => {
        const apart = spread(ys, 31, 400);
        expect(apart).toHaveLength(ys.length);
        for (const [i, y] of apart.entries()) {
          expect(y).toBeLessThanOrEqual(400 + 1e-9);
          if (i > 0) expect(y - (apart[i - 1] ?? 0)).toBeGreaterThanOrEqual(31 - 1e-9);
        }
      }),
    );
  });
});
