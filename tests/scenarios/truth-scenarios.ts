// Basins whose truth is known, each with one thing that makes it easy or hard to measure. Used by the truth tests and by
// the accuracy bench; how an answer is judged stands in truth-score.ts.

import type { FindingKind } from "../../analysis/findings/finding.ts";
import type { Reading } from "../../analysis/readings/reading.ts";
import type { BasinShape, Site } from "../../analysis/site.ts";
import type { BasinModelOptions, Fault } from "../../daemon/sources/simulated/basin-model.ts";
import type { Random } from "../../daemon/sources/simulated/random.ts";
import type { SensorOptions } from "../../daemon/sources/simulated/sensors.ts";

export interface TruthScenario {
  readonly name: string;
  readonly days: number;
  /** Time from reading to reading. */
  readonly sample_s: number;
  readonly site: Site;
  readonly inflow_m3s: BasinModelOptions["inflow_m3s"];
  readonly model: Partial<BasinModelOptions>;
  readonly sensors: SensorOptions;
  /** What becomes of the readings on their way: channels that are missing, rows that are late, doubled or lost. */
  readonly spoil: (readings: Iterable<Reading>, random: Random) => Iterable<Reading>;
  /** Findings that must be made, and findings that may. Every other one is false. */
  readonly must: readonly FindingKind[];
  readonly may: readonly FindingKind[];
}

const hour_s = 3600;
const day_s = 86_400;
export const lpm = 1 / 60_000;
const litre = 1e-3;

const round: BasinShape = { shape: "round", diameter_m: 0.4572, occupiedArea_m2: 0.005 };

function siteWith(geometry: BasinShape, basin: Partial<Site["basin"]> = {}, pump: Partial<Site["pump"]> = {}): Site {
  return {
    name: "Basin with known truth",
    timezone: "UTC",
    displayUnits: "metric",
    basin: {
      geometry,
      depth_m: 0.762,
      startLevel_m: 0.3556,
      stopLevel_m: 0.1524,
      highLevel_m: 0.508,
      overflowLevel_m: 0.762,
      ...basin,
    },
    pump: {
      curve: [
        { flow_m3s: 0, head_m: 7.6 },
        { flow_m3s: 76 * lpm, head_m: 6.1 },
        { flow_m3s: 151 * lpm, head_m: 3.4 },
        { flow_m3s: 197 * lpm, head_m: 0 },
      ],
      maxStartsPerHour: 20,
      minRun_s: 8,
      ...pump,
    },
    discharge: {
      highPoint_m: 3.05,
      pipe: { material: "pvc-40", nominal_m: 0.0381, insideDiameter_m: null, length_m: 6.7 },
      fittings: [{ kind: "elbow-90", count: 3 }],
    },
    design: { inflowFactor: 1.5 },
  };
}

/** The pump of every scenario: about 120 L/min at the start level. A law of its own, not that of the analysis. */
export function pumpFlow_m3s(level_m: number): number {
  return 120 * lpm * Math.sqrt(Math.max(0, 7.6 - 3.05 + level_m) / (7.6 - 3.05 + 0.3556));
}

const asTheyAre = (readings: Iterable<Reading>) => readings;

const healthy: TruthScenario = {
  name: "healthy",
  days: 2,
  sample_s: 1,
  site: siteWith(round),
  inflow_m3s: () => 4 * lpm,
  model: { drainBack_m3: 0.4 * litre, drainBack_s: 1.5, floatRepeatability_m: 0.002 },
  sensors: {},
  spoil: asTheyAre,
  must: [],
  may: [],
};

function scenario(name: string, change: Partial<TruthScenario>): TruthScenario {
  return { ...healthy, ...change, name };
}

function constant(flow_lpm: number): BasinModelOptions["inflow_m3s"] {
  return () => flow_lpm * lpm;
}

/** Rises over two hours to `peak_lpm` at the tenth hour, stays for half an hour, dies away over hours. */
function storm(peak_lpm: number): BasinModelOptions["inflow_m3s"] {
  const rise_s = 2 * hour_s;
  const peakFrom_s = 10 * hour_s;
  const peakTo_s = peakFrom_s + 0.5 * hour_s;
  const shape = (t: number) => {
    if (t < peakFrom_s - rise_s) return 0;
    if (t < peakFrom_s) return (1 - Math.cos((Math.PI * (t - peakFrom_s + rise_s)) / rise_s)) / 2;
    return t < peakTo_s ? 1 : Math.exp(-(t - peakTo_s) / (2.5 * hour_s));
  };
  return (time_s) => (3 + (peak_lpm - 3) * shape(time_s - startTime_s)) * lpm;
}

/** 2026-03-02T00:00:00Z, the first moment of every scenario. */
export const startTime_s = 1_772_409_600;

function between(from_h: number, to_h: number, fault: Fault): (time_s: number) => Fault {
  return (time_s) => (time_s >= startTime_s + from_h * hour_s && time_s < startTime_s + to_h * hour_s ? fault : null);
}

function without(...missing: (keyof Reading)[]): TruthScenario["spoil"] {
  const nothing = Object.fromEntries(missing.map((channel) => [channel, null]));
  return function* (readings) {
    for (const reading of readings) yield { ...reading, ...nothing };
  };
}

function* shuffled(readings: Iterable<Reading>, random: Random): Iterable<Reading> {
  let held: Reading | null = null;
  for (const reading of readings) {
    if (held === null && random.uniform() < 0.05) {
      held = reading;
      continue;
    }
    yield reading;
    if (random.uniform() < 0.05) yield reading;
    if (held !== null) yield held;
    held = null;
  }
}

/** A row is lost now and then, and every seven hours or so the logger is silent for half an hour. */
function* gappy(readings: Iterable<Reading>, random: Random): Iterable<Reading> {
  let silentUntil_s = 0;
  for (const reading of readings) {
    if (random.uniform() < 1 / (7 * hour_s)) silentUntil_s = reading.time_s + 0.5 * hour_s;
    if (reading.time_s >= silentUntil_s && random.uniform() > 0.02) yield reading;
  }
}

const levelOnly = without("pumpOn", "floatOn", "pumpCurrent_a", "pumpPower_w");
const contactOnly = without("level_m", "floatOn", "highFloat");

export const healthyScenarios: readonly TruthScenario[] = [
  ...[1, 2, 4, 8].map((flow) => scenario(`dry ${flow} L/min`, { days: 7, inflow_m3s: constant(flow) })),
  scenario("rising and falling 2-9", {
    inflow_m3s: (t) => (5.5 + 3.5 * Math.sin((2 * Math.PI * (t - startTime_s)) / (6 * hour_s))) * lpm,
  }),
  scenario("fast changes, 20 min", {
    inflow_m3s: (t) => (6 + 3 * Math.sin((2 * Math.PI * (t - startTime_s)) / 1200)) * lpm,
  }),
  scenario("recession 11 to 1", { inflow_m3s: (t) => (1 + 10 * Math.exp(-(t - startTime_s) / (5 * hour_s))) * lpm }),
  scenario("falls as water rises", { inflow_m3s: (_, level_m) => 9 * Math.max(0, 0.9 - level_m) * lpm }),
  scenario("rectangular basin", {
    site: siteWith({ shape: "rectangular", width_m: 0.6, length_m: 0.8, occupiedArea_m2: 0.01 }),
  }),
  scenario("cone-shaped table basin", {
    site: siteWith({
      shape: "table",
      rows: [
        { level_m: 0, volume_m3: 0 },
        { level_m: 0.2, volume_m3: 20 * litre },
        { level_m: 0.4, volume_m3: 60 * litre },
        { level_m: 0.8, volume_m3: 180 * litre },
      ],
    }),
  }),
  scenario("1 mm steps", { sensors: { levelStep_m: 0.001 } }),
  scenario("5 mm steps", { sensors: { levelStep_m: 0.005 } }),
  scenario("5 mm steps, no noise", { sensors: { levelStep_m: 0.005, levelNoise_m: 0 } }),
  scenario("noise 5 mm", { sensors: { levelNoise_m: 0.005 } }),
  scenario("no noise at all", { sensors: { levelNoise_m: 0, levelStep_m: 0, ripple_m: 0 } }),
  scenario("2 % spikes of 50 mm", { sensors: { spikeShare: 0.02 } }),
  scenario("drop-outs, 1 in 2000", { sensors: { dropOutShare: 0.0005 } }),
  scenario("level only", { spoil: levelOnly }),
  scenario("level only, 8 L/min", { spoil: levelOnly, inflow_m3s: constant(8) }),
  scenario("level only, 5 mm steps", { spoil: levelOnly, sensors: { levelStep_m: 0.005 } }),
  scenario("level only, 2 % spikes", { spoil: levelOnly, sensors: { spikeShare: 0.02 } }),
  scenario("level only, every 10 s", { spoil: levelOnly, sample_s: 10 }),
  scenario("level only, every 60 s", { spoil: levelOnly, sample_s: 60 }),
  scenario("no level", { spoil: contactOnly }),
  scenario("no level, every 5 s", { spoil: contactOnly, sample_s: 5 }),
  scenario("every 5 s", { sample_s: 5 }),
  scenario("every 10 s", { sample_s: 10 }),
  scenario("every 60 s", { sample_s: 60 }),
  scenario("ten a second", { sample_s: 0.1, days: 0.5 }),
  scenario("no drain-back", { model: { ...healthy.model, drainBack_m3: 0 } }),
  scenario("drain-back 1 L", { model: { ...healthy.model, drainBack_m3: 1 * litre } }),
  scenario("drain-back 1 L, slow valve", { model: { ...healthy.model, drainBack_m3: 1 * litre, drainBack_s: 5 } }),
  scenario("drain-back 1 L, steady 3 s", {
    model: { ...healthy.model, drainBack_m3: 1 * litre, drainBackCourse: "steady" },
  }),
  scenario("wandering error 1 mm, 30 s", { sensors: { wander_m: 0.001, wander_s: 30 } }),
  scenario("wandering error 2 mm, 3 h", { sensors: { wander_m: 0.002, wander_s: 3 * hour_s } }),
  scenario("late and doubled rows", { spoil: shuffled }),
  scenario("gaps", { spoil: gappy }),
];

export const troubledScenarios: readonly TruthScenario[] = [
  scenario("storm, half of the pump", { days: 1, inflow_m3s: storm(60), must: ["short-cycling"] }),
  scenario("storm barely held", {
    days: 1,
    inflow_m3s: storm(123),
    must: ["high-water", "inflow-exceeds-pump", "undersized", "short-cycling"],
  }),
  scenario("storm over the rim", {
    days: 1,
    inflow_m3s: storm(150),
    must: ["high-water", "inflow-exceeds-pump", "undersized", "short-cycling"],
  }),
  scenario("storm barely held, level only", {
    days: 1,
    inflow_m3s: storm(123),
    spoil: levelOnly,
    must: ["high-water", "inflow-exceeds-pump", "undersized", "short-cycling"],
  }),
  scenario("leaking valve 3 L in 2 min", {
    model: { ...healthy.model, leak_m3: 3 * litre, leak_s: 120 },
    must: ["check-valve-leak"],
  }),
  scenario("leaking valve 10 L in 2 min", {
    model: { ...healthy.model, leak_m3: 10 * litre, leak_s: 120 },
    must: ["check-valve-leak"],
  }),
  scenario("no check valve, 6 L at once", {
    model: { ...healthy.model, drainBack_m3: 6 * litre, drainBack_s: 3 },
    must: ["check-valve-leak"],
  }),
  scenario("power cut 4 min", {
    model: { ...healthy.model, fault: between(20, 20.067, "power-cut") },
    must: ["power-lost"],
  }),
  scenario("power cut 40 min in rain", {
    inflow_m3s: constant(8),
    model: { ...healthy.model, fault: between(20, 20.67, "power-cut") },
    must: ["power-lost", "high-water"],
  }),
  scenario("float stuck off 2 h", {
    model: { ...healthy.model, fault: between(20, 22, "float-stuck-off") },
    must: ["float-stuck-off", "high-water"],
  }),
  scenario("pump tripped 2 h", {
    model: { ...healthy.model, fault: between(20, 22, "pump-tripped") },
    must: ["float-stuck-off", "high-water"],
  }),
  scenario("float stuck on 1 h", {
    model: { ...healthy.model, fault: between(20, 21, "float-stuck-on") },
    must: ["float-stuck-on"],
    may: ["discharge-blocked"],
  }),
  scenario("discharge half blocked", {
    model: {
      ...healthy.model,
      pumpFlow_m3s: (level_m, t) => pumpFlow_m3s(level_m) * (t < startTime_s + day_s ? 1 : 0.4),
    },
    must: ["discharge-blocked"],
    may: ["pump-worn"],
  }),
  scenario("pump wears 20 % in 10 days", {
    days: 10,
    model: {
      ...healthy.model,
      pumpFlow_m3s: (level_m, t) => pumpFlow_m3s(level_m) * (1 - (0.02 * (t - startTime_s)) / day_s),
    },
    must: ["pump-worn"],
  }),
  scenario("floats too close together", {
    site: siteWith(round, { startLevel_m: 0.2 }),
    must: ["short-cycling"],
  }),
  scenario("many starts in high inflow", { inflow_m3s: constant(30), must: ["short-cycling"] }),
  scenario("frozen sensor 3 h", {
    sensors: { frozen: (t) => between(20, 23, "power-cut")(t) !== null },
    must: ["sensor-fault"],
  }),
];
