import { describe, expect, it } from "vitest";
import { addToPart, decodeParts, encodeParts, noParts } from "../../../../daemon/stores/sqlite/day-parts.ts";
import * as fc from "../../../at-random.ts";

describe("a day of levels in parts", () => {
  it("comes back as it was, whatever the levels are", () => {
    const level = fc.tuple(fc.integer({ min: 0, max: 143 }), fc.double({ noNaN: true, noDefaultInfinity: true }));
    fc.assert(
      fc.property(fc.array(level), (levels) => {
        const parts = noParts();
        for (const [part, level_m] of levels) addToPart(parts, part, level_m);
        expect(decodeParts(encodeParts(parts))).toStrictEqual(parts);
      }),
    );
  });

  it("is the same in whatever order the levels came, and knows lowest, highest and mean", () => {
    const levels = [0.1, 0.3, 0.2, 0.25];
    const [there, back] = [noParts(), noParts()];
    for (const level_m of levels) addToPart(there, 7, level_m);
    for (const level_m of levels.toReversed()) addToPart(back, 7, level_m);
    expect(there).toStrictEqual(back);
    expect([there.levels[7], there.minimum_m[7], there.maximum_m[7], there.sum_nm[7]]).toEqual([4, 0.1, 0.3, 85e7]);
  });

  it("takes about a kilobyte", () => {
    const parts = noParts();
    for (let i = 0; i < 86_400; i++) addToPart(parts, Math.floor(i / 600), Math.round(1500 + (i % 589) * 3.4) / 10_000);
    expect(encodeParts(parts).length).toBeLessThan(1100);
  });
});
