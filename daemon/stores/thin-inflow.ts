// Fewer stretches of inflow for a chart: neighbours are joined by their time-weighted mean, and a gap stays a gap.
// Pure; any store may use it.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Span } from "./store.ts";

/** Stretches follow one another to within the rounding of their times. */
const gap_s = 0.001;

/**
 * Joins stretches that begin in the same `points`-th part of the span and follow one another without a gap.
 *
 * @param stretches oldest first, none over another
 * @returns about `points` stretches, and one more for each gap. The uncertainty of a joined one is the time-weighted
 *   mean of its parts': right if their errors are all alike (the same basin, the same level sensor), else too large,
 *   never too small.
 */
export function thinInflow(stretches: readonly InflowStretch[], span: Span, points: number): InflowStretch[] {
  if (stretches.length <= points) return [...stretches];
  const from_s = Math.max(span.from_s, stretches[0]?.from_s ?? span.from_s);
  const to_s = Math.min(span.to_s, stretches.at(-1)?.to_s ?? span.to_s);
  return joinInflow(stretches, from_s, Math.max((to_s - from_s) / Math.max(1, points), gap_s));
}

/** Joins those that begin in the same part of time, counted from `origin_s` in parts of `part_s`. */
export function joinInflow(stretches: readonly InflowStretch[], origin_s: number, part_s: number): InflowStretch[] {
  const joined: InflowStretch[] = [];
  let parts: InflowStretch[] = [];
  let part = 0;
  let end_s = 0;
  for (const stretch of stretches) {
    const itsPart = Math.floor((stretch.from_s - origin_s) / part_s);
    if (parts.length > 0 && (itsPart !== part || stretch.from_s - end_s > gap_s)) {
      joined.push(join(parts));
      parts = [];
    }
    parts.push(stretch);
    part = itsPart;
    end_s = stretch.to_s;
  }
  if (parts.length > 0) joined.push(join(parts));
  return joined;
}

function join(parts: readonly InflowStretch[]): InflowStretch {
  const [first] = parts;
  const last = parts.at(-1);
  if (first === undefined || last === undefined) throw new RangeError("join: need 1 stretch or more, got none");
  if (first === last) return first;

  let time_s = 0;
  let volume_m3 = 0;
  let uVolume_m3 = 0;
  for (const part of parts) {
    const duration_s = part.to_s - part.from_s;
    time_s += duration_s;
    volume_m3 += part.inflow_m3s * duration_s;
    uVolume_m3 += part.uInflow_m3s * duration_s;
  }
  if (time_s === 0) return first;
  return { from_s: first.from_s, to_s: last.to_s, inflow_m3s: volume_m3 / time_s, uInflow_m3s: uVolume_m3 / time_s };
}
