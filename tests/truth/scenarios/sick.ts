// Everything that can go wrong with a float, a valve, a pump, a discharge, the supply or a sensor, each in two ways or more.

import type { FindingKind } from "../../../analysis/findings/finding.ts";
import { day_s, drawHouse, hour_s, type Plan, steadyWeather, swing_m3, typicalRate_m3s } from "../plan.ts";
import type { Condition } from "../plant.ts";
import { pumpFlow_m3s } from "../pump-law.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";
import type { Upset } from "../senses.ts";
import { vesselOf } from "../vessel.ts";
import { lpm } from "../weather.ts";

type Draw = (plan: Plan, random: Random) => Partial<Plan>;

/** A house with every contact, and a run every ten to thirty minutes. */
function sick(
  name: string,
  must: readonly FindingKind[],
  draw: Draw,
  judge: Partial<Scenario["judge"]> = {},
): Scenario {
  return {
    name,
    group: "sick",
    must,
    judge: { ...judgedByAll, flows: false, ...judge },
    draw(random) {
      const drawn = drawHouse(random);
      const house: Plan = {
        ...drawn,
        weather: steadyWeather(swing_m3(drawn) / random.between(600, 1800) / lpm),
        senses: { ...drawn.senses, channels: ["level", "pumpOn", "highFloat", "mains"] },
      };
      return { ...house, ...draw(house, random) };
    },
  };
}

/** From `from_s` to `to_s` the condition is another. */
function spell(plan: Plan, set: Partial<Condition>, from_s: number, to_s: number): Partial<Plan> {
  const before = Object.fromEntries(Object.keys(set).map((key) => [key, plan.condition[key as keyof Condition]]));
  return { changes: [...plan.changes, { at_s: from_s, set }, { at_s: to_s, set: before }] };
}

function clearly(kind: FindingKind, from_s: number, to_s: number): Plan["declared"] {
  return [
    { kind, certainty: "clear", from_s, to_s },
    { kind, certainty: "allowed", from_s, to_s },
  ];
}

function powerCut(length_s: (random: Random) => number): Draw {
  return (plan, random) => {
    const from_s = random.between(0.5, 1.2) * day_s;
    const to_s = from_s + length_s(random);
    return { ...spell(plan, { power: false }, from_s, to_s), declared: clearly("power-lost", from_s, to_s) };
  };
}

/** A fault from somewhere in the second half of the first day, for some hours. */
function faultFor(hours: readonly [number, number], set: Partial<Condition>, more: Draw = () => ({})): Draw {
  return (plan, random) => {
    const from_s = random.between(0.6, 1) * day_s;
    const other = { ...plan, ...more(plan, random) };
    return { ...other, ...spell(other, set, from_s, from_s + random.between(...hours) * hour_s) };
  };
}

function upset(kind: FindingKind, hours: readonly [number, number], what: (random: Random) => Upset["what"]): Draw {
  return (plan, random) => {
    const from_s = random.between(0.6, 1.2) * day_s;
    const to_s = from_s + random.between(...hours) * hour_s;
    return {
      senses: { ...plan.senses, upsets: [{ from_s, to_s, what: what(random) }] },
      declared: clearly(kind, from_s, to_s),
    };
  };
}

/** Off by so much at the end of six days; it counts from the half of it on. */
function drifting(by_m: number, share: number): Draw {
  return (plan, random) => {
    const from_s = random.between(1.5, 2.5) * day_s;
    const to_s = from_s + 6 * day_s;
    const sign = random.chance(0.5) ? 1 : -1;
    return {
      days: 10,
      sample_s: 5,
      senses: {
        ...plan.senses,
        upsets: [{ from_s, to_s, what: { kind: "drifting", by_m: sign * by_m, share: sign * share } }],
      },
      declared: [
        { kind: "sensor-fault", certainty: "clear", from_s: (from_s + to_s) / 2, to_s: 10 * day_s },
        { kind: "sensor-fault", certainty: "allowed", from_s, to_s: 10 * day_s },
      ],
    };
  };
}

/** The riser's water comes back: a pipe wide and high enough that it is clearly more than a closing valve lets through. */
function leaking(time_s: readonly [number, number], law: "orifice" | "exponential", more: Draw = () => ({})): Draw {
  return (plan, random) => {
    const highPoint_m = Math.max(3, plan.pipe.highPoint_m);
    const pipe = { ...plan.pipe, highPoint_m, bore_m2: random.between(1.6, 2.2) * 1e-3 };
    const content_m3 = pipe.bore_m2 * highPoint_m;
    const empties_s = random.between(...time_s);
    const leak =
      law === "exponential"
        ? ({ law, time_s: empties_s / 3 } as const)
        : // a column empties through an orifice in 2·V / (area · √(2 g h))
          ({ law, area_m2: (2 * content_m3) / empties_s / Math.sqrt(2 * 9.80665 * highPoint_m) } as const);
    const from_s = random.between(0.6, 0.9) * day_s;
    const valve = { ...plan.condition.valve, leak };
    return {
      pipe,
      changes: [{ at_s: from_s, set: { valve } }],
      declared: clearly("check-valve-leak", from_s, plan.days * day_s),
      ...more(plan, random),
    };
  };
}

/** Friction so many times what it was that the flow at the middle of a run goes down by a share. */
function frictionFor(plan: Plan, lost: number): number {
  const { pump, pipe, trips } = plan;
  const lift_m = pipe.highPoint_m - (trips.start_m + trips.stop_m) / 2;
  return rootOf((times) => pumpFlow_m3s(pump, pipe, lift_m, 1, 1, times) - (1 - lost) * typicalRate_m3s(plan), 1, 1e6);
}

function headFor(plan: Plan, lost: number): number {
  const { pump, pipe, trips } = plan;
  const lift_m = pipe.highPoint_m - (trips.start_m + trips.stop_m) / 2;
  return rootOf((share) => (1 - lost) * typicalRate_m3s(plan) - pumpFlow_m3s(pump, pipe, lift_m, 1, share), 0.1, 1);
}

/** By halving: `f` falls from above 0 at `low` to below it at `high`. */
function rootOf(f: (x: number) => number, low: number, high: number): number {
  let [a, b] = [low, high];
  for (let i = 0; i < 60; i++) {
    const middle = (a + b) / 2;
    if (f(middle) > 0) a = middle;
    else b = middle;
  }
  return (a + b) / 2;
}

function blocked(lost: readonly [number, number], more: Draw = () => ({})): Draw {
  return (plan, random) => {
    const from_s = random.between(0.7, 1) * day_s;
    const frictionTimes = frictionFor(plan, random.between(...lost));
    return {
      changes: [{ at_s: from_s, set: { frictionTimes } }],
      declared: clearly("discharge-blocked", from_s, plan.days * day_s),
      allowed: ["pump-worn", "undersized"],
      ...more(plan, random),
    };
  };
}

/** Wear counts from the moment at which an eighth of the flow is gone. */
function worn(days: number, more: Draw = () => ({})): Draw {
  return (plan, random) => {
    const lost = random.between(0.18, 0.3);
    const headShare = headFor(plan, lost);
    const from_s = 2 * day_s;
    const to_s = (days - 1) * day_s;
    const seen_s = from_s + ((1 - headFor(plan, 0.125)) / (1 - headShare)) * (to_s - from_s);
    return {
      days,
      weather: steadyWeather(swing_m3(plan) / random.between(700, 1800) / lpm),
      wear: { from_s, to_s, headShare },
      declared: [
        { kind: "pump-worn", certainty: "clear", from_s: seen_s, to_s: days * day_s },
        { kind: "pump-worn", certainty: "allowed", from_s, to_s: days * day_s },
      ],
      allowed: lost > 0.2 ? ["discharge-blocked"] : [],
      ...more(plan, random),
    };
  };
}

function withChannels(channels: Plan["senses"]["channels"]): Draw {
  return ({ senses }) => ({ senses: { ...senses, channels } });
}

function every(sample_s: number): Draw {
  return () => ({ sample_s });
}

const cyclesUnsure = { cycles: false };

export const sickScenarios: readonly Scenario[] = [
  sick(
    "power cut of minutes",
    ["power-lost"],
    powerCut((random) => random.between(60, 600)),
  ),
  sick("power cut in a wet night", ["power-lost", "high-water"], (plan, random) => ({
    weather: steadyWeather(swing_m3(plan) / 400 / lpm),
    ...powerCut(() => 5400)(plan, random),
  })),
  sick("power cut seen every 10 s", ["power-lost"], (plan, random) => ({
    ...powerCut((r) => r.between(300, 1800))(plan, random),
    sample_s: 10,
  })),
  sick("float stuck down", ["float-stuck-off", "high-water"], faultFor([1, 3], { float: "stuck-off" })),
  sick("motor tripped", ["float-stuck-off", "high-water"], faultFor([1, 3], { tripped: true })),
  sick(
    "float stuck down, every 10 s",
    ["float-stuck-off", "high-water"],
    faultFor([1, 3], { float: "stuck-off" }, every(10)),
  ),
  sick(
    "motor tripped, contact and high float alone",
    ["high-water"],
    faultFor([1, 3], { tripped: true }, withChannels(["pumpOn", "highFloat", "mains"])),
    cyclesUnsure,
  ),
  sick(
    "float stuck up",
    ["float-stuck-on"],
    faultFor([0.5, 2], { float: "stuck-on" }, () => ({ allowed: ["discharge-blocked"] })),
  ),
  sick(
    "float stuck up, every 10 s, steps of 2 mm",
    ["float-stuck-on"],
    faultFor([0.5, 2], { float: "stuck-on" }, ({ senses }) => ({
      sample_s: 10,
      senses: { ...senses, step_m: 0.002 },
      allowed: ["discharge-blocked"],
    })),
  ),
  sick("valve leaks through a gap, in a minute or three", ["check-valve-leak"], leaking([60, 180], "orifice")),
  sick("valve leaks, fading, in a minute or three", ["check-valve-leak"], leaking([60, 180], "exponential")),
  sick("no check valve at all", ["check-valve-leak"], leaking([4, 8], "orifice")),
  sick(
    "valve leaks, every 5 s, noise of 3 mm",
    ["check-valve-leak"],
    leaking([60, 180], "orifice", ({ senses }) => ({
      sample_s: 5,
      senses: { ...senses, white_m: 0.003 },
    })),
  ),
  sick(
    "valve leaks where the ground slows the inflow",
    ["check-valve-leak"],
    leaking([60, 180], "orifice", ({ weather, trips }) => ({
      weather: { ...weather, groundHead_m: trips.start_m + 0.3, refLevel_m: trips.stop_m },
    })),
  ),
  sick("discharge blocked by a third to six tenths", ["discharge-blocked"], blocked([0.35, 0.6])),
  sick("discharge blocked nearly whole", ["discharge-blocked"], blocked([0.7, 0.9]), cyclesUnsure),
  sick("discharge blocked by half, every 5 s", ["discharge-blocked"], blocked([0.4, 0.6], every(5))),
  sick("discharge blocked by half, level alone", ["discharge-blocked"], blocked([0.4, 0.6], withChannels(["level"]))),
  sick(
    "discharge frozen solid",
    ["discharge-blocked", "high-water"],
    (plan, random) => {
      const from_s = random.between(0.7, 1) * day_s;
      return {
        ...spell(plan, { frictionTimes: 1e6 }, from_s, from_s + 4 * hour_s),
        declared: clearly("discharge-blocked", from_s + 600, from_s + 4 * hour_s),
        allowed: ["discharge-blocked", "undersized"],
      };
    },
    cyclesUnsure,
  ),
  sick("pump worn over ten days", ["pump-worn"], worn(10)),
  sick(
    "pump worn over ten days, every 5 s, steps of 1 mm",
    ["pump-worn"],
    worn(10, ({ senses }) => ({
      sample_s: 5,
      senses: { ...senses, step_m: 0.001, white_m: 0.002 },
    })),
  ),
  sick("pump worn over ten days, level alone", ["pump-worn"], worn(10, withChannels(["level"]))),
  sick("floats too close together", ["short-cycling"], (plan, random) => {
    // runs of 3.5 to 5.5 s
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
  }),
  sick("too many starts in much inflow", ["short-cycling"], (plan, random) => ({
    weather: steadyWeather(swing_m3(plan) / random.between(60, 110) / lpm),
    days: 1,
  })),
  sick("float chatters in waves", ["short-cycling"], faultFor([3, 6], { float: "chatter" }), cyclesUnsure),
  sick("pump too small for its house", ["undersized"], (plan, random) => ({
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
  })),
  sick("much more flows in than the pump moves", ["inflow-exceeds-pump", "high-water"], (plan, random) => ({
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
  })),
  sick(
    "level frozen for hours",
    ["sensor-fault"],
    upset("sensor-fault", [2, 5], () => ({ kind: "frozen" })),
    cyclesUnsure,
  ),
  sick(
    "level says a code that is no level",
    ["sensor-fault"],
    upset("sensor-fault", [0.5, 3], (random) => ({ kind: "code", level_m: random.oneOf([9.999, -1, 6.5535]) })),
    cyclesUnsure,
  ),
  sick(
    "level drops out for most of an hour",
    ["sensor-fault"],
    upset("sensor-fault", [0.7, 2], (random) => ({ kind: "dropping", share: random.between(0.6, 0.95) })),
    cyclesUnsure,
  ),
  sick(
    "foam under the sensor",
    ["sensor-fault"],
    upset("sensor-fault", [0.7, 2], (random) => ({ kind: "foam", noise_m: random.between(0.06, 0.12) })),
    cyclesUnsure,
  ),
  sick("the level's zero drifts by 40 mm in days", ["sensor-fault"], drifting(0.04, 0), cyclesUnsure),
  sick("the level's span goes off by a seventh in days", ["sensor-fault"], drifting(0, 0.14), cyclesUnsure),
  sick(
    "contact dead, says rest",
    ["sensor-fault"],
    upset("sensor-fault", [5, 9], () => ({ kind: "contact-dead", says: false })),
    cyclesUnsure,
  ),
  sick(
    "contact dead, says run",
    ["sensor-fault"],
    (plan, random) => ({
      ...upset("sensor-fault", [5, 9], () => ({ kind: "contact-dead", says: true }))(plan, random),
      // a pump that is said to run while the water rises
      allowed: ["discharge-blocked", "inflow-exceeds-pump"],
    }),
    cyclesUnsure,
  ),
];
