// The same basins by replay, from the site's pump, pipe and basin on, and in plain steps of a twentieth of a second.

import { describe, expect, it } from "vitest";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { BasinShape, CurvePoint, Site } from "../../../analysis/site.ts";
import { buildInstallation } from "../../../analysis/whatif/build-installation.ts";
import type { ReplayInstallation } from "../../../analysis/whatif/installation.ts";
import { batteryAsUsual } from "../../../analysis/whatif/plan.ts";
import { replayInflow } from "../../../analysis/whatif/replay.ts";
import { smallSite } from "../small-basin.ts";
import { type Trial, type TrialPump, trial } from "./small-step.ts";

const lpm = 1 / 60_000;
const hour_s = 3600;
const litre = 1e-3;

/** 0.45 m across, 36 cm² taken up: the area is 0.15544 m². */
const round: BasinShape = { shape: "round", diameter_m: 0.45, occupiedArea_m2: 0.0036 };
const roundArea_m2 = Math.PI * 0.225 ** 2 - 0.0036;
const pipe = { highPoint_m: 3, bore_m: 0.041, length_m: 7, roughness_m: 1.5e-6, k: 6 };
const pump: TrialPump = { start_m: 0.36, stop_m: 0.15, supply: "mains", shutOff_m: 7, fall_s2m5: 1.1e6 };

/** A storm of some hours: rises over its first part, then dies away; on top of a steady 6 L/min. */
function storm(peak_lpm: number, rise_s = 1800, fade_s = 2700): (time_s: number) => number {
  return (time_s) => {
    const into_s = Math.floor(time_s / 20) * 20 - hour_s / 2; // it changes every 20 s, as an estimate would
    if (into_s < 0) return 6 * lpm;
    const share = into_s < rise_s ? into_s / rise_s : Math.exp(-(into_s - rise_s) / fade_s);
    return (6 + share * peak_lpm) * lpm;
  };
}

const usual: Trial = {
  inflow_m3s: storm(60),
  duration_s: 3 * hour_s,
  vessel: [
    [0, 0],
    [2, 2 * roundArea_m2],
  ],
  rim_m: 0.76,
  high_m: 0.5,
  firstLevel_m: 0.2,
  pumps: [pump],
  pipe,
  cuts: [],
};

const table: Trial["vessel"] = [
  [0, 0],
  [0.15, 14 * litre],
  [0.3, 36 * litre],
  [0.55, 96 * litre],
  [0.8, 130 * litre],
];

interface Case {
  readonly name: string;
  readonly given: Trial;
  readonly change?: (installation: ReplayInstallation) => ReplayInstallation;
}

const cases: readonly Case[] = [
  { name: "a storm of half the pump", given: usual },
  { name: "a storm that the pump barely holds", given: { ...usual, inflow_m3s: storm(114) } },
  { name: "a storm that the pump does not hold", given: { ...usual, inflow_m3s: storm(128), rim_m: 1.6 } },
  { name: "a storm over the rim", given: { ...usual, inflow_m3s: storm(180) } },
  {
    name: "a storm with a power cut of 7 minutes",
    given: { ...usual, rim_m: 1.1, cuts: [[0.9 * hour_s, 0.9 * hour_s + 420]] },
  },
  {
    name: "two cuts in a calm, the second over the rim",
    given: {
      ...usual,
      inflow_m3s: () => 3 * lpm,
      cuts: [
        [4000, 6000],
        [7000, 10_500],
      ],
    },
  },
  { name: "a basin by a table", given: { ...usual, inflow_m3s: storm(116), vessel: table } },
  {
    name: "floats hung higher and closer",
    given: { ...usual, pumps: [{ ...pump, start_m: 0.48, stop_m: 0.4 }], inflow_m3s: storm(111) },
  },
  {
    name: "a smaller pump on a narrower pipe",
    given: { ...usual, pipe: { ...pipe, bore_m: 0.035 }, pumps: [{ ...pump, shutOff_m: 6, fall_s2m5: 1.6e6 }] },
  },
  {
    name: "a standby in the same pipe",
    given: {
      ...usual,
      inflow_m3s: storm(172),
      pumps: [pump, { ...pump, start_m: 0.46, stop_m: 0.25, shutOff_m: 6.5, fall_s2m5: 9e5 }],
    },
  },
  {
    name: "a battery that runs empty in the storm",
    given: {
      ...usual,
      inflow_m3s: storm(30),
      cuts: [[0.7 * hour_s, 1.25 * hour_s]],
      rim_m: 1.5,
      pumps: [{ ...pump, supply: "either" }],
      battery: { runTime_s: 400, regained_ss: 0 },
    },
    change: (installation) => ({
      ...installation,
      battery: { runTime_s: 400, regained_ss: 0, idle_ss: 0, power_w: null },
    }),
  },
  {
    name: "a battery that is charged between two cuts",
    given: {
      ...usual,
      cuts: [
        [0.7 * hour_s, 1.2 * hour_s],
        [1.4 * hour_s, 2.5 * hour_s],
      ],
      pumps: [{ ...pump, supply: "either" }],
      battery: { runTime_s: 700, regained_ss: 0.25 },
    },
    change: (installation) => ({
      ...installation,
      battery: { runTime_s: 700, regained_ss: 0.25, idle_ss: 0, power_w: null },
    }),
  },
  {
    name: "a pump on a battery alone beside one on the mains",
    given: {
      ...usual,
      cuts: [[0.7 * hour_s, 1.1 * hour_s]],
      rim_m: 1.2,
      pumps: [pump, { start_m: 0.44, stop_m: 0.3, supply: "battery", shutOff_m: 5, fall_s2m5: 2.2e6 }],
      battery: { runTime_s: 600, regained_ss: 0.02 },
    },
    change: (installation) => ({
      ...installation,
      battery: { runTime_s: 600, regained_ss: 0.02, idle_ss: 0, power_w: null },
    }),
  },
  {
    name: "water that runs back, and a pump that comes up to speed slowly",
    given: { ...usual, returned: { volume_m3: 1.5 * litre, duration_s: 3 }, dead_s: 0.8, inflow_m3s: storm(90) },
    change: (installation) => ({ ...installation, returned: { volume_m3: 1.5 * litre, duration_s: 3 }, spinUp_s: 0.8 }),
  },
  {
    name: "ground that holds back in a long cut",
    given: {
      ...usual,
      inflow_m3s: (time_s, level_m) => storm(20)(time_s) * Math.max(0, (0.7 - level_m) / (0.7 - 0.25)),
      cuts: [[3000, 10_000]],
    },
    change: (installation) => ({ ...installation, groundHead: { nothing_m: 0.7, recorded_m: 0.25 } }),
  },
];

describe("a replay", () => {
  it.each(cases)("agrees with small steps in $name", ({ given, change = (as) => as }) => {
    const tried = trial(given);
    const played = replayInflow(stretches(given), change(installationOf(given)), {
      powerCuts: given.cuts.map(([from_s, to_s]) => ({ from_s, to_s })),
      firstLevel_m: given.firstLevel_m,
    });
    expect(Math.abs(played.highestLevel_m - tried.highest_m)).toBeLessThan(0.001);
    expect(played.pumps.map(({ starts }) => starts)).toEqual(tried.starts);
    expect(Math.abs(played.overflow_m3 - tried.spilled_m3)).toBeLessThanOrEqual(0.01 * tried.spilled_m3);
    expect(Math.abs((played.aboveHigh_s ?? 0) - tried.aboveHigh_s)).toBeLessThan(2 + 0.01 * tried.aboveHigh_s);
    played.pumps.forEach(({ run_s }, i) => {
      expect(Math.abs(run_s - (tried.run_s[i] ?? 0))).toBeLessThan(2 + 0.003 * run_s);
    });
    if (tried.spilledFrom_s !== null)
      expect(Math.abs((played.overflowFrom_s ?? 0) - tried.spilledFrom_s)).toBeLessThan(5);
    if (given.battery) expect(Math.abs((played.batteryEmpty_s ?? 0) - tried.batteryEmpty_s)).toBeLessThan(5);
  });
});

function stretches({ inflow_m3s, duration_s }: Trial): InflowStretch[] {
  // at the level at which it counts in full, where the ground holds back
  return Array.from({ length: duration_s / 20 }, (_, i) => ({
    from_s: 20 * i,
    to_s: 20 * (i + 1),
    inflow_m3s: inflow_m3s(20 * i, 0.25),
    uInflow_m3s: 0,
  }));
}

function installationOf(given: Trial): ReplayInstallation {
  const [first, second] = given.pumps.map((each) => ({
    curve: curveOf(each),
    maxStartsPerHour: null,
    minRun_s: null,
    startLevel_m: each.start_m,
    stopLevel_m: each.stop_m,
  }));
  if (first === undefined) throw new Error("no pump");
  const site: Site = {
    ...smallSite,
    basin: {
      ...smallSite.basin,
      geometry:
        given.vessel.length > 2
          ? { shape: "table", rows: given.vessel.map(([level_m, volume_m3]) => ({ level_m, volume_m3 })) }
          : round,
      startLevel_m: first.startLevel_m,
      stopLevel_m: first.stopLevel_m,
      highLevel_m: given.high_m,
      overflowLevel_m: given.rim_m,
    },
    pump: first,
    ...(second !== undefined && { pumps: [first, second] as const }),
    discharge: {
      highPoint_m: given.pipe.highPoint_m,
      pipe: {
        material: "pvc-40",
        nominal_m: null,
        insideDiameter_m: given.pipe.bore_m,
        length_m: given.pipe.length_m,
        roughness_m: given.pipe.roughness_m,
      },
      fittings: [{ kind: "other", count: 1, lossCoefficient: given.pipe.k - 1 }], // and the exit, which always counts
    },
    ...(given.battery && { backup: backupOf() }),
  };
  const feeds = given.pumps.findIndex(({ supply }) => supply !== "mains");
  const built = buildInstallation(
    {
      name: "tried",
      site,
      takesTurns: false,
      cuts: [],
      onBattery: { ...batteryAsUsual, pump: feeds === 1 ? 1 : 0, only: given.pumps[feeds]?.supply === "battery" },
      groundHead_m: null,
    },
    null,
  );
  if (!built.ok) throw new Error(built.missing.join("; "));
  return built.installation;
}

/** Any that makes the pump run on one; how long it lasts, each case says. */
function backupOf(): NonNullable<Site["backup"]> {
  return {
    hold_s: null,
    capacity_ah: 100,
    volts: 12,
    ratedHours: 20,
    peukertExponent: 1.2,
    depthOfDischarge: 0.5,
    inverterEfficiency: 0.85,
    inverterIdle_w: null,
    temperature_c: null,
    ageingFactor: 1,
    pumpPower_w: 400,
    pumpFlow_m3s: null,
  };
}

function curveOf({ shutOff_m, fall_s2m5 }: TrialPump): CurvePoint[] {
  const most_m3s = Math.sqrt(shutOff_m / fall_s2m5);
  return Array.from({ length: 25 }, (_, i) => {
    const flow_m3s = (most_m3s * i) / 24;
    return { flow_m3s, head_m: shutOff_m - fall_s2m5 * flow_m3s ** 2 };
  });
}
