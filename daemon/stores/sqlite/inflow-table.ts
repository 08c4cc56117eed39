// Stretches of inflow, one by its beginning; and the same joined by ten minutes, for a chart of months. The joined ones
// are made of the single ones alone, so that it does not matter when, or how often, those were saved.

import type { DatabaseSync } from "node:sqlite";
import type { InflowStretch } from "../../../analysis/analyzer.ts";
import { type Span, singleAlone } from "../store.ts";
import { joinInflow } from "../thin-inflow.ts";
import { inflowParts, part_s } from "./inflow-parts.ts";
import { number, numberOrNull } from "./row.ts";

export interface InflowTable {
  put(stretch: InflowStretch): void;
  /** Joins those of the parts of time that are over; inside the transaction that has put them. */
  joinFinished(): void;
  /** Writes what was put; at the end of that transaction. */
  write(): void;
  /** Forgets what was put, after a transaction that failed. */
  revert(): void;
  /** Drops those that begin then or later. */
  clear(from_s: number): void;
  /** Drops single ones that end before it; the joined ones stay. */
  dropBefore(time_s: number): void;
  /** Those that overlap the span, oldest first; joined ones where `points` leaves no more than that to see. */
  within(span: Span, points: number): InflowStretch[];
}

export function inflowTable(database: DatabaseSync): InflowTable {
  const single = inflowParts(database);
  const joined = stretchRows(database);
  let redoFrom = Number.POSITIVE_INFINITY; // the oldest part, and the newest, in which a stretch was put
  let newest = Number.NEGATIVE_INFINITY;

  /** Parts before this one have been joined. */
  const firstNotJoined = () => Math.floor((joined.last_s() ?? Number.NEGATIVE_INFINITY) / part_s) + 1;

  /** Of those whose single stretches have been dropped for their age. */
  const beforeSingle = (span: Span): InflowStretch[] => {
    const first_s = single.first_s();
    const end_s = first_s === null ? Number.POSITIVE_INFINITY : Math.floor(first_s / part_s) * part_s;
    if (span.from_s >= end_s) return [];
    return joined.overlapping(span.from_s, Math.min(span.to_s, end_s)).filter((stretch) => stretch.from_s < end_s);
  };

  return {
    put(stretch) {
      single.put(stretch);
      const part = Math.floor(stretch.from_s / part_s);
      redoFrom = Math.min(redoFrom, part);
      newest = Math.max(newest, part);
    },
    joinFinished() {
      const from = Math.min(redoFrom, firstNotJoined());
      if (from >= newest) return;
      single.write();
      joined.remove(from * part_s, newest * part_s);
      for (const stretch of joinInflow(single.beginningIn(from, newest), 0, part_s)) joined.put(stretch);
      redoFrom = newest;
    },
    write: single.write,
    revert: single.revert,
    dropBefore: single.dropBefore,
    clear(from_s) {
      const part = Math.floor(from_s / part_s) + (Number.isFinite(from_s) ? 1 : 0); // one that is cut stays as it is
      single.clear(part);
      joined.remove(part * part_s, Number.POSITIVE_INFINITY);
      redoFrom = Number.POSITIVE_INFINITY;
      newest = Number.NEGATIVE_INFINITY;
    },
    within(span, points) {
      const from_s = Math.max(span.from_s, single.first_s() ?? span.from_s);
      const to_s = Math.min(span.to_s, single.last_s() ?? span.to_s);
      if ((to_s - from_s) / points < part_s / 2) {
        const before = points === singleAlone ? [] : beforeSingle(span);
        return [...before, ...single.overlapping(span.from_s, span.to_s)];
      }
      const joined_s = firstNotJoined() * part_s;
      const old = joined.overlapping(span.from_s, span.to_s).filter((stretch) => stretch.from_s < joined_s);
      return [
        ...old,
        ...single.overlapping(Math.max(span.from_s, joined_s), span.to_s).filter((s) => s.from_s >= joined_s),
      ];
    },
  };
}

function stretchRows(database: DatabaseSync) {
  const arrays = { returnArrays: true };
  const put = database.prepare("REPLACE INTO inflowJoined VALUES (?, ?, ?, ?)");
  const remove = database.prepare("DELETE FROM inflowJoined WHERE from_s >= ? AND from_s < ?");
  const last = database.prepare("SELECT max(from_s) FROM inflowJoined", arrays);
  const before = database.prepare("SELECT max(from_s) FROM inflowJoined WHERE from_s <= ?", arrays);
  const overlapping = database.prepare(
    "SELECT * FROM inflowJoined WHERE from_s BETWEEN ? AND ? AND to_s >= ? ORDER BY from_s",
    arrays,
  );

  return {
    put: (s: InflowStretch) => put.run(s.from_s, s.to_s, s.inflow_m3s, s.uInflow_m3s),
    remove: (from_s: number, to_s: number) => remove.run(from_s, to_s),
    last_s: () => numberOrNull(last.get()?.[0]),
    overlapping(from_s: number, to_s: number): InflowStretch[] {
      // None lies over another: of those that begin before the span, only the last can reach into it.
      const begin_s = numberOrNull(before.get(from_s)?.[0]) ?? from_s;
      return overlapping.all(begin_s, to_s, from_s).map((row) => ({
        from_s: number(row[0]),
        to_s: number(row[1]),
        inflow_m3s: number(row[2]),
        uInflow_m3s: number(row[3]),
      }));
    },
  };
}
