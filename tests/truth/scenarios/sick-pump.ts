// Check valves that leak, discharges that are blocked or frozen, pumps that wear or choke on air.

import { day_s, hour_s, type Plan, typicalRate_m3s } from "../plan.ts";
import { pumpFlow_m3s } from "../pump-law.ts";
import type { Random } from "../random.ts";
import type { Scenario } from "../scenario.ts";
import { lpm } from "../weather.ts";
import { withTwoPumps } from "./channels.ts";
import { clearly, type Draw, every, filledIn, sick, spell, withChannels } from "./sick-house.ts";

/** A riser wide and high enough that its water is clearly more than a closing valve lets through, and a gap that empties it. */
export function leakIn(plan: Plan, random: Random, time_s: readonly [number, number]) {
  const highPoint_m = Math.max(3, plan.pipe.highPoint_m);
  const pipe = { ...plan.pipe, highPoint_m, bore_m2: random.between(1.6, 2.2) * 1e-3 };
  const empties_s = random.between(...time_s);
  // a column empties through an orifice in 2·V / (area · √(2 g h))
  const area_m2 = (2 * pipe.bore_m2 * highPoint_m) / empties_s / Math.sqrt(2 * 9.80665 * highPoint_m);
  return { pipe, empties_s, area_m2 };
}

/** The riser's water comes back. */
function leaking(time_s: readonly [number, number], law: "orifice" | "exponential", more: Draw = () => ({})): Draw {
  return (plan, random) => {
    const { pipe, empties_s, area_m2 } = leakIn(plan, random, time_s);
    const leak = law === "exponential" ? ({ law, time_s: empties_s / 3 } as const) : ({ law, area_m2 } as const);
    const from_s = random.between(0.6, 0.9) * day_s;
    const valve = { ...plan.condition.valve, leak };
    const other = more(plan, random);
    return {
      pipe,
      changes: [{ at_s: from_s, set: { valve } }],
      declared: clearly("check-valve-leak", from_s, (other.days ?? plan.days) * day_s),
      ...other,
    };
  };
}

function midwayLift_m({ pipe, trips }: Plan): number {
  return pipe.highPoint_m - (trips.start_m + trips.stop_m) / 2;
}

/** Friction so many times what it was that the flow at the middle of a run goes down by a share. */
export function frictionFor(plan: Plan, lost: number): number {
  const left_m3s = (1 - lost) * typicalRate_m3s(plan);
  const flow_m3s = (times: number) => pumpFlow_m3s(plan.pump, plan.pipe, midwayLift_m(plan), 1, 1, times);
  return rootOf((times) => flow_m3s(times) - left_m3s, 1, 1e6);
}

/** Share of the head that is left when a share of the flow is lost. */
function headFor(plan: Plan, lost: number): number {
  const left_m3s = (1 - lost) * typicalRate_m3s(plan);
  const flow_m3s = (share: number) => pumpFlow_m3s(plan.pump, plan.pipe, midwayLift_m(plan), 1, share);
  return rootOf((share) => left_m3s - flow_m3s(share), 0.1, 1);
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

/** Late enough for runs that no reading times to have shown what the pump moves. */
const seenSeldom: Draw = (plan, random) => {
  const from_s = random.between(2, 3) * day_s;
  return {
    days: 7,
    sample_s: 30,
    weather: filledIn(plan, random.between(700, 1800)),
    changes: [{ at_s: from_s, set: { frictionTimes: frictionFor(plan, random.between(0.45, 0.6)) } }],
    declared: clearly("discharge-blocked", from_s, 7 * day_s),
  };
};

/** As late, in a storm of half to four fifths of what the pump then moves. */
const seenInStorm: Draw = (plan, random) => {
  const lost = random.between(0.45, 0.6);
  const from_s = random.between(3, 3.5) * day_s;
  const left_lpm = ((1 - lost) * typicalRate_m3s(plan)) / lpm;
  const dry = filledIn(plan, random.between(700, 1800));
  const storm = {
    from_s: from_s - random.between(0.5, 2) * hour_s,
    peak_lpm: random.between(0.5, 0.8) * left_lpm - dry.dry_lpm,
    rain_s: random.between(3, 5) * hour_s,
    store_s: random.between(0.5, 1) * hour_s,
    reservoirs: 2,
  };
  return {
    days: 5,
    sample_s: 30,
    weather: { ...dry, storms: [storm] },
    changes: [{ at_s: from_s, set: { frictionTimes: frictionFor(plan, lost) } }],
    declared: clearly("discharge-blocked", from_s, 5 * day_s),
    allowed: ["pump-worn", "undersized", "short-cycling"],
  };
};

const frozen: Draw = (plan, random) => {
  const from_s = random.between(0.7, 1) * day_s;
  return {
    ...spell(plan, { frictionTimes: 1e6 }, from_s, from_s + 4 * hour_s),
    // the pump has to run before anyone can know
    declared: clearly("discharge-blocked", from_s + 600, from_s + 4 * hour_s),
    allowed: ["discharge-blocked", "undersized"],
    senses: {
      ...plan.senses,
      mean_c: -8,
      channels: ["level", "pumpOn", "highFloat", "mains", "temperature"],
    },
  };
};

const airBound: Draw = (plan, random) => {
  const from_s = random.between(0.7, 1) * day_s;
  return {
    changes: [{ at_s: from_s, set: { airFor_s: random.between(25, 45) } }],
    declared: clearly("discharge-blocked", from_s, plan.days * day_s),
    allowed: ["pump-worn", "undersized"],
  };
};

/** Wear counts from the moment at which an eighth of the flow is gone. */
export function worn(days: number, more: Draw = () => ({})): Draw {
  return (plan, random) => {
    const lost = random.between(0.18, 0.3);
    const headShare = headFor(plan, lost);
    const from_s = 2 * day_s;
    const to_s = (days - 1) * day_s;
    const seen_s = from_s + ((1 - headFor(plan, 0.125)) / (1 - headShare)) * (to_s - from_s);
    return {
      days,
      weather: filledIn(plan, random.between(700, 1800)),
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

const byWear = { causes: { "pump-worn": ["worn"] } };
const byBlockage = { causes: { "discharge-blocked": ["blocked", "part-closed"] } };
const noise3mm: Draw = ({ senses }) => ({ sample_s: 5, senses: { ...senses, white_m: 0.003 } });
const coarse: Draw = ({ senses }) => ({ sample_s: 5, senses: { ...senses, step_m: 0.001, white_m: 0.002 } });
const twoPumps: Draw = ({ site, senses }) => ({
  second: { headShare: 1 },
  site: withTwoPumps(site),
  senses: { ...senses, channels: ["level", "pumpOn", "pump2On"] },
});
const groundHead: Draw = ({ weather, trips }) => ({
  weather: { ...weather, groundHead_m: trips.start_m + 0.3, refLevel_m: trips.stop_m },
});

export const pumpSick: readonly Scenario[] = [
  sick("valve leaks through a gap, in a minute or three", ["check-valve-leak"], leaking([60, 180], "orifice")),
  sick("valve leaks, fading, in a minute or three", ["check-valve-leak"], leaking([60, 180], "exponential")),
  sick("no check valve at all", ["check-valve-leak"], leaking([4, 8], "orifice")),
  sick("valve leaks, every 5 s, noise of 3 mm", ["check-valve-leak"], leaking([60, 180], "orifice", noise3mm)),
  sick(
    "valve leaks, every half minute",
    ["check-valve-leak"],
    leaking([60, 180], "orifice", () => ({ days: 6, sample_s: 30 })),
    { cycles: false },
  ),
  sick(
    "valve leaks where the ground slows the inflow",
    ["check-valve-leak"],
    leaking([60, 180], "orifice", groundHead),
  ),
  sick("discharge blocked by a third to six tenths", ["discharge-blocked"], blocked([0.35, 0.6]), byBlockage),
  sick("discharge blocked nearly whole", ["discharge-blocked"], blocked([0.7, 0.9]), {
    cycles: false,
    causes: { "discharge-blocked": ["blocked"] },
  }),
  sick("discharge blocked by half, every 5 s", ["discharge-blocked"], blocked([0.4, 0.6], every(5)), byBlockage),
  sick(
    "discharge blocked by half, level alone",
    ["discharge-blocked"],
    blocked([0.4, 0.6], withChannels(["level"])),
    byBlockage,
  ),
  sick("discharge blocked by half, every half minute", ["discharge-blocked"], blocked([0.45, 0.6], seenSeldom), {
    cycles: false,
  }),
  sick(
    "discharge blocked by half in a storm, every half minute",
    ["discharge-blocked"],
    blocked([0.45, 0.6], seenInStorm),
    { cycles: false },
  ),
  ...[10, 30].map((sample_s) =>
    sick(
      `discharge blocked by half, level alone, every ${sample_s} s`,
      ["discharge-blocked"],
      blocked([0.45, 0.6], (plan, random) => ({
        ...seenSeldom(plan, random),
        ...withChannels(["level"])(plan, random),
        sample_s,
      })),
      { cycles: false },
    ),
  ),
  sick("discharge frozen solid", ["discharge-blocked", "high-water"], frozen, {
    cycles: false,
    causes: { "discharge-blocked": ["frozen"] },
  }),
  sick("air in the pump at each start", ["discharge-blocked"], airBound, {
    causes: { "discharge-blocked": ["air-bound"] },
  }),
  sick("pump worn over ten days", ["pump-worn"], worn(10), byWear),
  sick("pump worn over ten days, every 5 s, steps of 1 mm", ["pump-worn"], worn(10, coarse), byWear),
  sick("one of two pumps worn over ten days", ["pump-worn"], worn(10, twoPumps), byWear),
  sick("pump worn over ten days, level alone", ["pump-worn"], worn(10, withChannels(["level"])), byWear),
];
