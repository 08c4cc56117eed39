// The answers behind both charts for one stretch: level, inflow, and the cycles, of which only what is new is fetched.

import type { InflowStretch } from "../../analysis/analyzer.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { LevelSeries, Span } from "../../daemon/stores/store.ts";
import { api } from "../api.ts";
import { contains } from "./span.ts";

export interface RecordData {
  readonly level: LevelSeries;
  readonly stretches: readonly InflowStretch[];
  readonly cycles: readonly Cycle[];
  /** Only the newest cycles of the stretch are here: it holds more than are asked for. */
  readonly cyclesCut: boolean;
}

/** More runs than this in view are not told apart. A month has some 3,000. */
export const mostCycles = 5000;

export function createRecordData(): (span: Span, points: number, signal: AbortSignal) => Promise<RecordData> {
  let held: { span: Span; cycles: readonly Cycle[] } | null = null;

  async function cyclesIn(span: Span, signal: AbortSignal): Promise<{ cycles: readonly Cycle[]; cut: boolean }> {
    if (held && contains(held.span, span)) return { cycles: held.cycles, cut: false };
    // What is held is carried on; its newest cycles are asked for again, for they were not settled yet.
    const base = held && held.span.from_s <= span.from_s && span.from_s <= held.span.to_s ? held : null;
    const from_s = base ? (base.cycles[2]?.startedAt_s ?? base.span.from_s) : span.from_s;
    const { cycles: fresh } = await api.cycles({ from_s, to_s: span.to_s }, mostCycles, signal);
    const cut = fresh.length >= mostCycles;
    const oldest_s = fresh.at(-1)?.startedAt_s ?? from_s;
    const kept = base && !cut ? base.cycles.filter((cycle) => cycle.startedAt_s < Math.min(oldest_s, from_s)) : [];
    const cycles = [...fresh, ...kept];
    const heldFrom_s = cut ? oldest_s : (base?.span.from_s ?? from_s);
    // A record that grows for weeks before an open page starts over now and then.
    held = cycles.length > 3 * mostCycles ? null : { span: { from_s: heldFrom_s, to_s: span.to_s }, cycles };
    return { cycles, cut };
  }

  return async (span, points, signal) => {
    const [level, { stretches }, { cycles, cut }] = await Promise.all([
      api.level(span, points, signal),
      api.inflow(span, points, signal),
      cyclesIn(span, signal),
    ]);
    return { level, stretches, cycles, cyclesCut: cut };
  };
}
