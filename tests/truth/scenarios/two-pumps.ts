// Two pumps on one discharge, the second called halfway to high water: in storms over what one moves, and where one is dead.

import { day_s, drawHouse, hour_s, type Plan, round, typicalRate_m3s } from "../plan.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";
import { lpm } from "../weather.ts";
import { withTwoPumps } from "./channels.ts";
import { filledIn, sick, spell } from "./sick-house.ts";

interface Duplex {
  readonly takesTurns: boolean;
  /** The second stops so far up from the stop of the first, as a share of the way to its start. */
  readonly stopsEarly?: number;
}

/** The site file states where the second is called, as well as a ruler shows it. */
export function withHelp(
  plan: Plan,
  random: Random,
  { takesTurns, stopsEarly = 0 }: Duplex,
): Pick<Plan, "second" | "site"> {
  const { start_m, stop_m } = plan.trips;
  const high_m = plan.site.basin.highLevel_m ?? start_m + 0.1;
  const helps = {
    start_m: start_m + random.between(0.4, 0.7) * (high_m - start_m),
    stop_m: stop_m + stopsEarly * (start_m - stop_m),
  };
  const site = withTwoPumps(plan.site);
  const [first, other] = site.pumps ?? [];
  if (first === undefined || other === undefined) throw new Error("the drawn house has no pump to double");
  const levels = { startLevel_m: round(helps.start_m, 0.005), stopLevel_m: round(helps.stop_m, 0.005) };
  return {
    second: { headShare: random.between(0.85, 1), takesTurns, helps },
    site: { ...site, pumps: [first, { ...other, ...levels }] },
  };
}

function watched({ senses }: Plan): Pick<Plan, "senses"> {
  return { senses: { ...senses, channels: ["level", "pumpOn", "pump2On", "highFloat", "mains"] } };
}

/** A storm that one pump cannot hold, and both can. */
function helped(name: string, duplex: Duplex, change: (plan: Plan) => Partial<Plan> = () => ({})): Scenario {
  return {
    name,
    group: "storm",
    must: ["undersized"],
    judge: { ...judgedByAll, peaks: true },
    draw(random) {
      const house = { ...drawHouse(random), days: 1.5 };
      const storms = [
        {
          from_s: random.between(8, 12) * hour_s,
          peak_lpm: (random.between(1.05, 1.25) * typicalRate_m3s(house)) / lpm,
          rain_s: random.between(1.5, 4) * hour_s,
          store_s: random.between(0.25, 0.7) * hour_s,
          reservoirs: 2,
        },
      ];
      const two = { ...withHelp(house, random, duplex), ...watched(house) };
      const plan = { ...house, ...two, weather: { ...house.weather, storms } };
      return { ...plan, ...change(plan) };
    },
  };
}

function oneDead(name: string, dead: 1 | 2): Scenario {
  return sick(
    name,
    ["float-stuck-off"],
    (plan, random) => {
      const from_s = random.between(0.6, 0.9) * day_s;
      const to_s = from_s + random.between(6, 12) * hour_s;
      // By then it has been its turn, and nothing is told of it for as long as the next after that.
      const surely_s = from_s + 1.5 * hour_s;
      return {
        ...withHelp(plan, random, { takesTurns: true }),
        ...watched(plan),
        weather: filledIn(plan, random.between(600, 1200)),
        ...spell(plan, { deadPump: dead }, from_s, to_s),
        declared: [
          { kind: "float-stuck-off", certainty: "clear", from_s: surely_s, to_s },
          { kind: "float-stuck-off", certainty: "allowed", from_s, to_s: to_s + 2 * hour_s },
        ],
      };
    },
    { cycles: false },
  );
}

export const twoPumpScenarios: readonly Scenario[] = [
  helped("storm over one of two pumps, a standby helps", { takesTurns: false }),
  helped("storm over one of two pumps that take turns", { takesTurns: true }),
  helped(
    "storm over one of two pumps, every 5 s, the second stops early",
    { takesTurns: true, stopsEarly: 0.4 },
    () => ({
      sample_s: 5,
    }),
  ),
  oneDead("one of two pumps that take turns is dead", 2),
];
