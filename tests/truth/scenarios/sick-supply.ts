// The supply fails, a motor trips, a float sticks or chatters.

import { day_s, type Plan } from "../plan.ts";
import type { Random } from "../random.ts";
import type { Scenario } from "../scenario.ts";
import { clearly, type Draw, every, faultFor, filledIn, sick, spell, withChannels } from "./sick-house.ts";

function powerCut(length_s: (random: Random) => number): Draw {
  return (plan, random) => {
    const from_s = random.between(0.5, 1.2) * day_s;
    const to_s = from_s + length_s(random);
    return { ...spell(plan, { power: false }, from_s, to_s), declared: clearly("power-lost", from_s, to_s) };
  };
}

/** Down at the intake a pump draws air and moves little. */
const drawsAir = (): Partial<Plan> => ({ allowed: ["discharge-blocked"] });

export const supplySick: readonly Scenario[] = [
  sick(
    "power cut of minutes",
    ["power-lost"],
    powerCut((random) => random.between(60, 600)),
  ),
  sick("power cut in a wet night", ["power-lost", "high-water"], (plan, random) => ({
    weather: filledIn(plan, 400),
    ...powerCut(() => 5400)(plan, random),
  })),
  sick("power cut seen every 10 s", ["power-lost"], (plan, random) => ({
    ...powerCut((r) => r.between(300, 1800))(plan, random),
    sample_s: 10,
  })),
  sick("float stuck down", ["float-stuck-off", "high-water"], faultFor([1, 3], { float: "stuck-off" })),
  sick("motor tripped", ["float-stuck-off", "high-water"], faultFor([1, 3], { tripped: true })),
  sick(
    "motor tripped, the pump's float in place of a contact, every 5 s",
    ["float-stuck-off", "high-water"],
    faultFor([1, 3], { tripped: true }, (plan, random) => ({
      ...every(5)(plan, random),
      ...withChannels(["level", "floatOn", "mains"])(plan, random),
    })),
  ),
  sick(
    "float stuck down, every 10 s",
    ["float-stuck-off", "high-water"],
    faultFor([1, 3], { float: "stuck-off" }, every(10)),
  ),
  sick(
    "motor tripped, contact and high float alone",
    ["high-water"],
    faultFor([1, 3], { tripped: true }, withChannels(["pumpOn", "highFloat", "mains"])),
    { cycles: false },
  ),
  sick(
    "motor tripped, a standby on a battery holds the water",
    ["float-stuck-off"],
    faultFor([6, 12], { tripped: true }, ({ trips, site }) => ({
      standby: {
        start_m: trips.start_m + 0.5 * ((site.basin.highLevel_m ?? trips.start_m + 0.1) - trips.start_m),
        stop_m: trips.start_m - 0.4 * (trips.start_m - trips.stop_m),
        headShare: 0.8,
      },
    })),
    { cycles: false },
  ),
  sick("float stuck up", ["float-stuck-on"], faultFor([0.5, 2], { float: "stuck-on" }, drawsAir)),
  sick(
    "float stuck up, every 10 s, steps of 2 mm",
    ["float-stuck-on"],
    faultFor([0.5, 2], { float: "stuck-on" }, ({ senses }) => ({
      ...drawsAir(),
      sample_s: 10,
      senses: { ...senses, step_m: 0.002 },
    })),
  ),
  sick(
    "float stuck up, level alone",
    ["float-stuck-on"],
    faultFor([0.5, 2], { float: "stuck-on" }, (plan, random) => ({
      ...drawsAir(),
      ...withChannels(["level"])(plan, random),
    })),
    { cycles: false },
  ),
  sick("float chatters in waves", ["short-cycling"], faultFor([3, 6], { float: "chatter" }), {
    cycles: false,
    causes: { "short-cycling": ["float-chatter"] },
  }),
];
