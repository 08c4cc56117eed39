// Basins as clean as can be: what the data can give at best.

import { drawHouse, type Plan, steadyWeather, swing_m3 } from "../plan.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";
import { lpm } from "../weather.ts";

/** A valve that lets nothing back, no ripples, one steady inflow with a start every six to twenty minutes. */
function cleanHouse(random: Random): Plan {
  const house = drawHouse(random);
  const dry_lpm = swing_m3(house) / random.evenlyOverLog(360, 1200) / lpm;
  return {
    ...house,
    days: 3,
    weather: steadyWeather(dry_lpm),
    condition: { ...house.condition, valve: { ...house.condition.valve, closing_m3: 0 } },
    senses: { ...house.senses, ripple_m: 0 },
  };
}

function limit(
  name: string,
  bound: Scenario["judge"]["bound"],
  change: (plan: Plan, random: Random) => Plan,
  constantError = false,
): Scenario {
  return {
    name,
    group: "limit",
    must: [],
    judge: { ...judgedByAll, bound, constantError },
    draw: (random) => change(cleanHouse(random), random),
  };
}

export const limitScenarios: readonly Scenario[] = [
  limit("white noise, every second", "clean", (plan) => plan),
  limit("white noise, five a second", "clean", (plan) => ({ ...plan, days: 1, sample_s: 0.2 })),
  limit("white noise, every 5 s", "clean", (plan) => ({ ...plan, days: 4, sample_s: 5 })),
  limit("white noise of 5 mm", "clean", (plan) => ({ ...plan, senses: { ...plan.senses, white_m: 0.005 } })),
  limit("white noise and 2 % spikes of 25 to 75 mm", "spikes", (plan) => ({
    ...plan,
    senses: { ...plan.senses, spikeShare: 0.02, spike_m: 0.05 },
  })),
  limit("no noise at all", null, (plan) => ({ ...plan, senses: { ...plan.senses, white_m: 0, step_m: 0 } }), true),
];
