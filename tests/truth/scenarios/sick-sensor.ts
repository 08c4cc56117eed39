// A level sensor that freezes, falls silent, foams or drifts, and a contact that is dead.

import type { FindingKind } from "../../../analysis/findings/finding.ts";
import { day_s, hour_s } from "../plan.ts";
import type { Random } from "../random.ts";
import type { Scenario } from "../scenario.ts";
import type { Upset } from "../senses.ts";
import { clearly, type Draw, sick, withChannels } from "./sick-house.ts";

const fault: readonly FindingKind[] = ["sensor-fault"];
const cyclesUnsure = { cycles: false };

function upset(hours: readonly [number, number], what: (random: Random) => Upset["what"]): Draw {
  return (plan, random) => {
    const from_s = random.between(0.6, 1.2) * day_s;
    const to_s = from_s + random.between(...hours) * hour_s;
    return {
      senses: { ...plan.senses, upsets: [{ from_s, to_s, what: what(random) }] },
      declared: clearly("sensor-fault", from_s, to_s),
    };
  };
}

/** Off by so much at the end of six days; it counts from the half of it on. */
function drifting(by_m: number, share: number): Draw {
  return (plan, random) => {
    const from_s = random.between(1.5, 2.5) * day_s;
    const to_s = from_s + 6 * day_s;
    const sign = random.chance(0.5) ? 1 : -1;
    return {
      days: 10,
      sample_s: 5,
      senses: {
        ...plan.senses,
        upsets: [{ from_s, to_s, what: { kind: "drifting", by_m: sign * by_m, share: sign * share } }],
      },
      declared: [
        { kind: "sensor-fault", certainty: "clear", from_s: (from_s + to_s) / 2, to_s: 10 * day_s },
        { kind: "sensor-fault", certainty: "allowed", from_s, to_s: 10 * day_s },
      ],
    };
  };
}

const deadInRun: Draw = (plan, random) => ({
  ...upset([5, 9], () => ({ kind: "contact-dead", says: true }))(plan, random),
  // a pump that is said to run while the water rises
  allowed: ["discharge-blocked", "inflow-exceeds-pump"],
});

export const sensorSick: readonly Scenario[] = [
  sick(
    "level frozen for hours",
    fault,
    upset([2, 5], () => ({ kind: "frozen" })),
    cyclesUnsure,
  ),
  sick(
    "level says a code that is no level",
    fault,
    upset([0.5, 3], (random) => ({ kind: "code", level_m: random.oneOf([9.999, -1, 6.5535]) })),
    cyclesUnsure,
  ),
  sick(
    "level reads nothing, level alone",
    fault,
    (plan, random) => {
      const alone = { ...plan, ...withChannels(["level"])(plan, random) };
      return upset([2, 5], () => ({ kind: "code", level_m: 0 }))(alone, random);
    },
    cyclesUnsure,
  ),
  sick(
    "level drops out for most of an hour",
    fault,
    upset([0.7, 2], (random) => ({ kind: "dropping", share: random.between(0.6, 0.95) })),
    cyclesUnsure,
  ),
  sick(
    "foam on the water",
    fault,
    upset([0.7, 2], (random) => ({ kind: "foam", noise_m: random.between(0.06, 0.12) })),
    cyclesUnsure,
  ),
  sick("the level's zero drifts by 40 mm in days", fault, drifting(0.04, 0), cyclesUnsure),
  sick("the level's span goes off by a seventh in days", fault, drifting(0, 0.14), cyclesUnsure),
  sick(
    "contact dead, says rest",
    fault,
    upset([5, 9], () => ({ kind: "contact-dead", says: false })),
    cyclesUnsure,
  ),
  sick("contact dead, says run", fault, deadInRun, cyclesUnsure),
];
