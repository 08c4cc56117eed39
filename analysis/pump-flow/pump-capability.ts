// What the pump moves with the water at some level: by the line that its runs have taught (more level, less lift, more
// flow), and beyond the levels that were seen as the published curve on the given discharge bends it.

import type { FlowEstimate } from "../cycles/cycle.ts";
import { type ExpectedFlows, expectedAt } from "../hydraulics/expected-flow.ts";
import { type CapabilityLine, capabilityLine } from "./capability-line.ts";
import { type CapabilityState, pooledMemory } from "./capability-state.ts";

/** The learned line is carried on so far beyond the levels seen; farther off the flow is taken as it is there. */
const carriedOn_m = 0.3;
/** So far the published curve bends nothing that the line does not follow. */
const near_m = 0.02;
/** A pump that is installed moves what its published curve says to about this share; judgement, no source. */
const uInstalled = 0.2;
/** A pooled rate is told from so well a known time on. */
const pooledWell = 0.15;
const pooledRoughly = 0.35;
const mostLeftOut = 0.1;

/**
 * What the pump moves with the water at `level_m`; at null, at the level of its usual runs.
 *
 * Within the levels seen: the line through the latest runs, odd ones counting less, its slope learned within runs.
 * Beyond them: in proportion to what the published curve gives there, or the line a little farther, then level; the
 * uncertainty grows with the distance.
 *
 * @returns null before the third measured run, unless many runs of unknown length tell it together
 */
export function capabilityAt(state: CapabilityState, level_m: number | null): FlowEstimate | null {
  const line = capabilityLine(state);
  if (line === null) return pooledRate(state);
  const { middle, slope } = line;
  if (level_m === null || line.level_m === null) return middle;
  const within_m = Math.min(line.highest_m + carriedOn_m, Math.max(line.lowest_m - carriedOn_m, level_m));
  const away_m = within_m - line.level_m;
  const beyond_m = level_m - within_m;
  const straight_m3s = middle.flow_m3s + slope.slope_m2s * away_m;
  const uSlope_m3s = slope.uSlope_m2s * away_m;
  const bent_m3s = asPublished(line, level_m, state.expected);
  return {
    flow_m3s: Math.max(0, bent_m3s ?? straight_m3s),
    uFlow_m3s: Math.hypot(middle.uFlow_m3s, uSlope_m3s, slope.slope_m2s * beyond_m),
    degreesOfFreedom: middle.degreesOfFreedom,
  };
}

/**
 * What it moves at the level of its usual runs, also where it is told by runs of unknown length and not well yet: together
 * then with what the published curve gives on the given discharge.
 *
 * @param level_m middle of its usual runs; null where that is not known
 */
export function roughly(state: CapabilityState, level_m: number | null): FlowEstimate | null {
  const line = capabilityLine(state);
  if (line !== null) return line.middle;
  const pooled = pooledRate(state, pooledRoughly);
  const published_m3s = state.expected && level_m !== null ? expectedAt(state.expected, level_m) : null;
  if (published_m3s === null || !(published_m3s > 0)) return pooled;
  const uPublished_m3s = uInstalled * published_m3s;
  if (pooled === null)
    return { flow_m3s: published_m3s, uFlow_m3s: uPublished_m3s, degreesOfFreedom: Number.POSITIVE_INFINITY };
  const [a, b] = [1 / uPublished_m3s ** 2, 1 / pooled.uFlow_m3s ** 2];
  return {
    flow_m3s: (a * published_m3s + b * pooled.flow_m3s) / (a + b),
    uFlow_m3s: 1 / Math.sqrt(a + b),
    degreesOfFreedom: pooled.degreesOfFreedom,
  };
}

/** Beyond the levels seen: from the line's end on, in proportion to the published curve. */
function asPublished(line: CapabilityLine, level_m: number, expected: ExpectedFlows | null): number | null {
  if (expected === null || line.level_m === null) return null;
  const edge_m = Math.min(line.highest_m, Math.max(line.lowest_m, level_m));
  if (Math.abs(level_m - edge_m) <= near_m) return null;
  const there = expectedAt(expected, level_m);
  const atEdge = expectedAt(expected, edge_m);
  if (there === null || atEdge === null || !(atEdge > 0)) return null;
  return ((line.middle.flow_m3s + line.slope.slope_m2s * (edge_m - line.level_m)) * there) / atEdge;
}

function pooledRate(
  { pooledVolume_m3, pooledRun_s, pooledVariance_s2, pooled, notPooled }: CapabilityState,
  enough = pooledWell,
): FlowEstimate | null {
  // Those that are left out are the odd ones: without many of them the others' mean is not that of all.
  if (!(pooledRun_s > 0) || notPooled > mostLeftOut * pooled) return null;
  const relative = Math.sqrt(pooledVariance_s2) / pooledRun_s;
  if (relative > enough) return null;
  const flow_m3s = pooledVolume_m3 / pooledRun_s;
  return {
    flow_m3s,
    uFlow_m3s: relative * flow_m3s,
    degreesOfFreedom: Math.max(1, Math.min(pooled, pooledMemory) - 1),
  };
}
