// Storms: from one that halves the pump's time of rest to one that it cannot hold.

import { drawHouse, hour_s, type Plan, typicalRate_m3s } from "../plan.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";
import { lpm } from "../weather.ts";

const overcome = ["high-water", "inflow-exceeds-pump", "undersized", "short-cycling"] as const;

/** @param share the storm's highest flow against what the pump moves */
function storm(
  name: string,
  share: (random: Random) => number,
  must: Scenario["must"],
  change: (plan: Plan) => Partial<Plan> = () => ({}),
): Scenario {
  return {
    name,
    group: "storm",
    must,
    causes: { "short-cycling": ["high-inflow"] },
    // what runs over the rim no level shows
    judge: { ...judgedByAll, peaks: must !== overcome },
    draw(random) {
      const house = drawHouse(random);
      const plan = { ...house, days: 1.5 };
      const peak_lpm = (share(random) * typicalRate_m3s(plan)) / lpm - house.weather.dry_lpm;
      const storms = [
        {
          from_s: random.between(8, 12) * hour_s,
          peak_lpm,
          rain_s: random.between(1.5, 5) * hour_s,
          store_s: random.between(0.25, 0.7) * hour_s,
          reservoirs: random.oneOf([2, 3]),
        },
      ];
      return { ...plan, weather: { ...plan.weather, storms }, ...change(plan) };
    },
  };
}

const levelOnly = ({ senses }: Plan): Partial<Plan> => ({ senses: { ...senses, channels: ["level"] } });

/** Readings so far apart that whole runs fall between them: what came in is to be known, not each run. */
function seldom(name: string, sample_s: number): Scenario {
  const half = storm(
    name,
    (random) => random.between(0.4, 0.6),
    ["short-cycling"],
    () => ({ sample_s }),
  );
  return { ...half, judge: { ...half.judge, cycles: false, flows: false } };
}

export const stormScenarios: readonly Scenario[] = [
  storm("storm of half the pump", (random) => random.between(0.4, 0.6), ["short-cycling"]),
  storm("storm of nine tenths of the pump", (random) => random.between(0.85, 0.93), ["undersized", "short-cycling"]),
  storm("storm that the pump barely holds", (random) => random.between(0.97, 1.02), ["undersized", "short-cycling"]),
  storm("storm over the rim", (random) => random.between(1.3, 1.7), overcome),
  storm(
    "storm of half the pump, every 5 s",
    (random) => random.between(0.4, 0.6),
    ["short-cycling"],
    () => ({
      sample_s: 5,
    }),
  ),
  seldom("storm of half the pump, every 15 s", 15),
  seldom("storm of half the pump, every half minute", 30),
  seldom("storm of half the pump, every minute", 60),
  storm("storm of half the pump, level alone", (random) => random.between(0.4, 0.6), ["short-cycling"], levelOnly),
  storm("storm over the rim, level alone", (random) => random.between(1.3, 1.7), overcome, levelOnly),
  storm(
    "storm over the rim, noise of 4 mm every 2 s",
    (random) => random.between(1.3, 1.7),
    overcome,
    ({ senses }) => ({
      sample_s: 2,
      senses: { ...senses, white_m: 0.004 },
    }),
  ),
];
