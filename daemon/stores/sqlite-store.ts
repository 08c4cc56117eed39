// The embedded store: one SQLite file, and beside it the recent readings, until they fill a page of it. What is derived
// from readings is on the card, and they with it, before the call returns. A fault of the disk makes it hold.

import { existsSync, mkdirSync, realpathSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import type { Reading } from "../../analysis/readings/reading.ts";
import { levelReadings } from "./level-fold.ts";
import { openRecent, type Recent, type Recovered } from "./recent/recent.ts";
import { freeze, thaw } from "./sqlite/checkpoint-table.ts";
import { extentOf, levelQuery } from "./sqlite/level-query.ts";
import { lockStore, type StoreLock } from "./sqlite/lock.ts";
import { storeError } from "./sqlite/open-database.ts";
import { openOrSalvage } from "./sqlite/set-aside.ts";
import { openTables, type Tables } from "./sqlite/tables.ts";
import { type Writer, writer } from "./sqlite/writer.ts";
import { overlap, type Span, type Store, type StoreOptions } from "./store.ts";
import { StoreError } from "./store-error.ts";
import { thinInflow } from "./thin-inflow.ts";

/**
 * Opens the store in that file and makes it, and its folder, when it is not there; `:memory:` keeps it in memory.
 * @throws {StoreError} in one sentence: in use by another process, another program's file, a newer one's, damaged
 */
export function openSqliteStore(path: string, options: StoreOptions = {}): Store {
  const file = path === ":memory:" ? path : truePath(path);
  const lock: StoreLock = path === ":memory:" ? { release: () => {} } : lockStore(file);
  try {
    return sqliteStore(file, lock, options);
  } catch (error) {
    lock.release();
    throw error;
  }
}

function sqliteStore(path: string, lock: StoreLock, options: StoreOptions): Store {
  const { now_s = () => Date.now() / 1000, log = () => {} } = options;
  const database = openOrSalvage(path, now_s(), log);
  const { tables, out } = load();
  const { waiting } = out;
  let record = waiting.readings.reduce((span: Span | null, { time_s }) => widened(span, time_s), tables.record.span());

  function load(): { tables: Tables; out: Writer } {
    try {
      const loaded = openTables(database);
      const recent = path === ":memory:" ? noRecent : openRecent(path, loaded.record.store(), loaded.record.batches());
      return { tables: loaded, out: writer(database, loaded, recent, options) };
    } catch (error) {
      database.close();
      throw storeError(path, error);
    }
  }

  /** The n-th of all readings on, wherever each stands when its turn comes. */
  function* readingsFrom(fromNth: number): Generator<Reading> {
    for (let nth = fromNth + 1; ; ) {
      const found = nth <= out.written() ? tables.chunk.at(nth) : undefined;
      const first = found?.firstNth ?? out.written() + 1;
      const some = found?.readings ?? waiting.readings;
      if (found === undefined && nth - first >= some.length) return;
      if (found === undefined) {
        const reading = some[nth - first];
        if (reading === undefined) return;
        nth++;
        yield reading;
        continue;
      }
      const rest = some.slice(Math.max(0, nth - first));
      nth = first + some.length;
      yield* rest;
    }
  }

  return {
    append(reading) {
      if (!Number.isFinite(reading.time_s)) {
        throw new RangeError(`append: time_s is ${reading.time_s}; a reading needs a time in seconds since 1970`);
      }
      record = widened(record, reading.time_s);
      out.append(reading);
    },
    intake() {
      const { take, end, abandon } = out.intake();
      const before = record;
      return {
        take(rows, from, to) {
          record = widened(
            widened(record, (rows.time_ms[from] as number) / 1000),
            (rows.time_ms[to - 1] as number) / 1000,
          );
          take(rows, from, to);
        },
        end,
        abandon() {
          record = before;
          abandon();
        },
      };
    },
    saveCycle(cycle) {
      for (const part of [cycle, cycle.inflow, cycle.pumpRate]) refuseNaN("saveCycle", part);
      out.saveCycle(cycle);
    },
    saveFinding(finding) {
      refuseNaN("saveFinding", finding);
      out.saveFinding(finding);
    },
    saveInflow(stretch) {
      refuseNaN("saveInflow", stretch);
      waiting.inflow.add(stretch);
      // Some every minute, and the newest checkpoint gives them again: not worth a page of the card each.
      out.joined();
    },
    saveCheckpoint(checkpoint) {
      waiting.checkpoint = freeze(checkpoint);
      out.intoDatabase();
    },
    checkpoint: () => thaw(waiting.checkpoint ?? tables.checkpoint.get()),

    readings: (fromNth = 0) => readingsFrom(fromNth),
    *readingsWithin({ from_s, to_s }) {
      const { firstNth, lastNth } = extentOf(tables.rollups, { from_s, to_s });
      const within = ({ time_s }: Reading) => time_s >= from_s && time_s <= to_s;
      let nth = Math.min(firstNth, out.written() + 1);
      for (const reading of readingsFrom(nth - 1)) {
        if (nth > lastNth && nth <= out.written()) {
          yield* [...readingsFrom(out.written())].filter(within);
          return;
        }
        nth++;
        if (within(reading)) yield reading;
      }
    },
    readingCount: () => out.written() + waiting.readings.length,
    readingsDropped: () => tables.chunk.lostTo(),
    span: () => record,
    level(span, points) {
      if (record === null || !overlap(span, record)) return levelReadings([], []);
      const from_s = Math.max(span.from_s, record.from_s);
      const to_s = Math.min(span.to_s, record.to_s);
      const { chunk: chunks, chunkLevels, rollups } = tables;
      const parts = { chunks, chunkLevels, rollups, waiting: waiting.readings };
      return levelQuery(parts, { from_s, to_s: Math.max(from_s, to_s) }, Math.max(2, Math.floor(points)));
    },
    cycles(span, limit) {
      const found = waiting.cycles.over(tables.cycle.within(span, rowLimit(limit)));
      const overlapping = found.filter((c) => c.startedAt_s <= span.to_s && c.stoppedAt_s >= span.from_s);
      return overlapping.sort((a, b) => b.startedAt_s - a.startedAt_s).slice(0, limit);
    },
    inflow(span, points) {
      const found = waiting.inflow.over(tables.inflow.within(span, points));
      const overlapping = found.filter((s) => s.from_s <= span.to_s && s.to_s >= span.from_s);
      return thinInflow(
        overlapping.sort((a, b) => a.from_s - b.from_s),
        span,
        points,
      );
    },
    findings(span, limit) {
      const found = waiting.findings.over(tables.finding.within(span, rowLimit(limit)));
      const overlapping = found.filter((f) => f.from_s <= span.to_s && (f.to_s === null || f.to_s >= span.from_s));
      return overlapping.sort((a, b) => b.from_s - a.from_s).slice(0, limit);
    },

    forward: {
      board: () => tables.forward.board(),
      kept: () => ({ dropped: tables.chunk.dropped(), last: out.noted() }),
      place: () => waiting.forward.newest() ?? tables.forward.place(),
      savePlace: waiting.forward.add,
    },

    putBack: tables.putBack.last,
    rebuild(fill) {
      try {
        out.rebuild(fill);
      } catch (error) {
        throw storeError(path, error);
      }
    },
    flush: () => out.flush(),
    health: () => out.health(),
    close() {
      if (!database.isOpen) return;
      out.close();
      database.close();
      lock.release();
    },
  };
}

/** A store in memory keeps nothing beside it. */
const noRecent: { readonly recent: Recent; readonly recovered: Recovered } = {
  recent: {
    keep: () => false,
    isNearlyFull: () => false,
    sequence: () => 0,
    forget: () => {},
    note: () => {},
    close: () => {},
  },
  recovered: { kept: [], noted: [] },
};

/** One file has one lock, by whatever link it is named. */
function truePath(path: string): string {
  try {
    mkdirSync(dirname(path), { recursive: true });
    return existsSync(path) ? realpathSync(path) : join(realpathSync(dirname(path)), basename(path));
  } catch (error) {
    throw new StoreError(`${path}: its folder cannot be made: ${String(error)}`, { cause: error });
  }
}

function widened(span: Span | null, time_s: number): Span {
  if (span === null) return { from_s: time_s, to_s: time_s };
  if (time_s >= span.from_s && time_s <= span.to_s) return span;
  return { from_s: Math.min(span.from_s, time_s), to_s: Math.max(span.to_s, time_s) };
}

function refuseNaN(call: string, item: object | null): void {
  for (const [key, value] of Object.entries(item ?? {})) {
    if (Number.isNaN(value)) throw new RangeError(`${call}: ${key} is NaN; what is not known is null`);
  }
}

function rowLimit(limit: number): number {
  return Math.min(Math.max(0, limit), 1e9);
}
