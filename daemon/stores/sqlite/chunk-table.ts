// Readings in chunks, one a row, in the order in which they were appended; given back bit for bit as they came.
// Which of them fall into a span of time is known to the roll-ups.

import type { DatabaseSync, SQLOutputValue, StatementSync } from "node:sqlite";
import type { Channel, Reading } from "../../../analysis/readings/reading.ts";
import { decodeChunk, decodeLevels } from "../chunk/chunk.ts";
import type { Chunk } from "../chunk/cutter.ts";
import type { Span } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { number } from "./row.ts";

/** Levels of consecutive readings, NaN where there was none. */
export interface LevelColumns {
  readonly firstNth: number;
  readonly time_s: Float64Array;
  /** null when none of them has one */
  readonly level_m: Float64Array | null;
}

/** Readings `firstNth` to `lastNth` within a span of time. */
export interface ChunkExtent extends Span {
  readonly firstNth: number;
  readonly lastNth: number;
}

export interface ChunkTable {
  /** Place of the last reading in the record. */
  count(): number;
  /** @returns the first and the last of their times */
  put(firstNth: number, readings: readonly Reading[], chunk: Chunk): Span;
  /** The same of rows, in whose order time never goes back. */
  putRows(firstNth: number, time_ms: Float64Array, chunk: Chunk): Span;
  /** The chunk in which the n-th reading stands, or the next after it; undefined when there is none. */
  at(nth: number): { readonly firstNth: number; readonly readings: Reading[] } | undefined;
  /** Levels of all chunks, or of those that may have readings of the extent. */
  levels(of?: ChunkExtent): Iterable<LevelColumns>;
  /** Of those chunks, the place of the first reading and the times, in whole seconds, that theirs lie within. */
  among(of: ChunkExtent): readonly ({ readonly firstNth: number } & Span)[];
  /** Bytes of the chunk that begins there. */
  bytes(firstNth: number): Uint8Array;
  /** Of this reading, and all before it, some have been dropped, or a channel of theirs has; 0 while all is there. */
  lostTo(): number;
  /** When what is whole begins; −∞ while all is there. */
  horizon_s(): number;
  /** When the levels begin that are there. */
  levelHorizon_s(): number;
  /** So many of the first readings have been dropped. */
  dropped(): number;
  /** When the newest chunk begins: of all its times the least, for one may be wrong. */
  newest_s(): number;
  /** Drops chunks of which no reading is younger, the oldest first, some at a time; never the last. */
  dropBefore(time_s: number): void;
  /** How many readings the chunks hold that may have some of the extent. */
  readingsIn(of: ChunkExtent): number;
}

/** Chunks are read in lots: bounded memory, and no statement stays open between them, so that writing may go on. */
const lot = 50;

/** So few at once that a clock which is wrong for a while costs little. */
const mostDropped = 40;

const everything: ChunkExtent = { firstNth: 1, lastNth: Number.MAX_SAFE_INTEGER, from_s: -1e15, to_s: 1e15 };

export function chunkTable(database: DatabaseSync): ChunkTable {
  const arrays = { returnArrays: true };
  const last = database.prepare("SELECT firstNth + readings - 1 FROM chunk ORDER BY firstNth DESC LIMIT 1", arrays);
  const put = database.prepare("INSERT INTO chunk VALUES (?, ?, ?, ?, ?)");
  const before = database.prepare(
    "SELECT firstNth, readings, body FROM chunk WHERE firstNth <= ? ORDER BY firstNth DESC LIMIT 1",
    arrays,
  );
  const after = database.prepare(
    "SELECT firstNth, readings, body FROM chunk WHERE firstNth > ? ORDER BY firstNth LIMIT 1",
    arrays,
  );
  // The chunk that begins before the first of them may reach into them.
  const among = `firstNth BETWEEN ifnull((SELECT max(firstNth) FROM chunk WHERE firstNth <= ?1), ?1) AND ?2
    AND to_s >= ?3 AND from_s <= ?4`;
  const levels = database.prepare(
    `SELECT firstNth, body FROM chunk WHERE ${among} ORDER BY firstNth LIMIT ${lot}`,
    arrays,
  );
  const spans = database.prepare(`SELECT firstNth, from_s, to_s FROM chunk WHERE ${among} ORDER BY firstNth`, arrays);
  const body = database.prepare("SELECT body FROM chunk WHERE firstNth = ?", arrays);
  const readings = database.prepare(`SELECT sum(readings) FROM chunk WHERE ${among}`, arrays);

  const first = database.prepare("SELECT firstNth FROM chunk ORDER BY firstNth LIMIT 1", arrays);
  const begin = database.prepare("SELECT from_s FROM chunk WHERE firstNth > ? ORDER BY firstNth LIMIT 1", arrays);
  // Prepared when it is first asked for: a file that is being taken forward does not have that table yet.
  let selectDropped: StatementSync | undefined;
  const dropped = () => {
    selectDropped ??= database.prepare("SELECT channel, lostTo FROM dropped", arrays);
    return selectDropped.all();
  };
  const newest = database.prepare("SELECT from_s FROM chunk ORDER BY firstNth DESC LIMIT 1", arrays);
  const oldest = database.prepare(
    `SELECT firstNth, to_s FROM chunk WHERE firstNth < (SELECT max(firstNth) FROM chunk) ORDER BY firstNth LIMIT ${mostDropped}`,
    arrays,
  );
  const drop = database.prepare("DELETE FROM chunk WHERE firstNth <= ?");

  /** Up to where readings as a whole, or that channel of theirs, or any, are gone. */
  const lostTo = (of: Channel | null = null) => {
    const before = number(first.get()?.[0] ?? 1) - 1;
    const ofChannels = dropped().filter((row) => of === null || row[0] === of);
    return Math.max(before, ...ofChannels.map((row) => number(row[1])));
  };
  const beginOf = (lost: number) => (lost === 0 ? Number.NEGATIVE_INFINITY : number(begin.get(lost)?.[0] ?? 0));

  return {
    newest_s: () => Number(newest.get()?.[0] ?? Number.NEGATIVE_INFINITY),
    dropped: () => Number(first.get()?.[0] ?? 1) - 1,
    lostTo,
    horizon_s: () => beginOf(lostTo()),
    levelHorizon_s: () => beginOf(lostTo("level_m")),
    dropBefore(time_s) {
      const rows = oldest.all();
      const kept = rows.findIndex((row) => number(row[1]) >= time_s);
      const last = rows.at(kept === -1 ? -1 : kept - 1);
      if (kept !== 0 && last !== undefined) drop.run(number(last[0]));
    },
    count: () => Number(last.get()?.[0] ?? 0),
    put(firstNth, some, { count, bytes }) {
      let [from_s, to_s] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
      for (let i = 0; i < count; i++) {
        const { time_s } = some[i] as Reading;
        if (time_s < from_s) from_s = time_s;
        if (time_s > to_s) to_s = time_s;
      }
      put.run(firstNth, count, clamped(Math.floor(from_s)), clamped(Math.ceil(to_s)), bytes);
      return { from_s, to_s };
    },
    putRows(firstNth, time_ms, { count, bytes }) {
      const [from_s, to_s] = [(time_ms[0] as number) / 1000, (time_ms[count - 1] as number) / 1000];
      put.run(firstNth, count, clamped(Math.floor(from_s)), clamped(Math.ceil(to_s)), bytes);
      return { from_s, to_s };
    },
    at(nth) {
      let row = before.get(nth);
      if (row === undefined || number(row[0]) + number(row[1]) <= nth) row = after.get(nth);
      if (row === undefined) return undefined;
      return { firstNth: number(row[0]), readings: whole(row[2], decodeChunk) };
    },
    *levels({ firstNth, lastNth, from_s, to_s } = everything) {
      for (let next = firstNth; ; ) {
        const rows = levels.all(next, lastNth, clamped(from_s), clamped(to_s));
        for (const row of rows) yield { firstNth: number(row[0]), ...whole(row[1], decodeLevels) };
        const lastRow = rows.at(-1);
        if (rows.length < lot || lastRow === undefined) return;
        // From here on no chunk begins before: the last one read would be taken again.
        const following = after.get(number(lastRow[0]));
        if (following === undefined) return;
        next = number(following[0]);
      }
    },
    among({ firstNth, lastNth, from_s, to_s }) {
      const rows = spans.all(firstNth, lastNth, clamped(from_s), clamped(to_s));
      return rows.map((row) => ({ firstNth: number(row[0]), from_s: number(row[1]), to_s: number(row[2]) }));
    },
    bytes: (firstNth) => whole(body.get(firstNth)?.[0], (bytes) => bytes),
    readingsIn: ({ firstNth, lastNth, from_s, to_s }) =>
      Number(readings.get(firstNth, lastNth, clamped(from_s), clamped(to_s))?.[0] ?? 0),
  };
}

function whole<T>(body: SQLOutputValue | undefined, decode: (bytes: Uint8Array) => T): T {
  if (!(body instanceof Uint8Array)) throw new StoreError("the store holds a chunk without a body; it is damaged");
  return decode(body);
}

/** SQLite's whole numbers have an end, and no infinity. */
function clamped(time_s: number): number {
  return Math.max(-1e15, Math.min(1e15, time_s));
}
