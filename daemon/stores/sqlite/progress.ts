// How far a record has come on its way to the card: counts of readings, from the first one on, and what is new since.

import type { Cycle } from "../../../analysis/cycles/cycle.ts";
import type { Finding } from "../../../analysis/findings/finding.ts";
import type { Waiting } from "./waiting.ts";

/** One for all that writes the record; each part says what it has done. */
export interface Progress {
  readonly waiting: Waiting;
  /** Derived, and not on the card yet. */
  readonly news: { readonly cycles: Cycle[]; readonly findings: Finding[] };
  /** Readings that are in the database. */
  written: number;
  /** Readings that a power cut leaves. */
  onCard: number;
  /** Readings that the process's death leaves. */
  noted: number;
  /** The database has what the card may not have yet. */
  inLog: boolean;
  /** A transaction is open that has the record as a whole: nothing else is written until it ends. */
  asWhole: boolean;
}

/** @param onCard of the readings that are written or wait, so many a power cut leaves */
export function progressFrom(waiting: Waiting, written: number, onCard: number): Progress {
  const noted = written + waiting.readings.length;
  return { waiting, news: { cycles: [], findings: [] }, written, onCard, noted, inLog: false, asWhole: false };
}

/** All readings there are. */
export function total({ written, waiting }: Progress): number {
  return written + waiting.readings.length;
}

export function hasNews({ news }: Progress): boolean {
  return news.cycles.length + news.findings.length > 0;
}

export function noNews({ news }: Progress): void {
  news.cycles.length = 0;
  news.findings.length = 0;
}
