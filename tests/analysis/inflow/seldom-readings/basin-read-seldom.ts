import type { CycleReading } from "../../../../analysis/inflow/seldom-readings/cycle-grid.ts";

export const stop_m3 = 0.02;
export const active_m3 = 0.03;
export const pump_m3s = 2e-3;
/** Until it is up to speed the pump moves nothing; through its check valve so much comes back. */
const spinUp_s = 0.5;
const returned_m3 = 0.3e-3;

/** A basin that fills and empties by itself, read every so often. */
export function basin(
  every_s: number,
  count: number,
  inflow_m3s: (time_s: number) => number,
  tilt = 0,
  moves_m3s = pump_m3s,
): CycleReading[] {
  const readings: CycleReading[] = [];
  let [volume_m3, on, since_s] = [stop_m3 + 0.4 * active_m3, false, 0];
  const step_s = 0.1;
  for (let i = 0; readings.length < count; i += 1) {
    const time_s = i * step_s;
    if (i % Math.round(every_s / step_s) === 0) readings.push({ time_s, volume_m3, on });
    const pumps = on && time_s - since_s >= spinUp_s;
    const full = (volume_m3 - stop_m3) / active_m3;
    volume_m3 += (inflow_m3s(time_s) - (pumps ? moves_m3s * (1 + tilt * (2 * full - 1)) : 0)) * step_s;
    if (!on && volume_m3 >= stop_m3 + active_m3) [on, since_s] = [true, time_s];
    if (on && volume_m3 <= stop_m3) [on, volume_m3] = [false, volume_m3 + returned_m3];
  }
  return readings;
}
