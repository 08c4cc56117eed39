// What can happen at the simulated house: the week's showers, and what breaks. All of it of our own invention.

import type { Fault } from "./basin-model.ts";
import type { Shower } from "./weather.ts";

export interface HouseScenario {
  /** For the reference table. */
  readonly summary: string;
  readonly showers: readonly Shower[];
  /** The heaviest shower is made as strong as the pump can only just bear. */
  readonly uncomfortable: boolean;
  /** What is broken, by the time in the week and since the house began. */
  readonly fault: (week_h: number, since_h: number) => Fault;
  /** Share of its flow that the pump still moves. */
  readonly pumpShare: (since_h: number) => number;
  /** Seeps back through the check valve in each rest, as a share of the active volume. */
  readonly leakShare: number;
}

const drizzle: Shower = { at_h: -2, length_h: 24, depth_mm: 7, peakAt: 0.6 };
const nightRain: Shower = { at_h: 29, length_h: 6, depth_mm: 3, peakAt: 0.5 };
const storm: Shower = { at_h: 42, length_h: 4.5, depth_mm: 48, peakAt: 0.4 };
const afterRain: Shower = { at_h: 51, length_h: 2, depth_mm: 3, peakAt: 0.3 };
const secondShower: Shower = { at_h: 110, length_h: 1.5, depth_mm: 9, peakAt: 0.3 };
const lateDrizzle: Shower = { at_h: 134, length_h: 8, depth_mm: 4, peakAt: 0.5 };

const quiet: HouseScenario = {
  summary: "no rain, nothing breaks",
  showers: [],
  uncomfortable: false,
  fault: () => null,
  pumpShare: () => 1,
  leakShare: 0,
};

/** Every day from the second hour after the beginning on. */
function daily(fault: Fault, length_h: number): HouseScenario["fault"] {
  return (_, since_h) => (since_h % 24 >= 2 && since_h % 24 < 2 + length_h ? fault : null);
}

const supplyDip = { at_h: 47.5, length_h: 40 / 3600 };

export const scenarios = {
  "wet-week": {
    ...quiet,
    summary: "drizzle, a storm on the second evening that the pump barely holds, a shower three days later",
    showers: [drizzle, nightRain, storm, afterRain, secondShower, lateDrizzle],
    uncomfortable: true,
    fault: (week_h) => (week_h >= supplyDip.at_h && week_h < supplyDip.at_h + supplyDip.length_h ? "power-cut" : null),
  },
  "dry-week": quiet,
  "power-cut": {
    ...quiet,
    summary: "drizzle, and the supply fails for twelve minutes every day",
    showers: [drizzle, lateDrizzle],
    fault: daily("power-cut", 0.2),
  },
  "stuck-float": {
    ...quiet,
    summary: "the float hangs for twelve minutes every day, and the pump does not start",
    fault: daily("float-stuck-off", 0.2),
  },
  "worn-pump": {
    ...quiet,
    summary: "the pump loses 4 % of its flow a day",
    showers: [drizzle, secondShower],
    pumpShare: (since_h) => Math.max(0.5, 1 - (0.04 * since_h) / 24),
  },
  "leaking-valve": {
    ...quiet,
    summary: "the check valve does not close tight and a third of the water comes back",
    leakShare: 0.33,
  },
} as const satisfies Readonly<Record<string, HouseScenario>>;

export type ScenarioName = keyof typeof scenarios;

export const scenarioNames = Object.keys(scenarios) as ScenarioName[];
