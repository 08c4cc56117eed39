import { describe, expect, it } from "vitest";
import type { TrackerContext } from "../../../analysis/cycles/tracker-context.ts";
import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import {
  besideRuns,
  drawnBetweenFloats,
  inflowFromActiveVolume,
  pumpingTime_s,
  rateFromActiveVolume,
} from "../../../analysis/inflow/active-volume.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { analyse } from "../analyse.ts";
import { silentOutput } from "../silent-output.ts";
import { area_m2, courseReadings, reading, smallSite, startTime_s } from "../small-basin.ts";

function context(change: Partial<TrackerContext> = {}): TrackerContext {
  return {
    basin: smallSite.basin,
    geometry: basinGeometry(smallSite.basin.geometry),
    interval_s: 1,
    inferred: false,
    typicalRun_s: 20,
    hasLevel: false,
    longInterval_s: 1,
    resolution_m: Number.POSITIVE_INFINITY,
    output: silentOutput,
    ...change,
  };
}

describe("inflowFromActiveVolume", () => {
  it("is the volume between the floats over the rest: 20 L in 200 s", () => {
    const found = inflowFromActiveVolume(context(), 200);
    expect(found?.flow_m3s).toBeCloseTo(1e-4, 12);
    expect(found?.method).toBe("active-volume");
    // 4 mm at either float over 1000 cm², and an edge known to a second at either end.
    const uVolume_m3 = 0.004 * Math.SQRT2 * area_m2;
    expect(found?.uFlow_m3s).toBeCloseTo(Math.hypot(uVolume_m3 / 200, 1e-4 / Math.sqrt(6) / 200), 12);
  });

  it("is unknown once a level has been read, without the floats' levels, and over a rest of no length", () => {
    expect(inflowFromActiveVolume(context({ hasLevel: true }), 200)).toBeNull();
    const basin = { ...smallSite.basin, stopLevel_m: null };
    expect(inflowFromActiveVolume(context({ basin }), 200)).toBeNull();
    expect(inflowFromActiveVolume(context(), 0)).toBeNull();
  });

  it("stands behind the cycles of a recording without a level, and behind none of one with a level that is well", () => {
    const read = courseReadings(3600);
    const methods = (readings: readonly Reading[]) =>
      new Set(analyse(smallSite, readings).cycles.flatMap(({ inflow }) => (inflow === null ? [] : [inflow.method])));
    expect(methods(read)).toEqual(new Set(["fill-slope"]));
    expect(methods(read.map((one) => ({ ...one, level_m: null })))).toEqual(new Set(["active-volume"]));
  });
});

describe("rateFromActiveVolume", () => {
  const inflow = { flow_m3s: 1e-4, uFlow_m3s: 1e-6, degreesOfFreedom: Number.POSITIVE_INFINITY };

  it("is what lay between the floats over the run, of which the start takes half a second, and what came in", () => {
    // 20 L in 19.5 s, lengthened by the variance of the edges: (1/√6)²/20 s.
    const rate = rateFromActiveVolume(context(), 20, inflow);
    expect(rate?.flow_m3s).toBeCloseTo(0.02 / (19.5 + 1 / 6 / 20) + 1e-4, 12);
  });

  it("is unknown once a level has been read, without an inflow, and of a run about as short as readings are apart", () => {
    expect(rateFromActiveVolume(context({ hasLevel: true }), 20, inflow)).toBeNull();
    expect(rateFromActiveVolume(context(), 20, null)).toBeNull();
    expect(rateFromActiveVolume(context({ interval_s: 30 }), 20, inflow)).toBeNull();
  });
});

describe("pumpingTime_s", () => {
  it("is half a second less than the run, or half of a run shorter than a second", () => {
    expect(pumpingTime_s(20, 0)).toBe(19.5);
    expect(pumpingTime_s(0.8, 0)).toBe(0.4);
  });
});

describe("besideRuns", () => {
  it("is right on the average of rests of 22 s, of which a contact asked each 15 s sees 15 s or 30", () => {
    const seen = (rest_s: number) => inflowFromActiveVolume(context({ interval_s: 15 }), rest_s);
    const [brief, long] = [seen(15), seen(30)];
    if (brief === null || long === null) throw new Error("no inflow");
    const mean = (one_m3s: number, other_m3s: number) => (8 / 15) * one_m3s + (7 / 15) * other_m3s;
    const inflow_m3s = 0.02 / 22;
    expect(mean(brief.flow_m3s, long.flow_m3s) / inflow_m3s).toBeGreaterThan(1.1);
    expect(mean(besideRuns(brief).flow_m3s, besideRuns(long).flow_m3s) / inflow_m3s).toBeCloseTo(1, 1);
  });
});

describe("drawnBetweenFloats", () => {
  const whole = (flow_m3s: number) => ({ inflow: inflowFromActiveVolume(context(), 0.02 / flow_m3s), rest_s: 200 });

  it("is what lies between the floats and what came in meanwhile, however long the run seemed to last", () => {
    const drawn = drawnBetweenFloats(context(), 10, whole(1e-4), whole(3e-4));
    expect(drawn?.volume_m3).toBeCloseTo(0.02 + 10 * 2e-4, 6);
    expect(drawn?.uVolume_m3).toBeCloseTo(0.004 * Math.SQRT2 * area_m2, 12);
  });

  it("vouches for the first run of a recording, which began at a float, but for none that ended elsewhere or drew more", () => {
    const unknown = { inflow: null, rest_s: 200 };
    expect(drawnBetweenFloats(context(), 10, null, whole(1e-4))?.volume_m3).toBeCloseTo(0.021, 6);
    expect(drawnBetweenFloats(context(), 10, { inflow: null, rest_s: null }, whole(1e-4))).not.toBeNull();
    expect(drawnBetweenFloats(context(), 10, { ...unknown, rest_s: null, overStart: true }, whole(1e-4))).toBeNull();
    expect(drawnBetweenFloats(context(), 10, whole(1e-4), unknown)).toBeNull();
    expect(drawnBetweenFloats(context(), 10, whole(1e-4), null)).toBeNull();
    expect(drawnBetweenFloats(context(), 10, unknown, whole(1e-4))).toBeNull();
    expect(drawnBetweenFloats(context(), 400, whole(1e-4), whole(1e-4))).toBeNull();
    expect(drawnBetweenFloats(context({ hasLevel: true }), 10, whole(1e-4), whole(1e-4))).toBeNull();
  });

  it("makes what was pumped right where a contact is read hardly more often than the pump runs", () => {
    // The true pump takes 14.3 s for the 20 L that came in over each 1014.3 s.
    const [cycle_s, run_s, cycles] = [1014.3, 14.3, 60];
    const rows = Array.from({ length: (cycles * cycle_s) / 10 }, (_, i) =>
      reading(startTime_s + 10 * i, { pumpOn: (10 * i) % cycle_s > cycle_s - run_s }),
    );
    const { pumped_l, pumped_u95_l } = analyse(smallSite, rows).summary.totals;
    const pumped = cycles * 20 * (cycle_s / (cycle_s - run_s));
    expect(Math.abs((pumped_l ?? 0) / pumped - 1)).toBeLessThan(0.015);
    expect(pumped_u95_l ?? Number.NaN).toBeLessThan(0.2 * pumped);
  });
});
