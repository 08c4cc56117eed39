// Recordings whose rows are late, doubled or lost, and whose clock steps.

import { day_s, drawHouse, hour_s, type Plan } from "../plan.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";

function rows(name: string, change: (random: Random) => Partial<Plan["rows"]>): Scenario {
  return {
    name,
    group: "rows",
    must: [],
    judge: judgedByAll,
    draw(random) {
      const plan = drawHouse(random);
      return { ...plan, rows: { ...plan.rows, ...change(random) } };
    },
  };
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
  rows("local stamps over the end of summer time", () => ({ through: "recording", zone: "America/Toronto" })),
];
