// A basin drawn whole: weather, channels, how often and how badly the level is read, and one fault or none, each by chance.
// What no scenario names meets here; a scenario tells how often a thing happens, a drawn basin what else may.

import type { FindingKind } from "../../analysis/findings/finding.ts";
import { day_s, drawHouse, hour_s, type Plan, typicalRate_m3s } from "./plan.ts";
import { type Random, randomOf } from "./random.ts";
import { clearly, filledIn, spell } from "./scenarios/sick-house.ts";
import { frictionFor, leakIn } from "./scenarios/sick-pump.ts";
import { withHelp } from "./scenarios/two-pumps.ts";
import type { Senses } from "./senses.ts";
import { appliances, lpm } from "./weather.ts";

export interface DrawnBasin {
  readonly plan: Plan;
  /** What was drawn, in a few words. */
  readonly words: readonly string[];
}

const days = 3;

/** Part of a plan, and what to call it. */
interface Drawn {
  readonly part: Partial<Plan>;
  readonly word: string;
}

/** @param key other basins for the same seed */
export function drawnBasin(seed: number, key = "drawn"): DrawnBasin {
  const random = randomOf(key, seed);
  return compose(random, drawHouse(random), [drawnWeather, drawnRows, drawnSenses, drawnFault]);
}

/** Two pumps on one discharge, the second called halfway to high water. */
export function drawnPair(seed: number, key = "drawn"): DrawnBasin {
  const random = randomOf(key, "pair", seed);
  return compose(random, drawHouse(random), [drawnSecond, drawnWeather, drawnRows, drawnSenses, drawnDeadPump]);
}

function compose(
  random: Random,
  house: Plan,
  draws: readonly ((plan: Plan, random: Random) => readonly Drawn[])[],
): DrawnBasin {
  let plan: Plan = { ...house, days };
  const words: string[] = [];
  for (const draw of draws) {
    for (const { part, word } of draw(plan, random)) {
      plan = { ...plan, ...part };
      words.push(word);
    }
  }
  return { plan, words };
}

function drawnWeather(plan: Plan, random: Random): Drawn[] {
  const fill_s = random.evenlyOverLog(400, 7200);
  let weather = filledIn(plan, fill_s);
  const words = [`full in ${Math.round(fill_s)} s`];
  if (random.chance(0.5)) {
    const share = random.between(0.2, plan.second === null ? 1 : 1.3);
    const storm = {
      from_s: random.between(0.8, 2) * day_s,
      peak_lpm: (share * typicalRate_m3s(plan)) / lpm,
      rain_s: random.between(1, 10) * hour_s,
      store_s: random.evenlyOverLog(600, 7200),
      reservoirs: 2,
    };
    weather = { ...weather, storms: [storm] };
    words.push(`storm of ${share.toFixed(2)}`);
  }
  if (random.chance(0.25)) {
    weather = { ...weather, pulses: appliances(days * day_s, random.oneOf([10, 20]), random) };
    words.push("washing");
  }
  if (random.chance(0.25)) {
    weather = { ...weather, walk: random.between(0.1, 0.4), diurnal: random.between(0, 0.3) };
    words.push("wandering");
  }
  if (random.chance(0.2)) {
    const over_m = random.between(0.05, 0.4);
    weather = { ...weather, groundHead_m: plan.trips.start_m + over_m, refLevel_m: plan.trips.stop_m };
    words.push(`ground water ${over_m.toFixed(2)} m over the start`);
  }
  return [{ part: { weather }, word: words.join(", ") }];
}

function drawnRows(_: Plan, random: Random): Drawn[] {
  const sample_s = random.oneOf([1, 1, 1, 2, 5, 5, 10, 30, 60]);
  return [{ part: { sample_s }, word: `each ${sample_s} s` }];
}

function drawnSenses({ senses, sample_s, second }: Plan, random: Random): Drawn[] {
  const channels =
    second === null
      ? random.oneOf<Senses["channels"]>([
          ["level", "pumpOn", "highFloat", "mains"],
          ["level", "pumpOn", "floatOn", "highFloat", "mains"],
          ["level"],
          ["level", "current", "mains"],
          ["level", "floatOn", "mains"],
          ["level", "pumpOn"],
        ])
      : random.oneOf<Senses["channels"]>([
          ["level", "pumpOn", "pump2On"],
          ["level", "pumpOn", "pump2On", "highFloat", "mains"],
          ["pumpOn", "pump2On", "highFloat"],
        ]);
  const white_m = random.evenlyOverLog(0.0005, 0.005);
  const step_m = random.oneOf([0.0001, 0.001, 0.002, 0.005]);
  const drawn: Drawn[] = [
    { part: {}, word: channels.join("+") },
    { part: {}, word: `noise ${(1000 * white_m).toFixed(1)} mm, steps of ${1000 * step_m} mm` },
  ];
  let all: Senses = { ...senses, channels, white_m, step_m };
  const nowAndThen = (share: number, word: string, more: () => Partial<Senses>) => {
    if (!random.chance(share)) return;
    all = { ...all, ...more() };
    drawn.push({ part: {}, word });
  };
  nowAndThen(0.25, "spikes", () => ({
    spikeShare: random.between(0.002, 0.02),
    spike_m: random.between(0.03, 0.2),
  }));
  nowAndThen(0.2, "ripples", () => ({ ripple_m: 0.006 }));
  nowAndThen(sample_s === 1 ? 0.2 : 0, "a contact that bounces", () => ({ bounce_s: 1.5 }));
  nowAndThen(0.2, "values said again", () => ({ heldShare: 0.01 }));
  return [...drawn, { part: { senses: all }, word: "" }];
}

type Fault = (plan: Plan, random: Random, from_s: number) => Drawn;

const faults: readonly [Fault, ...Fault[]] = [
  sound,
  sound,
  (plan, random, from_s) => {
    const lost = random.between(0.35, 0.6);
    const changes = [{ at_s: from_s, set: { frictionTimes: frictionFor(plan, lost) } }];
    const declared = clearly("discharge-blocked", from_s, days * day_s);
    const allowed: FindingKind[] = ["pump-worn", "undersized", "inflow-exceeds-pump", "high-water"];
    return { part: { changes, declared, allowed }, word: `blocked by ${lost.toFixed(2)}` };
  },
  (plan, random, from_s) => {
    const { pipe, empties_s, area_m2 } = leakIn(plan, random, [60, 180]);
    const valve = { ...plan.condition.valve, leak: { law: "orifice", area_m2 } as const };
    const declared = clearly("check-valve-leak", from_s, days * day_s);
    return {
      part: { pipe, changes: [{ at_s: from_s, set: { valve } }], declared, allowed: ["short-cycling"] },
      word: `valve leaks, empty in ${Math.round(empties_s)} s`,
    };
  },
  (plan, _, from_s) => ({
    part: spell(plan, { float: "stuck-off" }, from_s, from_s + 3 * hour_s),
    word: "float stuck down",
  }),
  (plan, _, from_s) => ({
    part: spell(plan, { float: "stuck-on" }, from_s, from_s + 2 * hour_s),
    word: "float stuck up",
  }),
  (plan, _, from_s) => ({
    part: spell(plan, { float: "chatter" }, from_s, from_s + 2 * hour_s),
    word: "float chatters",
  }),
  (plan, random, from_s) => {
    const to_s = from_s + random.between(0.2, 2) * hour_s;
    const declared = plan.senses.channels.includes("mains") ? clearly("power-lost", from_s, to_s) : [];
    return { part: { ...spell(plan, { power: false }, from_s, to_s), declared }, word: "power cut" };
  },
  ({ senses }, random, from_s) => {
    const to_s = from_s + random.between(1, 3) * hour_s;
    const upsets = [{ from_s, to_s, what: { kind: "frozen" } as const }];
    return {
      part: { senses: { ...senses, upsets }, declared: clearly("sensor-fault", from_s, to_s) },
      word: "level frozen",
    };
  },
  ({ senses }, random, from_s) => {
    const by_m = random.between(-0.03, 0.03);
    const upsets = [{ from_s, to_s: days * day_s, what: { kind: "shifted", by_m } as const }];
    return { part: { senses: { ...senses, upsets }, allowed: ["sensor-fault"] }, word: "zero set anew" };
  },
  ({ weather }, _, from_s) => {
    const buckets = [0, 70, 150].map((after_s) => ({
      from_s: from_s + after_s,
      to_s: from_s + after_s + 5,
      flow_lpm: 120,
    }));
    return { part: { weather: { ...weather, pulses: [...weather.pulses, ...buckets] } }, word: "three buckets" };
  },
];

function sound(): Drawn {
  return { part: {}, word: "sound" };
}

function drawnFault(plan: Plan, random: Random): Drawn[] {
  const from_s = random.between(1, 1.6) * day_s;
  return [random.oneOf(faults)(plan, random, from_s)];
}

function drawnSecond(plan: Plan, random: Random): Drawn[] {
  const stopsEarly = random.oneOf([0, 0.4]);
  const takesTurns = random.chance(0.5);
  const word = `${takesTurns ? "two by turns" : "a standby"}${stopsEarly > 0 ? " that stops early" : ""}`;
  return [{ part: withHelp(plan, random, { takesTurns, stopsEarly }), word }];
}

/** What of two pumps does not start may be told, and that the other cannot hold the water alone. */
function drawnDeadPump(plan: Plan, random: Random): Drawn[] {
  const from_s = random.between(1, 1.6) * day_s;
  const dead = random.oneOf([null, null, 1, 2] as const);
  if (dead === null) return [sound()];
  const lasting = spell(plan, { deadPump: dead }, from_s, from_s + random.between(2, 5) * hour_s);
  return [{ part: { ...lasting, allowed: ["float-stuck-off", "inflow-exceeds-pump"] }, word: `pump ${dead} dead` }];
}
