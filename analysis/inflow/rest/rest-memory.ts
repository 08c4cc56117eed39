// What the rests before have taught that one rest's noise hides: how the sensor errs, how inflow bends within a rest,
// and what leaks back through the check valve. Kept by the tracker of cycles, used and fed by every fit.

import { closelyRead_s } from "../../readings/closely-read.ts";
import { newSlowReturn, type SlowReturnState } from "../drain-back/slow-return.ts";
import { type NoiseSpectrumState, newNoiseSpectrum } from "../sensor-errors/noise-spectrum.ts";
import { newSensorDrift, type SensorDriftState } from "../sensor-errors/sensor-drift.ts";
import { newShortStretch, type ShortStretchState } from "../sensor-errors/short-stretch.ts";
import { newRestShape, type RestShapeState } from "./rest-shape.ts";

export interface RestMemory {
  readonly noise: NoiseSpectrumState;
  readonly short: ShortStretchState;
  readonly shape: RestShapeState;
  readonly slow: SlowReturnState;
  readonly drift: SensorDriftState;
  /** Standard deviation of a sample about the curve through its rest, as rests of many samples show it; 0 until one has. */
  sampleSd_m3: number;
  /** The same by rests of fewer samples, read seldom; absent until one has. */
  fewSd_m3?: number;
  /** The last rest ended while far more came in than over the whole of it: what comes after the stop is no return. */
  pouring: boolean;
  /** What the last rest by itself showed to come back, believed or not, and how often on end as much; null when nothing did. */
  cameBack_m3: number | null;
  cameBackInARow: number;
  /** A rest has taken what many have shown to leak back for a leak: all that was in doubt for that is known for it. */
  leaks?: boolean;
  /** What is back within seconds has been learned anew since such a leak was first known. */
  parted?: boolean;
}

export function newRestMemory(): RestMemory {
  return {
    noise: newNoiseSpectrum(),
    short: newShortStretch(),
    shape: newRestShape(),
    slow: newSlowReturn(),
    drift: newSensorDrift(),
    sampleSd_m3: 0,
    pouring: false,
    cameBack_m3: null,
    cameBackInARow: 0,
  };
}

const manySamples = 24;
/** A cubic through so many leaves half of them to tell; what is known by a rest of them is known to a third. */
const fewSamples = 8;
const rests = 16;
/** Water that pours in within a rest is no noise: none counts for more than so many times the usual. */
const mostOfUsual = 2;

/** Takes in how far the samples of a rest, that long apart, lie from its curve. */
export function noteSampleSd(memory: RestMemory, sd_m3: number, samples: number, interval_s: number): void {
  if (!(sd_m3 > 0)) return;
  if (samples >= manySamples) memory.sampleSd_m3 = towards(memory.sampleSd_m3, sd_m3);
  else if (samples >= fewSamples && interval_s > closelyRead_s) memory.fewSd_m3 = towards(memory.fewSd_m3 ?? 0, sd_m3);
}

function towards(usual_m3: number, sd_m3: number): number {
  return usual_m3 === 0 ? sd_m3 : usual_m3 + (Math.min(sd_m3, mostOfUsual * usual_m3) - usual_m3) / rests;
}
