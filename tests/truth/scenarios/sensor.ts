// Level sensors as they are sold: coarse, noisy, drifting, sticking, dropping out.

import { day_s, drawHouse, hour_s, type Plan } from "../plan.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";
import type { Senses } from "../senses.ts";

function sensor(
  name: string,
  change: (random: Random) => Partial<Senses>,
  rest: (plan: Plan) => Partial<Plan> = () => ({}),
  judge = judgedByAll,
): Scenario {
  return {
    name,
    group: "sensor",
    must: [],
    judge,
    draw(random) {
      const plan = drawHouse(random);
      return { ...plan, ...rest(plan), senses: { ...plan.senses, ...change(random) } };
    },
  };
}

export const sensorScenarios: readonly Scenario[] = [
  sensor("steps of 1 mm", () => ({ step_m: 0.001 })),
  sensor("steps of 2 mm", () => ({ step_m: 0.002 })),
  sensor("steps of 5 mm", () => ({ step_m: 0.005 })),
  sensor("steps of 5 mm, no noise to blur them", () => ({ step_m: 0.005, white_m: 0.0001, ripple_m: 0 })),
  sensor("coloured noise of 1 mm, 20 s", () => ({ coloured_m: 0.001, coloured_s: 20 })),
  sensor("coloured noise of 2 mm, 3 min", () => ({ coloured_m: 0.002, coloured_s: 180 })),
  sensor("ultrasonic: 5 mm over the day, 2 mm over hours", (random) => ({
    white_m: 0.002,
    step_m: 0.001,
    daily_m: random.between(0.003, 0.006),
    drift_m: 0.002,
    drift_s: 3 * hour_s,
  })),
  sensor("ripples of 8 mm after each run", () => ({ ripple_m: 0.008 })),
  sensor("1 % of readings said again", () => ({ heldShare: 0.01 })),
  sensor("1 % of readings missing", () => ({ dropShare: 0.01 })),
  sensor("spikes of 80 to 230 mm, one in 200", () => ({ spikeShare: 0.005, spike_m: 0.15 })),
  sensor("up to three spikes in a row, 1 % of the readings", () => ({ spikeShare: 0.005, spike_m: 0.1, spikeRow: 3 })),
  sensor(
    "noise of 8 mm, every 5 s",
    () => ({ white_m: 0.008, step_m: 0.001 }),
    () => ({ sample_s: 5 }),
  ),
  sensor(
    "zero set anew by 30 mm in mid-week",
    (random) => ({
      upsets: [{ from_s: random.between(0.6, 1.4) * day_s, to_s: 1e9, what: { kind: "shifted", by_m: 0.03 } }],
    }),
    () => ({ allowed: ["sensor-fault"] }),
    { ...judgedByAll, flows: false },
  ),
  sensor(
    "2 % too much, zero 10 mm off, nothing said",
    (random) => ({ span: 1 + 0.02 * (random.chance(0.5) ? 1 : -1), zero_m: random.between(-0.01, 0.01) }),
    () => ({}),
    { ...judgedByAll, flows: false },
  ),
];
