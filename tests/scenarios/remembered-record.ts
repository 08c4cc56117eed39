// What the alarms ask of the record, kept in memory: cycles, and inflow hour by hour.

import type { AnalyzerSink, InflowStretch } from "../../analysis/analyzer-contract.ts";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import type { Store } from "../../daemon/stores/store.ts";

const hour_s = 3600;

export interface RememberedRecord {
  readonly store: Pick<Store, "cycles" | "inflow">;
  readonly sink: Pick<AnalyzerSink, "cycle" | "inflow">;
}

export function rememberedRecord(): RememberedRecord {
  const cycles: Cycle[] = [];
  const hours = new Map<number, { known_s: number; inflow_m3: number }>();
  return {
    sink: {
      cycle(cycle, stage) {
        if (stage === "stopped") cycles.push(cycle);
      },
      inflow({ from_s, to_s, inflow_m3s }) {
        for (let at_s = from_s; at_s < to_s; ) {
          const hour = Math.floor(at_s / hour_s);
          const end_s = Math.min(to_s, (hour + 1) * hour_s);
          const seen = hours.get(hour) ?? { known_s: 0, inflow_m3: 0 };
          seen.known_s += end_s - at_s;
          seen.inflow_m3 += inflow_m3s * (end_s - at_s);
          hours.set(hour, seen);
          at_s = end_s;
        }
      },
    },
    store: {
      cycles({ from_s, to_s }, limit) {
        const found: Cycle[] = [];
        for (let i = cycles.length - 1; i >= 0 && found.length < limit; i--) {
          const cycle = cycles[i] as Cycle;
          if (cycle.stoppedAt_s < from_s) break;
          if (cycle.startedAt_s <= to_s) found.push(cycle);
        }
        return found;
      },
      inflow({ from_s, to_s }) {
        const found: InflowStretch[] = [];
        for (let hour = Math.floor(from_s / hour_s); hour * hour_s < to_s; hour++) {
          const seen = hours.get(hour);
          if (seen === undefined) continue;
          const begin_s = hour * hour_s;
          const inflow_m3s = seen.inflow_m3 / seen.known_s;
          found.push({ from_s: begin_s, to_s: begin_s + Math.min(hour_s, seen.known_s), inflow_m3s, uInflow_m3s: 0 });
        }
        return found;
      },
    },
  };
}
