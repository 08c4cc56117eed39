// The path of a reading through the daemon: what a source says is kept, analysed, and what follows from it goes to the
// store and to whoever listens. Keeps the place from which a restart carries on.

import type { Situation } from "../analysis/analyzer.ts";
import { silentReading } from "../analysis/readings/reading.ts";
import type { ReportSummary } from "../analysis/report/report.ts";
import { type DeriveParts, resumeAnalysis, saveCheckpoint } from "./derive.ts";
import { putOff } from "./put-off.ts";
import type { SourceReading } from "./sources/source.ts";

export interface WatchParts extends DeriveParts {
  /** Steady time, for the pace of checkpoints. */
  now_s(): number;
  /** After a reading that changed a finding, before the card is waited for: what people must be told of it. */
  urgent?(): void;
}

export interface Watch {
  /** Takes a reading that is no older than the newest one. */
  take(reading: SourceReading): void;
  newest_s(): number | null;
  situation(): Situation;
  summary(): ReportSummary;
  /** To be called now and then: keeps the place when it has not been kept for long, as in a week without a cycle. */
  tick(): void;
  /** Keeps the place, so that the next start has nothing to go through again. */
  keepPlace(): void;
  /** How it began. */
  readonly began: { readonly from: "checkpoint" | "beginning"; readonly readings: number };
}

/**
 * After a cycle there is little half done, and every checkpoint wears the card: not more often than this. The readings
 * of some hours are gone through again in a second.
 */
const shortestPause_s = 3 * 3600;
const longestPause_s = 4 * 3600;

export function startWatch(parts: WatchParts): Watch {
  const { listener = {}, now_s } = parts;
  const { store, during, afterwards } = putOff(parts.store);
  let keptAt_s = now_s();
  let settled = false;
  let found = false;
  const { analyzer, ...began } = resumeAnalysis({
    ...parts,
    store,
    listener: {
      ...listener,
      cycle(cycle, stage) {
        settled ||= stage === "settled";
        afterwards(() => listener.cycle?.(cycle, stage)); // announced once it is on the card
      },
      finding(finding, change) {
        found = true;
        afterwards(() => listener.finding?.(finding, change));
      },
    },
  });
  let seen = store.readingCount();
  let newest_s = store.span()?.to_s ?? null;

  function keepPlace(): void {
    keptAt_s = now_s();
    settled = false;
    seen = store.readingCount();
    saveCheckpoint(parts, analyzer);
  }

  return {
    take(reading) {
      const whole = { ...silentReading, ...reading };
      newest_s = whole.time_s;
      store.append(whole);
      during(() => {
        analyzer.push(whole);
        if (found) parts.urgent?.();
        found = false;
      });
      if (settled && now_s() - keptAt_s >= shortestPause_s) keepPlace();
    },
    newest_s: () => newest_s,
    situation: () => analyzer.situation(),
    summary: () => analyzer.summary(),
    tick() {
      if (now_s() - keptAt_s >= longestPause_s && store.readingCount() !== seen) keepPlace();
    },
    keepPlace,
    began,
  };
}
