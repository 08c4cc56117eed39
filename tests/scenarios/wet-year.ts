// A wet year of a healthy house, drawn for a seed: storms every few days, wet spells whose ground water runs off for
// weeks, a pump that is up to all of it, a rain gauge. Of our own invention; whoever is called in it is called in vain.

import { day_s, drawHouse, hour_s, type Plan, round } from "../truth/plan.ts";
import { type Random, randomOf } from "../truth/random.ts";
import { modestStorm } from "../truth/scenarios/water.ts";
import { appliances, type Storm } from "../truth/weather.ts";

export interface WetYear {
  readonly plan: Plan;
  /** Rain that falls in a time, in seconds from the beginning. */
  rain_m(from_s: number, to_s: number): number;
}

const rain_ms = 0.003 / hour_s;

export function wetYear(seed: number, days = 365): WetYear {
  const random = randomOf("a wet year", seed);
  const house = drawHouse(random);
  const sample_s = random.oneOf([30, 60]);
  const storms = [...showers(house, random, days), ...wetSpells(house, random, days)];
  return {
    plan: {
      ...house,
      days,
      sample_s,
      weather: {
        ...house.weather,
        dry_lpm: house.weather.dry_lpm * 0.6,
        diurnal: random.between(0, 0.15),
        walk: random.between(0, 0.2),
        walk_s: random.between(2, 10) * day_s,
        storms,
        pulses: random.chance(0.33) ? appliances(days * day_s, 4, random) : [],
      },
      senses: {
        ...house.senses,
        white_m: random.between(0.0005, 0.002),
        step_m: random.oneOf([0, 0.001]),
        spikeShare: random.oneOf([0, 0.001]),
        channels: random.oneOf<Plan["senses"]["channels"]>([
          ["level", "pumpOn", "highFloat", "mains"],
          ["level", "pumpOn"],
          ["level", "current", "highFloat"],
          ["level", "mains"],
        ]),
      },
      rows: { ...house.rows, lostShare: random.oneOf([0, 0.01]) },
    },
    rain_m: (from_s, to_s) =>
      rain_ms *
      storms.reduce(
        (sum, { from_s: begins_s, rain_s }) =>
          sum + Math.max(0, Math.min(to_s, begins_s + rain_s) - Math.max(from_s, begins_s)),
        0,
      ),
  };
}

/** One every third day, and never two in one day. */
function showers(house: Plan, random: Random, days: number): Storm[] {
  const storms: Storm[] = [];
  for (let t = random.exponential(2 * day_s); t < days * day_s; t += day_s + random.exponential(2 * day_s))
    storms.push(modestStorm(house, random, t));
  return storms;
}

/** Once a month it rains for a day or two; the ground gives that water back over days. */
function wetSpells(house: Plan, random: Random, days: number): Storm[] {
  const spells: Storm[] = [];
  for (let t = random.exponential(20 * day_s); t < days * day_s; t += 10 * day_s + random.exponential(20 * day_s)) {
    spells.push({
      from_s: t,
      peak_lpm: round(house.weather.dry_lpm * random.between(1, 2.5), 0.01),
      rain_s: random.between(12, 48) * hour_s,
      store_s: random.between(2, 5) * day_s,
      reservoirs: 1,
    });
  }
  return spells;
}
