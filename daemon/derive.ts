// From stored readings to everything derived from them: after a restart from the last checkpoint on, or anew from the
// first reading. Both give what an analysis that never stopped would have given.

import type { Analyzer, AnalyzerOptions, AnalyzerSink } from "../analysis/analyzer.ts";
import { type AnalyzerState, isState } from "../analysis/analyzer-state.ts";
import type { Site } from "../analysis/site.ts";
import type { Store } from "./stores/store.ts";

export type CreateAnalyzer = (site: Site, options?: AnalyzerOptions) => Analyzer;

export interface DeriveParts {
  readonly site: Site;
  readonly store: Store;
  readonly createAnalyzer: CreateAnalyzer;
  /** Of the program: another version may derive something else from the same readings. */
  readonly version: string;
  /** Told, beside the store, what is found from now on; what is gone through again is not told. */
  readonly listener?: AnalyzerSink;
}

export interface Resumed {
  readonly analyzer: Analyzer;
  /** Carried on from the checkpoint, or derived anew. */
  readonly from: "checkpoint" | "beginning";
  /** Readings that were gone through again. */
  readonly readings: number;
}

/** The analysis as it stands after the store's last reading; what is derived stands in the store. */
export function resumeAnalysis(parts: DeriveParts): Resumed {
  const { store } = parts;
  store.flush(); // what is read below is read while results are written
  const readings = store.readingCount();
  const kept = store.checkpoint();
  if (kept === null || !isOurs(kept.state, keyOf(parts)) || kept.readingsSeen > readings) {
    return { analyzer: deriveAnew(parts), from: "beginning", readings };
  }
  const { sink, goLive } = sinks(parts);
  const analyzer = parts.createAnalyzer(parts.site, { sink, resume: kept.state.analysis });
  for (const reading of store.readings(kept.readingsSeen)) analyzer.push(reading);
  goLive();
  return { analyzer, from: "checkpoint", readings: readings - kept.readingsSeen };
}

/** Drops what is derived and derives it anew from the first reading that is whole; all of it or nothing. */
export function deriveAnew(parts: DeriveParts): Analyzer {
  const { sink, goLive } = sinks(parts);
  const analyzer = parts.createAnalyzer(parts.site, { sink });
  parts.store.rebuild(() => {
    for (const reading of parts.store.readings(parts.store.readingsDropped())) analyzer.push(reading);
  });
  saveCheckpoint(parts, analyzer);
  goLive();
  return analyzer;
}

export function saveCheckpoint(parts: DeriveParts, analyzer: Analyzer): void {
  const { store } = parts;
  store.saveCheckpoint({
    state: { key: keyOf(parts), analysis: analyzer.snapshot() },
    readingsSeen: store.readingCount(),
  });
}

/** Where results go: to the store, and once it is live to the listener too. */
function sinks({ store, listener = {} }: DeriveParts): { readonly sink: AnalyzerSink; goLive(): void } {
  let live: AnalyzerSink = {};
  return {
    sink: {
      cycle(cycle, stage) {
        store.saveCycle(cycle);
        live.cycle?.(cycle, stage);
      },
      finding(finding, change) {
        store.saveFinding(finding);
        live.finding?.(finding, change);
      },
      inflow(stretch) {
        store.saveInflow(stretch);
        live.inflow?.(stretch);
      },
      gap: (gap) => live.gap?.(gap),
    },
    goLive() {
      live = listener;
    },
  };
}

/**
 * A checkpoint of another program or another installation says nothing about this one. How the site is called and how
 * its figures are shown is left out: the analysis does not read it.
 */
function keyOf({ site, version }: DeriveParts): string {
  const { basin, pump, pumps = null, discharge, measurement = null, design } = site;
  return JSON.stringify([version, basin, pumps ?? pump, discharge, measurement, design]);
}

function isOurs(state: unknown, key: string): state is { readonly analysis: AnalyzerState } {
  const isKept = typeof state === "object" && state !== null && "analysis" in state && "key" in state;
  return isKept && state.key === key && isState(state.analysis);
}
