// A basin as it is drawn for one seed: the site as a person would describe it, the plant as it really is, the weather, the
// sensors and what becomes of the rows. Scenarios change single parts of it.

import type { FindingKind } from "../../analysis/findings/finding.ts";
import type { Site } from "../../analysis/site.ts";
import type { Change, Condition, PlantOptions } from "./plant.ts";
import type { PipeLaw, PumpLaw } from "./pump-law.ts";
import { pumpFlow_m3s } from "./pump-law.ts";
import type { Random } from "./random.ts";
import type { Senses } from "./senses.ts";
import { vesselOf } from "./vessel.ts";
import { lpm, type Weather } from "./weather.ts";
import type { TrueState } from "./witness.ts";

export interface Plan {
  readonly site: Site;
  readonly days: number;
  /** Time from reading to reading; `jitter` is the share of it by which a reading may come late. */
  readonly sample_s: number;
  readonly jitter: number;
  /** Rows come only when a contact changes. */
  readonly events: boolean;
  readonly weather: Weather;
  readonly pump: PumpLaw;
  readonly pipe: PipeLaw;
  readonly trips: { readonly start_m: number; readonly stop_m: number; readonly scatter_m: number };
  readonly spinUp_s: number;
  readonly condition: Condition;
  readonly changes: readonly Change[];
  readonly wear: PlantOptions["wear"];
  readonly second: PlantOptions["second"];
  readonly standby?: PlantOptions["standby"];
  readonly senses: Senses;
  readonly rows: {
    readonly lostShare: number;
    /** Mean time between silences, and how long they last at most. */
    readonly gapEvery_s: number;
    readonly gap_s: number;
    /** `recording`: written as a file, late and doubled rows included, and read back by the project's own reader. */
    readonly through: "memory" | "recording";
    readonly lateShare: number;
    readonly doubledShare: number;
    /** The wall clock that writes the file is set forward or back. */
    readonly clock: { readonly at_s: number; readonly by_s: number } | null;
    /** Stamps without an offset, in this zone. */
    readonly zone: string | null;
    /** Where only what has changed is written: a row of everything comes as often as this, or never. */
    readonly changesOnly?: { readonly heartbeat_s: number };
    /** The contacts are read so long after the level, and have rows of their own. */
    readonly apart_s?: number;
  };
  /** What the levels and runs do not show by themselves. */
  readonly declared: readonly TrueState[];
  /** May be found at any time. */
  readonly allowed: readonly FindingKind[];
}

const litre = 1e-3;
export const hour_s = 3600;
export const day_s = 86_400;

/** A healthy house: every size drawn anew, within what basements have. */
export function drawHouse(random: Random): Plan {
  const diameter_m = round(random.between(0.4, 0.61), 0.005);
  const occupiedArea_m2 = round(random.between(0.002, 0.008), 0.001);
  const geometry = { shape: "round", diameter_m, occupiedArea_m2 } as const;
  const area_m2 = vesselOf(geometry).area_m2(0);
  const stop_m = random.between(0.12, 0.2);
  const start_m = stop_m + Math.min(0.3, Math.max(0.12, (random.between(20, 45) * litre) / area_m2));
  const high_m = round(start_m + random.between(0.1, 0.18), 0.005);
  const rim_m = round(high_m + random.between(0.12, 0.25), 0.01);
  const highPoint_m = round(random.between(2.4, 3.8), 0.05);
  const { pump, pipe } = drawPump(random, highPoint_m, random.between(75, 170));
  const swing_l = ((start_m - stop_m) * area_m2) / litre;
  return {
    site: {
      name: "Drawn basin",
      timezone: "UTC",
      displayUnits: "metric",
      basin: {
        geometry,
        depth_m: rim_m,
        startLevel_m: round(start_m, 0.005),
        stopLevel_m: round(stop_m, 0.005),
        highLevel_m: high_m,
        overflowLevel_m: rim_m,
      },
      pump: { curve: publishedCurve(pump, random.between(0.98, 1.05)), maxStartsPerHour: 20, minRun_s: 5 },
      discharge: {
        highPoint_m,
        pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: round(highPoint_m + 4, 0.1) },
        fittings: [
          { kind: "elbow-90", count: 3 },
          { kind: "check-valve-swing", count: 1 },
        ],
      },
      design: { inflowFactor: 1.5 },
    },
    days: 2,
    sample_s: 1,
    jitter: 0,
    events: false,
    // from a start every quarter of an hour to one every two hours
    weather: steadyWeather(random.evenlyOverLog(swing_l / 100, swing_l / 12)),
    pump,
    pipe,
    trips: { start_m, stop_m, scatter_m: random.between(0.0005, 0.002) },
    spinUp_s: random.between(0.5, 1.5),
    condition: {
      power: true,
      tripped: false,
      deadPump: null,
      float: "free",
      headShare: 1,
      frictionTimes: 1,
      airFor_s: 0,
      valve: {
        closing_m3: random.between(0.1, 0.5) * litre,
        closing_s: random.between(0.3, 1.5),
        leak: { law: "tight" },
      },
    },
    changes: [],
    wear: null,
    second: null,
    senses: {
      ...perfectSenses,
      white_m: random.evenlyOverLog(0.0005, 0.002),
      step_m: 0.0001,
      ripple_m: random.between(0, 0.003),
      running_a: random.between(3, 9),
    },
    rows: {
      lostShare: 0,
      gapEvery_s: Number.POSITIVE_INFINITY,
      gap_s: 0,
      through: "memory",
      lateShare: 0,
      doubledShare: 0,
      clock: null,
      zone: null,
    },
    declared: [],
    allowed: [],
  };
}

export const perfectSenses: Senses = {
  white_m: 0,
  coloured_m: 0,
  coloured_s: 30,
  drift_m: 0,
  drift_s: 3 * hour_s,
  daily_m: 0,
  step_m: 0,
  ripple_m: 0,
  spikeShare: 0,
  spike_m: 0.05,
  spikeRow: 1,
  heldShare: 0,
  dropShare: 0,
  span: 1,
  zero_m: 0,
  bounce_s: 0,
  running_a: 5,
  idle_a: 0.05,
  mean_c: 12,
  channels: ["level", "pumpOn"],
  upsets: [],
};

export function steadyWeather(dry_lpm: number): Weather {
  return {
    dry_lpm,
    recession_s: Number.POSITIVE_INFINITY,
    groundHead_m: Number.POSITIVE_INFINITY,
    refLevel_m: 0.2,
    diurnal: 0,
    walk: 0,
    walk_s: hour_s,
    storms: [],
    pulses: [],
    wave: 0,
    wave_s: hour_s,
  };
}

/** A pump and a discharge that meet at `flow_lpm` when the water stands 0.25 m deep. */
function drawPump(random: Random, highPoint_m: number, flow_lpm: number): { pump: PumpLaw; pipe: PipeLaw } {
  const lift_m = highPoint_m - 0.25;
  const shutOff_m = highPoint_m * random.between(1.7, 2.6);
  const left_m = shutOff_m - lift_m;
  const flow_m3s = flow_lpm * lpm;
  const bore_m = random.oneOf([0.0351, 0.0409, 0.0525]);
  return {
    pump: {
      shutOff_m,
      linear_sm2: (0.25 * left_m) / flow_m3s,
      quadratic_s2m5: (0.35 * left_m) / flow_m3s ** 2,
    },
    pipe: { highPoint_m, friction_s2m5: (0.4 * left_m) / flow_m3s ** 2, bore_m2: (Math.PI / 4) * bore_m ** 2 },
  };
}

/** As a maker would print it: four points, a little off this very pump. */
function publishedCurve(pump: PumpLaw, scale: number) {
  const bare: PipeLaw = { highPoint_m: 0, friction_s2m5: 0, bore_m2: 1 };
  const open_m3s = pumpFlow_m3s(pump, bare, 0);
  return [0, 1 / 3, 2 / 3, 1].map((part) => {
    const q = part * open_m3s;
    const head_m = pump.shutOff_m - pump.linear_sm2 * q - pump.quadratic_s2m5 * q * q;
    return { flow_m3s: q * scale, head_m: part === 1 ? 0 : Math.max(0, head_m) };
  });
}

/** What this plan's pump moves at the middle of its run. */
export function typicalRate_m3s({ pump, pipe, trips }: Plan): number {
  return pumpFlow_m3s(pump, pipe, pipe.highPoint_m - (trips.start_m + trips.stop_m) / 2);
}

export function swing_m3({ site, trips }: Plan): number {
  const vessel = vesselOf(site.basin.geometry);
  return vessel.volume_m3(trips.start_m) - vessel.volume_m3(trips.stop_m);
}

export function round(value: number, step: number): number {
  return Number((Math.round(value / step) * step).toFixed(6));
}
