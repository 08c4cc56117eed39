// When things are written, and where: readings each second where they outlive the process, each minute on the card; what
// is derived on the card at once; all of it into the database by whole pages, now and then. And what happens when the
// disk will not take it.

import type { DatabaseSync } from "node:sqlite";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import { encodeChunk } from "../chunk/chunk.ts";
import { type Chunk, cutter } from "../chunk/cutter.ts";
import type { Recent, Recovered } from "../recent/recent.ts";
import type { Intake, StoreHealth, StoreOptions } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { keptChannels } from "./channel-retention.ts";
import { faultInWords } from "./fault.ts";
import { intake } from "./intake.ts";
import type { Tables } from "./tables.ts";
import { type Durability, transactions } from "./transactions.ts";
import { clearDerived, giveUpOldest, nothingDerived, nothingWaiting, type Waiting } from "./waiting.ts";

export interface Writer {
  readonly waiting: Waiting;
  /** Readings that are in the database. */
  written(): number;
  /** Readings that outlive the process. */
  noted(): number;
  append(reading: Reading): void;
  /** Takes a cycle or a finding, and puts it on the card, and the readings before it. */
  saveCycle(cycle: Cycle): void;
  saveFinding(finding: Finding): void;
  /** Some inflow has joined what waits: in the database with the next chunk or checkpoint. */
  joined(): void;
  /** Puts what waits, a checkpoint too, into the database, for good. */
  intoDatabase(): void;
  /** Puts what waits on the card. */
  flush(): void;
  intake(): Intake;
  /** Empties what is derived and fills it anew, whole or not at all. */
  rebuild(fill: () => void): void;
  health(): StoreHealth;
  close(): void;
}

/** Every transaction writes pages of its own besides: chunks go into the database some at a time. */
const chunksAtOnce = 2;

/** Pages of which the disk gets the room back at once, some more than are dropped; and those that are not worth it. */
const roomAtOnce = 100;
const roomToKeep = 20;

/** Of so many chunks that are taken in, one is waited for until it is on the card. */
const waitedForEach = 32;

/** A slow card is spoken of so often at most. */
const seldom_s = 86_400;

/** So much that is derived waits for the database at most. */
const mostDerived = 5000;

export function writer(
  database: DatabaseSync,
  tables: Tables,
  { recent, recovered }: { readonly recent: Recent; readonly recovered: Recovered },
  options: StoreOptions,
): Writer {
  const {
    writeAfter_ms = 900,
    flushAfter_ms = 60_000,
    retryAfter_ms = 1000,
    slowAfter_ms = 2000,
    mostHeld = 200_000,
  } = options;
  const { keepReadings_s = Number.POSITIVE_INFINITY } = options;
  const kept = keptChannels(options);
  const keepsAll = Math.min(...kept.values()) === Number.POSITIVE_INFINITY;
  const { now_s = () => Date.now() / 1000, log = () => {} } = options;
  const transaction = transactions(database);
  const cut = cutter();
  let written = tables.chunk.count();
  const waiting = takeUp(recovered, written, tables.record.batches());
  let onCard = waiting.onCard; // readings, of all, that a power cut leaves
  let noted = written + waiting.readings.length; // and that the process's death leaves
  const news: { cycles: Cycle[]; findings: Finding[] } = { cycles: [], findings: [] }; // not on the card yet
  let closed: Chunk[] = []; // of the first of the readings that wait
  let inClosed = 0; // so many
  let inLog = false; // the database has what the card may not have yet
  let fault: { readonly error: string; readonly since_s: number } | null = null;
  let lost = 0;
  let rebuilding = false;
  let saidSlow_s = Number.NEGATIVE_INFINITY;
  let noteTimer: NodeJS.Timeout | undefined;
  let flushTimer: NodeJS.Timeout | undefined;
  let retryTimer: NodeJS.Timeout | undefined;

  const total = () => written + waiting.readings.length;
  if (onCard < total()) flushSoon();

  function flushSoon(): void {
    flushTimer ??= setTimeout(() => attempt(keep), flushAfter_ms).unref();
  }

  /** Readings since the last time, to where they outlive the process. */
  function note(): void {
    clearTimeout(noteTimer);
    noteTimer = undefined;
    if (rebuilding || noted >= total()) return;
    recent.note({ firstNth: noted + 1, readings: waiting.readings.slice(noted - written) });
    noted = total();
  }

  /** Everything that the card does not have yet, onto it. */
  function keep(): void {
    clearTimeout(flushTimer);
    flushTimer = undefined;
    if (inLog) fold("durable", false);
    if (onCard >= total() && news.cycles.length + news.findings.length === 0) return;
    const startsAnew = recent.isNearlyFull();
    const from = startsAnew ? written : Math.max(written, onCard);
    const batch = {
      firstNth: from + 1,
      readings: waiting.readings.slice(from - written),
      cycles: startsAnew ? [...waiting.cycles.items()] : news.cycles,
      findings: startsAnew ? [...waiting.findings.items()] : news.findings,
    };
    if (recent.keep(batch, startsAnew)) {
      onCard = noted = total();
      noNews();
    } else {
      fold("durable", true);
    }
  }

  function noNews(): void {
    news.cycles.length = 0;
    news.findings.length = 0;
  }

  /** Readings that fill a page as a chunk, by itself and not yet in the database. */
  function cutChunks(): void {
    while (cut.isDue(waiting.readings.length - inClosed)) {
      const chunk = cut.cut(waiting.readings.length - inClosed, (count) =>
        encodeChunk(waiting.readings.slice(inClosed, inClosed + count)),
      );
      if (chunk === null) return;
      closed.push(chunk);
      inClosed += chunk.count;
    }
  }

  /**
   * What waits into the database: readings that fill chunks, and everything derived.
   * @param all the readings that fill none, too
   */
  function fold(durability: Durability, all: boolean): void {
    cutChunks();
    const rest = all ? waiting.readings.slice(inClosed) : [];
    if (rest.length > 0) closed.push({ count: rest.length, bytes: encodeChunk(rest) });
    inClosed += rest.length;
    while (closed.length > chunksAtOnce) foldSome(closed.slice(0, chunksAtOnce), durability, false);
    foldSome(closed, durability, true);
  }

  function foldSome(chunks: readonly Chunk[], durability: Durability, withDerived: boolean): void {
    if (chunks.length === 0 && !inLog && nothingDerived(waiting)) return;
    const count = chunks.reduce((sum, chunk) => sum + chunk.count, 0);
    transaction(durability, () => {
      tables.putChunks(written + 1, waiting.readings, chunks);
      if (!withDerived) return;
      tables.putDerived(waiting);
      tables.writeDerived();
      putForward(written + count);
      tables.record.setBatches(recent.sequence());
      if (count > 0 && !keepsAll) tables.forgetOlderThan(kept, keepReadings_s);
    });
    inLog = durability === "soon";
    closed = closed.slice(chunks.length);
    inClosed -= count;
    waiting.readings.splice(0, count);
    written += count;
    noted = Math.max(noted, written);
    if (!inLog) onCard = Math.max(onCard, written);
    if (!withDerived) return;
    clearDerived(waiting);
    waiting.forward.written();
    noNews();
    if (!inLog && onCard <= written) recent.forget();
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

  function attempt(work: () => void): void {
    if (rebuilding) return;
    const begin_ms = performance.now();
    try {
      work();
    } catch (error) {
      hold(error);
    }
    if (performance.now() - begin_ms >= slowAfter_ms) saySlow((performance.now() - begin_ms) / 1000);
  }

  /** Nothing is lost by it, but whoever looks after the board must hear of it: a card that wears out becomes slow first. */
  function saySlow(took_s: number): void {
    if (now_s() - saidSlow_s < seldom_s) return;
    saidSlow_s = now_s();
    log(
      `store: the card took ${took_s.toFixed(1)} s over one write; readings wait, none is lost; a card that stays so slow is worn out or failing: make a backup and put in another`,
    );
  }

  function hold(error: unknown): void {
    const words = faultInWords(error);
    tables.revert(); // they had taken in what was not written
    if (words === null) throw error;
    if (fault === null) log(`store: ${words}; readings are held in memory until it clears`);
    fault = { error: words, since_s: fault?.since_s ?? now_s() };
    giveUp();
    retryTimer ??= setTimeout(retry, retryAfter_ms).unref();
  }

  function retry(): void {
    clearTimeout(retryTimer);
    retryTimer = undefined;
    attempt(() => {
      fold("durable", false);
      keep();
      if (fault !== null) {
        log(
          `store: writing again after ${Math.round(now_s() - fault.since_s)} s; ${lost} readings were lost since the start`,
        );
      }
      fault = null;
    });
  }

  /** Of what is held, that which is not on the card. */
  function giveUp(): void {
    const gone = giveUpOldest(waiting, mostHeld, written, Math.max(0, onCard - written));
    if (gone === 0) return;
    lost += gone;
    closed = [];
    inClosed = 0;
    noted = Math.min(noted, onCard);
  }

  return {
    waiting,
    written: () => written,
    noted: () => noted,
    append(reading) {
      if (!database.isOpen) throw new Error("the store is closed; readings must stop before it");
      waiting.readings.push(reading);
      if (fault !== null) {
        giveUp();
        return;
      }
      noteTimer ??= setTimeout(() => attempt(note), writeAfter_ms).unref();
      flushSoon();
      if (rebuilding) return;
      cutChunks();
      if (closed.length >= chunksAtOnce) {
        // Readings that come fast, from a file, wait for the card but once a minute.
        const slow = onCard - written > waiting.readings.length / 2;
        attempt(() => fold(slow ? "durable" : "soon", false));
      }
    },
    saveCycle(cycle) {
      waiting.cycles.add(cycle);
      news.cycles.push(cycle);
      saved();
    },
    saveFinding(finding) {
      waiting.findings.add(finding);
      news.findings.push(finding);
      saved();
    },
    joined() {
      if (rebuilding) put();
      else if (fault === null && tooMuch()) attempt(() => fold("soon", false));
    },
    intoDatabase() {
      if (rebuilding) put();
      else if (fault === null) {
        attempt(() => {
          keep();
          fold("durable", false);
        });
      }
    },
    flush() {
      if (fault === null) attempt(keep);
      else retry();
    },
    intake() {
      attempt(() => fold("durable", true));
      if (fault !== null) throw new StoreError(`the store takes nothing in: ${fault.error}`);
      let chunks = 0;
      return intake((chunk, rows) => {
        // Waited for now and then: what a power cut takes is in the recording still.
        const durability = ++chunks % waitedForEach === 0 ? "durable" : "soon";
        try {
          transaction(durability, () => tables.putRows(written + 1, rows, chunk));
        } catch (error) {
          tables.revert();
          throw error;
        }
        inLog = true;
        written += chunk.count;
        noted = Math.max(noted, written);
      });
    },
    rebuild(fill) {
      if (fault === null) attempt(() => fold("durable", true));
      else retry();
      if (fault !== null) throw new StoreError(`the store cannot be rebuilt: ${fault.error}`);
      rebuilding = true;
      try {
        transaction("durable", () => {
          putForward(written);
          tables.clearDerived();
          tables.rollups.rebuild();
          fill();
          tables.writeDerived();
          tables.record.setBatches(recent.sequence());
        });
        waiting.forward.clear();
      } catch (error) {
        tables.revert();
        throw error;
      } finally {
        rebuilding = false;
        noNews();
        if (waiting.readings.length > 0) flushSoon();
      }
    },
    health: () => ({
      state: fault === null ? "writing" : "holding",
      held: fault === null ? 0 : waiting.readings.length,
      lost,
      error: fault?.error ?? null,
      since_s: fault?.since_s ?? null,
    }),
    close() {
      attempt(() => fold("durable", true));
      const allInDatabase = waiting.readings.length === 0 && nothingDerived(waiting);
      if (!allInDatabase) attempt(keep); // the card may still have room there
      for (const timer of [noteTimer, flushTimer, retryTimer]) clearTimeout(timer);
      const gone = total() - Math.max(onCard, written);
      if (gone > 0) log(`store: closed while it could not write; ${gone} readings are lost`);
      recent.close(allInDatabase || gone === 0);
    },
  };

  function saved(): void {
    if (rebuilding) put();
    else if (fault !== null) boundNews();
    else if (tooMuch()) attempt(() => fold("durable", false));
    else attempt(keep);
  }

  /** While the store holds, what waits is bounded, and of the news there is no more than that. */
  function boundNews(): void {
    if (news.cycles.length + news.findings.length < mostDerived) return;
    news.cycles.splice(0, news.cycles.length, ...waiting.cycles.items());
    news.findings.splice(0, news.findings.length, ...waiting.findings.items());
  }

  function put(): void {
    noNews();
    tables.putDerived(waiting);
    clearDerived(waiting);
  }

  function tooMuch(): boolean {
    return waiting.cycles.size() + waiting.findings.size() + waiting.inflow.size() >= mostDerived;
  }
}

/** What was kept outside the database, as far as the database does not have it. */
function takeUp(recovered: Recovered, written: number, batches: number): Waiting & { readonly onCard: number } {
  const waiting = nothingWaiting();
  const takeReadings = ({ firstNth, readings }: Recovered["noted"][number]) => {
    const next = written + waiting.readings.length + 1;
    for (const reading of readings.slice(Math.max(0, next - firstNth))) waiting.readings.push(reading);
  };
  for (const batch of recovered.kept) {
    takeReadings(batch);
    if (batch.sequence <= batches) continue;
    for (const cycle of batch.cycles) waiting.cycles.add(cycle);
    for (const finding of batch.findings) waiting.findings.add(finding);
  }
  const onCard = written + waiting.readings.length;
  for (const stretch of recovered.noted) {
    // Those of a record that has not come to them, or of another life of it, are not its own.
    if (stretch.firstNth <= written + waiting.readings.length + 1) takeReadings(stretch);
  }
  return Object.assign(waiting, { onCard });
}
