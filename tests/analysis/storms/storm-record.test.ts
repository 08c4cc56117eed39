import { describe, expect, it } from "vitest";
import { designRain } from "../../../analysis/storms/design-rain.ts";
import type { DesignStormSite } from "../../../analysis/storms/design-storm-site.ts";
import { stormRecord } from "../../../analysis/storms/storm-record.ts";
import { logHouse } from "./logged-house.ts";
import { drawHouse, highestMean, lpm } from "./wet-ground.ts";

const design: DesignStormSite = { depth_m: 0.1, duration_s: 86_400, distribution: "nrcs-type-2" };

describe("stormRecord", () => {
  const house = drawHouse("record 3", { days: 14, everyDays: 2 });
  const record = stormRecord(house.inflow, house.rain, { design, inflowFactor: 1.5 });

  it("is plain data that survives a copy and JSON", () => {
    expect(structuredClone(record)).toEqual(record);
    expect(JSON.parse(JSON.stringify(record)).storms.length).toBe(record.storms.length);
  });

  it("sets the design storm beside the allowance, says which governs, and why", () => {
    const { governing } = record;
    const peak_m3s = record.peaks[600]?.inflow_m3s ?? 0;
    expect(governing?.allowance?.inflow_m3s).toBeCloseTo(1.5 * peak_m3s, 12);
    const greater = Math.max(governing?.allowance?.inflow_m3s ?? 0, governing?.design?.inflow_m3s ?? 0);
    expect(governing?.required.inflow_m3s).toBe(greater);
    expect(governing?.why).toMatch(/^The (design storm|allowance) governs: .*gpm.*95 of 100.*times the greatest seen/);
  });

  it("shows what was known storm by storm, ending with what is known now", () => {
    const { history, reach } = record.seen;
    const { inflow_m3s = 0, high_m3s = 0 } = record.design?.peaks[600] ?? {};
    expect(history.length).toBeGreaterThan(2);
    expect(history.at(-1)?.inflow_m3s).toBe(inflow_m3s);
    expect(reach).toBeCloseTo(high_m3s / inflow_m3s - 1, 12);
    const first = history[0]?.reach ?? 0;
    expect(first).toBeGreaterThan(0);
  });

  it("asks for one storm of at least a third of the design storm while none was seen", () => {
    const dry = drawHouse("record dry", { days: 9, everyDays: 3 });
    const { seen } = stormRecord(dry.inflow, dry.rain, { design: { ...design, depth_m: 0.3 }, inflowFactor: 1.5 });
    expect(seen.verdict).toBe("not-enough-data");
    expect(seen.message).toMatch(/one storm of at least 100 mm \(3\.9 in\) in 24 h/);
    expect(seen.criteria.find(({ key }) => key === "rain")?.met).toBe(false);
  });

  it("says enough once days, storms, rain and range are there", () => {
    const long = drawHouse("record long", { days: 20, everyDays: 1.5 });
    const { seen } = stormRecord(long.inflow, long.rain, { design: { ...design, depth_m: 0.06 }, inflowFactor: 1.5 });
    expect(seen.criteria.filter(({ met }) => !met)).toEqual([]);
    expect(seen.verdict).toBe("enough");
    expect(seen.stillMissing).toEqual([]);
  });

  it("works without rain: storms, recession, allowance and verdict, and the reason for no design storm", () => {
    const without = stormRecord(house.inflow, null, { design, inflowFactor: 1.5 });
    expect(without.storms.length).toBeGreaterThanOrEqual(2);
    expect(without.masterRecession).not.toBeNull();
    expect([without.design, without.response]).toEqual([null, null]);
    expect(without.noDesign).toContain("rain was not logged");
    expect(without.governing?.by).toBe("allowance");
    expect(without.seen.criteria.map(({ key }) => key)).toEqual(["days", "observed", "storms", "peak"]);
  });

  it("asks for a storm of the tables where none is given", () => {
    const without = stormRecord(house.inflow, house.rain, { design: null, inflowFactor: 1.5 });
    expect(without.noDesign).toContain("design: storm:");
    expect(without.response).not.toBeNull();
    expect(without.seen.stillMissing.join()).toContain("rainfall tables");
  });

  it("has nothing to say of nothing, and says what is missing", () => {
    const nothing = stormRecord([], null, { design, inflowFactor: 1.5 });
    expect([nothing.from_s, nothing.base.inflow_m3s, nothing.governing]).toEqual([null, null, null]);
    expect(nothing.seen.stillMissing[0]).toBe("7 more days of record");
  });

  it("takes the peaks that the analyzer kept where they are given", () => {
    const kept = { inflow_m3s: 1e-3, uInflow_m3s: 1e-5, at_s: 5 };
    const given = stormRecord(house.inflow, null, {
      design,
      inflowFactor: 2,
      peaks: { 60: kept, 600: kept, 3600: kept },
    });
    expect(given.governing?.required.inflow_m3s).toBe(2e-3);
  });
});

describe("from raw readings on", () => {
  const house = drawHouse("raw 2", { days: 4, everyDays: 1.2 });
  const logged = logHouse("raw 2", house.flow_m3s, house.rain, 5, 4);
  const record = stormRecord(logged.inflow, logged.rain, { design, inflowFactor: 1.5 });

  it("knows each storm's highest ten minutes to 2 %", () => {
    expect(record.storms.length).toBeGreaterThanOrEqual(2);
    for (const { from_s, to_s, peaks } of record.storms) {
      const true_m3s = highestMean(house.flow_m3s.subarray(Math.floor(from_s / 60), Math.ceil(to_s / 60)), 600);
      expect(Math.abs((peaks[600]?.inflow_m3s ?? 0) / true_m3s - 1)).toBeLessThan(0.02);
    }
    expect(record.peaks[600]?.inflow_m3s ?? 0).toBeGreaterThan(lpm);
  });

  it("foretells a day of 100 mm within its range", () => {
    const true_m3s = highestMean(house.after([...designRain(design).rain_m, ...new Float64Array(2880)]), 600);
    const { low_m3s = 0, high_m3s = 0 } = record.design?.peaks[600] ?? {};
    expect(true_m3s).toBeGreaterThan(low_m3s);
    expect(true_m3s).toBeLessThan(high_m3s);
    expect(high_m3s / true_m3s).toBeLessThan(2);
  });
});
