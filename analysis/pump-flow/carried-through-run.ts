// What came in on either side of a run, carried through it: what was calm goes straight from one side to the other; what
// poured in beside the run goes on for about as long again as it had lasted.

import type { FlowEstimate } from "../cycles/cycle.ts";
import type { EndedRun, InflowAt, RestSummary } from "../cycles/ended-run.ts";
import { between } from "../cycles/flow-arithmetic.ts";
import { carriedOn, comesByLevel, loweredBy } from "./inflow-beside-run.ts";

export interface CarriedInflow {
  /** More than this came in beside the run only while it poured. */
  readonly mostCalm_m3s: number;
  /** As it would be as the run begins, had nothing poured in. */
  readonly calmBefore: FlowEstimate;
  /** Mean between two times. */
  over(from_s: number, to_s: number): FlowEstimate;
}

/** Calm water, too, comes and goes while nobody sees it: by about so much of itself. Judgement, no source. */
const changesIn_s = 12 * 3600;

interface Side {
  readonly near: InflowAt;
  readonly calm: FlowEstimate;
  /** Calm water at the switch itself, where the rest shows how it grows or falls off until then; else `calm`, where it was seen. */
  readonly edge: InflowAt;
  /** How far it may be off there for being carried on so: in every run alike. */
  readonly uOnTo_m3s: number;
}

/**
 * Where the ground's water comes in by the level, it is least just before the start, and most just after the stop.
 *
 * @param late_s how late, on the average, a switch is seen: what comes in fastest, just after the stop, passes for the run's
 * @returns null where the rest on one side does not tell
 */
export function carriedThrough(
  { cycle, before, meanLevel_m }: Pick<EndedRun, "cycle" | "before" | "meanLevel_m">,
  after: RestSummary | null,
  late_s = 0,
): CarriedInflow | null {
  const byLevel = comesByLevel(before, after);
  const low = sideOf(before, "last", cycle.startedAt_s - late_s, byLevel);
  const high = sideOf(after, "first", cycle.stoppedAt_s - late_s, byLevel);
  if (low === null || high === null) return null;
  const [from, to] = [stillGoesOn(low, high), stillGoesOn(high, low)];
  const lingers = byLevel && meanLevel_m !== null ? loweredBy(cycle, meanLevel_m) - 0.5 : 0;
  const uAlike_m3s = Math.hypot(from.uOnTo_m3s, to.uOnTo_m3s) / 2;
  const calmOver = (from_s: number, to_s: number): FlowEstimate => {
    const turn_s = to.edge.time_s;
    const [sooner_s, later_s] = [Math.min(to_s, turn_s) - from_s, to_s - Math.max(from_s, turn_s)];
    const middle_s = (from_s + Math.min(to_s, Math.max(turn_s, from_s))) / 2;
    const upTo = along(from.edge, to.edge, sooner_s > 0 ? middle_s : (from_s + to_s) / 2, lingers);
    if (!(later_s > 0) || to.near.time_s <= turn_s) return upTo;
    const since = along(to.edge, { ...to.near, inflow: to.calm }, (Math.max(from_s, turn_s) + to_s) / 2);
    return sooner_s > 0 ? between(upTo, since, later_s / (to_s - from_s)) : since;
  };
  return {
    mostCalm_m3s: Math.max(from.calm.flow_m3s, to.calm.flow_m3s),
    calmBefore: from.calm,
    over(from_s, to_s) {
      const calm = calmOver(from_s, to_s);
      const apart_s = to.near.time_s - from.near.time_s;
      const poured = [
        pouredOn(from, apart_s, from_s - from.near.time_s, to_s - from.near.time_s),
        pouredOn(to, apart_s, to.near.time_s - to_s, to.near.time_s - from_s),
      ] as const;
      const away_s = Math.min((from_s + to_s) / 2 - from.near.time_s, to.near.time_s - (from_s + to_s) / 2);
      const uUnseen_m3s = calm.flow_m3s * (Math.max(0, away_s) / changesIn_s);
      return {
        ...calm,
        flow_m3s: calm.flow_m3s + poured[0].flow_m3s + poured[1].flow_m3s,
        uFlow_m3s: Math.hypot(calm.uFlow_m3s, uUnseen_m3s, poured[0].u_m3s, poured[1].u_m3s),
        ...(uAlike_m3s > 0 && { uAlike_m3s }),
      };
    },
  };
}

/**
 * What came by turns was calm while it was least.
 *
 * @param byLevel whether what came in falls off with the level: what grows or falls off otherwise need not go on so in the run
 */
function sideOf(rest: RestSummary | null, end: "first" | "last", edge_s: number, byLevel: boolean): Side | null {
  const near = rest?.[end] ?? null;
  if (rest === null || near === null) return null;
  const far = rest[end === "first" ? "last" : "first"];
  if (near.lasted_s === undefined) {
    const inflow = carriedOn(near, byLevel ? far : null, edge_s);
    if (inflow === near.inflow) return { near, calm: inflow, edge: near, uOnTo_m3s: 0 };
    // No reading shows how it goes on to there: anywhere from as it was seen (uniform: GUM 4.3.7).
    const uOnTo_m3s = Math.abs(inflow.flow_m3s - near.inflow.flow_m3s) / Math.sqrt(12);
    const edge = { inflow: { ...inflow, uFlow_m3s: Math.hypot(inflow.uFlow_m3s, uOnTo_m3s) }, time_s: edge_s };
    return { near, calm: near.inflow, edge, uOnTo_m3s };
  }
  const all = [near.inflow, far?.inflow, rest.inflow];
  const calm = all.reduce<FlowEstimate>((a, b) => (b && b.flow_m3s < a.flow_m3s ? b : a), near.inflow);
  return { near, calm, edge: { ...near, inflow: calm }, uOnTo_m3s: 0 };
}

/** @param lingers by how much more than half-way the water stands lowered in the middle of the time: it lingers low */
function along(from: InflowAt, to: InflowAt, time_s: number, lingers = 0): FlowEstimate {
  const share = to.time_s > from.time_s ? (time_s - from.time_s) / (to.time_s - from.time_s) : 0.5;
  // By the parabola through either end and the middle.
  return between(from.inflow, to.inflow, share + 4 * lingers * Math.max(0, share * (1 - share)));
}

/** What comes in as fast on the other side of the run did not end in it: a storm that breaks. */
function stillGoesOn(side: Side, other: Side): Side {
  const { near, calm } = side;
  const flow_m3s = Math.max(calm.flow_m3s, Math.min(near.inflow.flow_m3s, other.calm.flow_m3s));
  if (flow_m3s === calm.flow_m3s) return side;
  const goesOn = { ...near.inflow, flow_m3s };
  return { near, calm: goesOn, edge: { ...near, inflow: goesOn }, uOnTo_m3s: 0 };
}

/**
 * What pours in falls to nothing within twice the time that it had lasted: of what has gone on for so long, nobody knows for
 * how long more it does (the prior without a scale, by which half of all ends before as long again).
 *
 * @param from_s since the middle of the time in which it was seen, from the run's side
 */
function pouredOn({ near, calm }: Side, apart_s: number, from_s: number, to_s: number) {
  const lasted_s = near.lasted_s ?? 0;
  const more_m3s = near.inflow.flow_m3s - calm.flow_m3s;
  if (!(lasted_s > 0 && more_m3s > 0)) return { flow_m3s: 0, u_m3s: 0 };
  const falls_s = Math.min(2 * lasted_s, apart_s);
  const poured_s = (since_s: number) => {
    const part_s = Math.min(Math.max(0, since_s), falls_s);
    return part_s - part_s ** 2 / (2 * falls_s);
  };
  const goesOn = lasted_s / (lasted_s + Math.max(0, (from_s + to_s) / 2));
  return {
    flow_m3s: (more_m3s * (poured_s(to_s) - poured_s(from_s))) / (to_s - from_s),
    u_m3s: more_m3s * Math.sqrt(goesOn * (1 - goesOn)),
  };
}
