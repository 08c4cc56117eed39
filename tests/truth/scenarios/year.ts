// Long healthy recordings of basins as unlike each other as can be: whoever finds something here cries wolf.

import { day_s, drawHouse, hour_s, type Plan } from "../plan.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";
import type { Senses } from "../senses.ts";
import { appliances, type Weather } from "../weather.ts";
import { modestStorm } from "./water.ts";

function year(
  name: string,
  days: number,
  sample_s: readonly [number, ...number[]],
  change: (plan: Plan, random: Random) => Partial<Plan> = () => ({}),
): Scenario {
  return {
    name,
    group: "year",
    must: [],
    judge: { ...judgedByAll, flows: false },
    draw(random) {
      const house = { ...drawHouse(random), days, sample_s: random.oneOf(sample_s) };
      const plan: Plan = {
        ...house,
        weather: variedWeather(house, random),
        senses: variedSenses(house, random),
        rows: variedRows(house, random),
      };
      return { ...plan, ...change(plan, random) };
    },
  };
}

/** A storm a week or so, seasons by the walk, a machine that drains into the sump in every third house. */
function variedWeather(plan: Plan, random: Random): Weather {
  const duration_s = plan.days * day_s;
  const storms = [];
  for (let t = random.exponential(6 * day_s); t < duration_s; t += day_s + random.exponential(6 * day_s)) {
    storms.push(modestStorm(plan, random, t));
  }
  return {
    ...plan.weather,
    dry_lpm: plan.weather.dry_lpm * 0.6,
    diurnal: random.between(0, 0.2),
    walk: random.between(0, 0.25),
    walk_s: random.between(1, 10) * day_s,
    groundHead_m: random.chance(0.5) ? plan.trips.start_m + random.between(0.2, 1) : Number.POSITIVE_INFINITY,
    refLevel_m: plan.trips.stop_m,
    storms,
    pulses: random.chance(0.33) ? appliances(duration_s, 4, random) : [],
  };
}

function variedSenses(plan: Plan, random: Random): Senses {
  return {
    ...plan.senses,
    white_m: random.evenlyOverLog(0.0005, 0.004),
    step_m: random.oneOf([0, 0.0001, 0.001, 0.002, 0.005]),
    coloured_m: random.oneOf([0, 0, 0.001, 0.002]),
    coloured_s: random.between(20, 200),
    daily_m: random.oneOf([0, 0, 0.004]),
    drift_m: random.oneOf([0, 0, 0.002]),
    spikeShare: random.oneOf([0, 0, 0.001, 0.005]),
    spike_m: random.between(0.03, 0.2),
    heldShare: random.oneOf([0, 0, 0.003]),
    dropShare: random.oneOf([0, 0, 0.002]),
    channels: random.oneOf<Senses["channels"]>([
      ["level", "pumpOn"],
      ["level", "pumpOn", "highFloat", "mains"],
      ["level", "current", "highFloat"],
      ["level", "floatOn", "mains"],
    ]),
  };
}

function variedRows({ rows }: Plan, random: Random): Plan["rows"] {
  return {
    ...rows,
    lostShare: random.oneOf([0, 0, 0.01]),
    gapEvery_s: random.oneOf([Number.POSITIVE_INFINITY, 5 * day_s, 20 * day_s]),
    gap_s: random.oneOf([hour_s, 12 * hour_s]),
  };
}

export const yearScenarios: readonly Scenario[] = [
  year("a year, every 10 s", 365, [10]),
  year("a year, every 5 s", 365, [5]),
  year("six weeks, every second", 42, [1]),
  year("a year, level alone, every 10 s", 365, [10], ({ senses }) => ({ senses: { ...senses, channels: ["level"] } })),
  year("a year of events", 365, [1], ({ senses, rows }) => ({
    events: true,
    senses: { ...senses, channels: ["pumpOn"] },
    // an edge that is lost is a run that nobody can know of
    rows: { ...rows, lostShare: 0, gapEvery_s: Number.POSITIVE_INFINITY },
  })),
  year("a year, every half minute or minute", 365, [30, 60]),
];
