import { describe, expect, it } from "vitest";
import { byProportion } from "../../../analysis/storms/by-proportion.ts";
import type { DesignStormSite } from "../../../analysis/storms/design-storm-site.ts";
import type { Storm } from "../../../analysis/storms/storm.ts";
import { stormRecord } from "../../../analysis/storms/storm-record.ts";
import { stormWords } from "../../../analysis/storms/storm-words.ts";
import { drawHouse } from "./wet-ground.ts";

const hour_s = 3600;
const design: DesignStormSite = { depth_m: 0.06, duration_s: 6 * hour_s, distribution: "uniform" };

describe("byProportion", () => {
  const house = drawHouse("record 3", { days: 14, everyDays: 2 });
  const { storms } = stormRecord(house.inflow, house.rain, { design: null, inflowFactor: 1.5 });
  const [wet] = storms;
  if (wet === undefined || wet.rain === null) throw new Error("no storm");
  const peak = { inflow_m3s: 4e-4, uInflow_m3s: 1e-6, at_s: 5 * hour_s };
  const storm: Storm = {
    ...wet,
    peakAboveBase_m3s: 3e-4,
    peaks: { 60: peak, 600: peak, 3600: peak },
    rain: { ...wet.rain, from_s: 0, to_s: 4 * hour_s },
  };
  const rain = [
    { from_s: 0, to_s: 2 * hour_s, rain_m: 0.008 },
    { from_s: 2 * hour_s, to_s: 4 * hour_s, rain_m: 0.004 },
  ];
  const fades = { constant_s: 2.2 * hour_s, uConstant_s: 600, points: 20 };

  it("takes as much more inflow as more rain falls in the time in which inflow fades: 18 L/min for 8 mm, 45 L/min for 20 mm", () => {
    const found = byProportion(design, [storm], rain, 1e-4, fades, stormWords("metric"));
    expect(found?.window_s).toBe(2 * hour_s);
    expect(found?.rain_m).toBeCloseTo(0.008, 12);
    expect(found?.designRain_m).toBeCloseTo(0.02, 12);
    expect(found?.inflow_m3s).toBeCloseTo(1e-4 + (3e-4 * 20) / 8, 12);
    expect(found?.words).toBe(
      "by plain proportion: 18 L/min above the base flow for 8 mm of rain in 2 h, so for 20 mm in 2 h with the base flow of 6 L/min: 51 L/min",
    );
  });

  it("has nothing to go by without a storm whose rain is known", () => {
    expect(byProportion(design, [{ ...storm, rain: null }], rain, 1e-4, fades, stormWords("metric"))).toBeNull();
  });
});
