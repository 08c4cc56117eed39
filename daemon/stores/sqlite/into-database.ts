// From what waits into the database: readings, as chunks that fill pages, and with the last of them everything derived.

import type { DatabaseSync } from "node:sqlite";
import { encodeChunk } from "../chunk/chunk.ts";
import { type Chunk, cutter } from "../chunk/cutter.ts";
import type { Recent } from "../recent/recent.ts";
import type { StoreOptions } from "../store.ts";
import { keptChannels } from "./channel-retention.ts";
import { noNews, type Progress } from "./progress.ts";
import type { Tables } from "./tables.ts";
import type { Durability, Transactions } from "./transactions.ts";
import { clearDerived, nothingDerived } from "./waiting.ts";

export interface IntoDatabase {
  /** Codes the readings that fill chunks by now; returns whether there are enough of them for a transaction. */
  cutChunks(): boolean;
  /** @param all the readings that fill no chunk, too */
  fold(durability: Durability, all: boolean): void;
  /** Readings that wait have changed: chunks of them are coded anew. */
  cutAnew(): void;
  /** Writes how far forwarding has come, but no further than readings stand in the database. */
  putForward(inDatabase: number): void;
}

/** Every transaction writes pages of its own besides: chunks go into the database some at a time. */
const chunksAtOnce = 2;

/** Pages of which the disk gets the room back at once, some more than are dropped; and those that are not worth it. */
const roomAtOnce = 100;
const roomToKeep = 20;

export function intoDatabase(
  database: DatabaseSync,
  tables: Tables,
  recent: Recent,
  transactions: Transactions,
  progress: Progress,
  options: StoreOptions,
): IntoDatabase {
  const { waiting } = progress;
  const { keepReadings_s = Number.POSITIVE_INFINITY } = options;
  const kept = keptChannels(options);
  const keepsAll = Math.min(...kept.values()) === Number.POSITIVE_INFINITY;
  const cut = cutter();
  let closed: Chunk[] = []; // of the first of the readings that wait
  let inClosed = 0; // so many

  function cutChunks(): boolean {
    while (cut.isDue(waiting.readings.length - inClosed)) {
      const chunk = cut.cut(waiting.readings.length - inClosed, (count) =>
        encodeChunk(waiting.readings.slice(inClosed, inClosed + count)),
      );
      if (chunk === null) break;
      closed.push(chunk);
      inClosed += chunk.count;
    }
    return closed.length >= chunksAtOnce;
  }

  function foldSome(chunks: readonly Chunk[], durability: Durability, withDerived: boolean): void {
    if (chunks.length === 0 && !progress.inLog && nothingDerived(waiting)) return;
    const count = chunks.reduce((sum, chunk) => sum + chunk.count, 0);
    transactions.run(durability, () => {
      tables.putChunks(progress.written + 1, waiting.readings, chunks);
      if (!withDerived) return;
      tables.putDerived(waiting);
      tables.writeDerived();
      putForward(progress.written + count);
      tables.record.setBatches(recent.sequence());
      if (count > 0 && !keepsAll) tables.forgetOlderThan(kept, keepReadings_s);
    });
    closed = closed.slice(chunks.length);
    inClosed -= count;
    haveWritten(count, durability);
    if (withDerived) haveDerived();
  }

  function haveWritten(count: number, durability: Durability): void {
    waiting.readings.splice(0, count);
    progress.written += count;
    progress.noted = Math.max(progress.noted, progress.written);
    progress.inLog = durability === "soon";
    if (!progress.inLog) progress.onCard = Math.max(progress.onCard, progress.written);
  }

  function haveDerived(): void {
    clearDerived(waiting);
    waiting.forward.written();
    noNews(progress);
    if (!progress.inLog && progress.onCard <= progress.written) recent.forget();
    giveRoomBack();
  }

  /** Readings beyond those in the database the power may take, and others then get their numbers. */
  function putForward(inDatabase: number): void {
    const place = waiting.forward.upTo(inDatabase);
    if (place !== null) tables.forward.put(place);
  }

  /** What little there is the next chunks take; more is the disk's. */
  function giveRoomBack(): void {
    if (keepsAll) return;
    const free = Number(database.prepare("PRAGMA freelist_count").get()?.freelist_count);
    if (free > roomToKeep) database.exec(`PRAGMA incremental_vacuum(${roomAtOnce})`);
  }

  return {
    cutChunks,
    putForward,
    fold(durability, all) {
      cutChunks();
      const rest = all ? waiting.readings.slice(inClosed) : [];
      if (rest.length > 0) closed.push({ count: rest.length, bytes: encodeChunk(rest) });
      inClosed += rest.length;
      while (closed.length > chunksAtOnce) foldSome(closed.slice(0, chunksAtOnce), durability, false);
      foldSome(closed, durability, true);
    },
    cutAnew() {
      closed = [];
      inClosed = 0;
    },
  };
}
