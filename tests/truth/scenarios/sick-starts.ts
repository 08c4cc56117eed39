// Basins that start their pump too often, and pumps that are too small for what comes.

import { day_s, typicalRate_m3s } from "../plan.ts";
import type { Scenario } from "../scenario.ts";
import { vesselOf } from "../vessel.ts";
import { lpm } from "../weather.ts";
import { clearly, type Draw, filledIn, sick } from "./sick-house.ts";

/** Runs of 3.5 to 5.5 s where the pump asks for 8 s. */
const floatsTooClose: Draw = (plan, random) => {
  const area_m2 = vesselOf(plan.site.basin.geometry).area_m2(0);
  const start_m = plan.trips.stop_m + (random.between(3.5, 5.5) * typicalRate_m3s(plan)) / area_m2;
  return {
    trips: { ...plan.trips, start_m, scatter_m: 0.001 },
    site: {
      ...plan.site,
      basin: { ...plan.site.basin, startLevel_m: start_m },
      pump: plan.site.pump && { ...plan.site.pump, minRun_s: 8 },
    },
  };
};

/** The pump lifts the same seven litres again and again: without them it would start 16 times an hour. */
const allRunsBack: Draw = (plan, random) => {
  const area_m2 = vesselOf(plan.site.basin.geometry).area_m2(0);
  const start_m = plan.trips.stop_m + random.between(0.019, 0.021) / area_m2;
  const pipe = { ...plan.pipe, highPoint_m: 3.8, bore_m2: 2.2e-3 };
  const valve = { ...plan.condition.valve, leak: { law: "orifice", area_m2: 2e-4 } as const };
  const other = { ...plan, trips: { ...plan.trips, start_m } };
  return {
    trips: other.trips,
    site: { ...plan.site, basin: { ...plan.site.basin, startLevel_m: start_m } },
    pipe,
    condition: { ...plan.condition, valve },
    weather: filledIn(other, 215),
    days: 1,
    declared: clearly("check-valve-leak", 3600, day_s),
    allowed: ["check-valve-leak"],
  };
};

const wetDays: Draw = (plan, random) => ({ weather: filledIn(plan, random.between(40, 70)), days: 1 });

const rainForHours: Draw = (plan, random) => ({
  weather: {
    ...plan.weather,
    storms: [
      {
        from_s: 30_000,
        peak_lpm: (random.between(0.85, 0.95) * typicalRate_m3s(plan)) / lpm,
        rain_s: 20_000,
        store_s: 1800,
        reservoirs: 2,
      },
    ],
  },
});

const pipeBursts: Draw = (plan, random) => ({
  weather: {
    ...plan.weather,
    pulses: [
      {
        from_s: day_s,
        to_s: day_s + random.between(900, 1800),
        flow_lpm: (random.between(1.12, 1.25) * typicalRate_m3s(plan)) / lpm,
      },
    ],
  },
  allowed: ["undersized"],
});

export const startsSick: readonly Scenario[] = [
  sick("floats too close together", ["short-cycling"], floatsTooClose, {
    causes: { "short-cycling": ["small-active-volume"] },
  }),
  sick("too many starts in much inflow", ["short-cycling"], wetDays, { causes: { "short-cycling": ["high-inflow"] } }),
  sick("too many starts for water that runs back", ["short-cycling", "check-valve-leak"], allRunsBack, {
    causes: { "short-cycling": ["drain-back"] },
  }),
  sick("pump too small for its house", ["undersized"], rainForHours),
  sick("much more flows in than the pump moves", ["inflow-exceeds-pump", "high-water"], pipeBursts),
];
