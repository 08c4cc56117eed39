// When things are written, and where: readings each second where they outlive the process, each minute on the card; what
// is derived on the card at once; all of it into the database by whole pages, now and then.

import type { DatabaseSync } from "node:sqlite";
import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import type { Reading } from "../../../analysis/readings/reading.ts";
import type { Recent, Recovered } from "../recent/recent.ts";
import type { Intake, StoreHealth, StoreOptions } from "../store.ts";
import { StoreError } from "../store-error.ts";
import { holding } from "./holding.ts";
import { intoDatabase } from "./into-database.ts";
import { ontoCard } from "./onto-card.ts";
import { noNews, progressFrom, total } from "./progress.ts";
import type { Tables } from "./tables.ts";
import { takeUp } from "./take-up.ts";
import { transactions } from "./transactions.ts";
import { clearDerived, nothingDerived, type Waiting } from "./waiting.ts";
import { wholeRecord } from "./whole-record.ts";

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

/** So much that is derived waits for the database at most. */
const mostDerived = 5000;

export function writer(
  database: DatabaseSync,
  tables: Tables,
  { recent, recovered }: { readonly recent: Recent; readonly recovered: Recovered },
  options: StoreOptions,
): Writer {
  const { writeAfter_ms = 900, flushAfter_ms = 60_000, log = () => {} } = options;
  const inDatabase = tables.chunk.count();
  const { waiting, onCard } = takeUp(recovered, inDatabase, tables.record.batches());
  const progress = progressFrom(waiting, inDatabase, onCard);
  const { news } = progress;
  const transaction = transactions(database);
  const into = intoDatabase(database, tables, recent, transaction, progress, options);
  const { cutChunks, fold } = into;
  const card = ontoCard(recent, progress, into);
  const writeAll = () => {
    fold("durable", false);
    keep();
  };
  const held = holding(progress, tables, { writeAll, gaveUp: into.cutAnew }, options);
  const { attempt, retry } = held;
  const whole = wholeRecord(tables, recent, transaction, progress, into);
  let noteTimer: NodeJS.Timeout | undefined;
  let flushTimer: NodeJS.Timeout | undefined;

  if (progress.onCard < total(progress)) flushSoon();

  function flushSoon(): void {
    flushTimer ??= setTimeout(() => {
      flushTimer = undefined;
      attempt(keep);
    }, flushAfter_ms).unref();
  }

  function noteSoon(): void {
    noteTimer ??= setTimeout(() => {
      noteTimer = undefined;
      attempt(card.note);
    }, writeAfter_ms).unref();
  }

  function keep(): void {
    clearTimeout(flushTimer);
    flushTimer = undefined;
    card.keep();
  }

  function saved(): void {
    if (progress.asWhole) put();
    else if (held.error() !== null) boundNews();
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
    noNews(progress);
    tables.putDerived(waiting);
    clearDerived(waiting);
  }

  function tooMuch(): boolean {
    return waiting.cycles.size() + waiting.findings.size() + waiting.inflow.size() >= mostDerived;
  }

  /** @throws {StoreError} when the disk does not take it; `what` the store then does not do */
  function allInDatabase(what: string): void {
    if (held.error() !== null) retry();
    if (held.error() === null) attempt(() => fold("durable", true));
    const error = held.error();
    if (error !== null) throw new StoreError(`the store ${what}: ${error}`);
  }

  return {
    waiting,
    written: () => progress.written,
    noted: () => progress.noted,
    append(reading) {
      if (!database.isOpen) throw new Error("the store is closed; readings must stop before it");
      waiting.readings.push(reading);
      if (held.error() !== null) {
        held.bound();
        return;
      }
      noteSoon();
      flushSoon();
      if (progress.asWhole || !cutChunks()) return;
      // Readings that come fast, from a file, wait for the card but once a minute.
      const slow = progress.onCard - progress.written > waiting.readings.length / 2;
      attempt(() => fold(slow ? "durable" : "soon", false));
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
      if (progress.asWhole) put();
      else if (held.error() === null && tooMuch()) attempt(() => fold("soon", false));
    },
    intoDatabase() {
      if (progress.asWhole) put();
      else if (held.error() === null) {
        attempt(() => {
          keep();
          fold("durable", false);
        });
      }
    },
    flush() {
      if (held.error() === null) attempt(keep);
      else retry();
    },
    intake() {
      allInDatabase("takes nothing in");
      return whole.intake();
    },
    rebuild(fill) {
      allInDatabase("cannot be rebuilt");
      try {
        whole.rebuild(fill);
      } finally {
        if (waiting.readings.length > 0) flushSoon();
      }
    },
    health: held.health,
    close() {
      attempt(() => fold("durable", true));
      const nothingWaits = waiting.readings.length === 0 && nothingDerived(waiting);
      if (!nothingWaits) attempt(keep); // the card may still have room there
      for (const timer of [noteTimer, flushTimer]) clearTimeout(timer);
      held.close();
      const gone = total(progress) - Math.max(progress.onCard, progress.written);
      if (gone > 0) log(`store: closed while it could not write; ${gone} readings are lost`);
      recent.close(nothingWaits || gone === 0);
    },
  };
}
