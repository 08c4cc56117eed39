// Inflows, basins and valves of every healthy sort, with a good sensor.

import type { BasinShape } from "../../../analysis/site.ts";
import { day_s, drawHouse, hour_s, type Plan, steadyWeather, swing_m3, typicalRate_m3s } from "../plan.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";
import type { ValveLaw } from "../valve-law.ts";
import { vesselOf } from "../vessel.ts";
import { appliances, lpm, type Weather } from "../weather.ts";

function water(name: string, change: (plan: Plan, random: Random) => Plan, judge = judgedByAll): Scenario {
  return { name, group: "water", must: [], judge, draw: (random) => change(drawHouse(random), random) };
}

function under(change: (weather: Weather, random: Random, plan: Plan) => Partial<Weather>) {
  return (plan: Plan, random: Random): Plan => ({
    ...plan,
    weather: { ...plan.weather, ...change(plan.weather, random, plan) },
  });
}

/** The dry flow at which the basin fills in so many seconds. */
function fillsIn(plan: Plan, fill_s: number): number {
  return swing_m3(plan) / fill_s / lpm;
}

function withValve(change: (valve: ValveLaw, random: Random) => Partial<ValveLaw>) {
  return (plan: Plan, random: Random): Plan => {
    const { valve } = plan.condition;
    return { ...plan, condition: { ...plan.condition, valve: { ...valve, ...change(valve, random) } } };
  };
}

/** Another basin with the same trip levels, filled as often. */
function inShape(geometry: (random: Random) => BasinShape) {
  return (plan: Plan, random: Random): Plan => {
    const shape = geometry(random);
    const site = { ...plan.site, basin: { ...plan.site.basin, geometry: shape } };
    const { start_m, stop_m } = plan.trips;
    const vessel = vesselOf(shape);
    const swing = vessel.volume_m3(start_m) - vessel.volume_m3(stop_m);
    return { ...plan, site, weather: steadyWeather(swing / random.between(400, 2400) / lpm) };
  };
}

/** A small storm that stays under the starts of an hour and far under the pump. */
export function modestStorm(plan: Plan, random: Random, from_s: number) {
  const byStarts = (swing_m3(plan) * 12) / 3600 / lpm;
  const byPump = (0.35 * typicalRate_m3s(plan)) / lpm;
  return {
    from_s,
    peak_lpm: Math.min(byStarts, byPump) * random.between(0.3, 0.9),
    rain_s: random.between(1, 8) * hour_s,
    store_s: random.between(0.2, 1.5) * hour_s,
    reservoirs: random.oneOf([2, 3]),
  };
}

export const waterScenarios: readonly Scenario[] = [
  water("an ordinary house", (plan) => plan),
  water("trickle: hours between runs", (plan, random) => ({
    ...plan,
    days: 6,
    weather: steadyWeather(fillsIn(plan, random.between(2, 6) * hour_s)),
  })),
  water("brisk: a run every few minutes", (plan, random) => ({
    ...plan,
    days: 1,
    weather: steadyWeather(fillsIn(plan, random.between(240, 330))),
    site: { ...plan.site, pump: plan.site.pump && { ...plan.site.pump, maxStartsPerHour: 30 } },
  })),
  water(
    "slows as the water rises",
    under((_, random, plan) => ({
      dry_lpm: fillsIn(plan, random.between(500, 1500)),
      groundHead_m: plan.trips.start_m + random.between(0.12, 0.5),
      refLevel_m: plan.trips.stop_m,
    })),
  ),
  water(
    "grows and falls within the rest",
    under((_, random, plan) => ({
      dry_lpm: fillsIn(plan, random.between(500, 1200)),
      wave: random.between(0.3, 0.6),
      wave_s: random.between(1200, 3600),
    })),
  ),
  water(
    "the day's rhythm and a random walk",
    under((_, random) => ({ diurnal: random.between(0.1, 0.4), walk: random.between(0.1, 0.3), walk_s: 2 * hour_s })),
  ),
  water(
    "recession after a wet week",
    under((_, random, plan) => ({
      dry_lpm: fillsIn(plan, random.between(250, 330)),
      recession_s: random.between(8, 20) * hour_s,
    })),
  ),
  water(
    "washing machine and softener",
    under((_, random, plan) => ({ pulses: appliances(plan.days * day_s, 14, random) })),
  ),
  water(
    "a hose test and a bucket",
    under((_, random) => ({
      pulses: [0.3, 0.8, 1.3].flatMap((day) => [
        { from_s: day * day_s, to_s: day * day_s + random.between(400, 900), flow_lpm: random.between(8, 15) },
        { from_s: (day + 0.2) * day_s, to_s: (day + 0.2) * day_s + 4, flow_lpm: random.between(100, 150) },
      ]),
    })),
  ),
  water("a person lifts the float now and then", (plan, random) => ({
    ...plan,
    changes: [0.4, 0.9, 0.92, 1.5].flatMap((day) => {
      const at_s = day * day_s + random.between(0, 3000);
      return [
        { at_s, set: { float: "stuck-on" as const } },
        { at_s: at_s + random.between(7, 12), set: { float: "free" as const } },
      ];
    }),
  })),
  water("small storms", (plan, random) => ({
    ...plan,
    weather: {
      ...plan.weather,
      storms: [modestStorm(plan, random, 6 * hour_s), modestStorm(plan, random, 26 * hour_s)],
    },
  })),
  water(
    "rectangular basin",
    inShape((random) => ({
      shape: "rectangular",
      width_m: random.between(0.4, 0.7),
      length_m: random.between(0.4, 0.9),
      occupiedArea_m2: 0.008,
    })),
  ),
  water(
    "basin that widens, by a table",
    inShape((random) => ({
      shape: "table",
      rows: [0, 0.1, 0.25, 0.4, 1].map((level_m, i) => ({
        level_m,
        volume_m3: level_m * random.between(0.1, 0.11) * (1 + 0.35 * i),
      })),
    })),
  ),
  water(
    "tight valve, nothing returned",
    withValve(() => ({ closing_m3: 0 })),
  ),
  water(
    "slow valve, half a litre to one",
    withValve((_, random) => ({ closing_m3: random.between(0.5, 1) * 1e-3, closing_s: random.between(2, 5) })),
  ),
  water(
    "weeping valve, within what is healthy",
    withValve((_, random) => ({ leak: { law: "orifice", area_m2: random.between(0.3, 1) * 1e-9 } })),
  ),
];
