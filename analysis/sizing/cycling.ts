// How a pump goes on and off over a basin at a steady inflow: fill, run, starts, and the volume that keeps these few.
// Where the floats then go is float-levels.ts.

const hour_s = 3600;

export interface Cycling {
  /** Null: nothing comes in. */
  readonly fill_s: number | null;
  /** Null: as much comes in as the pump moves, or more. */
  readonly run_s: number | null;
  readonly cycle_s: number | null;
  /** 0 where the cycle has no end. */
  readonly startsPerHour: number;
}

/**
 * One cycle at a steady inflow: the active volume V fills in V/q and is pumped down in V/(Q − q).
 *
 * @param activeVolume_m3 above 0
 * @param pump_m3s        what the pump moves, Q, above 0
 * @param inflow_m3s      q, 0 or above
 * @throws {RangeError} on an argument outside these
 * @see MIL-HDBK-1005/9A, 2.5.3.6, equation 1
 */
export function cycling(activeVolume_m3: number, pump_m3s: number, inflow_m3s: number): Cycling {
  if (!(activeVolume_m3 > 0 && pump_m3s > 0 && inflow_m3s >= 0)) {
    throw new RangeError(
      `cycling: active volume ${activeVolume_m3} m³, pump ${pump_m3s} m³/s, inflow ${inflow_m3s} m³/s; the first two must be above 0, the last not below`,
    );
  }
  const fill_s = inflow_m3s > 0 ? activeVolume_m3 / inflow_m3s : null;
  const run_s = inflow_m3s < pump_m3s ? activeVolume_m3 / (pump_m3s - inflow_m3s) : null;
  const cycle_s = fill_s === null || run_s === null ? null : fill_s + run_s;
  return { fill_s, run_s, cycle_s, startsPerHour: cycle_s === null ? 0 : hour_s / cycle_s };
}

/** Most starts in an hour at any inflow: when half of what the pump moves comes in, 3600·Q/(4·V). */
export function mostStartsPerHour(activeVolume_m3: number, pump_m3s: number): number {
  return (hour_s * pump_m3s) / (4 * activeVolume_m3);
}

/**
 * Active volume that keeps the starts to those allowed at any inflow: V = T·Q/4, T the shortest cycle allowed. Two equal
 * pumps that take turns each start every second time, so half of it will do.
 *
 * @see MIL-HDBK-1005/9A, 2.5.3.6, equation 2; UFC 3-240-04A (2004), chapter 7, with the half for automatic alternation
 */
export function volumeForStarts_m3(pump_m3s: number, startsPerHour: number, alternating = false): number {
  const volume_m3 = ((hour_s / startsPerHour) * pump_m3s) / 4;
  return alternating ? volume_m3 / 2 : volume_m3;
}

/** The largest pump whose starts an active volume keeps to those allowed: Q = 4·V/T. */
export function largestPump_m3s(activeVolume_m3: number, startsPerHour: number): number {
  return (4 * activeVolume_m3 * startsPerHour) / hour_s;
}
