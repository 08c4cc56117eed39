// Installations that lack a channel or read seldom: no contact, no level, a current in its place, a log of events.

import type { Site } from "../../../analysis/site.ts";
import { drawHouse, type Plan } from "../plan.ts";
import type { Random } from "../random.ts";
import { judgedByAll, type Scenario } from "../scenario.ts";
import type { Senses } from "../senses.ts";

function channels(
  name: string,
  present: Senses["channels"],
  change: (plan: Plan, random: Random) => Partial<Plan> = () => ({}),
  judge = judgedByAll,
): Scenario {
  return {
    name,
    group: "channels",
    must: [],
    judge,
    draw(random) {
      const house = drawHouse(random);
      const plan = { ...house, senses: { ...house.senses, channels: present } };
      return { ...plan, ...change(plan, random) };
    },
  };
}

export function withTwoPumps(site: Site): Site {
  return site.pump === null ? site : { ...site, pumps: [site.pump, site.pump] };
}

/** The site file's float levels, to the nearest 5 mm, make the active volume. */
const byFloats = { ...judgedByAll, constantError: true };
const both = ["level", "pumpOn"] as const;

/** A relay or a switch that is worn or loose: so long after each turn it says either. */
const bounces = ({ senses }: Plan, random: Random) => ({ senses: { ...senses, bounce_s: random.between(0.5, 3) } });

export const channelScenarios: readonly Scenario[] = [
  channels("level alone, every second", ["level"]),
  channels("level alone, every 5 s", ["level"], () => ({ sample_s: 5 })),
  channels("level alone, every 10 s", ["level"], () => ({ sample_s: 10, days: 4 })),
  channels("level alone, every minute", ["level"], () => ({ sample_s: 60, days: 10 })),
  channels("level alone, steps of 5 mm", ["level"], ({ senses }) => ({ senses: { ...senses, step_m: 0.005 } })),
  channels("level alone, 1 % spikes", ["level"], ({ senses }) => ({ senses: { ...senses, spikeShare: 0.01 } })),
  channels("contact alone, every second", ["pumpOn"], () => ({}), byFloats),
  channels("contact alone, a log of its changes", ["pumpOn"], () => ({ events: true, days: 10 }), byFloats),
  channels("current in place of a contact", ["level", "current"]),
  channels("power in place of a contact", ["level", "power"]),
  channels("current alone", ["current"], () => ({}), byFloats),
  channels("the pump's float in place of a contact", ["level", "floatOn"]),
  channels("the pump's float in place of a contact, every 5 s", ["level", "floatOn"], ({ senses }, random) => ({
    sample_s: 5,
    senses: { ...senses, channels: ["level", "floatOn"], white_m: random.between(0.002, 0.004) },
  })),
  channels("the pump's float in place of a contact, every minute", ["level", "floatOn"], () => ({
    sample_s: 60,
    days: 10,
  })),
  channels("every channel there is", [
    "level",
    "pumpOn",
    "floatOn",
    "highFloat",
    "current",
    "power",
    "mains",
    "temperature",
  ]),
  channels("two pumps that take turns", ["level", "pumpOn", "pump2On"], (plan, random) => ({
    second: { headShare: random.between(0.9, 1) },
    site: withTwoPumps(plan.site),
  })),
  channels(
    "two pumps that take turns, the second unwatched",
    both,
    (plan, random) => ({
      second: { headShare: random.between(0.8, 1) },
      senses: { ...plan.senses, channels: both, secondUnseen: true },
    }),
    { ...judgedByAll, cycles: false, flows: false },
  ),
  channels("contact that bounces for 2 s, five a second", both, ({ senses }) => ({
    sample_s: 0.2,
    days: 1,
    senses: { ...senses, bounce_s: 2 },
  })),
  channels("contact that bounces for up to 3 s, every second", both, bounces),
  channels("contact that bounces for up to 3 s, every 2 s", both, (plan, random) => ({
    ...bounces(plan, random),
    sample_s: 2,
  })),
  channels("contact that bounces for up to 3 s, every 5 s", both, (plan, random) => ({
    ...bounces(plan, random),
    sample_s: 5,
    days: 4,
  })),
  channels("every 5 s", both, () => ({ sample_s: 5, days: 4 })),
  channels("every 10 s", both, () => ({ sample_s: 10, days: 4 })),
  channels("every half minute", both, () => ({ sample_s: 30, days: 10 })),
  channels("every minute", both, () => ({ sample_s: 60, days: 10 })),
  channels("every 2 s, late by up to as much", both, () => ({ sample_s: 2, jitter: 0.9 })),
];
