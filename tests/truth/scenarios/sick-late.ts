// Troubles that come late, weakly or little by little: one at least of every kind.

import { day_s, hour_s, type Plan, round, swing_m3, typicalRate_m3s } from "../plan.ts";
import type { Scenario } from "../scenario.ts";
import { lpm } from "../weather.ts";
import { clearly, type Draw, every, filledIn, sick, spell } from "./sick-house.ts";
import { frictionFor, leakIn, worn } from "./sick-pump.ts";

const inTurn =
  (...draws: readonly Draw[]): Draw =>
  (plan, random) => {
    let drawn: Partial<Plan> = {};
    for (const draw of draws) drawn = { ...drawn, ...draw({ ...plan, ...drawn }, random) };
    return drawn;
  };

const fills =
  (least_s: number, most_s: number): Draw =>
  (plan, random) => ({ weather: filledIn(plan, random.between(least_s, most_s)) });

/** Half a millimetre in a minute: hours pass between the float's failure and high water. */
const motorFails: Draw = (plan, random) => ({
  ...spell(plan, { tripped: true }, random.between(0.6, 1) * day_s, 1.9 * day_s),
});

/** It takes a storm an hour and more to pass what the pump moves, by a tenth. */
const slowlyTooMuch: Draw = (plan, random) => ({
  weather: {
    ...plan.weather,
    storms: [
      {
        from_s: 0.5 * day_s,
        peak_lpm: (random.between(1.06, 1.12) * typicalRate_m3s(plan)) / lpm,
        rain_s: 7 * hour_s,
        store_s: hour_s,
        reservoirs: 2,
      },
    ],
  },
  allowed: ["undersized", "short-cycling"],
});

/** With the allowance of a half, a little more than the pump moves. */
const littleTooSmall: Draw = (plan, random) => ({
  weather: {
    ...plan.weather,
    storms: [
      {
        from_s: 0.6 * day_s,
        peak_lpm: (random.between(0.76, 0.8) * typicalRate_m3s(plan)) / lpm,
        rain_s: 5 * hour_s,
        store_s: 0.5 * hour_s,
        reservoirs: 2,
      },
    ],
  },
  allowed: ["short-cycling"],
});

/** 24 starts an hour where 20 are allowed, after a slow rise. */
const startsCreepUp: Draw = (plan) => ({
  weather: {
    ...filledIn(plan, 900),
    storms: [
      {
        from_s: 0.4 * day_s,
        peak_lpm: swing_m3(plan) / 140 / lpm - swing_m3(plan) / 900 / lpm,
        rain_s: 12 * hour_s,
        store_s: 3 * hour_s,
        reservoirs: 2,
      },
    ],
  },
});

/** Freezes shut, or silts up, within hours: no run moves much less than the one before. */
const closesSlowly: Draw = (plan, random) => {
  const from_s = random.between(0.7, 0.9) * day_s;
  const hours = random.between(3, 6);
  const steps = 24;
  const lost = random.between(0.5, 0.65);
  return {
    changes: Array.from({ length: steps }, (_, i) => ({
      at_s: from_s + ((i + 1) / steps) * hours * hour_s,
      set: { frictionTimes: frictionFor(plan, (lost * (i + 1)) / steps) },
    })),
    declared: [
      { kind: "discharge-blocked", certainty: "clear", from_s: from_s + 0.7 * hours * hour_s, to_s: plan.days * day_s },
      { kind: "discharge-blocked", certainty: "allowed", from_s, to_s: plan.days * day_s },
    ],
    allowed: ["pump-worn", "undersized"],
  };
};

/** A third is gone: the least that is to be found. */
const closesAThird: Draw = (plan, random) => {
  const from_s = random.between(0.7, 1) * day_s;
  return {
    changes: [{ at_s: from_s, set: { frictionTimes: frictionFor(plan, random.between(0.31, 0.36)) } }],
    declared: clearly("discharge-blocked", from_s, plan.days * day_s),
    allowed: ["pump-worn", "undersized"],
  };
};

/** The flap wears over days: from tight to a riser that is empty in some minutes. */
const valveWears: Draw = (plan, random) => {
  const to = leakIn(plan, random, [90, 240]);
  const from_s = 1.5 * day_s;
  const full = { ...plan.condition.valve, leak: { law: "orifice", area_m2: to.area_m2 } as const };
  return {
    days: 7,
    pipe: to.pipe,
    changes: Array.from({ length: 20 }, (_, i) => ({
      at_s: from_s + (i / 20) * 3 * day_s,
      set: { valve: { ...full, leak: { law: "orifice" as const, area_m2: to.area_m2 * ((i + 1) / 20) ** 2 } } },
    })),
    declared: [
      { kind: "check-valve-leak", certainty: "clear", from_s: from_s + 3 * day_s, to_s: 7 * day_s },
      { kind: "check-valve-leak", certainty: "allowed", from_s, to_s: 7 * day_s },
    ],
  };
};

/** The riser is empty again within five to ten minutes. */
const seeps: Draw = (plan, random) => {
  const { pipe, area_m2 } = leakIn(plan, random, [300, 600]);
  const from_s = random.between(0.6, 0.9) * day_s;
  const valve = { ...plan.condition.valve, leak: { law: "orifice", area_m2 } as const };
  return {
    pipe,
    weather: filledIn(plan, random.between(1500, 2400)),
    changes: [{ at_s: from_s, set: { valve } }],
    declared: clearly("check-valve-leak", from_s, plan.days * day_s),
  };
};

const stuckFor =
  (float: "stuck-off" | "stuck-on", least_h: number, most_h: number): Draw =>
  (plan, random) => {
    const from_s = random.between(0.7, 0.9) * day_s;
    return {
      ...spell(plan, { float }, from_s, from_s + random.between(least_h, most_h) * hour_s),
      allowed: float === "stuck-on" ? ["discharge-blocked"] : [],
    };
  };

const briefCut: Draw = (plan, random) => {
  const from_s = random.between(0.5, 1.2) * day_s;
  const to_s = from_s + random.between(25, 60);
  return { ...spell(plan, { power: false }, from_s, to_s), declared: clearly("power-lost", from_s, to_s) };
};

const zeroCreeps: Draw = (plan, random) => {
  const by_m = (random.chance(0.5) ? 1 : -1) * round(random.between(0.025, 0.03), 0.001);
  const from_s = 2 * day_s;
  const to_s = 12 * day_s;
  return {
    days: 16,
    sample_s: 10,
    weather: filledIn(plan, random.between(1200, 2400)),
    senses: { ...plan.senses, upsets: [{ from_s, to_s: to_s, what: { kind: "drifting", by_m, share: 0 } }] },
    declared: [
      { kind: "sensor-fault", certainty: "clear", from_s: (from_s + to_s) / 2, to_s: 16 * day_s },
      { kind: "sensor-fault", certainty: "allowed", from_s, to_s: 16 * day_s },
    ],
  };
};

const unsure = { cycles: false };

export const lateSick: readonly Scenario[] = [
  sick("motor fails in a trickle", ["high-water", "float-stuck-off"], inTurn(fills(5400, 9000), motorFails)),
  sick("a storm passes the pump by a tenth", ["inflow-exceeds-pump", "undersized"], slowlyTooMuch),
  sick(
    "a storm passes the pump by a tenth, every 5 s",
    ["inflow-exceeds-pump", "undersized"],
    inTurn(slowlyTooMuch, every(5)),
    unsure,
  ),
  sick("a pump a little too small", ["undersized"], littleTooSmall),
  sick("a pump a little too small, every 10 s", ["undersized"], inTurn(littleTooSmall, every(10)), unsure),
  sick("starts creep over what is allowed", ["short-cycling"], startsCreepUp, {
    causes: { "short-cycling": ["high-inflow"] },
  }),
  sick(
    "float stuck down in a trickle, every minute",
    ["float-stuck-off"],
    inTurn(every(60), fills(3600, 5400), stuckFor("stuck-off", 4, 6)),
    unsure,
  ),
  sick(
    "float stuck up in a trickle, every half minute",
    ["float-stuck-on"],
    inTurn(every(30), fills(2400, 4800), stuckFor("stuck-on", 1, 2)),
    unsure,
  ),
  sick("valve wears over days", ["check-valve-leak"], valveWears),
  sick("riser empties in five to ten minutes", ["check-valve-leak"], seeps),
  sick("discharge closes within hours", ["discharge-blocked"], closesSlowly),
  sick("discharge blocked by a third", ["discharge-blocked"], closesAThird),
  sick("discharge blocked by a third, every 5 s", ["discharge-blocked"], inTurn(closesAThird, every(5))),
  sick("pump worn over a month, every 10 s", ["pump-worn"], worn(34, every(10)), {
    ...unsure,
    causes: { "pump-worn": ["worn"] },
  }),
  sick("power cut of half a minute", ["power-lost"], briefCut),
  sick("the level's zero creeps by 25 mm in ten days", ["sensor-fault"], zeroCreeps, unsure),
];
