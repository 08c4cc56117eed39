// Fewer stretches of inflow for a chart: neighbours are joined by their time-weighted mean, and a gap stays a gap.
// Pure; any store may use it.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Span } from "./store.ts";

/**
 * Joins stretches that begin in the same `points`-th part of the span and follow one another without a gap.
 *
 * @param stretches oldest first
 * @returns about `points` stretches, and one more for each gap. The uncertainty of a joined one is the time-weighted
 *   mean of its parts': right if their errors are all alike (the same basin, the same level sensor), else too large,
 *   never too small.
 */
export function thinInflow(stretches: readonly InflowStretch[], span: Span, points: number): InflowStretch[] {
  if (stretches.length <= points) return [...stretches];
  const part_s = (span.to_s - span.from_s) / Math.max(1, points);
  const partOf = (stretch: InflowStretch) => Math.floor((stretch.from_s - span.from_s) / part_s);

  const thinned: InflowStretch[] = [];
  for (let first = 0, next = 0; first < stretches.length; first = next) {
    const begin = stretches[first] as InflowStretch;
    for (next = first + 1; next < stretches.length; next++) {
      const stretch = stretches[next] as InflowStretch;
      if (partOf(stretch) !== partOf(begin) || stretch.from_s > (stretches[next - 1] as InflowStretch).to_s) break;
    }
    thinned.push(join(stretches.slice(first, next)));
  }
  return thinned;
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
