// What the rests before have taught that one rest's noise hides: how the sensor errs, how inflow bends within a rest,
// and what leaks back through the check valve. Kept by the tracker of cycles, used and fed by every fit.

import { type NoiseSpectrumState, newNoiseSpectrum } from "./noise-spectrum.ts";
import { newRestShape, type RestShapeState } from "./rest-shape.ts";
import { newSensorDrift, type SensorDriftState } from "./sensor-drift.ts";
import { newShortStretch, type ShortStretchState } from "./short-stretch.ts";
import { newSlowReturn, type SlowReturnState } from "./slow-return.ts";

export interface RestMemory {
  readonly noise: NoiseSpectrumState;
  readonly short: ShortStretchState;
  readonly shape: RestShapeState;
  readonly slow: SlowReturnState;
  readonly drift: SensorDriftState;
  /** The last rest ended while far more came in than over the whole of it: what comes after the stop is no return. */
  pouring: boolean;
  /** What the last rest by itself showed to come back, believed or not, and how often on end as much; null when nothing did. */
  cameBack_m3: number | null;
  cameBackInARow: number;
}

export function newRestMemory(): RestMemory {
  return {
    noise: newNoiseSpectrum(),
    short: newShortStretch(),
    shape: newRestShape(),
    slow: newSlowReturn(),
    drift: newSensorDrift(),
    pouring: false,
    cameBack_m3: null,
    cameBackInARow: 0,
  };
}
