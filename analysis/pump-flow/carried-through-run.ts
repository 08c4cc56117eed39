// What came in on either side of a run, carried through it: what was calm goes straight from one side to the other; what
// poured in beside the run goes on for about as long again as it had lasted.

import type { FlowEstimate } from "../cycles/cycle.ts";
import type { InflowAt, RestSummary } from "../cycles/ended-run.ts";
import { between } from "../cycles/flow-arithmetic.ts";

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
}

/** @returns null where the rest on one side does not tell */
export function carriedThrough(before: RestSummary | null, after: RestSummary | null): CarriedInflow | null {
  const sides = [sideOf(before, "last"), sideOf(after, "first")] as const;
  const [low, high] = sides;
  if (low === null || high === null) return null;
  const [from, to] = [stillGoesOn(low, high), stillGoesOn(high, low)];
  return {
    mostCalm_m3s: Math.max(from.calm.flow_m3s, to.calm.flow_m3s),
    calmBefore: from.calm,
    over(from_s, to_s) {
      const share = ((from_s + to_s) / 2 - from.near.time_s) / (to.near.time_s - from.near.time_s);
      const calm = between(from.calm, to.calm, share);
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
      };
    },
  };
}

/** What came by turns was calm while it was least. */
function sideOf(rest: RestSummary | null, end: "first" | "last"): Side | null {
  const near = rest?.[end] ?? null;
  if (rest === null || near === null) return null;
  if (near.lasted_s === undefined) return { near, calm: near.inflow };
  const all = [near.inflow, rest[end === "first" ? "last" : "first"]?.inflow, rest.inflow];
  return { near, calm: all.reduce<FlowEstimate>((a, b) => (b && b.flow_m3s < a.flow_m3s ? b : a), near.inflow) };
}

/** What comes in as fast on the other side of the run did not end in it: a storm that breaks. */
function stillGoesOn({ near, calm }: Side, other: Side): Side {
  const flow_m3s = Math.max(calm.flow_m3s, Math.min(near.inflow.flow_m3s, other.calm.flow_m3s));
  return { near, calm: flow_m3s === calm.flow_m3s ? calm : { ...near.inflow, flow_m3s } };
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
