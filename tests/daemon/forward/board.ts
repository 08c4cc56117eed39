// A board without its sensors: a record in a folder, the analysis over it, and what forwards it.

import { join } from "node:path";
import { onTestFinished } from "vitest";
import { createAnalyzer as usualAnalyzer } from "../../../analysis/analyzer.ts";
import { type Reading, silentReading } from "../../../analysis/readings/reading.ts";
import type { ForwardConfig } from "../../../daemon/config/site-file.ts";
import type { CreateAnalyzer } from "../../../daemon/derive.ts";
import { type ForwardParts, forwardRecord } from "../../../daemon/forward/forward-record.ts";
import type { Forwarder, Pace } from "../../../daemon/forward/forwarder.ts";
import { openSqliteStore } from "../../../daemon/stores/sqlite-store.ts";
import type { Store, StoreOptions } from "../../../daemon/stores/store.ts";
import { startWatch, type Watch } from "../../../daemon/watch.ts";
import { courseAt, smallSite } from "../../analysis/small-basin.ts";

export interface Board {
  readonly store: Store;
  readonly watch: Watch;
  readonly forwarder: Forwarder;
  readonly lines: readonly string[];
  /** Takes readings of the course, a second apart, from three hours ago on. */
  live(readings: number): void;
  /** Waits until nothing is left to be sent. */
  allSent(): Promise<void>;
  /** As a clean stop does it. */
  stop(): Promise<void>;
}

export interface BoardOptions {
  readonly config: Pick<ForwardConfig, "url"> & Partial<ForwardConfig>;
  readonly pace?: Partial<Pace>;
  readonly store?: StoreOptions;
  /** Time of the first reading. */
  readonly start_s?: number;
  readonly now_s?: () => number;
  readonly version?: string;
  readonly createAnalyzer?: CreateAnalyzer;
  readonly parts?: Partial<ForwardParts>;
}

/** Fast enough for a test: retries within a hundredth of a second. */
const hasty: Partial<Pace> = { together_s: 0.001, first_s: 0.01, longest_s: 0.05, refused_s: 0.05, share: 1 };

export function startBoard(folder: string, options: BoardOptions): Board {
  const { now_s = () => Date.now() / 1000, version = "1", createAnalyzer = usualAnalyzer } = options;
  const lines: string[] = [];
  const log = (line: string) => lines.push(line);
  const store = openSqliteStore(join(folder, "store.db"), { writeAfter_ms: 1, ...options.store });
  const config: ForwardConfig = {
    ...{ database: "undercroft", basin: "elm-7", timeout: 30, every_s: 0.02, replaces: null },
    ...options.config,
  };
  const forwarding = forwardRecord(store, config);
  const parts = { site: smallSite, store: forwarding.store, createAnalyzer, version, now_s };
  const watch = startWatch(parts);
  const forwarder = forwarding.start({
    baseFolder: folder,
    siteInfo: { site: smallSite, invented: true, playing: null, version },
    summary: watch.summary,
    now_s,
    log,
    settle_ms: 20,
    ...options.parts,
    pace: { ...hasty, ...options.pace },
  });
  let next_s = options.start_s ?? null;
  let closed = false;
  const stop = async () => {
    if (closed) return;
    closed = true;
    await forwarder.close();
    watch.keepPlace();
    store.close();
  };
  onTestFinished(stop);
  return {
    store,
    watch,
    forwarder,
    lines,
    live(readings) {
      next_s ??= Math.max((watch.newest_s() ?? 0) + 1, Math.floor(now_s()) - 10_800);
      for (let i = 0; i < readings; i++) watch.take(readingAt(next_s++));
      store.flush();
      forwarder.tick();
      forwarder.nudge();
    },
    async allSent() {
      const end_ms = performance.now() + 20_000;
      for (;;) {
        const { oldest_s, lastSuccess_s, error } = forwarder.health();
        if (oldest_s === null && lastSuccess_s !== null && error === null) return;
        if (performance.now() > end_ms) throw new Error(`not sent within 20 s: ${JSON.stringify(forwarder.health())}`);
        await new Promise((resolve) => setTimeout(resolve, 5));
      }
    },
    stop,
  };
}

/** Every 1000 s the supply fails for 50 s, so that there are findings. */
export function readingAt(time_s: number): Reading {
  return { ...silentReading, time_s, ...courseAt(time_s), mainsOn: time_s % 1000 >= 50 };
}
