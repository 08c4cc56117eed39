import { describe, expect, it } from "vitest";
import type { Site } from "../../../analysis/site.ts";
import { sizeBasin } from "../../../analysis/sizing/size-basin.ts";
import { sizingInWords } from "../../../daemon/report/sizing-in-words.ts";
import * as fc from "../../at-random.ts";
import { foot, gpm, house, inch } from "./house.ts";

const orNull = <T>(value: fc.Arbitrary<T>) => fc.option(value, { nil: null });
const between = (low: number, high: number) => fc.double({ min: low, max: high, noNaN: true });

/** Levels in order, each of them given or not; the rest of the house too. */
const sites: fc.Arbitrary<Site> = fc
  .record({
    levels: fc.tuple(between(0, 0.2), between(0.01, 0.4), between(0.01, 0.3), between(0.01, 0.5)),
    given: fc.tuple(fc.boolean(), fc.boolean(), fc.boolean(), fc.boolean(), fc.boolean(), fc.boolean(), fc.boolean()),
    diameter_m: between(0.2, 1.5),
    inlet_m: orNull(between(0.2, 1)),
    shutOff_m: between(0.5, 20),
    most_gpm: between(5, 200),
    high_m: between(1.5, 9),
    nominal: fc.constantFrom(1.25, 1.5, 2, 3),
    starts: orNull(between(1, 100)),
    metric: fc.boolean(),
    hold_h: orNull(between(0.1, 100)),
    power_w: orNull(between(10, 2000)),
  })
  .map((drawn): Site => {
    const [stop_m, swing_m, toHigh_m, toFloor_m] = drawn.levels;
    const [stop, start, high, floor, pump, discharge, backup] = drawn.given;
    return {
      ...house,
      displayUnits: drawn.metric ? "metric" : "us",
      basin: {
        geometry: { shape: "round", diameter_m: drawn.diameter_m, occupiedArea_m2: 0 },
        depth_m: null,
        stopLevel_m: stop ? stop_m : null,
        startLevel_m: start ? stop_m + swing_m : null,
        highLevel_m: high ? stop_m + swing_m + toHigh_m : null,
        overflowLevel_m: floor ? stop_m + swing_m + toHigh_m + toFloor_m : null,
        inletLevel_m: drawn.inlet_m,
      },
      pump: pump
        ? {
            curve: [
              { flow_m3s: 0, head_m: drawn.shutOff_m },
              { flow_m3s: gpm(drawn.most_gpm), head_m: 0 },
            ],
            maxStartsPerHour: drawn.starts,
            minRun_s: null,
          }
        : null,
      discharge: discharge
        ? {
            highPoint_m: drawn.high_m,
            pipe: { material: "pvc-40", nominal_m: drawn.nominal * inch, insideDiameter_m: null, length_m: 20 * foot },
            fittings: [{ kind: "elbow-90", count: 2 }],
          }
        : null,
      backup: backup
        ? {
            hold_s: drawn.hold_h === null ? null : drawn.hold_h * 3600,
            capacity_ah: 80,
            volts: 12,
            ratedHours: 20,
            peukertExponent: 1.2,
            depthOfDischarge: 0.5,
            inverterEfficiency: 0.85,
            inverterIdle_w: null,
            temperature_c: 5,
            ageingFactor: 1.25,
            pumpPower_w: drawn.power_w,
            pumpFlow_m3s: null,
          }
        : null,
    };
  });

const rises = orNull(
  fc.array(fc.record({ rise_m: between(0.005, 0.5), watched_s: between(5, 3000), from_m: fc.constant(null) }), {
    minLength: 1,
    maxLength: 4,
  }),
);

describe("any site, with or without a hand test", () => {
  it("has an answer without a figure that is none, and words without one", () => {
    fc.assert(
      fc.property(sites, rises, (site, watched) => {
        const hand = watched && { rises: watched, uRuler_m: null, uWatch_s: null, wanted: null };
        const answer = sizeBasin({ site, logged: null, hand });
        visit(answer);
        const text = sizingInWords(answer);
        expect(text).not.toMatch(/NaN|Infinity|undefined|null|\[object/);
        expect(text).toContain("Advice only");
        // A start level that is advised never stands over the inlet, nor within reach of high water or floor.
        const start_m = (answer.floats?.set?.start_mm ?? 0) / 1000;
        if (answer.floats?.needed?.enough === false) {
          for (const limit_m of [site.basin.inletLevel_m, site.basin.highLevel_m, site.basin.overflowLevel_m]) {
            expect(start_m).toBeLessThanOrEqual((limit_m ?? Number.POSITIVE_INFINITY) + 1e-9);
          }
        }
      }),
      { numRuns: 150, seed: 11 },
    );
  });
});

function visit(value: unknown): void {
  if (typeof value === "number") expect(Number.isFinite(value)).toBe(true);
  else if (typeof value === "object" && value !== null) Object.values(value).forEach(visit);
}
