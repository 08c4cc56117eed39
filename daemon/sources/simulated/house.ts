// The simulated house: the site's own basin, pump and discharge under invented weather. Gives one reading after another;
// when they are due is the source's business.

import { basinGeometry } from "../../../analysis/geometry/basin.ts";
import { meetDischarge } from "../../../analysis/hydraulics/duty-point.ts";
import { pumpCurve } from "../../../analysis/hydraulics/pump-curve.ts";
import { whyNoDutyPoint } from "../../../analysis/hydraulics/why-no-duty-point.ts";
import type { Site } from "../../../analysis/site.ts";
import type { SourceReading } from "../source.ts";
import type { BasinState, TrueCycle } from "./basin-model.ts";
import { basinModel } from "./basin-model.ts";
import { endlessWeather } from "./endless-weather.ts";
import type { Bearing } from "./inflow-of-week.ts";
import { neededOf } from "./needed-of-site.ts";
import { pumpFlowTable } from "./pump-flow-table.ts";
import { seededRandom } from "./random.ts";
import type { HouseScenario, ScenarioName } from "./scenarios.ts";
import { scenarios } from "./scenarios.ts";
import type { SensorOptions } from "./sensors.ts";
import { sensors } from "./sensors.ts";
import { localMidnight_s, week_s } from "./weather.ts";

export interface HouseOptions {
  readonly site: Site;
  readonly scenario: ScenarioName;
  readonly seed: number;
  readonly startTime_s: number;
  readonly samplePeriod_s: number;
  readonly onCycle?: (cycle: TrueCycle) => void;
}

export interface House {
  /** What really is, at the time of the last reading. */
  readonly state: Readonly<BasinState>;
  /** When the next reading is taken. */
  nextTime_s(): number;
  next(): SourceReading;
}

/** Depth of one tip of the rain gauge. */
const tip_mm = 0.2;
/** A closing check valve lets so much through, but never more than a small share of a small basin. */
const drainBack_m3 = 0.0004;

/** A sound sensor all the same: some twenty spikes a week, and six times a few seconds of silence. */
const sensorFaults: SensorOptions = { spikeShare: 3e-5, spike_m: 0.04, dropOutShare: 1e-5, dropOut_s: 3 };

/**
 * @throws {Error} naming every key of the site file that the simulation needs and does not find
 */
export function simulatedHouse(options: HouseOptions): House {
  const { site, seed, startTime_s, samplePeriod_s } = options;
  const scenario: HouseScenario = scenarios[options.scenario];
  const { basin, curve, discharge } = neededOf(site);
  const geometry = basinGeometry(basin.geometry);
  const top_m = basin.overflowLevel_m ?? basin.depth_m ?? basin.startLevel_m + 0.3;
  const flow_m3s = pumpFlowTable(curve, discharge, top_m);
  const volume_m3 = (low_m: number, high_m: number) => geometry.volume_m3(high_m) - geometry.volume_m3(low_m);
  const bearing: Bearing = {
    pumpFlow_m3s: flow_m3s((basin.startLevel_m + top_m) / 2),
    activeVolume_m3: volume_m3(basin.stopLevel_m, basin.startLevel_m),
    toHighWater_m3: volume_m3(basin.startLevel_m, basin.highLevel_m ?? (basin.startLevel_m + top_m) / 2),
    toOverflow_m3: volume_m3(basin.startLevel_m, top_m),
  };
  if (!(bearing.pumpFlow_m3s > 0)) {
    const level_m = (basin.startLevel_m + top_m) / 2;
    const points = pumpCurve(curve);
    const why = whyNoDutyPoint(
      meetDischarge(points, discharge, level_m).reason ?? "head-too-low",
      points,
      discharge,
      level_m,
      site.displayUnits,
    );
    throw new Error(`simulated: ${why}; expected a pump.curve that reaches discharge.high_point`);
  }

  const midnight_s = localMidnight_s(startTime_s, site.timezone);
  const sinceStart_h = (time_s: number) => (time_s - startTime_s) / 3600;
  const weeks = endlessWeather(scenario, seed, bearing);
  const model = basinModel({
    geometry,
    startLevel_m: basin.startLevel_m,
    stopLevel_m: basin.stopLevel_m,
    highLevel_m: basin.highLevel_m,
    overflowLevel_m: basin.overflowLevel_m,
    inflow_m3s: (time_s) => weeks.inflow_m3s(time_s - midnight_s),
    pumpFlow_m3s: (level_m, time_s) => scenario.pumpShare(sinceStart_h(time_s)) * flow_m3s(level_m),
    startTime_s,
    // so near to the start level that a run is soon to be seen
    initialLevel_m: basin.stopLevel_m + 0.85 * (basin.startLevel_m - basin.stopLevel_m),
    random: seededRandom(seed, 1),
    floatRepeatability_m: 0.002,
    drainBack_m3: Math.min(drainBack_m3, 0.03 * bearing.activeVolume_m3),
    leak_m3: scenario.leakShare * bearing.activeVolume_m3,
    fault: (time_s) => scenario.fault(((time_s - midnight_s) % week_s) / 3600, sinceStart_h(time_s)),
    ...(options.onCycle !== undefined && { onCycle: options.onCycle }),
  });
  const read = sensors(sensorFaults, seededRandom(seed, 2));
  let count = 0;
  let untipped_mm = 0;

  function rain_m(time_s: number): number {
    untipped_mm += (weeks.rain_mmPerMinute(time_s - midnight_s) * samplePeriod_s) / 60;
    const tips = Math.floor(untipped_mm / tip_mm);
    untipped_mm -= tips * tip_mm;
    return (tips * tip_mm) / 1000;
  }

  const nextTime_s = () => startTime_s + count * samplePeriod_s;
  function next(): SourceReading {
    const time_s = nextTime_s();
    count++;
    model.advanceTo(time_s);
    return { ...read(model.state), rain_m: rain_m(time_s), temperature_c: waterTemperature_c(time_s - midnight_s) };
  }

  return { state: model.state, nextTime_s, next };
}

/** Ground water: about 10 °C, a little warmer in the afternoon. */
function waterTemperature_c(sinceMidnight_s: number): number {
  return Math.round(10 * (10 - 0.4 * Math.cos((2 * Math.PI * (sinceMidnight_s - 3 * 3600)) / 86_400))) / 10;
}
