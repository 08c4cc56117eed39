// Recordings whose rows are late, doubled or lost, come one channel at a time or only when something has changed, and whose
// clock steps.

import { day_s, drawHouse, hour_s, type Plan } from "../plan.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";
import { modestStorm } from "./water.ts";

function rows(
  name: string,
  change: (random: Random) => Partial<Plan["rows"]>,
  rest: (plan: Plan, random: Random) => Partial<Plan> = () => ({}),
): Scenario {
  return {
    name,
    group: "rows",
    must: [],
    judge: judgedByAll,
    draw(random) {
      const plan = drawHouse(random);
      return { ...plan, rows: { ...plan.rows, ...change(random) }, ...rest(plan, random) };
    },
  };
}

/** A sensor quiet and coarse enough that its level does not change from reading to reading while the water stands. */
function quietly(plan: Plan, random: Random): Partial<Plan> {
  const step_m = random.oneOf([0.001, 0.002]);
  const sample_s = random.oneOf([1, 2, 5]);
  return { sample_s, senses: { ...plan.senses, step_m, white_m: step_m / 10, ripple_m: 0 } };
}

/** The same through a storm, after which the silences are by far longer than before. */
function quietlyThroughStorm(plan: Plan, random: Random): Partial<Plan> {
  const storm = modestStorm(plan, random, 8 * hour_s);
  return { ...quietly(plan, random), weather: { ...plan.weather, storms: [storm] }, days: 3 };
}

export const rowScenarios: readonly Scenario[] = [
  rows("rows late and doubled", () => ({ through: "recording", lateShare: 0.05, doubledShare: 0.05 })),
  rows("silences of up to an hour, 2 % of rows lost", () => ({
    lostShare: 0.02,
    gapEvery_s: 5 * hour_s,
    gap_s: hour_s,
  })),
  rows("clock set back by minutes", (random) => ({
    through: "recording",
    clock: { at_s: random.between(0.5, 1.5) * day_s, by_s: -Math.round(random.between(300, 3000)) },
  })),
  rows("clock set forward by minutes", (random) => ({
    through: "recording",
    clock: { at_s: random.between(0.5, 1.5) * day_s, by_s: Math.round(random.between(600, 3000)) },
  })),
  rows("written when something changes", () => ({ changesOnly: { heartbeat_s: Number.POSITIVE_INFINITY } }), quietly),
  rows(
    "written when something changes, through a storm",
    () => ({ changesOnly: { heartbeat_s: Number.POSITIVE_INFINITY } }),
    quietlyThroughStorm,
  ),
  rows(
    "written when something changes and each 5 to 15 min, through a storm",
    (random) => ({ changesOnly: { heartbeat_s: random.oneOf([300, 600, 900]) } }),
    quietlyThroughStorm,
  ),
  rows(
    "level and contact in rows of their own, up to a second apart",
    (random) => ({ apart_s: random.between(0.1, 1) }),
    (_, random) => ({ sample_s: random.oneOf([2, 5, 10]) }),
  ),
  rows("local stamps over the end of summer time", () => ({ through: "recording", zone: "America/Toronto" })),
];
