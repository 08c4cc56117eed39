// A board's record for the time of the bench, in memory: of the store's contract what forwarding reads. A thousand files
// of SQLite on one disk would measure that disk, which no central machine has.

import { randomBytes } from "node:crypto";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import type { ForwardPlace, Span, Store } from "../../../daemon/stores/store.ts";

export type MemoryRecord = Pick<
  Store,
  | ("forward" | "append" | "saveCycle" | "saveFinding" | "saveInflow")
  | ("readings" | "readingCount" | "span" | "cycles" | "inflow" | "findings")
>;

export function memoryRecord(): MemoryRecord {
  const readings: Reading[] = [];
  const cycles = new Map<number, Cycle>();
  const inflow = new Map<number, InflowStretch>();
  const findings = new Map<string, Finding>();
  const board = randomBytes(8).toString("hex");
  let place: ForwardPlace | null = null;
  return {
    forward: {
      board: () => board,
      kept: () => ({ dropped: 0, last: readings.length }),
      place: () => place,
      savePlace(next) {
        place = next;
      },
    },
    append: (reading) => readings.push(reading),
    saveCycle: (cycle) => cycles.set(cycle.startedAt_s, cycle),
    saveInflow: (stretch) => inflow.set(stretch.from_s, stretch),
    saveFinding: (finding) => findings.set(`${finding.kind} ${finding.from_s}`, finding),
    *readings(fromNth = 0) {
      for (let n = fromNth; n < readings.length; n++) yield readings[n] as Reading;
    },
    readingCount: () => readings.length,
    span() {
      const [first, last] = [readings[0], readings.at(-1)];
      return first === undefined || last === undefined ? null : { from_s: first.time_s, to_s: last.time_s };
    },
    cycles: (span, limit) =>
      newest([...cycles.values()], (cycle) => overlaps(span, cycle.startedAt_s, cycle.stoppedAt_s), limit),
    findings: (span, limit) =>
      newest([...findings.values()], ({ from_s, to_s }) => overlaps(span, from_s, to_s ?? Infinity), limit),
    inflow: (span) => [...inflow.values()].filter(({ from_s, to_s }) => overlaps(span, from_s, to_s)),
  };
}

function overlaps(span: Span, from_s: number, to_s: number): boolean {
  return from_s <= span.to_s && to_s >= span.from_s;
}

function newest<T>(records: readonly T[], within: (record: T) => boolean, limit: number): T[] {
  return records.filter(within).reverse().slice(0, limit);
}
