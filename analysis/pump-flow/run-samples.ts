// Which samples of a run show the water fall at the pump's full flow, and which of them do not.

import type { CurveSamples } from "../statistics/fit-curve.ts";
import type { RunSensor } from "./fit-run.ts";

/** Water that falls by so many steps of the sensor, and so much of its noise, from one reading to the next cannot stand. */
const manySteps = 4;
const manySds = 4;
const fewestToFall = 4;

/** Leaves out each value that is said again word for word while the water falls fast: no reading, but the last one held. */
export function leaveOutRepeats(samples: CurveSamples, { sampleSd_m3, step_m3 }: RunSensor): void {
  const { y, weight, count } = samples;
  if (count < fewestToFall || !Number.isFinite(step_m3)) return;
  const fall_m3 = ((y[0] as number) - (y[count - 1] as number)) / (count - 1);
  if (!(fall_m3 > Math.max(manySteps * step_m3, manySds * (sampleSd_m3 ?? 0)))) return;
  for (let i = 1; i < count; i += 1) if (y[i] === y[i - 1] && weight[i] === 1) weight[i] = 0;
}

/** By when most pumps have come up to speed, in what is gone by then: so long at full flow; common practice, no source. */
const comesUp_s = 1;
const surely = 2;
const fewestToSpare = 3;

/**
 * Leaves out the first sample of a run read seldom where so little is gone since the rest that the pump may not have been
 * up to speed. With two alone both are needed.
 */
export function leaveOutOfSpinUp(samples: CurveSamples, { sampleSd_m3, startVolume_m3 }: RunSensor): void {
  const { t, y, weight, count } = samples;
  if (count < fewestToSpare || startVolume_m3 === null || sampleSd_m3 === null) return;
  const fall_m3s = ((y[0] as number) - (y[count - 1] as number)) / ((t[count - 1] as number) - (t[0] as number));
  const gone_m3 = startVolume_m3 - (y[0] as number);
  if (gone_m3 < fall_m3s * comesUp_s + surely * sampleSd_m3) weight[0] = 0;
}
